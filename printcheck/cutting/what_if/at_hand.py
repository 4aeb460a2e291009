"""A length at hand: does it do, what is left over, and what to give up, what shows least first."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace

from printcheck.core.errors import InputError
from printcheck.core.plan import LengthPlan, Piece, Print, Project, SeamEnd
from printcheck.core.results.comparisons import GivenUp, GiveUp, Have, Match
from printcheck.core.units import parse_length
from printcheck.cutting.demand.demands import kept_seams
from printcheck.cutting.demand.unmet_seams import settled_match
from printcheck.cutting.search.layouts import lay_out_one
from printcheck.cutting.what_if.changed import cut_down, names_of

# words that name what lies inside or is cut from other cloth without being seen; common practice
HIDDEN_WORDS = ("facing", "lining", "interfacing", "pocket bag", "inner", "under collar", "undercollar")
# words that name what goes round a body or holds something: its length is a measure, not a taste
FITTED_WORDS = (
    *("band", "strap", "tie", "cuff", "collar", "stand", "fly", "placket", "belt", "yoke", "binding"),
)
SLEEVE = "sleeve"
LENGTH_SIZES = ("length", "drop", "leg")  # sizes of built-in kinds that run down the thing
FULLNESS = "fullness"  # the size of a kind whose panels may be narrower without another fit
MOST_SHORTER = 0.15  # of a length: a skirt by a hand's breadth; more is another garment
MOST_NARROWER = 0.1  # of a width: most of the ease or fullness there is
SAME_HEM = 0.8  # of the longest piece's length: shorter pieces end elsewhere, a bodice on a skirt
TELLING_MM = 5.0  # mm: changes are looked for in these steps
FITS_MM = 0.1  # mm: a layout longer by less goes on the cloth

Change = Callable[[Project, float], Project]
Refit = Callable[[Project, Mapping[str, str]], Project]


@dataclass(frozen=True)
class _Way:
    """One thing to give up: the project without it, for amounts up to ``most_mm`` where it has any."""

    what: GivenUp
    pieces: str
    change: Change
    match: Match
    most_mm: float = 0.0


def _same(project: Project, _: float) -> Project:
    return project


def have_of(
    project: Project,
    print_: Print,
    plan: LengthPlan,
    have_mm: float,
    *,
    seconds: float,
    match: Match = "all",
    refit: Refit | None = None,
) -> Have:
    """Return whether a length of the cloth as sold does, and if not what to give up.

    Each thing is tried alone, the one that shows least first; where none does, all of them together.
    ``have_mm`` is before washing; no shop cuts it, so no step is rounded up to. ``refit`` draws a built-in
    project anew with some of its sizes changed, given as text.

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
    ways = list(_ways(project, print_, match, refit))
    limit = seconds / (2 + sum(5 if way.most_mm else 1 for way in ways))

    def needed(way: _Way, amount: float) -> float | None:
        try:
            changed = way.change(project, amount)
        except InputError:  # no such size
            return None
        length = _laid_mm(changed, print_, plan, way.match, limit)
        return None if length is None else (length + plan.start_allowance_mm) / shrunk

    tried = (_given_up(way, have_mm, needed) for way in ways)
    found = [g for g in tried if g is not None and g.needs_mm < needs - TELLING_MM]
    if len(found) > 1 and not any(g.does for g in found):
        together = _together([way for way in ways if any(way.what == g.what for g in found)])
        length = needed(together, 0.0)
        if length is not None and length < min(g.needs_mm for g in found) - TELLING_MM:
            found.append(GiveUp("together", "", None, length, length <= have_mm + FITS_MM))
    return Have(have_mm, needs, False, None, tuple(found))


def _together(ways: Sequence[_Way]) -> _Way:
    """Everything at once, each as far as it goes; sizes first, which draw the pieces anew."""
    order = sorted(ways, key=lambda way: not way.most_mm)

    def change(project: Project, _: float) -> Project:
        for way in order:
            project = way.change(project, way.most_mm)
        return project

    unmatched = any(way.what == "matching" for way in ways)
    return _Way("together", "", change, "none" if unmatched else ways[-1].match)


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


