"""Ties of a layout: the lattice steps they lie at, whether they are met, the least move that meets one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from printcheck.core.lattice import Vector
from printcheck.core.plan import MATCH_TOLERANCE_MM
from printcheck.cutting.demand.demands import Demand, Spot, Tie
from printcheck.cutting.demand.lattice_steps import Equation

Counts = tuple[tuple[int, ...], ...]
"""Lattice steps of every tie."""

ROUNDING_MM = 0.1  # mm: of the solver's grid; a fifth of what a match may miss by
NOISE_MM = 1e-7  # mm: of sums in floating point
PAIRS = range(-60, 61)  # steps tried where one axis of a lattice askew is asked for alone


def keeps_ties(demand: Demand, spots: Sequence[Spot]) -> bool:
    """Whether a layout meets every tie, each equation within its slack, all within a match."""
    for tie in demand.ties:
        missed = 0.0
        for equation, miss in misses(demand, spots, tie):
            if abs(miss) > tie.slack_of(equation) + ROUNDING_MM:
                return False
            missed = math.hypot(missed, miss)
        if missed > MATCH_TOLERANCE_MM * tie.may_miss_share - NOISE_MM:
            return False
    return True


def misses(demand: Demand, spots: Sequence[Spot], tie: Tie) -> list[tuple[Equation, float]]:
    """Equations of a tie, each with what a layout lacks of it, mm."""
    dx, dy = seam_gap(demand, spots, tie)
    counts = tie_counts(demand, spots, tie)
    return [
        (e, _length_of(e, counts) - e.across * dx - e.along * dy) for e in demand.steps.equations(tie.kind)
    ]


def _length_of(equation: Equation, counts: Sequence[int]) -> float:
    return sum(step * k for step, k in zip(equation.steps_mm, counts, strict=True))


def tie_rows(demand: Demand, spots: Sequence[Spot], tie: Tie, counts: Sequence[int]) -> list[float]:
    """What each equation of a tie asks of the difference of the two parts' corners, mm."""
    own = offset_of(demand, tie, spots[tie.first].turned, spots[tie.second].turned)
    return [
        _length_of(e, counts) - e.across * own[0] - e.along * own[1] for e in demand.steps.equations(tie.kind)
    ]


def counts_of(demand: Demand, spots: Sequence[Spot]) -> Counts:
    """Lattice steps of every tie, read off a layout that meets them nearly."""
    return tuple(tie_counts(demand, spots, tie) for tie in demand.ties)


def tie_counts(demand: Demand, spots: Sequence[Spot], tie: Tie) -> tuple[int, ...]:
    """Lattice steps of one tie."""
    equations = demand.steps.equations(tie.kind)
    if not equations:
        return ()
    dx, dy = seam_gap(demand, spots, tie)
    targets = [e.across * dx + e.along * dy for e in equations]
    if len(equations) == 2:
        (a, c), (b, d) = equations[0].steps_mm, equations[1].steps_mm
        det = a * d - b * c
        k1 = round((targets[0] * d - c * targets[1]) / det)
        return (k1, round((targets[1] - k1 * b) / d)) if d else (k1, round((targets[0] - k1 * a) / c))
    if len(equations[0].steps_mm) == 1:
        return (round(targets[0] / equations[0].steps_mm[0]),)
    return _nearest_pair(targets[0], equations[0])


def _nearest_pair(target: float, equation: Equation) -> tuple[int, int]:
    """Two steps whose sum comes nearest to a length."""
    a, b = equation.steps_mm
    big, small = (a, b) if abs(a) >= abs(b) else (b, a)
    found = []
    for k in PAIRS:
        n = round((target - k * small) / big)
        found.append((abs(target - k * small - n * big), abs(k), (n, k) if big is a else (k, n)))
    return min(found)[2]


def offset_of(demand: Demand, tie: Tie, first_turned: bool, second_turned: bool) -> Vector:
    """What a tie adds to the difference of its parts' corners: first less second."""
    a = demand.parts[tie.first].point(tie.at_first, first_turned)
    b = demand.parts[tie.second].point(tie.at_second, second_turned)
    return (a[0] - b[0] - tie.offset_mm[0], a[1] - b[1] - tie.offset_mm[1])


def seam_gap(demand: Demand, spots: Sequence[Spot], tie: Tie) -> Vector:
    """Gap between the two points of a tie in a layout, which is to be a vector of the lattice."""
    one, two = spots[tie.first], spots[tie.second]
    x, y = offset_of(demand, tie, one.turned, two.turned)
    return (one.x_mm - two.x_mm + x, one.y_mm - two.y_mm + y)


def snapped(demand: Demand, spots: Sequence[Spot]) -> tuple[Spot, ...]:
    """Move each tied part the least that meets its ties.

    Families are walked from their largest part outwards, so that a chain of ties does not add up its
    roundings; a tie that closes a ring is left to the lattice step nearest to it.
    """
    placed = list(spots)
    area = [p.width_mm * p.length_mm for p in demand.parts]
    done: set[int] = set()
    for root in sorted(range(len(placed)), key=lambda n: -area[n]):
        done.add(root)
        while edge := _next_edge(demand, done):
            tie, new = edge
            placed[new] = moved_to_match(demand, placed, tie, new)
            done.add(new)
    return tuple(placed)


def _next_edge(demand: Demand, done: set[int]) -> tuple[Tie, int] | None:
    """Tie from a part already placed to one that is not; full matches first, they leave no choice."""
    edges = [
        (not tie.axes.full, n, tie, tie.second if tie.first in done else tie.first)
        for n, tie in enumerate(demand.ties)
        if (tie.first in done) != (tie.second in done)
    ]
    return min(edges, key=lambda e: e[:2])[2:] if edges else None


def moved_to_match(demand: Demand, spots: Sequence[Spot], tie: Tie, new: int) -> Spot:
    """Place of one part of a tie moved the least that meets the tie."""
    sign = 1.0 if new == tie.first else -1.0
    x, y = spots[new].x_mm, spots[new].y_mm
    for equation, miss in misses(demand, spots, tie):
        x += sign * miss * equation.across
        y += sign * miss * equation.along
    return Spot(x, y, spots[new].turned)
