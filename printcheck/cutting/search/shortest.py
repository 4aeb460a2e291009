"""The search for one demand's shortest layout, whatever the shapes: a rectangle is an outline.

Parts laid one by one at the lowest place of their class give a first layout, layouts known without the
print snapped to it others; then overlapping parts are moved on an ever shorter cloth. Where all parts
are rectangles, questions to the constraint solver lift the bound and close the gap.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from printcheck.cutting.demand.demands import PROOF_MM, Demand, Spot
from printcheck.cutting.money import area_mm2
from printcheck.cutting.search.compact import Packing, pressed
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.greedy import greedy
from printcheck.cutting.search.helper import Helper
from printcheck.cutting.search.overlap_removal import drawn_out, improve
from printcheck.cutting.search.state import Search

ORDER_SHARE, ORDER_S = 0.1, 1.0  # of the effort, and at most s, for the order of laying; then it gains little
MANY_PARTS, MANY_SHARE = 24, 0.3  # with so many rectangles the order gains more than the solver does
BOX_HOPE_S = 1.0  # s: for a layout of the boxes alone, where outlines found none
STRETCHES = (0.0, 0.03, 0.06, 0.1, 0.15, 0.2, 0.3, 0.4)  # free layouts drawn out before they are snapped
ROUNDS = 4  # of moving parts in two processes, the shorter layout handed on after each
SEED = 11  # any number

Tick = Callable[[float], None]


def shortest(
    search: Search,
    *,
    starts: Sequence[tuple[Spot, ...]] = (),
    helper: Helper | None = None,
    tick: Tick | None = None,
) -> Search:
    """Search for the shortest layout of a demand; the same search, with what was found, is returned.

    ``starts`` are layouts known to keep the demand, or nearly so; ``helper`` is a second process for
    moving parts; ``tick`` is told the share of the effort used, between steps.
    """
    search.bound_mm = max(search.bound_mm, area_bound_mm(search.demand))
    for spots in starts:
        search.note(pressed(search.demand, spots))
    boxes = not any(part.outline for part in search.demand.parts)
    _lay(search, Effort(0.0))  # a layout before anything else, however little may be done
    for step in _box_steps(helper) if boxes else _outline_steps(helper):
        if not search.goes_on:
            break
        step(search)
        if tick is not None:
            tick(min(1.0, 1 - search.effort.seconds_left / search.effort.seconds))
    search.bound_mm = min(search.bound_mm, search.length_mm)
    return search


def area_bound_mm(demand: Demand) -> float:
    """Length that no layout goes below: the parts' area over the width, and the longest part."""
    area = sum(area_mm2(part) for part in demand.parts)
    return max(area / demand.width_mm, *(part.length_mm for part in demand.parts), 0.0)


def _box_steps(helper: Helper | None) -> list[Callable[[Search], None]]:
    # loads the solver, which outlines do without
    from printcheck.cutting.exact import questions

    return [
        questions.first_bounds,
        questions.without_waste_step,
        _order_step,
        _snap_step,
        lambda search: questions.close(search, lambda seconds: move_in_two(search, helper, seconds)),
    ]


def _outline_steps(helper: Helper | None) -> list[Callable[[Search], None]]:
    def move(search: Search) -> None:
        seconds = search.effort.seconds_left / ROUNDS
        for _ in range(ROUNDS):
            move_in_two(search, helper, seconds)

    # loads the solver, which asks for a third of a second
    from printcheck.cutting.exact.beside import beside_step
    from printcheck.cutting.exact.sections import sections_step

    return [_order_step, _snap_step, _boxes_step, sections_step, beside_step, move]


def _lay(search: Search, effort: Effort) -> None:
    found = greedy(search.demand, effort, bound_mm=search.bound_mm, turning=search.turning)
    if found is not None:
        exact = not any(part.outline for part in search.demand.parts)
        if not (exact and search.note(Packing(*found))):
            search.note(pressed(search.demand, found[1], effort=search.effort))


def _order_step(search: Search) -> None:
    """Better the order of laying."""
    many = len(search.demand.parts) >= MANY_PARTS and not any(p.outline for p in search.demand.parts)
    seconds = search.effort.seconds
    part = search.effort.part(MANY_SHARE * seconds if many else min(ORDER_S, ORDER_SHARE * seconds))
    _lay(search, part)
    search.effort.take_back(part)


def _snap_step(search: Search) -> None:
    """Snap the free layouts, drawn out more and more until one comes apart."""
    for stretch in STRETCHES:
        for spots in search.free:
            if not search.goes_on:
                return
            if search.note(pressed(search.demand, drawn_out(spots, stretch), effort=search.effort)):
                return


def _boxes_step(search: Search) -> None:
    """Lay the outlines' boxes, where nothing else gave a layout."""
    if search.best is not None:
        return
    boxes = replace(search.demand, parts=tuple(replace(p, outline=()) for p in search.demand.parts))
    part = search.effort.part(BOX_HOPE_S)
    found = shortest(Search(boxes, part, turning=search.turning))
    search.effort.take_back(part)
    if found.best is not None:
        search.note(pressed(search.demand, found.best.spots, effort=search.effort))


def move_in_two(search: Search, helper: Helper | None, seconds: float) -> None:
    """Move parts in both processes from the same layout on, and keep the shorter of the two."""
    if search.best is None or not search.goes_on:
        return
    own, other = (replace(search, effort=Effort(seconds)) for _ in range(2))
    for one in (own, other):
        one.effort.stop = min(one.effort.stop, search.effort.stop)
    seed = SEED + int(search.effort.work_done)
    wait = None if helper is None else helper.start(improve, other, seed + 1)
    search.note(improve(own, seed))
    search.effort.spend(own.effort.work_done)
    if helper is not None and wait is not None:
        if search.proved:
            helper.end()
        else:
            search.note(wait())


def fits(demand: Demand, room_mm: float, start: Sequence[Spot], effort: Effort) -> float | None:
    """Length of a layout that needs no more than a length of cloth; None where none was found.

    Nothing is turned anew, so where a print lets tied pieces turn, some layouts are not looked for.
    ``start`` is a layout of nearly the same demand; empty where there is none.
    """
    search = Search(demand, effort, bound_mm=area_bound_mm(demand))
    if search.bound_mm > room_mm + PROOF_MM:
        return None
    if start:
        search.note(pressed(demand, start))
    if search.length_mm > room_mm + PROOF_MM and not any(part.outline for part in demand.parts):
        from printcheck.cutting.exact import questions

        questions.first_bounds(search)
        _lay(search, Effort(0.0))
        if search.bound_mm <= room_mm + PROOF_MM < search.length_mm:
            questions.fits(demand, room_mm, search)
    return search.length_mm if search.length_mm <= room_mm + PROOF_MM else None
