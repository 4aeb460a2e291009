"""Families of parts tied through the lattice, and where each part may stand against its family.

A full match fixes a part against its neighbour in both axes, up to a lattice vector; a level match
fixes rows alone, an upright match columns alone. So there are three kinds of family. Within a family
every part has a class: ``at[i] - at[j]`` is a difference the ties allow, and every other allowed
difference is a lattice step away from it.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from printcheck.core.lattice import Lattice, Vector
from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import Demand
from printcheck.cutting.demand.lattice_steps import Steps
from printcheck.cutting.demand.ties import offset_of


@dataclass(frozen=True)
class Family:
    """Family of each part (its lowest member's number) and each part's class."""

    of: tuple[int, ...]
    at: tuple[Vector, ...]


@dataclass(frozen=True)
class Miss:
    """A tie that closes a ring of ``ring`` ties, and by how much the ring fails to close."""

    tie: int
    ring: int
    across_mm: float
    along_mm: float
    axis: str  # "both", "level" or "upright": what fails

    @property
    def miss_mm(self) -> float:
        """Distance from a match."""
        return math.hypot(self.across_mm, self.along_mm)


@dataclass(frozen=True)
class Classes:
    """The three kinds of family, and the rings that do not close."""

    full: Family
    rows: Family
    columns: Family
    misses: tuple[Miss, ...]


def classes_of(demand: Demand, turned: Mapping[int, bool] | None = None) -> Classes:
    """Return families and classes for one choice of turned groups (none by default)."""
    turn = {n: (turned or {}).get(part.group, False) for n, part in enumerate(demand.parts)}
    offsets = {
        n: offset_of(demand, tie, turn[tie.first], turn[tie.second]) for n, tie in enumerate(demand.ties)
    }
    return classes_by(demand, offsets)


def classes_by(demand: Demand, offsets: Mapping[int, Vector]) -> Classes:
    """Return families and classes where tie ``n`` asks for ``at[second] - at[first] = offsets[n]``."""
    steps, ties = demand.steps, list(enumerate(demand.ties))
    wanted = {
        "both": [n for n, tie in ties if steps.two_ways and tie.axes.full],
        "level": [n for n, tie in ties if steps.level_mm is not None and tie.axes.along],
        "upright": [n for n, tie in ties if steps.column_mm is not None and tie.axes.across],
    }
    families, misses = {}, []
    for axis, edges in wanted.items():
        families[axis], depth = _walk(demand, edges, offsets)
        misses += [m for n in edges if (m := _miss(demand, n, axis, offsets, families[axis], depth))]
    return Classes(families["both"], families["level"], families["upright"], tuple(misses))


def least_step(demand: Demand, classes: Classes, upper: int, lower: int) -> float:
    """Least allowed ``y[lower] - y[upper]`` that clears the upper part, in mm.

    For tied parts this is rounded up to the family's rows, trying every column step that fits the cloth.
    """
    steps, clear = demand.steps, demand.parts[upper].length_mm
    same_rows = classes.rows.of[upper] == classes.rows.of[lower]
    if steps.in_columns and classes.full.of[upper] == classes.full.of[lower]:
        found = _least_in_columns(demand, steps, classes.full, upper, lower)
    elif same_rows and steps.level_mm is not None:
        gap = classes.rows.at[lower][1] - classes.rows.at[upper][1]
        found = round_up(clear, gap, steps.level_mm)
    else:
        return clear
    slack = sum(tie.slack_along_mm for tie in demand.ties)
    return max(clear, found - slack)


def round_up(least: float, residue: float, step: float) -> float:
    """Smallest ``residue + k * step`` that is at least ``least``, forgiving rounding noise."""
    return residue + math.ceil((least - residue - EPS_MM) / step) * step


def _least_in_columns(demand: Demand, steps: Steps, full: Family, upper: int, lower: int) -> float:
    assert steps.column_mm is not None and steps.row_mm is not None
    a, b = demand.parts[upper], demand.parts[lower]
    gap = (full.at[lower][0] - full.at[upper][0], full.at[lower][1] - full.at[upper][1])
    slack = EPS_MM + sum(tie.slack_across_mm for tie in demand.ties)
    low, high = -(demand.width_mm - a.width_mm) - slack, demand.width_mm - b.width_mm + slack
    first = math.ceil((low - gap[0]) / steps.column_mm)
    last = math.floor((high - gap[0]) / steps.column_mm)
    # a drop of p/q has at most q different rows; more columns than that bring nothing new
    if steps.level_mm is None and last - first > _DISTINCT_COLUMNS:
        return a.length_mm
    values = {
        round_up(a.length_mm, gap[1] + k * steps.drop_mm, steps.row_mm)
        for k in range(first, min(last, first + _DISTINCT_COLUMNS) + 1)
    }
    return min(values, default=a.length_mm)


_DISTINCT_COLUMNS = 400  # columns tried; more than any cloth holds


def _walk(demand: Demand, edges: list[int], offsets: Mapping[int, Vector]) -> tuple[Family, list[int]]:
    """Spread classes over each family, breadth first; also each part's depth in its tree."""
    count = len(demand.parts)
    near: dict[int, list[tuple[int, Vector]]] = {n: [] for n in range(count)}
    for n in edges:
        tie, (dx, dy) = demand.ties[n], offsets[n]
        near[tie.first].append((tie.second, (dx, dy)))
        near[tie.second].append((tie.first, (-dx, -dy)))
    of, at, depth = [-1] * count, [(0.0, 0.0)] * count, [0] * count
    for root in range(count):
        if of[root] >= 0:
            continue
        of[root] = root
        queue = deque([root])
        while queue:
            here = queue.popleft()
            for there, step in near[here]:
                if of[there] < 0:
                    of[there], depth[there] = root, depth[here] + 1
                    at[there] = (at[here][0] + step[0], at[here][1] + step[1])
                    queue.append(there)
    return Family(tuple(of), tuple(at)), depth


def _miss(
    demand: Demand, n: int, axis: str, offsets: Mapping[int, Vector], family: Family, depth: list[int]
) -> Miss | None:
    tie, steps = demand.ties[n], demand.steps
    dx = family.at[tie.second][0] - family.at[tie.first][0] - offsets[n][0]
    dy = family.at[tie.second][1] - family.at[tie.first][1] - offsets[n][1]
    if axis == "both":
        across, along = Lattice(steps.basis_mm).residual((dx, dy))
    elif axis == "level":
        across, along = 0.0, away_from_step(dy, steps.level_mm)
    else:
        across, along = away_from_step(dx, steps.column_mm), 0.0
    ring = depth[tie.first] + depth[tie.second] + 1
    miss = Miss(n, ring, abs(across), abs(along), axis)
    return miss if miss.miss_mm > EPS_MM else None


def away_from_step(value: float, step: float | None) -> float:
    """Distance from a value to the nearest whole multiple of a step."""
    return 0.0 if not step else abs(value - step * round(value / step))


def members(family: Family, part: int) -> Iterable[int]:
    """Parts of the same family, the part itself included."""
    return (n for n, of in enumerate(family.of) if of == family.of[part])
