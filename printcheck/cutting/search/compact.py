"""A layout pressed together: every part slid as far up the cloth as its neighbours let it.

Between two parts that lie apart some half-plane of their no-fit polygons keeps every pair of their
convex parts apart. With one such half-plane kept for each pair, all demands are linear, ties included
(their lattice steps stay as they are), and a linear programme gives the shortest length; then the
half-planes are chosen anew. In the same way overlaps are pressed apart: there each pair may still run
into each other by some amount, and the sum of those amounts is made as small as can be.
(Li and Milenkovic, Compaction and separation algorithms for non-convex polygons, 1995.)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from ortools.linear_solver import linear_solver_pb2, pywraplp

from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import Demand, Spot
from printcheck.cutting.demand.ties import Counts, counts_of, snapped, tie_rows
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.shape.no_fit import no_fit
from printcheck.cutting.shape.simplify import Shape, shapes_of

REACH_MM = 40.0  # mm a part may move in one round: beyond, its half-planes say little
WIDE_REACH_MM = 80.0  # mm: the same where overlaps are to be pressed apart
NEAR_REACHES = 2.0  # of the reach: two parts come no nearer than this in a round
GAIN_MM = 0.05  # mm: a round that gains less is the last
MOST_ROUNDS = 30  # snapped layouts take long to come apart
ROUND_LOOKS = 10.0  # looks for a part in one round
SLACK_COST = 10.0  # mm of length that one mm of a tie missed weighs as much as
OVERLAP_COST = 50.0  # mm of length that one mm of overlap weighs as much as
UPWARD_COST = 1e-4  # mm of length for one mm that a part lies lower: takes idle parts up, too


@dataclass(frozen=True)
class Packing:
    """A layout, its length, and the sum over pairs of how far they run into each other (0 for sound)."""

    length_mm: float
    spots: tuple[Spot, ...]
    overlap_mm: float = 0.0

    @property
    def sound(self) -> bool:
        """Whether nothing overlaps."""
        return self.overlap_mm <= EPS_MM * max(1, len(self.spots))


def overlap_mm(shapes: Sequence[Shape], spots: Sequence[Spot]) -> float:
    """Sum over pairs of how far their parts run into each other, in mm."""
    total = 0.0
    for i, j in _near(shapes, spots, 0.0):
        gap = float(no_fit(shapes[i], shapes[j]).gaps(difference(spots, i, j)).min())
        total += max(0.0, -gap)
    return total


def pressed(
    demand: Demand,
    spots: Sequence[Spot],
    *,
    rounds: int = MOST_ROUNDS,
    reach: float = WIDE_REACH_MM,
    effort: Effort | None = None,
) -> Packing | None:
    """Snap a layout to the lattice and press it together; overlaps in it are pressed apart first.

    None where the ties cannot be met with the nearest lattice steps; ``sound`` says whether it may be used.
    """
    at_border = [
        spot if part.fixed_x_mm is None else replace(spot, x_mm=part.fixed_x_mm)
        for spot, part in zip(spots, demand.parts, strict=True)
    ]
    now = snapped(demand, at_border)
    shapes, counts = shapes_of(demand, now), counts_of(demand, now)
    best: Packing | None = None
    elastic = True  # ties may not be met yet, and places may be rounded
    for _ in range(rounds):
        found = _round(demand, shapes, now, counts, elastic=elastic, reach=reach)
        if found is None and elastic:  # a tie asks for a longer way
            found = _round(demand, shapes, now, counts, elastic=True, bounded=False, reach=reach)
        if found is None:
            return best
        gained = best is None or _better(found, best)
        if best is None or found.overlap_mm < best.overlap_mm - EPS_MM or (found.sound and gained):
            best = found
        now = found.spots
        elastic = not found.sound
        if effort is not None:
            effort.spend(ROUND_LOOKS * len(shapes))
        if not gained or (effort is not None and not effort.left):
            break
    return best


def _better(one: Packing, two: Packing) -> bool:
    if one.sound and two.sound:
        return one.length_mm < two.length_mm - GAIN_MM
    return one.overlap_mm < 0.98 * two.overlap_mm - EPS_MM


def _round(
    demand: Demand,
    shapes: Sequence[Shape],
    spots: Sequence[Spot],
    counts: Counts,
    *,
    elastic: bool,
    reach: float,
    bounded: bool = True,
) -> Packing | None:
    programme = Programme()
    reach = reach if elastic else min(reach, REACH_MM)
    length = programme.variable(0.0, cost=1.0)
    for part, spot in zip(demand.parts, spots, strict=True):
        room = max(0.0, demand.width_mm - part.width_mm)
        low, high = (0.0, room) if part.fixed_x_mm is None else (part.fixed_x_mm, part.fixed_x_mm)
        top, foot = 0.0, math.inf
        if bounded:
            low, high = max(low, min(high, spot.x_mm - reach)), min(high, max(low, spot.x_mm + reach))
            top, foot = max(0.0, spot.y_mm - reach), max(0.0, spot.y_mm) + reach
        programme.x.append(programme.variable(low, high))
        programme.y.append(programme.variable(top, foot, UPWARD_COST))
        programme.row((length, programme.y[-1]), (1.0, -1.0), low=part.length_mm)
    add_ties(programme, demand, spots, counts)
    for i, j in _near(shapes, spots, 2 * reach):
        add_pair(programme, shapes, spots, (i, j), reach=reach, elastic=elastic)
    values = programme.solve()
    if values is None:
        return None
    moved = tuple(
        Spot(values[x], values[y], spot.turned)
        for x, y, spot in zip(programme.x, programme.y, spots, strict=True)
    )
    return _measured(demand, shapes, moved)


def _measured(demand: Demand, shapes: Sequence[Shape], spots: Sequence[Spot]) -> Packing:
    top = min(spot.y_mm for spot in spots)
    spots = tuple(Spot(s.x_mm, s.y_mm - top, s.turned) for s in spots)
    length = max(s.y_mm + p.length_mm for s, p in zip(spots, demand.parts, strict=True))
    return Packing(length, spots, overlap_mm(shapes, spots))


def add_ties(programme: Programme, demand: Demand, spots: Sequence[Spot], counts: Counts) -> None:
    """Add every tie with its lattice steps as they are, missed by as little of its slack as can be."""
    for tie, steps in zip(demand.ties, counts, strict=True):
        if tie.first == tie.second:
            continue
        targets = tie_rows(demand, spots, tie, steps)
        for equation, target in zip(demand.steps.equations(tie.kind), targets, strict=True):
            columns, shares = [], []
            for variables, share in ((programme.x, equation.across), (programme.y, equation.along)):
                if share:
                    columns += [variables[tie.first], variables[tie.second]]
                    shares += [share, -share]
            slack = tie.slack_of(equation)
            if not slack:
                programme.row(columns, shares, low=target, high=target)
                continue
            missed = programme.variable(0.0, slack, SLACK_COST)
            programme.row([*columns, missed], [*shares, 1.0], low=target)
            programme.row([*columns, missed], [*shares, -1.0], low=-math.inf, high=target)


def add_pair(
    programme: Programme,
    shapes: Sequence[Shape],
    spots: Sequence[Spot],
    pair: tuple[int, int],
    *,
    reach: float,
    elastic: bool,
) -> None:
    """Keep two parts apart: one half-plane for each pair of convex parts that can meet in this round."""
    i, j = pair
    fit = no_fit(shapes[i], shapes[j])
    along = fit.normals @ np.asarray(difference(spots, i, j)) - fit.reach
    best = along.argmax(axis=1)
    rows = np.arange(len(best))
    near = along[rows, best] <= NEAR_REACHES * reach
    if not near.any():
        return
    normals, needed = fit.normals[rows, best][near], fit.reach[rows, best][near]
    least: dict[tuple[float, float], float] = {}
    for (nx, ny), r in zip(np.round(normals, 9).tolist(), needed.tolist(), strict=True):
        least[nx, ny] = max(least.get((nx, ny), -math.inf), r)
    columns = [programme.x[j], programme.x[i], programme.y[j], programme.y[i]]
    if elastic:
        columns.append(programme.variable(0.0, cost=OVERLAP_COST))
    for (nx, ny), r in least.items():
        shares = (nx, -nx, ny, -ny, 1.0)
        programme.row(columns, shares[: len(columns)], low=r)


def _near(shapes: Sequence[Shape], spots: Sequence[Spot], reach: float) -> Iterator[tuple[int, int]]:
    """Pairs whose boxes are nearer than a reach."""
    x = np.array([s.x_mm for s in spots])
    y = np.array([s.y_mm for s in spots])
    right = x + [s.width_mm for s in shapes]
    foot = y + [s.length_mm for s in shapes]
    across = np.maximum(x[:, None] - right[None], x[None] - right[:, None])
    along = np.maximum(y[:, None] - foot[None], y[None] - foot[:, None])
    for i, j in zip(*np.nonzero(np.triu(np.maximum(across, along) < reach, 1)), strict=True):
        yield int(i), int(j)


def difference(spots: Sequence[Spot], i: int, j: int) -> tuple[float, float]:
    """Place of one part's corner from another's, in mm."""
    return (spots[j].x_mm - spots[i].x_mm, spots[j].y_mm - spots[i].y_mm)


class Programme:
    """Variables with bounds and costs, and rows between bounds; the sum of costs is made least.

    Rows go straight into the solver's own message, which is several times quicker than to set
    coefficients one by one: a search presses layouts some hundred times.
    """

    def __init__(self) -> None:
        self._model = linear_solver_pb2.MPModelProto()
        self.x: list[int] = []  # columns of the parts' corners, across
        self.y: list[int] = []  # and along

    def variable(self, low: float, high: float = math.inf, cost: float = 0.0) -> int:
        """Add a variable; returns its column."""
        self._model.variable.add(lower_bound=low, upper_bound=high, objective_coefficient=cost)
        return len(self._model.variable) - 1

    def row(
        self, columns: Sequence[int], shares: Sequence[float], *, low: float, high: float = math.inf
    ) -> None:
        """Keep ``sum(share * variable)`` between two bounds; every column stands in it once."""
        self._model.constraint.add(var_index=columns, coefficient=shares, lower_bound=low, upper_bound=high)

    def solve(self) -> list[float] | None:
        """Values of all variables, None where no values keep every row."""
        solver = pywraplp.Solver.CreateSolver("GLOP")
        solver.LoadModelFromProto(self._model)
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        return [variable.solution_value() for variable in solver.variables()]
