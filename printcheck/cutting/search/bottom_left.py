"""Parts laid one by one: each at the lowest place that its class and what lies there already allow."""

from __future__ import annotations

import math
from bisect import insort

import numpy as np

from printcheck.core.handover import Floats
from printcheck.core.lattice import Lattice
from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import Demand, Spot
from printcheck.cutting.demand.families import Classes, Family, round_up
from printcheck.cutting.demand.lattice_steps import points_within
from printcheck.cutting.shape.no_fit import no_fit, stretches
from printcheck.cutting.shape.simplify import Shape, shape_of

ASKEW_ROWS = 6  # rows below what is laid where a lattice askew is searched for a place
FAR_MM = 1e9  # mm: a place this far down is none
MANY_SPOTS = 1000  # lattice points askew tried; of a finer lattice a coarser part of it
PLACES_ACROSS = 60  # tried for an outline that no column binds; pressing finds those between
BOX_LOOKS, SHAPE_LOOKS = 0.2, 30.0  # looks for a column of a box, for a pair of shapes
MANY_COLUMNS = 60  # columns tried for a tied part; of more, every second or third


Column = tuple[float, float, float]
"""A place across, the residue of the rows a part may start at there, and their step (0: any height)."""


class Laying:
    """The cloth while it is being covered, by boxes or, where there are outlines, by true shapes.

    ``classes`` are families and classes for the turns chosen.
    """

    def __init__(self, demand: Demand, classes: Classes) -> None:
        self.demand, self.classes = demand, classes
        self.looks = 0.0  # work done, see Effort
        self.at: dict[int, tuple[float, float]] = {}
        self.turned: dict[int, bool] = {}
        self.laid: dict[int, Shape] = {}
        self.shaped = any(part.outline for part in demand.parts)
        self.tied = {demand.parts[n].group for tie in demand.ties for n in (tie.first, tie.second)}
        self.blocks: list[tuple[float, float, float, float]] = []  # top, bottom, left, right; by their tops
        self.kin: dict[tuple[int, int], int] = {}  # (kind of family, family) -> a member that is laid
        self.families = (classes.full, classes.rows, classes.columns)
        self.grace = max([EPS_MM, *(tie.slack_across_mm / 2 for tie in demand.ties)])
        for n, part in enumerate(demand.parts):
            if not part.name:  # it stands for the print, so it is there first
                self._put(n, part.fixed_x_mm or 0.0, 0.0)

    def lay(self, n: int, shift: float = 0.0, *, turned: bool = False) -> bool:
        """Lay part n as low as can be, from ``shift`` down if no row binds it; whether there was a place.

        An outline that no tie binds is turned end for end where that lets it lie lower.
        """
        part = self.demand.parts[n]
        if n in self.at:
            return True
        free = self._kin(self.classes.rows, 1, n) is None
        columns = self._columns(n)
        if self.shaped:
            shape = shape_of(part.width_mm, part.length_mm, part.outline)
            either = part.outline and part.may_turn and part.group not in self.tied
            ways = [(False, shape), (True, shape.turned)]
            tries = [
                (*self._lowest_shape(way, columns, shift if free else 0.0), turn, way)
                for turn, way in (ways if either else ways[turned : turned + 1])
            ]
            y, x, turned, _ = min(tries, key=lambda found: found[:2])
        else:
            y, x = self._lowest_box(n, columns, shift if free else 0.0)
        if y >= FAR_MM / 2:
            return False
        self.put(n, Spot(x, y, turned))
        return True

    def put(self, n: int, spot: Spot) -> None:
        """Lay part n where it is known to lie."""
        part = self.demand.parts[n]
        shape = shape_of(part.width_mm, part.length_mm, part.outline)
        self.turned[n], self.laid[n] = spot.turned, shape.turned if spot.turned else shape
        self._put(n, spot.x_mm, spot.y_mm)
        insort(self.blocks, (spot.y_mm, spot.y_mm + part.length_mm, spot.x_mm, spot.x_mm + part.width_mm))

    def spots(self) -> tuple[Spot, ...]:
        """Where every part lies."""
        return tuple(Spot(*self.at[n], self.turned.get(n, False)) for n in range(len(self.demand.parts)))

    def _lowest_box(self, n: int, columns: list[Column], shift: float) -> tuple[float, float]:
        part, best = self.demand.parts[n], (FAR_MM / 2, 0.0)
        self.looks += BOX_LOOKS * len(columns)
        for x, residue, step in columns:
            low = 0.0 if step else shift
            y = self._lowest(x, x + part.width_mm, part.length_mm, (low, residue, step), best[0])
            best = min(best, (y, x))
        return best

    def _lowest_shape(self, shape: Shape, columns: list[Column], shift: float) -> tuple[float, float]:
        """Lowest place of a shape in any column: below all that it would run into there."""
        if not columns:
            return FAR_MM, 0.0
        self.looks += SHAPE_LOOKS * len(self.laid)
        xs, residue, step = np.array(columns).T
        rows = np.where(step > 0, step, 1.0)

        def snapped(least: Floats) -> Floats:
            up = residue + np.ceil((least - residue - EPS_MM) / rows) * rows
            return np.where(step > 0, np.maximum(up, 0.0), least)

        taken = [np.zeros((len(xs), 0, 2))]
        for m, other in self.laid.items():
            fit, (x, top) = no_fit(other, shape), self.at[m]
            beside = xs - x
            near = (beside > fit.low[0]) & (beside < fit.high[0])
            if near.any():
                runs = np.full((len(xs), len(fit.reach), 2), (np.inf, -np.inf))
                runs[near] = stretches(fit, 1, beside[near]) + top
                taken.append(runs)
        low, high = np.moveaxis(np.concatenate(taken, axis=1), 2, 0)
        y = snapped(np.where(step > 0, 0.0, shift))
        while True:
            hit = (low < y[:, None] - EPS_MM) & (high > y[:, None] + EPS_MM)
            if not hit.any():
                break
            below = np.where(hit, high, -np.inf).max(axis=1, initial=-np.inf)
            y = np.where(hit.any(axis=1), snapped(np.maximum(below, y)), y)
        k = int(np.lexsort((xs, np.round(y, 6)))[0])
        return float(y[k]), float(xs[k])

    def _put(self, n: int, x: float, y: float) -> None:
        self.at[n] = (x, y)
        for kind, family in enumerate(self.families):
            self.kin[kind, family.of[n]] = n

    @property
    def length_mm(self) -> float:
        """How far down the cloth is covered."""
        return max(bottom for _, bottom, _, _ in self.blocks)

    def _kin(self, family: Family, kind: int, n: int) -> int | None:
        return self.kin.get((kind, family.of[n]))

    def _class_of(self, family: Family, n: int, kin: int) -> tuple[float, float]:
        """One place of part n's class, off the cloth or not."""
        x, y = self.at[kin]
        return (x + family.at[n][0] - family.at[kin][0], y + family.at[n][1] - family.at[kin][1])

    def _columns(self, n: int) -> list[Column]:
        steps, classes = self.demand.steps, self.classes
        kin = self._kin(classes.full, 0, n)
        if kin is not None and steps.askew:
            return self._askew(n, kin)
        if kin is not None and steps.column_mm is not None and steps.row_mm is not None:
            x, y = self._class_of(classes.full, n, kin)
            return [
                (place, y + k * steps.drop_mm, steps.row_mm)
                for k, place in self._steps_across(n, x, steps.column_mm)
            ]
        residue, step = 0.0, 0.0
        kin = self._kin(classes.rows, 1, n)
        if kin is not None and steps.level_mm is not None:
            residue, step = self._class_of(classes.rows, n, kin)[1], steps.level_mm
        kin = self._kin(classes.columns, 2, n)
        if kin is not None and steps.column_mm is not None:
            x = self._class_of(classes.columns, n, kin)[0]
            return [(place, residue, step) for _, place in self._steps_across(n, x, steps.column_mm)]
        return [(x, residue, step) for x in self._edges(n)]

    def _edges(self, n: int) -> list[float]:
        """Places across for a part that no column binds: against the cloth's edges and its neighbours."""
        part = self.demand.parts[n]
        if part.fixed_x_mm is not None:
            return [part.fixed_x_mm]
        room = self.demand.width_mm - part.width_mm
        edges = {0.0, room}
        if self.shaped:
            edges.update(np.linspace(0.0, room, PLACES_ACROSS).tolist())
        for _, _, left, right in self.blocks:
            edges.add(right)
            edges.add(left - part.width_mm)
        return [e for e in edges if -EPS_MM <= e <= room + EPS_MM]

    def _steps_across(self, n: int, base: float, step: float) -> list[tuple[int, float]]:
        """Column numbers and places of a class within the cloth, or at the border that holds the part."""
        part = self.demand.parts[n]
        low, high = 0.0, self.demand.width_mm - part.width_mm
        if part.fixed_x_mm is not None:
            low = high = part.fixed_x_mm
        first = math.ceil((low - self.grace - base) / step)
        last = math.floor((high + self.grace - base) / step)
        every = max(1, (last - first) // MANY_COLUMNS)
        return [(k, min(max(base + k * step, low), high)) for k in range(first, last + 1, every)]

    def _askew(self, n: int, kin: int) -> list[Column]:
        """Places on a lattice askew, each on its own: there is no second row below it."""
        basis = Lattice(self.demand.steps.basis_mm).reduced().basis_mm
        room = self.demand.width_mm - self.demand.parts[n].width_mm
        deep = self.length_mm + math.hypot(*basis[1]) * ASKEW_ROWS
        start = np.array(self._class_of(self.classes.full, n, kin))
        _, spots = points_within(basis, (0.0, 0.0) - start, (room, deep) - start, most=MANY_SPOTS)
        return [(min(max(x, 0.0), room), max(y, 0.0), FAR_MM) for x, y in (spots + start).tolist()]

    def _lowest(
        self, left: float, right: float, height: float, rows: tuple[float, float, float], limit: float
    ) -> float:
        """Lowest start on these columns; gives up beyond ``limit``."""
        low, residue, step = rows
        y = max(0.0, round_up(low, residue, step)) if step else low
        left, right = left + EPS_MM, right - EPS_MM
        for top, bottom, one, two in self.blocks:
            if top >= y + height - EPS_MM or y > limit:  # by their tops: what follows lies lower still
                break
            if bottom > y + EPS_MM and one < right and two > left:
                y = round_up(bottom, residue, step) if step else bottom
        return y
