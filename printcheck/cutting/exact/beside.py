"""The few largest outlines of a layout laid by the constraint solver, the rest laid about them.

Of two outlines one lies above the other, or beside it at a distance that depends on how much lower it lies.
That distance is told to the solver as a table over the rows at which the two can lie; a part that no row
ties to the others is held to rows of a grid. What is found is pressed together afterwards.

Parts that rows tie to one another can lie at no other heights. Asked of them alone, with every size rounded
down, the least length is a bound: no layout of all parts is shorter.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from printcheck.core.handover import Floats
from printcheck.core.lattice import Vector
from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import Demand, Spot
from printcheck.cutting.demand.families import Classes, Family, classes_of
from printcheck.cutting.exact.questions import RELAXED_S, RELAXED_SHARE, run
from printcheck.cutting.exact.sections import UNIT_MM as STEP_UNIT_MM
from printcheck.cutting.exact.sections import WIDTH_UNIT_MM, Counts, bind, steps_of
from printcheck.cutting.search.bottom_left import Laying
from printcheck.cutting.search.compact import pressed
from printcheck.cutting.search.state import Search
from printcheck.cutting.shape.no_fit import no_fit, stretches
from printcheck.cutting.shape.simplify import shapes_of, true_shapes

UNIT_MM = 0.1  # mm: of places
PROOF_UNIT_MM = 0.02  # mm: of places rounded down, so that a bound is less than a tenth below the truth
MOST_PARTS = 9  # the largest; with more the solver seldom ends in time
FEWEST = 2  # parts of a family whose rows say more than their sections do
GRID_MM = 50.0  # mm: about so far apart may a part begin that no row ties; pressing moves it on


def beside_step(search: Search) -> None:
    """Lay the largest parts as short as can be, and the others about them."""
    demand, best = search.demand, search.best
    steps = demand.steps
    if best is None or not all(part.name for part in demand.parts):
        return
    if not demand.ties and len(demand.parts) > MOST_PARTS:
        return  # what no row binds is pressed as well without
    if steps.askew or (steps.in_columns and steps.level_mm is None):
        return  # such ties do not run along the axes
    area = [part.width_mm * part.length_mm for part in demand.parts]
    large = sorted(sorted(range(len(area)), key=lambda n: -area[n])[:MOST_PARTS])
    _lift(search, best.spots, large)
    if not search.goes_on:
        return
    model = _Model(demand, best.spots, large, search.length_mm, UNIT_MM)
    status, solver = _solved(search, model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return
    laying = Laying(demand, model.classes)
    for n in large:
        x, y = (solver.value(v[n]) * UNIT_MM for v in (model.x, model.y))
        laying.put(n, Spot(x, y, best.spots[n].turned))
    rest = sorted(set(range(len(demand.parts))) - set(large), key=lambda n: -demand.parts[n].length_mm)
    if all(laying.lay(n, turned=best.spots[n].turned) for n in rest):
        search.note(pressed(demand, laying.spots(), effort=search.effort))


def _lift(search: Search, spots: tuple[Spot, ...], large: Sequence[int]) -> None:
    """Lift the bound to the least length for the largest family of rows, where nothing may be turned."""
    demand, rows = search.demand, classes_of(search.demand).rows
    slack = any(tie.slack_along_mm or tie.slack_across_mm for tie in demand.ties)
    families = [[n for n in large if rows.of[n] == root] for root in {rows.of[n] for n in large}]
    family = max(families, key=lambda some: (len(some), -some[0]))
    if slack or demand.turnable or demand.steps.level_mm is None or len(family) < FEWEST:
        return
    if all(_in_one_at_every_height(demand.parts[n].outline) for n in family):
        tied = {n for tie in demand.ties for n in (tie.first, tie.second)}
        family += [n for n in large if n not in tied and not demand.parts[n].outline]
    model = _Model(demand, spots, family, search.length_mm, PROOF_UNIT_MM, relaxed=True)
    status, solver = _solved(search, model)
    if model.nested:
        return
    if status == cp_model.INFEASIBLE:
        search.bound_mm = search.length_mm
    elif status != cp_model.MODEL_INVALID:
        search.bound_mm = max(
            search.bound_mm, math.floor(solver.best_objective_bound + EPS_MM) * PROOF_UNIT_MM
        )


def _solved(search: Search, model: _Model) -> tuple[cp_model.CpSolverStatus, cp_model.CpSolver]:
    model.build()
    model.cp.minimize(model.length)
    return run(search, model.cp, min(RELAXED_S, RELAXED_SHARE * search.effort.seconds))


@dataclass
class _Model:
    """Places of the large parts, turned as in a layout that is known, on a cloth of some length.

    ``relaxed``: every true layout, its places rounded down, keeps the model, unless one part can lie
    ``nested`` between two arms of another.
    """

    demand: Demand
    spots: tuple[Spot, ...]
    large: list[int]
    most_mm: float
    unit_mm: float
    relaxed: bool = False
    nested: bool = False
    cp: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    x: dict[int, Any] = field(default_factory=dict)
    y: dict[int, Any] = field(default_factory=dict)

    def build(self) -> None:
        """Add everything that is asked of the parts."""
        demand, cp = self.demand, self.cp
        self.shapes = true_shapes(demand) if self.relaxed else shapes_of(demand, self.spots)
        size = math.floor if self.relaxed else math.ceil
        turned = {part.group: spot.turned for part, spot in zip(demand.parts, self.spots, strict=True)}
        self.classes: Classes = classes_of(demand, turned)
        self.room = math.floor(demand.width_mm / self.unit_mm + EPS_MM)
        self.horizon = math.floor(self.most_mm / self.unit_mm)
        self.per_step = round(STEP_UNIT_MM / self.unit_mm)
        self.length = cp.new_int_var(0, self.horizon, "length")
        noise = EPS_MM if self.relaxed else -EPS_MM
        self.wide = {n: size(demand.parts[n].width_mm / self.unit_mm + noise) for n in self.large}
        self.high = {n: size(demand.parts[n].length_mm / self.unit_mm + noise) for n in self.large}
        for n in self.large:
            self._add_part(n)
        self._add_sections()
        self._add_ties()
        for k, i in enumerate(self.large):
            for j in self.large[k + 1 :]:
                self._add_pair(i, j)

    def _add_part(self, n: int) -> None:
        fixed, spot = self.demand.parts[n].fixed_x_mm, self.spots[n]
        low, high = 0, max(0, self.room - self.wide[n])
        if fixed is not None:
            low = high = (
                math.floor(fixed / self.unit_mm + EPS_MM) if self.relaxed else round(fixed / self.unit_mm)
            )
        self.x[n] = self.cp.new_int_var(low, high, f"x{n}")
        self.y[n] = self.cp.new_int_var(0, max(0, self.horizon - self.high[n]), f"y{n}")
        self.cp.add(self.y[n] + self.high[n] <= self.length)
        self.cp.add_hint(self.x[n], round(spot.x_mm / self.unit_mm))
        self.cp.add_hint(self.y[n], round(spot.y_mm / self.unit_mm))

    def _add_sections(self) -> None:
        """No height is wider than the cloth: redundant, and what most speeds the solver."""
        intervals: list[cp_model.IntervalVar] = []
        widths: list[int] = []
        for n in self.large:
            for low, end, width in steps_of(self.demand.parts[n], turned=self.spots[n].turned):
                start, size = self.y[n] + self.per_step * low, self.per_step * (end - low)
                intervals.append(self.cp.new_fixed_size_interval_var(start, size, f"step{len(widths)}"))
                widths.append(width)
        self.cp.add_cumulative(intervals, widths, math.floor(self.demand.width_mm / WIDTH_UNIT_MM + EPS_MM))

    def _add_ties(self) -> None:
        """Keep every part at its class: columns and rows together, rows alone, columns alone."""
        steps, classes = self.demand.steps, self.classes
        level = steps.level_mm or GRID_MM
        self.grid_mm = level / max(1, round(level / GRID_MM))
        for n in self.large:
            full = self._kin(classes.full, n)
            rows, columns = self._kin(classes.rows, n), self._kin(classes.columns, n)
            if rows is None and n != self.large[0] and not self.relaxed:  # of a family of its own
                gap_mm = classes.rows.at[n][1] - classes.rows.at[self.large[0]][1]
                bind(
                    self.cp,
                    self.y[n] - self.y[self.large[0]],
                    gap_mm,
                    [self._count(self.grid_mm)],
                    self.unit_mm,
                )
            if full is not None and steps.column_mm is not None and steps.row_mm is not None:
                gap = self._gap(classes.full, full, n)
                across = self._count(steps.column_mm)
                along = self._count(steps.row_mm)
                bind(self.cp, self.x[n] - self.x[full], gap[0], [across], self.unit_mm)
                dropped = (steps.drop_mm, *across[1:])
                bind(self.cp, self.y[n] - self.y[full], gap[1], [dropped, along], self.unit_mm)
                continue
            if rows is not None and steps.level_mm is not None:
                gap = self._gap(classes.rows, rows, n)
                bind(self.cp, self.y[n] - self.y[rows], gap[1], [self._count(steps.level_mm)], self.unit_mm)
            if columns is not None and steps.column_mm is not None:
                gap = self._gap(classes.columns, columns, n)
                bind(
                    self.cp, self.x[n] - self.x[columns], gap[0], [self._count(steps.column_mm)], self.unit_mm
                )

    def _kin(self, family: Family, n: int) -> int | None:
        """First of the large parts of a family, where that is another one."""
        first = next(m for m in self.large if family.of[m] == family.of[n])
        return None if first == n else first

    def _gap(self, family: Family, one: int, two: int) -> tuple[float, float]:
        a, b = family.at[one], family.at[two]
        return b[0] - a[0], b[1] - a[1]

    def _count(self, step_mm: float) -> Counts:
        most = math.ceil((self.room + 2 * self.horizon) * self.unit_mm / step_mm) + 2
        return step_mm, self.cp.new_int_var(-most, most, f"k{len(self.cp.proto.variables)}"), most

    def _add_pair(self, i: int, j: int) -> None:
        """Let one part lie above, below, to the left or to the right of the other."""
        cp, level = self.cp, self.demand.steps.level_mm
        left, right, above, below = (cp.new_bool_var(f"{way}{i}_{j}") for way in ("l", "r", "a", "b"))
        cp.add_exactly_one(left, right, above, below)
        apart, across = self.y[j] - self.y[i], self.x[j] - self.x[i]
        cp.add(apart >= self.high[i] - self.relaxed).only_enforce_if(above)
        cp.add(apart <= self.relaxed - self.high[j]).only_enforce_if(below)
        rows, free = self.classes.rows, False
        if rows.of[i] == rows.of[j]:
            step, gap = level or self.grid_mm, rows.at[j][1] - rows.at[i][1]
        elif self.relaxed:
            step, gap, free = GRID_MM, 0.0, True
        else:
            step, gap = self.grid_mm, rows.at[j][1] - rows.at[i][1]
        first = math.ceil((-self.high[j] * self.unit_mm - gap) / step) - 1
        last = math.floor((self.high[i] * self.unit_mm - gap) / step) + 1
        places: Floats = np.asarray(gap + step * np.arange(first, last + 1), dtype=np.float64)
        # parts lie on their rows to a unit; a free one anywhere from one row to the next
        around = (0.0, step) if free else (0.0,) if self.relaxed else (-self.unit_mm, 0.0, self.unit_mm)
        found = [stretches(no_fit(self.shapes[i], self.shapes[j]), 0, np.add(places, by)) for by in around]
        self.nested |= not free and any(not _in_one(stretch) for stretch in found)
        row = cp.new_int_var(0, last - first, f"row{i}_{j}")
        unless = (above, below)
        if free:
            lowest, beside = round(step / self.unit_mm) * (row + first), [way.negated() for way in unless]
            cp.add(apart >= lowest - 1).only_enforce_if(beside)
            cp.add(apart <= lowest + round(step / self.unit_mm) + 1).only_enforce_if(beside)
        else:
            bind(cp, apart, gap, [(step, row + first, last - first + 1)], self.unit_mm, unless=unless)
        for way, side, sign in ((left, 0, 1), (right, 1, -1)):
            # of convex parts the distance is least at one of two heights, wherever between them they lie
            table = _distance(np.array(found), side, np.min if free else np.max) / self.unit_mm
            least_units = np.floor(table) - 1 if self.relaxed else np.ceil(table)
            units = np.where(np.isfinite(table), least_units, -self.room).astype(int).tolist()
            least = cp.new_int_var(min(units), max(units), f"least{i}_{j}_{side}")
            cp.add_element(row, units, least)
            cp.add(sign * across >= least).only_enforce_if(way)


def _distance(found: Floats, side: int, of_both: Callable[..., Floats]) -> Floats:
    """How far two must lie to the right of one, or else to its left, by stretches at some heights each."""
    each = -found[..., 0] if side else found[..., 1]
    return np.asarray(of_both(each, axis=0).max(axis=1))


def _in_one(found: Floats) -> bool:
    """Whether the stretches of every row hang together, so that nothing fits between two of them."""
    ordered = np.take_along_axis(found, found[..., :1].argsort(axis=1), axis=1)
    reached = np.maximum.accumulate(ordered[:, :-1, 1], axis=1)
    starts = ordered[:, 1:, 0]
    return bool(np.all(~np.isfinite(starts) | (starts <= reached + EPS_MM)))


def _in_one_at_every_height(ring: Sequence[Vector]) -> bool:
    """Whether an outline's sections are each one stretch: it runs down one side and up the other."""
    heights = [y for _, y in ring]
    slopes = [b - a for a, b in pairwise([*heights, *heights[:1]]) if a != b]
    return sum((a > 0) != (b > 0) for a, b in pairwise([*slopes, *slopes[:1]])) <= 2
