"""The plain, one-way and matched layouts of a project, from one search for each demand.

Free layouts get the same effort whether a matched one is asked for beside them or not. What keeps more is
a layout for what asks less, so plain <= one-way <= matched always holds.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

from printcheck.core.plan import CutLayout
from printcheck.cutting.demand.demands import Answers, Demand, Demands, Progress, Spot, spots_of, with_marks
from printcheck.cutting.search.compact import Packing
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.helper import Helper
from printcheck.cutting.search.shortest import Tick, shortest
from printcheck.cutting.search.state import Search

NOTHING_TO_GAIN_MM = 0.05  # mm: turning cannot better what needs no extra cloth
UNTURNED_SHARE = 0.4  # of the matched effort, where turning is tried after


def lay_out(
    demands: Demands, *, seconds: float, free_seconds: float | None = None, progress: Progress | None = None
) -> Answers:
    """Return the plain, one-way and matched layouts; ``matched`` is None where none was found.

    ``seconds`` are the effort for everything together, and its ceiling on the clock; ``free_seconds`` those
    of them for the layouts without the print, by itself half.
    """
    began = time.monotonic()
    effort, say = Effort(seconds), progress or (lambda _text, _share: None)
    say("laying the pieces without the print", 0.0)
    with Helper(seconds) as helper:
        part = effort.part(seconds / 2 if free_seconds is None else free_seconds, clock=True)
        share = part.seconds / seconds
        plain, one_way = _free(
            demands, part, helper, lambda done: say("laying the pieces without the print", share * done)
        )
        free_s = time.monotonic() - began
        effort.take_back(part)
        layouts = _layout(plain, free_s), _layout(one_way, free_s)
        matched = demands.matched
        if matched is None:
            return Answers(*layouts, None)
        border = any(part.fixed_x_mm is not None for part in matched.parts)
        if not matched.ties and not border:  # nothing is asked of the print
            return Answers(*layouts, layouts[1], layouts[0 if matched.turnable else 1])
        still, best = _matched(
            matched,
            effort,
            free=_found(one_way, plain),
            bound_mm=plain.bound_mm,
            helper=helper,
            tick=lambda done: say("matching the print", share + (1 - share) * done),
        )
    matched_s = time.monotonic() - began - free_s
    # what is turned and no outline looks the same unturned
    found = best.best
    turns = found and any(s.turned and p.outline for s, p in zip(found.spots, matched.parts, strict=True))
    if found is not None and not turns:
        spots = tuple(replace(s, turned=False) for s in _pieces(demands, found.spots))
        one_way.note(replace(found, spots=spots))
    if best.length_mm >= one_way.length_mm:
        still = best
    for longer, shorter in ((still, one_way), (best, plain), (one_way, plain)):
        if longer.best is not None:
            shorter.note(replace(longer.best, spots=_pieces(demands, longer.best.spots)))
    say("checking the layouts", 1.0)
    return Answers(
        _layout(plain, free_s),
        _layout(one_way, free_s),
        still.layout(matched_s),
        best.layout(matched_s),
        best.impossible,
    )


def lay_out_one(
    demand: Demand,
    *,
    seconds: float,
    free: Sequence[CutLayout] = (),
    start: CutLayout | None = None,
    bound_mm: float = 0.0,
) -> CutLayout | None:
    """Return the layout of one demand, None where none was found.

    ``free`` are layouts made without the print, ``start`` one of a stricter demand, so that a looser one
    never needs more, and ``bound_mm`` a bound known already.
    """
    began = time.monotonic()
    known = tuple(_turned_together(demand, spots_of(demand, layout)) for layout in free)
    search = Search(demand, Effort(seconds), known, bool(demand.turnable), bound_mm)
    with Helper(seconds) as helper:
        starts = [spots_of(demand, start)] if start is not None else []
        best = shortest(search, starts=starts, helper=helper if helper.wanted else None)
    return best.layout(time.monotonic() - began)


def _free(demands: Demands, effort: Effort, helper: Helper, tick: Tick) -> tuple[Search, Search]:
    """Plain and one-way layouts side by side; one problem where nothing turned looks different."""
    if not any(part.may_turn and part.outline for part in demands.plain.parts):
        one_way = shortest(
            Search(demands.one_way, effort), helper=helper if helper.wanted else None, tick=tick
        )
        return replace(one_way, demand=demands.plain), one_way
    if helper.wanted:
        wait = helper.start(shortest, Search(demands.plain, effort))
        one_way = shortest(Search(demands.one_way, effort), tick=tick)
        plain = wait()
    else:
        half = effort.part(effort.seconds / 2)
        one_way = shortest(Search(demands.one_way, half), tick=tick)
        effort.take_back(half)
        plain = shortest(Search(demands.plain, effort))
    plain.note(one_way.best)
    return plain, one_way


def _matched(
    demand: Demand,
    effort: Effort,
    *,
    free: Sequence[tuple[Spot, ...]],
    bound_mm: float,
    helper: Helper,
    tick: Tick,
) -> tuple[Search, Search]:
    """Layout with nothing turned, and the shortest that the print allows."""
    turns, aside = bool(demand.turnable), helper if helper.wanted else None
    known = tuple(_turned_together(demand, spots) for spots in free)
    part = effort.part((UNTURNED_SHARE if turns else 1.0) * effort.seconds_left, clock=turns)
    still = Search(demand, part, known, bound_mm=bound_mm)
    if turns:
        still.demand = replace(demand, parts=tuple(replace(p, may_turn=False) for p in demand.parts))
        still.free = tuple(tuple(replace(s, turned=False) for s in spots) for spots in known)
    shortest(still, helper=aside, tick=tick)
    effort.take_back(part)
    if not turns or still.length_mm - bound_mm <= NOTHING_TO_GAIN_MM:
        return still, still
    best = Search(demand, effort, known, turning=True, bound_mm=bound_mm)
    return still, shortest(best, starts=_found(still), helper=aside, tick=tick)


def _layout(search: Search, seconds: float) -> CutLayout:
    return search.layout(seconds) or CutLayout(0.0, 0.0, False, seconds, ())


def _found(*searches: Search) -> list[tuple[Spot, ...]]:
    """Layouts found, the shortest first."""
    packings: list[Packing] = [s.best for s in searches if s.best is not None]
    return [p.spots for p in sorted(packings, key=lambda p: p.length_mm)]


def _pieces(demands: Demands, spots: Sequence[Spot]) -> tuple[Spot, ...]:
    """Places of the pieces alone, without what stands for the print."""
    return tuple(spots[: len(demands.plain.parts)])


def _turned_together(demand: Demand, spots: Sequence[Spot]) -> tuple[Spot, ...]:
    """A free layout with nothing turned that must not be; a group of which only some are is not, either.

    A rectangle looks the same turned. What then overlaps is pressed apart with the rest.
    """
    spots = with_marks(demand, spots)
    turned: dict[int, bool] = {}
    for part, spot in zip(demand.parts, spots, strict=True):
        if part.outline or not part.may_turn:
            turned[part.group] = turned.get(part.group, True) and part.may_turn and spot.turned
    return tuple(
        replace(spot, turned=turned.get(part.group, False))
        for part, spot in zip(demand.parts, spots, strict=True)
    )
