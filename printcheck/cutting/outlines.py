"""The three layouts of a project with true outlines.

The free layouts come from a nesting engine and are pressed exact; the matched one from the search of
:mod:`printcheck.cutting.matching`. Plain and one-way are looked for side by side, then the matched one
with both threads: about the same work for each. What keeps more is a layout for what asks less, so
plain <= one-way <= matched always holds.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from printcheck.cutting.demands import Answers, Demand, Demands, Progress
from printcheck.cutting.greedy import greedy
from printcheck.cutting.improve import improve
from printcheck.cutting.matching import Matching, glue_on, glue_once, lay_boxes, snap_all
from printcheck.cutting.nest import nested
from printcheck.cutting.press import Pressed, pressed
from printcheck.cutting.rectangles import layout_of
from printcheck.cutting.search import Found
from printcheck.cutting.shapes import shape_of
from printcheck.plan import CutLayout

FREE_SHARE = 0.6  # of the time for plain and one-way side by side; two threads then share the rest
ENGINE_SHARE = 0.8  # of the time of a free layout; what is left betters the engine's answer
ROUND_UP = 0.5  # s: the engine counts whole seconds
OVERRUN_S = 0.7  # s: what the engine takes beyond its time
BOX_SECONDS = 0.2  # s: an answer at once, in case the engine gives none
SEEDS = (11, 12)  # any numbers
THREADS = 2

T = TypeVar("T")


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
    began = time.monotonic()
    say = progress or (lambda _text, _share: None)
    matching = demands.matched if demands.matched is not None and _print_matters(demands.matched) else None
    share = FREE_SHARE if matching is not None else 1.0
    say("laying the outlines without the print", 0.0)
    plain, one_way = _free(demands, share * seconds)
    free_s = time.monotonic() - began
    matched = None
    if matching is not None:
        say("matching the print", share)
        matched = _matched(matching, [one_way, plain], stop=began + seconds)
    matched_s = time.monotonic() - began - free_s
    if matched is not None and not any(s.turned for s in matched.spots):
        one_way = min(one_way, matched, key=_length)
    plain = min(plain, one_way, key=_length)
    if demands.matched is not None and matching is None:
        matched = one_way
    say("checking the layouts", 1.0)
    return Answers(
        _layout(demands.plain, plain, free_s),
        _layout(demands.one_way, one_way, free_s),
        None if matched is None or demands.matched is None else _layout(demands.matched, matched, matched_s),
    )


def bound_mm(demand: Demand) -> float:
    """Length that no layout goes below: the outlines' area over the width, and the longest part."""
    area = sum(_area(part.width_mm, part.length_mm, part.outline) for part in demand.parts)
    return max(area / demand.width_mm, *(part.length_mm for part in demand.parts), 0.0)


def _area(width: float, length: float, outline: Sequence[tuple[float, float]]) -> float:
    if not outline:
        return width * length
    ends = [*outline[1:], outline[0]]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, ends, strict=True))) / 2


def _free(demands: Demands, seconds: float) -> tuple[Pressed, Pressed]:
    """Plain and one-way layouts, looked for side by side; one problem where nothing may turn."""
    plain = demands.plain if any(part.may_turn for part in demands.plain.parts) else demands.one_way
    found = _side_by_side(
        [lambda: _nest(plain, seconds, SEEDS[0]), lambda: _nest(demands.one_way, seconds, SEEDS[1])]
    )
    if plain is demands.one_way:
        best = min(found, key=_length)
        return best, best
    return found[0], found[1]


def _nest(demand: Demand, seconds: float, seed: int) -> Pressed:
    """Shortest layout of one free demand: the engine's or that of the boxes, bettered."""
    search = Matching(demand, time.monotonic() + seconds, bound_mm=bound_mm(demand))
    boxes = greedy(demand, seconds=BOX_SECONDS)
    if boxes is not None:
        search.note(pressed(demand, boxes[1], ()))
    if search.left <= 0 and search.best is not None:
        return search.best
    spots = nested(
        [shape_of(p.width_mm, p.length_mm, p.outline).ring for p in demand.parts],
        [p.may_turn for p in demand.parts],
        width_mm=demand.width_mm,
        seconds=max(1, math.floor(ENGINE_SHARE * seconds - OVERRUN_S + ROUND_UP)),
        seed=seed,
    )
    if spots is not None:
        search.note(pressed(demand, spots, ()))
    improve(search, seed)
    return search.best or Pressed(math.inf, ())


def _matched(demand: Demand, free: Sequence[Pressed], *, stop: float) -> Pressed | None:
    """Shortest matched layout; parts turned only where that keeps one-way <= matched."""
    unturned = tuple(f.spots for f in free if f.spots and not any(s.turned for s in f.spots))
    least = min((f.length_mm for f in free if f.spots in unturned), default=0.0)
    turning = bool(demand.turnable)
    search = Matching(demand, stop, unturned, turning, least, bound_mm(demand))
    _side_by_side([lambda: _matched_by(search, 0), lambda: _matched_by(search, 1)])
    return search.best


def _matched_by(search: Matching, thread: int) -> None:
    """One thread betters the shortest layout known, the other feeds it new ones from the engine."""
    rng = random.Random(SEEDS[thread])
    if thread == 0:
        snap_all(search)
        if search.best is None:
            lay_boxes(search)
        while search.best is None and search.left > 0:
            glue_once(search, rng)
        improve(search, thread)
    else:
        lay_boxes(search)
        glue_on(search, rng)


def _side_by_side(tasks: Sequence[Callable[[], T]]) -> list[T]:
    with ThreadPoolExecutor(THREADS) as pool:
        return [future.result() for future in [pool.submit(task) for task in tasks]]


def _print_matters(demand: Demand) -> bool:
    return bool(demand.ties) or any(part.fixed_x_mm is not None for part in demand.parts)


def _length(found: Pressed) -> float:
    return found.length_mm


def _layout(demand: Demand, found: Pressed, seconds: float) -> CutLayout:
    bound = min(bound_mm(demand), found.length_mm)
    return layout_of(demand, Found(found.length_mm, found.spots, bound), seconds)
