"""A project with some pieces shorter or narrower; points of seams go along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from printcheck.core.errors import listed
from printcheck.core.lattice import Vector
from printcheck.core.plan import Piece, Project, SeamEnd


def names_of(pieces: Sequence[Piece]) -> str:
    """Names of pieces without their copies' numbers, each once, as a sentence begins with them."""
    text = listed(list(dict.fromkeys(piece.name.partition("#")[0] for piece in pieces)))
    return text[:1].upper() + text[1:]


def cut_down(
    project: Project, pieces: Sequence[Piece], *, narrower: float = 0.0, shorter: float = 0.0
) -> Project:
    """The project with some pieces cut off at the foot, or narrower with their points drawn together; mm."""
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
