"""Projects that no layout can be made of, refused before any work, each with what would help."""

from __future__ import annotations

import math

from printcheck.core.errors import InputError
from printcheck.core.plan import EPS_MM, MOST_PIECES, Print, Project


def check_project(project: Project, print_: Print, seconds: float) -> None:
    """Refuse what no layout can be made of."""
    cloth = project.cloth
    if not project.pieces:
        raise InputError("no-pieces", f"{project.name}: there is no piece to cut.", "Add a [[piece]].")
    if len(project.pieces) > MOST_PIECES:
        raise InputError(
            "too-many-pieces",
            f"{project.name}: {len(project.pieces)} pieces; at most {MOST_PIECES} can be laid at once.",
            "Split the project, or lay one set of pieces and buy it several times.",
        )
    numbers = [cloth.width_mm, cloth.selvedge_mm, cloth.shrink_along, cloth.shrink_across, seconds]
    numbers += [v for p in project.pieces for v in (p.width_mm, p.length_mm)]
    numbers += [v for seam in project.seams for end in seam.join for v in end.at]
    numbers += [v for place in project.places for v in place.at]
    numbers += [v for vector in (print_.lattice.basis_mm if print_.lattice else ()) for v in vector]
    if not all(map(math.isfinite, numbers)) or seconds <= 0:
        raise InputError(
            "not-a-number", f"{project.name}: a size is not a finite number.", "Correct the sizes."
        )
    _check_fit(project, print_)


def _check_fit(project: Project, print_: Print) -> None:
    usable = project.cloth.usable_width_mm
    names = {piece.name for piece in project.pieces}
    if len(names) < len(project.pieces):
        raise InputError("piece-name-twice", f"{project.name}: two pieces share a name.", "Rename one.")
    for piece in project.pieces:
        across = piece.length_mm if print_.border else piece.width_mm
        if min(piece.width_mm, piece.length_mm) <= 0:
            raise InputError("piece-without-size", f"{piece.name}: a side is not above zero.", "Correct it.")
        if across > usable + EPS_MM:
            side = "long (pieces lie crosswise on a border print)" if print_.border else "wide"
            raise InputError(
                "piece-too-wide",
                f"{piece.name}: {across / 10:.1f} cm {side}, and {usable / 10:.1f} cm of width can be used.",
                "Take a wider cloth, or split the piece and join it with a seam.",
            )
    for end in [end for seam in project.seams for end in seam.join]:
        _known(end.piece, names, "seam")
    for place in project.places:
        _known(place.piece, names, "place")


def _known(name: str, names: set[str], what: str) -> None:
    if name not in names:
        raise InputError("unknown-piece", f"{what}: there is no piece {name}.", "Use the name of a copy.")
