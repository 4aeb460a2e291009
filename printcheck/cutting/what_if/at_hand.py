"""A length at hand: does it do, what is left over, and what to give up, what shows least first."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from printcheck.core.errors import InputError
from printcheck.core.plan import CutLayout, GivenUp, GiveUp, Have, LengthPlan, Piece, Print, Project, Seam
from printcheck.cutting.demand.demands import Match, demands_of, kept_seams, spots_of
from printcheck.cutting.demand.unmet_seams import settle
from printcheck.cutting.what_if.changed import names_of, narrowed, shortened

# words that name what lies inside or is cut from other cloth without being seen; common practice
HIDDEN_WORDS = ("facing", "lining", "interfacing", "pocket bag", "inner", "under collar", "undercollar")
SLEEVE = "sleeve"
MOST_SHORTER = 0.15  # of a length: a skirt by a hand's breadth; more is another garment
MOST_NARROWER = 0.1  # of a width: most of the ease or fullness there is
TELLING_MM = 5.0  # mm: changes are looked for in these steps
FITS_MM = 0.1  # mm: a layout longer by less goes on the cloth


@dataclass(frozen=True)
class _Way:
    """One thing to give up: the project without it, for amounts up to ``most_mm`` where it has any."""

    what: GivenUp
    pieces: str
    change: Callable[[float], Project]
    match: Match
    most_mm: float = 0.0


def have_of(
    project: Project,
    print_: Print,
    plan: LengthPlan,
    have_mm: float,
    *,
    seconds: float,
    match: Match = "all",
) -> Have:
    """Return whether a length of the cloth as sold does, and if not what to give up.

    Parameters
    ----------
    project, print_, plan : Project, Print, LengthPlan
        What was planned.
    have_mm : float
        Length at hand, before washing. No shop cuts it, so no step is rounded up to.
    seconds : float
        Time for all that may be given up.
    match : {"all", "visible", "none"}
        Which seams the plan keeps.

    Raises
    ------
    InputError
        For a length that is not above zero.
    """
    if not (math.isfinite(have_mm) and have_mm > 0):
        raise InputError("have-nothing", "--have: there is no cloth to cut.", "Give the length you have.")
    assert plan.layout is not None
    shrunk = 1 - project.cloth.shrink_along
    needs = (plan.layout.length_mm + plan.start_allowance_mm) / shrunk
    if needs <= have_mm + FITS_MM:
        return Have(have_mm, needs, True, have_mm - needs)
    ways = list(_ways(project, print_, match))
    limit = seconds / (1 + sum(5 if way.most_mm else 1 for way in ways))

    def needed(way: _Way, amount: float) -> float | None:
        length = _laid_mm(way.change(amount), print_, plan, way.match, limit)
        return None if length is None else (length + plan.start_allowance_mm) / shrunk

    found = [_given_up(way, have_mm, needed) for way in ways]
    gaining = (g for g in found if g is not None and g.needs_mm < needs - TELLING_MM)
    return Have(have_mm, needs, False, None, tuple(gaining))


def _given_up(way: _Way, have_mm: float, needed: Callable[[_Way, float], float | None]) -> GiveUp | None:
    """What one way needs; of a size, the least change that does, or its largest where none does."""
    amount = way.most_mm
    needs = needed(way, amount)
    if needs is None:
        return None
    low = 0.0
    while needs <= have_mm + FITS_MM and amount - low > TELLING_MM:
        middle = math.ceil((low + amount) / 2 / TELLING_MM) * TELLING_MM
        if middle >= amount:
            break
        less = needed(way, middle)
        if less is not None and less <= have_mm + FITS_MM:
            amount, needs = middle, less
        else:
            low = middle
    return GiveUp(way.what, way.pieces, amount or None, needs, needs <= have_mm + FITS_MM)


def _ways(project: Project, print_: Print, match: Match) -> Iterator[_Way]:
    """Everything that may be given up, what shows least first."""
    kept = kept_seams(project, print_, match)
    if match == "all" and kept_seams(project, print_, "visible") != kept:
        yield _Way("hidden seams", "", lambda _: project, "visible")
    hidden = [p for p in project.pieces if any(word in p.name.lower() for word in HIDDEN_WORDS)]
    if hidden and len(hidden) < len(project.pieces):
        yield _Way("hidden pieces", names_of(hidden), lambda _: without(project, hidden), match)
    sleeves = [p for p in project.pieces if SLEEVE in p.name.lower()]
    at_sleeves = [s for s in kept if any(end.piece in {p.name for p in sleeves} for end in s.join)]
    if at_sleeves:
        yield _Way(
            "matching the sleeves", names_of(sleeves), lambda _: _unmatched(project, at_sleeves), match
        )
    if kept:
        yield _Way("matching", "", lambda _: project, "none")
    longest = _largest(project.pieces, lambda piece: piece.length_mm)
    most = MOST_SHORTER * longest[0].length_mm
    yield _Way("length", names_of(longest), lambda mm: shortened(project, longest, mm), match, most)
    widest = _largest(project.pieces, lambda piece: piece.width_mm)
    most = MOST_NARROWER * widest[0].width_mm
    yield _Way("width", names_of(widest), lambda mm: narrowed(project, widest, mm), match, most)


def _largest(pieces: Sequence[Piece], size: Callable[[Piece], float]) -> list[Piece]:
    most = max(map(size, pieces))
    return [piece for piece in pieces if size(piece) > most - TELLING_MM]


def without(project: Project, pieces: Sequence[Piece]) -> Project:
    """The project with some pieces cut from other cloth, and their seams unmatched."""
    gone = {piece.name for piece in pieces}
    return replace(
        project,
        pieces=tuple(p for p in project.pieces if p.name not in gone),
        seams=tuple(s for s in project.seams if not any(end.piece in gone for end in s.join)),
        places=tuple(place for place in project.places if place.piece not in gone),
    )


def _unmatched(project: Project, seams: Sequence[Seam]) -> Project:
    joins = {seam.join for seam in seams}
    return replace(project, seams=tuple(s for s in project.seams if s.join not in joins))


def _laid_mm(project: Project, print_: Print, plan: LengthPlan, match: Match, seconds: float) -> float | None:
    """Length of washed cloth that a changed project takes; None where no layout was found."""
    demand = demands_of(project, print_, match=match).matched
    settled = None if demand is None else settle(demand)[0]
    if settled is None or plan.layout is None:
        return None
    if not any(part.outline for part in settled.parts):
        from printcheck.cutting.search.rectangle_search import shortest

        # nothing that is given up makes the layout already found too large
        known = spots_of(settled, _of_pieces(plan.layout, {part.name for part in settled.parts}))
        length = max(s.y_mm + part.length_mm for s, part in zip(known, settled.parts, strict=True))
        return shortest(settled, seconds=seconds, start=(length, known)).length_mm
    from printcheck.cutting.search.outline_layouts import solve_one_outlines

    names = {part.name for part in settled.parts}
    free = [_of_pieces(layout, names) for layout in (plan.layout, plan.plain)]
    found = solve_one_outlines(settled, seconds=seconds, free=free)
    return None if found is None else found.length_mm


def _of_pieces(layout: CutLayout, names: set[str]) -> CutLayout:
    return replace(layout, placements=tuple(p for p in layout.placements if p.piece in names))