def _ways(project: Project, print_: Print, match: Match, refit: Refit | None) -> Iterator[_Way]:
    """Everything that may be given up, what shows least first."""
    kept = kept_seams(project, print_, match)
    if match == "all" and kept_seams(project, print_, "visible") != kept:
        yield _Way("hidden seams", "", _same, "visible")
    sleeves = {p.name for p in project.pieces if _named(p, (SLEEVE,))}
    joins = {s.join for s in kept if any(end.piece in sleeves for end in s.join)}
    if joins:
        names = names_of([p for p in project.pieces if p.name in sleeves])
        yield _Way("matching the sleeves", names, lambda job, _: _unmatched(job, joins), match)
    hidden = [p for p in project.pieces if _named(p, HIDDEN_WORDS)]
    if hidden and len(hidden) < len(project.pieces):
        gone = {p.name for p in hidden}
        yield _Way("hidden pieces", names_of(hidden), lambda job, _: without(job, gone), match)
    if kept:
        yield _Way("matching", "", _same, "none")
    yield from _smaller(project, match, refit)


def _smaller(project: Project, match: Match, refit: Refit | None) -> Iterator[_Way]:
    """Shorter, and narrower where that changes no fit: by a kind's own sizes, else piece by piece."""
    outer = [p for p in project.pieces if not _named(p, (*FITTED_WORDS, *HIDDEN_WORDS))]
    if not outer:
        return
    sizes = dict(project.sizes) if refit is not None else {}
    size = next((name for name in LENGTH_SIZES if name in sizes), None)
    hems = [p for p in outer if p.length_mm >= SAME_HEM * max(q.length_mm for q in outer)]
    names = {p.name for p in hems}
    widest = max(p.width_mm for p in outer)

    def shorter(job: Project, mm: float) -> Project:
        if size is None or refit is None:
            return cut_down(job, _of(job, names), shorter=mm)
        return refit(job, {size: f"{parse_length(dict(job.sizes)[size]) - mm:.1f} mm"})

    def less_full(job: Project, mm: float) -> Project:
        assert refit is not None
        return refit(job, {FULLNESS: f"{max(1.0, float(sizes[FULLNESS]) * (1 - mm / widest)):.4f}"})

    yield _Way("length", names_of(hems), shorter, match, MOST_SHORTER * max(p.length_mm for p in hems))
    most = MOST_NARROWER * widest
    if FULLNESS in sizes:
        yield _Way("fullness", "", less_full, match, most)
    elif not project.kind and not any(p.outline for p in outer):
        panels = {p.name for p in outer if p.width_mm > widest - TELLING_MM}
        told = names_of(_of(project, panels))

        def narrower(job: Project, mm: float) -> Project:
            return cut_down(job, _of(job, panels), narrower=mm)

        yield _Way("width", told, narrower, match, most)


def _named(piece: Piece, words: Sequence[str]) -> bool:
    return any(word in piece.name.lower() for word in words)


def _of(project: Project, names: Set[str]) -> list[Piece]:
    return [piece for piece in project.pieces if piece.name in names]


def without(project: Project, gone: Set[str]) -> Project:
    """The project with some pieces cut from other cloth, and their seams unmatched."""
    return replace(
        project,
        pieces=tuple(p for p in project.pieces if p.name not in gone),
        seams=tuple(s for s in project.seams if not any(end.piece in gone for end in s.join)),
        places=tuple(place for place in project.places if place.piece not in gone),
    )


def _unmatched(project: Project, joins: Set[tuple[SeamEnd, SeamEnd]]) -> Project:
    return replace(project, seams=tuple(s for s in project.seams if s.join not in joins))


def _laid_mm(project: Project, print_: Print, plan: LengthPlan, match: Match, seconds: float) -> float | None:
    """Length of washed cloth that a changed project takes; None where no layout was found."""
    settled = settled_match(project, print_, match)
    if settled is None or plan.layout is None:
        return None
    names = {piece.name for piece in project.pieces}
    known = [
        replace(layout, placements=tuple(p for p in layout.placements if p.piece in names))
        for layout in (plan.layout, plan.plain)
    ]
    known = [layout for layout in known if len(layout.placements) == len(names)]  # else drawn anew
    found = lay_out_one(settled, seconds=seconds, free=known)
    return None if found is None else found.length_mm
