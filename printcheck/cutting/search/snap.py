"""Lattice steps for a layout that was made without them: each tied part moved to the nearest match."""

from __future__ import annotations

from collections.abc import Sequence

from printcheck.cutting.demand.demands import Demand, Spot, Tie
from printcheck.cutting.exact.positions import tie_counts
from printcheck.cutting.search.compact import Counts


def snapped(demand: Demand, spots: Sequence[Spot]) -> tuple[tuple[Spot, ...], Counts]:
    """Move each tied part the least that meets its ties, and read the steps off.

    Families are walked from their largest part outwards, so that a chain of ties does not add up its
    roundings; a tie that closes a ring takes the nearest step.
    """
    placed = list(spots)
    area = [p.width_mm * p.length_mm for p in demand.parts]
    done: set[int] = set()
    for root in sorted(range(len(placed)), key=lambda n: -area[n]):
        if root in done:
            continue
        done.add(root)
        while edge := _next_edge(demand, done):
            tie, new = edge
            placed[new] = moved_to_match(demand, placed, tie, new)
            done.add(new)
    return tuple(placed), tuple(tie_counts(demand, placed, tie) for tie in demand.ties)


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
    steps, spot = demand.steps, spots[new]
    if steps is None:
        return spot
    counts = tie_counts(demand, spots, tie)
    a = demand.parts[tie.first].point(tie.at_first, spots[tie.first].turned)
    b = demand.parts[tie.second].point(tie.at_second, spots[tie.second].turned)
    dx = spots[tie.first].x_mm + a[0] - spots[tie.second].x_mm - b[0] - tie.offset_mm[0]
    dy = spots[tie.first].y_mm + a[1] - spots[tie.second].y_mm - b[1] - tie.offset_mm[1]
    sign = 1.0 if new == tie.first else -1.0
    x, y = spot.x_mm, spot.y_mm
    for equation in steps.equations(tie.kind):
        target = sum(s * k for s, k in zip(equation.steps_mm, counts, strict=True))
        miss = target - equation.across * dx - equation.along * dy
        x += sign * miss * equation.across
        y += sign * miss * equation.along
    return Spot(x, y, spot.turned)
