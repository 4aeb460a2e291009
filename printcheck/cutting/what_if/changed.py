"""A project with something changed: pieces shorter or narrower, cloth wider; points of seams go along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from printcheck.core.errors import listed
from printcheck.core.lattice import Vector
from printcheck.core.plan import Piece, Project, SeamEnd


def shortened(project: Project, pieces: Sequence[Piece], by_mm: float) -> Project:
    """The project with some pieces cut off at the foot."""
    return _scaled(project, pieces, 0.0, by_mm)


def narrowed(project: Project, pieces: Sequence[Piece], by_mm: float) -> Project:
    """The project with some pieces made narrower, their points drawn together."""
    return _scaled(project, pieces, by_mm, 0.0)


def widened(project: Project, by_mm: float) -> Project:
    """The project on wider cloth."""
    return replace(project, cloth=replace(project.cloth, width_mm=project.cloth.width_mm + by_mm))


def names_of(pieces: Sequence[Piece]) -> str:
    """Names of pieces without their copies' numbers, each once, as a sentence begins with them."""
    text = listed(list(dict.fromkeys(piece.name.partition("#")[0] for piece in pieces)))
    return text[:1].upper() + text[1:]


def _scaled(project: Project, pieces: Sequence[Piece], narrower: float, shorter: float) -> Project:
    sizes = {p.name: (p.width_mm - narrower, p.length_mm - shorter, p.width_mm) for p in pieces}

    def moved(name: str, at: Vector) -> Vector:
        if name not in sizes:
            return at
        width, length, before = sizes[name]
        return (at[0] * width / before, min(at[1], length))

    def piece_made(p: Piece) -> Piece:
        if p.name not in sizes:
            return p
        width, length, _ = sizes[p.name]
        ring = tuple(dict.fromkeys(moved(p.name, at) for at in p.outline))
        return replace(p, width_mm=width, length_mm=length, outline=ring)

    def end_moved(end: SeamEnd) -> SeamEnd:
        return replace(end, at=moved(end.piece, end.at))

    return replace(
        project,
        pieces=tuple(map(piece_made, project.pieces)),
        seams=tuple(replace(s, join=(end_moved(s.join[0]), end_moved(s.join[1]))) for s in project.seams),
        places=tuple(replace(place, at=moved(place.piece, place.at)) for place in project.places),
    )
