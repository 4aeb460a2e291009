"""A bound for outlines: at no height are the pieces wider together than the cloth.

Every outline is taken for steps that lie within it, each as wide as its narrowest section there; all that is
asked of a layout is that the steps at any one height find room side by side, and that rows of ties are kept.
Where pieces lie across is left open, so what this cannot do the cloth cannot do either. (The relaxation of
packing to scheduling with a cumulative resource: Aggoun and Beldiceanu, 1993.)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from printcheck.core.handover import Floats
from printcheck.core.lattice import Vector
from printcheck.cutting.demand.demands import Demand, Part
from printcheck.cutting.demand.families import classes_of
from printcheck.cutting.exact.bounds import WHOLE_MM
from printcheck.cutting.exact.questions import RELAXED_S, RELAXED_SHARE, run
from printcheck.cutting.search.state import Search

UNIT_MM = 1.0  # mm: of heights, rounded down; a step counts a unit shorter, for two may be rounded apart
WIDTH_UNIT_MM = 0.1  # mm: of widths, rounded down
FINE = 1000  # parts of a unit that rows are rounded to
STEPS = 10  # of one outline: more lift the bound by little, and slow the solver
MOST_TURNING = 9  # outlines that may turn: of twenty pennants the solver lifts nothing in a second
SAMPLES = 60  # heights between which steps may begin

Step = tuple[int, int, int]
"""First height and the one after the last, and the width that is added between them, in their units."""


Counts = tuple[float, Any, int]
"""A step in mm, how many of them as a variable of the solver, and the most of them."""


def sections_step(search: Search) -> None:
    """Lift the bound of a search to the least length on which the sections find room."""
    turning = sum(part.may_turn and bool(part.outline) for part in search.demand.parts)
    if search.best is None or turning > MOST_TURNING:
        return
    model, length = _model(search.demand, math.ceil(search.length_mm / UNIT_MM))
    model.minimize(length)
    status, solver = run(search, model, min(RELAXED_S, RELAXED_SHARE * search.effort.seconds))
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
        search.bound_mm = max(search.bound_mm, math.ceil(solver.best_objective_bound - WHOLE_MM) * UNIT_MM)


def _model(demand: Demand, horizon: int) -> tuple[cp_model.CpModel, cp_model.IntVar]:
    cp = cp_model.CpModel()
    length = cp.new_int_var(0, horizon, "length")
    turned: dict[int, cp_model.IntVar] = {}
    intervals: list[cp_model.IntervalVar] = []
    widths: list[int] = []
    tops: list[cp_model.IntVar] = []
    for n, part in enumerate(demand.parts):
        high = _units(part.length_mm)
        tops.append(cp.new_int_var(0, max(0, horizon - high), f"y{n}"))
        cp.add(tops[n] + high <= length)
        ways: list[tuple[bool, cp_model.LiteralT]] = [(False, True)]
        if part.may_turn and part.outline:
            turn = turned.setdefault(part.group, cp.new_bool_var(f"turned{part.group}"))
            ways = [(False, turn.negated()), (True, turn)]
        for way, lies in ways:
            for low, end, width in steps_of(part, turned=way):
                intervals.append(
                    cp.new_optional_fixed_size_interval_var(
                        tops[n] + low, end - low, lies, f"step{len(widths)}"
                    )
                )
                widths.append(width)
    cp.add_cumulative(intervals, widths, math.floor(demand.width_mm / WIDTH_UNIT_MM + WHOLE_MM))
    _add_rows(cp, demand, tops, horizon)
    return cp, length


def _add_rows(cp: cp_model.CpModel, demand: Demand, tops: Sequence[cp_model.IntVar], horizon: int) -> None:
    """Let parts of one family lie whole rows apart, unless they may turn, which moves their seam points."""
    step = demand.steps.level_mm
    if step is None:
        return
    rows, slack = classes_of(demand).rows, sum(tie.slack_along_mm for tie in demand.ties)
    for n, root in enumerate(rows.of):
        if root != n and not demand.parts[n].may_turn:
            gap = rows.at[n][1] - rows.at[root][1]
            most = math.ceil((horizon * UNIT_MM + abs(gap)) / step) + 1
            count = (step, cp.new_int_var(-most, most, f"row{n}"), most)
            bind(cp, tops[n] - tops[root], gap, [count], UNIT_MM, slack_mm=slack)


def bind(
    cp: cp_model.CpModel,
    apart: cp_model.LinearExpr,
    gap_mm: float,
    counts: Sequence[Counts],
    unit_mm: float,
    *,
    slack_mm: float = 0.0,
    unless: Sequence[cp_model.IntVar] = (),
) -> None:
    """Let a difference of places, in units, be a gap and whole steps, to a unit; or one of some holds."""
    miss = math.ceil(FINE * (1 + slack_mm / unit_mm)) + sum(most for _, _, most in counts)
    target = round(FINE * gap_mm / unit_mm)
    whole = sum(round(FINE * step / unit_mm) * count for step, count, _ in counts)
    rule = cp.add_linear_constraint(FINE * apart - whole, target - miss, target + miss)
    if unless:
        rule.only_enforce_if([way.negated() for way in unless])


def steps_of(part: Part, *, turned: bool = False) -> tuple[Step, ...]:
    """Intervals whose widths add up to steps within a part, widest below.

    Examples
    --------
    >>> steps_of(Part("band", 30.0, 100.0))
    ((0, 99, 300),)
    """
    if not part.outline:
        return ((0, _units(part.length_mm) - 1, math.floor(part.width_mm / WIDTH_UNIT_MM + WHOLE_MM)),)
    return _steps_within(tuple(part.point(at, turned) for at in part.outline), part.length_mm)


@lru_cache(maxsize=1024)
def _steps_within(ring: tuple[Vector, ...], length_mm: float) -> tuple[Step, ...]:
    edges = np.linspace(0.0, length_mm, SAMPLES + 1)
    widths = np.floor(_in_steps(sections_mm(ring, edges)) / WIDTH_UNIT_MM + WHOLE_MM).astype(int)
    return tuple(_stacked(widths.tolist(), edges.tolist(), 0))


def sections_mm(ring: Sequence[Vector], edges: Floats) -> Floats:
    """Width in mm of an outline at its narrowest between every two heights, all its stretches together.

    Between two corners it changes in a straight line, so it is narrowest beside a corner or a height.
    """
    corners = np.array(ring)
    heights = np.unique(np.concatenate([corners[:, 1], edges]))
    narrow = np.full(len(edges) - 1, np.inf)
    for low, high in pairwise(heights.tolist()):
        k = np.searchsorted(edges, (low + high) / 2) - 1
        narrow[k] = min(narrow[k], *_widths(corners, low, high))
    return np.asarray(narrow)


def _widths(corners: Floats, low: float, high: float) -> tuple[float, float]:
    """Widths just below one height and just above another with no corner between them."""
    one, two = corners, np.roll(corners, -1, axis=0)
    middle = (low + high) / 2
    crosses = (one[:, 1] < middle) != (two[:, 1] < middle)
    (ax, ay), (bx, by) = one[crosses].T, two[crosses].T
    order = np.argsort(ax + (middle - ay) * (bx - ax) / (by - ay))
    ends = [(ax + (y - ay) * (bx - ax) / (by - ay))[order] for y in (low, high)]
    return float((ends[0][1::2] - ends[0][::2]).sum()), float((ends[1][1::2] - ends[1][::2]).sum())


def _in_steps(widths: Floats) -> Floats:
    """Step function nowhere above another one, of few steps, with the largest area."""
    count = len(widths)
    area = np.full((count + 1, count + 1), -np.inf)  # of one step from the first sample to before the second
    np.fill_diagonal(area, 0.0)
    for first in range(count):
        area[first, first + 1 :] = np.minimum.accumulate(widths[first:]) * np.arange(1, count - first + 1)
    best, begins = area[0].copy(), []
    for _ in range(STEPS - 1):
        sums = best[:, None] + area
        begins.append(sums.argmax(axis=0))
        best = sums.max(axis=0)
    steps, end = widths.copy(), count
    for begin in reversed(begins):
        first = int(begin[end])
        steps[first:end] = widths[first:end].min(initial=np.inf)
        end = first
    steps[:end] = widths[:end].min(initial=np.inf)
    return np.asarray(steps)


def _stacked(widths: Sequence[int], edges: Sequence[float], below: int) -> Iterator[Step]:
    """Intervals that add up to widths, one over all of them first; ``below`` is counted already."""
    if not widths:
        return
    least = min(widths)
    low, end = math.ceil(edges[0] / UNIT_MM - WHOLE_MM), _units(edges[len(widths)]) - 1
    if least > below and end > low:
        yield low, end, least - below
    ends = [-1, *(k for k, width in enumerate(widths) if width == least), len(widths)]
    for one, two in pairwise(ends):
        yield from _stacked(widths[one + 1 : two], edges[one + 1 :], least)


def _units(mm: float) -> int:
    return math.floor(mm / UNIT_MM + WHOLE_MM)
