"""The three layouts of a project with true outlines.

Free layouts come from a nesting engine and from moves of our own; the matched one from the search of
:mod:`printcheck.cutting.search.matched_outlines`. Plain and one-way are looked for side by side, then the
matched one with both processes: about the same work for each. What keeps more is a layout for what asks
less, so plain <= one-way <= matched always holds.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from printcheck.core.plan import CutLayout
from printcheck.cutting.demand.demands import Answers, Demand, Demands, Progress, Spot, spots_of, with_marks
from printcheck.cutting.search.compact import Pressed, pressed
from printcheck.cutting.search.matched_outlines import Matching, glue_on, glue_once, lay_first, snap_all
from printcheck.cutting.search.nesting import nested
from printcheck.cutting.search.overlap_removal import improve
from printcheck.cutting.search.process import Aside, side_by_side
from printcheck.cutting.search.rectangle_layouts import layout_of
from printcheck.cutting.search.rectangle_search import Found
from printcheck.cutting.shape.simplify import shape_of

FREE_SHARE = 0.55  # of the time for plain and one-way side by side; both processes then share the rest
ENGINE_SHARE = 0.4  # of the time of a free layout: more gains it little, and our own moves take the rest
TURN_SHARE = 0.5  # of the time of both, where the two take turns with the engine
OVERRUN_S = 0.4  # s: what the engine takes beyond its whole seconds, mostly
GLUE_SHARE = 0.4  # of the matched time one process nests glued parts at most; then both move parts
TURNED_SHARE = 0.7  # of the matched time with turning, before it is seen whether nothing turned is needed too
LEAST_SHARE = 0.2  # of the time for the matched layout, though a busy machine took it all for the others
LEAST_S = 0.3  # s: for a matched layout with nothing turned, however late it is
WAIT_S = 0.02  # s between looks whether there is a first layout
SEEDS = (11, 12)  # any numbers


def solve_outlines(demands: Demands, *, seconds: float, progress: Progress | None = None) -> Answers:
    """Return the plain, one-way and matched layouts of parts with outlines.

    Parameters
    ----------
    demands : Demands
        Parts with outlines; parts without one are rectangles.
    seconds : float
        Time for everything together. The nesting engine counts whole seconds: below four, it is overrun.

    Returns
    -------
    Answers
        ``matched`` is None where the demands have none, or where none was found in time.
    """
    with Aside(seconds) as aside:
        return _solved(demands, seconds, progress, aside)


def _solved(demands: Demands, seconds: float, progress: Progress | None, aside: Aside) -> Answers:
    began = time.monotonic()
    say = progress or (lambda _text, _share: None)
    matching = demands.matched if demands.matched is not None and _print_matters(demands.matched) else None
    share = FREE_SHARE if matching is not None else 1.0
    say("laying the outlines without the print", 0.0)
    plain, one_way = _free(demands, began + share * seconds, aside, taking_turns=matching is not None)
    free_s = time.monotonic() - began
    matched = advised = None
    if matching is not None:
        say("matching the print", share)
        stop = max(began + seconds, time.monotonic() + LEAST_SHARE * seconds)
        matched, advised = _kept(matching, one_way, plain, aside, stop=stop)
    elif demands.matched is not None:
        matched, advised = one_way, plain if demands.matched.turnable else one_way
    matched_s = time.monotonic() - began - free_s
    if matched is not None and not any(s.turned for s in matched.spots):
        one_way = min(one_way, matched, key=_length)
    plain = min([plain, one_way, *([advised] if advised else [])], key=_length)
    say("checking the layouts", 1.0)
    own = demands.matched
    return Answers(
        _layout(demands.plain, plain, free_s),
        _layout(demands.one_way, one_way, free_s),
        None if matched is None or own is None else _layout(own, matched, matched_s),
        None if advised is None or own is None else _layout(own, advised, matched_s),
    )


def _kept(
    demand: Demand, one_way: Pressed, plain: Pressed, aside: Aside, *, stop: float
) -> tuple[Pressed | None, Pressed | None]:
    """Matched layout that is no shorter than the one-way one, and the shortest that the print allows.

    They are one unless turning parts gains more than matching takes.
    """
    turns = bool(demand.turnable)
    first = time.monotonic() + (TURNED_SHARE if turns else 1.0) * (stop - time.monotonic())
    best = _matched(demand, [one_way, plain], aside, stop=first)
    if not turns or best is None:
        return best, best
    if best.length_mm >= one_way.length_mm or not any(s.turned for s in best.spots):
        best = _matched(demand, [one_way, plain], aside, stop=stop, start=best)
        if best is None or best.length_mm >= one_way.length_mm:
            return best, best
    still = replace(demand, parts=tuple(replace(part, may_turn=False) for part in demand.parts))
    return _matched(still, [one_way], aside, stop=max(stop, time.monotonic() + LEAST_S)), best


def solve_one_outlines(
    demand: Demand, *, seconds: float, free: Sequence[CutLayout], start: CutLayout | None = None
) -> CutLayout | None:
    """Return the layout of one matched demand, None where none was found.

    Parameters
    ----------
    demand : Demand
        What the layout must keep.
    seconds : float
        Time to search.
    free : sequence of CutLayout
        Layouts made without the print.
    start : CutLayout, optional
        A layout of a stricter demand, so that a looser one never needs more.
    """
    began = time.monotonic()
    known = [Pressed(layout.length_mm, spots_of(demand, layout)) for layout in free]
    first = None if start is None else Pressed(start.length_mm, spots_of(demand, start))
    with Aside(seconds) as aside:
        found = _matched(demand, known, aside, stop=began + seconds, start=first)
    return None if found is None else _layout(demand, found, time.monotonic() - began)


def bound_mm(demand: Demand) -> float:
    """Length that no layout goes below: the outlines' area over the width, and the longest part."""
    area = sum(_area(part.width_mm, part.length_mm, part.outline) for part in demand.parts)
    return max(area / demand.width_mm, *(part.length_mm for part in demand.parts), 0.0)


