"""Cutting double: the cloth folded selvedge to selvedge, pairs cut at once, symmetrical pieces at the fold.

So most things are cut at home. The lower layer cannot be seen, so no seam can be matched in it; what
matching asks for is a single layer. Positions run from the fold.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from printcheck.core.errors import NoAnswerError
from printcheck.core.lattice import Vector
from printcheck.core.plan import Cloth, CutDouble, Piece, Print, Project
from printcheck.cutting.check import faults
from printcheck.cutting.demand.demands import demands_of
from printcheck.cutting.money import cost_of, to_buy_mm
from printcheck.cutting.search.layouts import lay_out_one

AT_FOLD = " on the fold"  # after the name of a piece of which half is laid
LAYERS = 2
SMALL_MM = 0.01  # mm: corners nearer than this to the fold lie on it


def cut_double(project: Project, print_: Print, *, seconds: float) -> CutDouble | None:
    """Return the layout on folded cloth with nothing matched; None where it cannot be cut double.

    A pair is two copies of a rectangle, or a piece and its mirror image; a symmetrical piece without a
    partner lies at the fold by half. Any other piece is cut once and its second layer left.
    """
    half = project.cloth.usable_width_mm / LAYERS
    laid = tuple(_laid(project.pieces, half))
    if print_.border or any(piece.width_mm > half for piece in laid):
        return None
    cloth = Cloth(half, sold_by_mm=project.cloth.sold_by_mm)
    folded = Project(project.name, cloth, laid)
    bare = replace(print_, lattice=None)
    demands = demands_of(folded, bare)
    demand = demands.one_way if print_.way == "one-way" else demands.plain
    at_fold = [piece.name.endswith(AT_FOLD) for piece in laid]
    parts = (
        replace(part, fixed_x_mm=0.0, may_turn=False) if fixed else part
        for part, fixed in zip(demand.parts, at_fold, strict=True)
    )
    layout = lay_out_one(replace(demand, parts=tuple(parts)), seconds=seconds)
    if layout is None:
        return None
    bad = faults(folded, bare, layout, keeps_way=True)
    off = [
        s.piece for s, fixed in zip(layout.placements, at_fold, strict=True) if fixed and s.x_mm > SMALL_MM
    ]
    if bad or off:
        raise NoAnswerError("layout-not-sound", f"{project.name}: cut double: {[*bad, *off][0]}.", "")
    buy = to_buy_mm(project.cloth, layout.length_mm)
    return CutDouble(layout.length_mm, buy, cost_of(project.cloth, buy), layout.placements)


def _laid(pieces: Sequence[Piece], half_mm: float) -> Iterator[Piece]:
    """What is laid on the folded cloth: one piece of each pair, halves at the fold, and the rest."""
    for _, copies in groupby(pieces, key=lambda piece: piece.name.partition("#")[0]):
        group = list(copies)
        while group:
            first = group.pop(0)
            partner = next((other for other in group if _pairs(first, other)), None)
            if partner is not None and first.width_mm <= half_mm:
                group.remove(partner)
                yield replace(first, name=f"{first.name} and {partner.name}")
            elif first.on_fold:
                yield _half(first)
            else:
                yield first


def _pairs(one: Piece, two: Piece) -> bool:
    """Whether two copies come out of one cut through two layers that face each other."""
    return not one.outline or one.mirrored != two.mirrored or one.on_fold


def _half(piece: Piece) -> Piece:
    """The right half of a symmetrical piece, its middle at the fold."""
    middle = piece.width_mm / 2
    return replace(
        piece, name=piece.name + AT_FOLD, width_mm=middle, outline=_right_of(piece.outline, middle)
    )


def _right_of(ring: Sequence[Vector], middle: float) -> tuple[Vector, ...]:
    """Part of an outline right of an upright line, counted from it (Sutherland and Hodgman, 1974)."""
    kept: list[Vector] = []
    for (x, y), (u, v) in zip(ring, [*ring[1:], *ring[:1]], strict=True):
        if x >= middle:
            kept.append((x - middle, y))
        if (x - middle) * (u - middle) < 0:
            kept.append((0.0, y + (v - y) * (middle - x) / (u - x)))
    return tuple(kept)
