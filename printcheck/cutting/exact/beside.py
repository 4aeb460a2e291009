"""The few largest outlines of a layout laid by the constraint solver, the rest laid about them.

Of two outlines one lies above the other, or beside it at a distance that depends on how much lower it lies.
That distance is told to the solver as a table over the rows at which the two can lie; a part that no row
ties to the others is held to rows of a grid. What is found is pressed together afterwards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from printcheck.core.handover import Floats
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
from printcheck.cutting.shape.simplify import Shape, shapes_of

UNIT_MM = 0.1  # mm: of places
PER_STEP = round(STEP_UNIT_MM / UNIT_MM)
MOST_PARTS = 9  # the largest; with more the solver seldom ends in time
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
    model = _Model(demand, best.spots, large, math.floor(search.length_mm / UNIT_MM))
    model.build()
    model.cp.minimize(model.length)
    seconds = min(RELAXED_S, RELAXED_SHARE * search.effort.seconds)
    status, solver = run(search, model.cp, seconds)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return
    laying = Laying(demand, model.classes)
    for n in large:
        x, y = (solver.value(v[n]) * UNIT_MM for v in (model.x, model.y))
        laying.put(n, Spot(x, y, best.spots[n].turned))
    rest = sorted(set(range(len(demand.parts))) - set(large), key=lambda n: -demand.parts[n].length_mm)
    if all(laying.lay(n, turned=best.spots[n].turned) for n in rest):
        search.note(pressed(demand, laying.spots(), effort=search.effort))


@dataclass
class _Model:
    """Places of the large parts, turned as in a layout that is known, on a cloth of so many units."""

    demand: Demand
    spots: tuple[Spot, ...]
    large: list[int]
    horizon: int
    cp: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    x: dict[int, Any] = field(default_factory=dict)
    y: dict[int, Any] = field(default_factory=dict)

    def build(self) -> None:
        """Add everything that is asked of the parts."""
        demand, cp = self.demand, self.cp
        self.shapes = shapes_of(demand, self.spots)
        turned = {part.group: spot.turned for part, spot in zip(demand.parts, self.spots, strict=True)}
        self.classes: Classes = classes_of(demand, turned)
        self.room = math.floor(demand.width_mm / UNIT_MM + EPS_MM)
        self.length = cp.new_int_var(0, self.horizon, "length")
        self.wide = {n: _units(demand.parts[n].width_mm) for n in self.large}
        self.high = {n: _units(demand.parts[n].length_mm) for n in self.large}
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
            low = high = round(fixed / UNIT_MM)
        self.x[n] = self.cp.new_int_var(low, high, f"x{n}")
        self.y[n] = self.cp.new_int_var(0, max(0, self.horizon - self.high[n]), f"y{n}")
        self.cp.add(self.y[n] + self.high[n] <= self.length)
        self.cp.add_hint(self.x[n], round(spot.x_mm / UNIT_MM))
        self.cp.add_hint(self.y[n], round(spot.y_mm / UNIT_MM))

    def _add_sections(self) -> None:
        """No height is wider than the cloth: redundant, and what most speeds the solver."""
        intervals: list[cp_model.IntervalVar] = []
        widths: list[int] = []
        for n in self.large:
            for low, end, width in steps_of(self.demand.parts[n], turned=self.spots[n].turned):
                start, size = self.y[n] + PER_STEP * low, PER_STEP * (end - low)
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
            if rows is None and n != self.large[0]:  # of a family of its own
                gap_mm = classes.rows.at[n][1] - classes.rows.at[self.large[0]][1]
                bind(self.cp, self.y[n] - self.y[self.large[0]], gap_mm, [self._count(self.grid_mm)], UNIT_MM)
            if full is not None and steps.column_mm is not None and steps.row_mm is not None:
                gap = self._gap(classes.full, full, n)
                across = self._count(steps.column_mm)
                along = self._count(steps.row_mm)
                bind(self.cp, self.x[n] - self.x[full], gap[0], [across], UNIT_MM)
                dropped = (steps.drop_mm, *across[1:])
                bind(self.cp, self.y[n] - self.y[full], gap[1], [dropped, along], UNIT_MM)
                continue
            if rows is not None and steps.level_mm is not None:
                gap = self._gap(classes.rows, rows, n)
                bind(self.cp, self.y[n] - self.y[rows], gap[1], [self._count(steps.level_mm)], UNIT_MM)
            if columns is not None and steps.column_mm is not None:
                gap = self._gap(classes.columns, columns, n)
                bind(self.cp, self.x[n] - self.x[columns], gap[0], [self._count(steps.column_mm)], UNIT_MM)

    def _kin(self, family: Family, n: int) -> int | None:
        """First of the large parts of a family, where that is another one."""
        first = next(m for m in self.large if family.of[m] == family.of[n])
        return None if first == n else first

    def _gap(self, family: Family, one: int, two: int) -> tuple[float, float]:
        a, b = family.at[one], family.at[two]
        return b[0] - a[0], b[1] - a[1]

    def _count(self, step_mm: float) -> Counts:
        most = math.ceil((self.room + 2 * self.horizon) * UNIT_MM / step_mm) + 2
        return step_mm, self.cp.new_int_var(-most, most, f"k{len(self.cp.proto.variables)}"), most

    def _add_pair(self, i: int, j: int) -> None:
        """Let one part lie above, below, to the left or to the right of the other."""
        cp, level = self.cp, self.demand.steps.level_mm
        left, right, above, below = (cp.new_bool_var(f"{way}{i}_{j}") for way in ("l", "r", "a", "b"))
        cp.add_exactly_one(left, right, above, below)
        apart, across = self.y[j] - self.y[i], self.x[j] - self.x[i]
        cp.add(apart >= self.high[i]).only_enforce_if(above)
        cp.add(apart <= -self.high[j]).only_enforce_if(below)
        rows = self.classes.rows
        step = (level or self.grid_mm) if rows.of[i] == rows.of[j] else self.grid_mm
        gap = rows.at[j][1] - rows.at[i][1]
        first = math.ceil((-self.high[j] * UNIT_MM - gap) / step) - 1
        last = math.floor((self.high[i] * UNIT_MM - gap) / step) + 1
        places: Floats = np.asarray(gap + step * np.arange(first, last + 1), dtype=np.float64)
        near = [
            _distances(self.shapes[i], self.shapes[j], np.add(places, by)) for by in (-UNIT_MM, 0.0, UNIT_MM)
        ]
        row = cp.new_int_var(0, last - first, f"row{i}_{j}")
        bind(cp, apart, gap, [(step, row + first, last - first + 1)], UNIT_MM, unless=(above, below))
        for way, side, sign in ((left, 0, 1), (right, 1, -1)):
            table = np.max([found[side] for found in near], axis=0)
            units = np.where(np.isfinite(table), np.ceil(table / UNIT_MM), -self.room).astype(int).tolist()
            least = cp.new_int_var(min(units), max(units), f"least{i}_{j}_{side}")
            cp.add_element(row, units, least)
            cp.add(sign * across >= least).only_enforce_if(way)


def _distances(one: Shape, two: Shape, lower: Floats) -> tuple[Floats, Floats]:
    """How far two must lie to the right of one, or else to its left, where it lies so much lower."""
    found = stretches(no_fit(one, two), 0, lower)
    return found[..., 1].max(axis=1), -found[..., 0].min(axis=1)


def _units(mm: float) -> int:
    return math.ceil(mm / UNIT_MM - EPS_MM)