def _area(width: float, length: float, outline: Sequence[tuple[float, float]]) -> float:
    if not outline:
        return width * length
    ends = [*outline[1:], outline[0]]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, ends, strict=True))) / 2


def _free(demands: Demands, stop: float, aside: Aside, *, taking_turns: bool) -> tuple[Pressed, Pressed]:
    """Plain and one-way layouts, looked for side by side; one problem where nothing may turn.

    In the short time that a matching leaves, one problem is with the engine while the other is moved, and
    then they change over; otherwise the engine begins both.
    """
    one_way = Matching(demands.one_way, stop, bound_mm=bound_mm(demands.one_way))
    turns = any(part.may_turn for part in demands.plain.parts)
    plain = Matching(demands.plain, stop, bound_mm=bound_mm(demands.plain)) if turns else one_way
    for search in (plain, one_way) if turns else (one_way,):
        lay_first(search)
    share = TURN_SHARE if taking_turns else ENGINE_SHARE
    second = moved_then_nested if taking_turns else nested_then_moved
    tasks = (
        partial(nested_then_moved, plain, share, SEEDS[0]),
        partial(aside.run, second, one_way, share, SEEDS[1]),
    )
    side_by_side(tasks, [plain, one_way], aside)
    nothing = Pressed(math.inf, ())
    return plain.best or nothing, one_way.best or nothing


def nested_then_moved(search: Matching, share: float, seed: int) -> None:
    """Nest by the engine for a share of the time, then move parts."""
    _nest(search, time.monotonic() + share * search.left, seed)
    improve(search, seed)


def moved_then_nested(search: Matching, share: float, seed: int) -> None:
    """Move parts for a share of the time, then let the engine try, and move what is best."""
    improve(search, seed, stop=time.monotonic() + share * search.left)
    _nest(search, search.stop, seed)
    improve(search, seed)


def _nest(search: Matching, stop: float, seed: int) -> None:
    """Nest a free demand by the engine, which counts whole seconds and overruns them."""
    parts = search.demand.parts
    seconds = math.floor(stop - time.monotonic() - OVERRUN_S)
    if seconds < 1 or search.left <= 0:
        return
    spots = nested(
        [shape_of(p.width_mm, p.length_mm, p.outline).ring for p in parts],
        [p.may_turn for p in parts],
        width_mm=search.demand.width_mm,
        seconds=seconds,
        seed=seed,
        wanted=lambda: search.left > 0,
    )
    if spots is not None:
        search.note(pressed(search.demand, spots, (), deadline=search.stop))


def _matched(
    demand: Demand, free: Sequence[Pressed], aside: Aside, *, stop: float, start: Pressed | None = None
) -> Pressed | None:
    """Shortest matched layout, begun from free ones in which nothing is turned that must not be."""
    shortest_first = sorted((f for f in free if f.spots), key=_length)
    starts = tuple(_turned_together(demand, f.spots) for f in shortest_first)
    search = Matching(demand, stop, starts, bool(demand.turnable), bound_mm(demand))
    search.note(start)
    if start is None:
        lay_first(search)
    tasks = (
        partial(begun_and_moved, search, SEEDS[0]),
        partial(aside.run, glued_then_moved, search, GLUE_SHARE, SEEDS[1]),
    )
    side_by_side(tasks, [search], aside)
    return search.best


def begun_and_moved(search: Matching, seed: int) -> None:
    """Find a first layout, by one way or another, and move parts."""
    snap_all(search)
    rng = random.Random(seed)
    while search.best is None and search.left > 0:
        glue_once(search, rng)
    improve(search, seed)


def glued_then_moved(search: Matching, share: float, seed: int) -> None:
    """Feed the other search layouts from the engine for a share of the time, then better the best as well."""
    glue_on(search, random.Random(seed), stop=time.monotonic() + share * search.left)
    while search.best is None and search.left > 0:  # the other search will find one
        time.sleep(WAIT_S)
    improve(search, seed)


def _print_matters(demand: Demand) -> bool:
    return bool(demand.ties) or any(part.fixed_x_mm is not None for part in demand.parts)


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


def _length(found: Pressed) -> float:
    return found.length_mm


def _layout(demand: Demand, found: Pressed, seconds: float) -> CutLayout:
    bound = min(bound_mm(demand), found.length_mm)
    return layout_of(demand, Found(found.length_mm, found.spots, bound), seconds)
