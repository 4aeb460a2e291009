"""True positions for a layout found on whole numbers: seams met exactly, sizes as they are.

Once it is settled which part lies beside or below which, and how many lattice steps join each seam,
every demand is a difference of two positions. Such a system needs no general solver: the longest paths
from the cloth's edge give the leftmost and shortest positions, or show that there are none.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from printcheck.core.plan import MATCH_TOLERANCE_MM
from printcheck.cutting.demand.demands import Demand, Spot, Tie
from printcheck.cutting.demand.lattice_steps import Equation

NOISE_MM = 1e-7  # mm: an arc that gains less than this is met
SLACK_SHARES = (0.0, 0.25, 0.5, 1.0)  # of the slack a tie allows: the least that works is taken

Arc = tuple[int, int, float]  # position[second] - position[first] is at least the third, -1 the edge
Relation = tuple[int, int, int]  # axis, the part that comes first on it, the part after it


@dataclass(frozen=True)
class Frame:
    """What stays of a layout when its millimetres change: neighbours, lattice steps and turns."""

    relations: tuple[Relation, ...]
    counts: tuple[tuple[int, ...], ...]  # steps of each tie
    turned: tuple[bool, ...]


def polished(demand: Demand, spots: Sequence[Spot]) -> tuple[float, tuple[Spot, ...]] | None:
    """Return the shortest true layout near a rounded one, trying several readings of its neighbours."""
    best: tuple[float, tuple[Spot, ...]] | None = None
    for frame in frames_of(demand, spots):
        found = stretched(demand, frame)
        if found is not None and (best is None or found[0] < best[0] - NOISE_MM):
            best = found
    return best


def frames_of(demand: Demand, spots: Sequence[Spot]) -> list[Frame]:
    """Readings of a layout's neighbours: by the wider gap, leaning to beside, leaning to below."""
    counts = tuple(tie_counts(demand, spots, tie) for tie in demand.ties)
    turned = tuple(spot.turned for spot in spots)
    return [Frame(tuple(_relations(demand, spots, lean)), counts, turned) for lean in (0.0, _LEAN, -_LEAN)]


_LEAN = 1e9  # mm: more than any gap, so that it decides


def stretched(demand: Demand, frame: Frame) -> tuple[float, tuple[Spot, ...]] | None:
    """Return the shortest layout of a frame on this demand's sizes and lattice, or None."""
    # a slanting stripe ties the axes to each other: settle along first, then across, or the other way
    for first in (1, 0) if _slanting(demand) else (0,):
        one = _settled(demand, frame, axis=first, other=None)
        two = None if one is None else _settled(demand, frame, axis=1 - first, other=one)
        if one is None or two is None:
            continue
        xs, ys = (two, one) if first else (one, two)
        length = max(y + part.length_mm for y, part in zip(ys, demand.parts, strict=True))
        return length, tuple(Spot(x, y, t) for x, y, t in zip(xs, ys, frame.turned, strict=True))
    return None


def _slanting(demand: Demand) -> bool:
    """Whether an equation mixes both axes."""
    steps = demand.steps
    return steps is not None and any(
        e.across and e.along for tie in demand.ties for e in steps.equations(tie.kind)
    )


def keeps_ties(demand: Demand, spots: Sequence[Spot]) -> bool:
    """Whether a layout meets every tie, each equation within its slack, all within a match."""
    for tie in demand.ties:
        dx, dy = _difference(demand, spots, tie)
        counts = tie_counts(demand, spots, tie)
        missed = 0.0
        for equation in demand.steps.equations(tie.kind) if demand.steps else ():
            target = sum(step * k for step, k in zip(equation.steps_mm, counts, strict=True))
            miss = abs(equation.across * dx + equation.along * dy - target)
            if miss > tie.slack_of(equation) + _TIE_NOISE_MM:
                return False
            missed = math.hypot(missed, miss)
        if missed > MATCH_TOLERANCE_MM * tie.may_miss_share - NOISE_MM:
            return False
    return True


_TIE_NOISE_MM = 0.1  # mm: rounding of the grid; a fifth of what a match may miss by


def tie_counts(demand: Demand, spots: Sequence[Spot], tie: Tie) -> tuple[int, ...]:
    """Lattice steps of a tie, read off a layout that meets it nearly."""
    steps = demand.steps
    assert steps is not None
    equations = steps.equations(tie.kind)
    if not equations:
        return ()
    dx, dy = _difference(demand, spots, tie)
    targets = [e.across * dx + e.along * dy for e in equations]
    if len(equations) == 2:
        (a, c), (b, d) = equations[0].steps_mm, equations[1].steps_mm
        det = a * d - b * c
        k1 = round((targets[0] * d - c * targets[1]) / det)
        return (k1, round((targets[1] - k1 * b) / d)) if d else (k1, round((targets[0] - k1 * a) / c))
    if len(equations[0].steps_mm) == 1:
        return (round(targets[0] / equations[0].steps_mm[0]),)
    return _nearest_pair(targets[0], equations[0])


_PAIRS = range(-60, 61)  # steps tried where one axis of a lattice askew is asked for alone


def _nearest_pair(target: float, equation: Equation) -> tuple[int, int]:
    """Two steps whose sum comes nearest to a length."""
    a, b = equation.steps_mm
    big, small = (a, b) if abs(a) >= abs(b) else (b, a)
    misses = []
    for k in _PAIRS:
        n = round((target - k * small) / big)
        misses.append((abs(target - k * small - n * big), abs(k), (n, k) if big is a else (k, n)))
    return min(misses)[2]


def _difference(demand: Demand, spots: Sequence[Spot], tie: Tie) -> tuple[float, float]:
    first, second = demand.parts[tie.first], demand.parts[tie.second]
    a = first.point(tie.at_first, spots[tie.first].turned)
    b = second.point(tie.at_second, spots[tie.second].turned)
    one, two = spots[tie.first], spots[tie.second]
    return (
        one.x_mm + a[0] - two.x_mm - b[0] - tie.offset_mm[0],
        one.y_mm + a[1] - two.y_mm - b[1] - tie.offset_mm[1],
    )


def _relations(demand: Demand, spots: Sequence[Spot], lean: float) -> Iterator[Relation]:
    """One relation of every two parts: the one with most room, or as ``lean`` prefers (beside > below)."""
    parts = demand.parts
    for i, j in itertools.combinations(range(len(parts)), 2):
        gaps = []
        for first, after in ((i, j), (j, i)):
            one, two = spots[first], spots[after]
            beside = two.x_mm - one.x_mm - parts[first].width_mm
            below = two.y_mm - one.y_mm - parts[first].length_mm
            gaps.append((beside + (lean if beside > -_NEAR_MM else 0.0), (0, first, after)))
            gaps.append((below, (1, first, after)))
        yield max(gaps)[1]


_NEAR_MM = 0.3  # mm: parts that lie this near to beside each other on the grid may be truly so


def _settled(demand: Demand, frame: Frame, *, axis: int, other: list[float] | None) -> list[float] | None:
    """Positions on one axis with as little of the ties' slack as works."""
    slack = any(tie.slack_mm > 0 for tie in demand.ties)
    for share in SLACK_SHARES if slack else (0.0,):
        arcs = [*_edge_arcs(demand, axis), *_neighbour_arcs(demand, frame, axis)]
        arcs += _tie_arcs(demand, frame, axis, other, share)
        found = longest_paths(len(demand.parts), arcs)
        if found is not None:
            return found
    return None


def _edge_arcs(demand: Demand, axis: int) -> Iterator[Arc]:
    for n, part in enumerate(demand.parts):
        yield (-1, n, 0.0)
        if axis == 0:
            yield (n, -1, part.width_mm - demand.width_mm)
            if part.fixed_x_mm is not None:
                yield (-1, n, part.fixed_x_mm)


def _neighbour_arcs(demand: Demand, frame: Frame, axis: int) -> Iterator[Arc]:
    for along, first, after in frame.relations:
        if along == axis:
            part = demand.parts[first]
            yield (first, after, part.length_mm if axis else part.width_mm)


def _tie_arcs(
    demand: Demand, frame: Frame, axis: int, other: list[float] | None, share: float
) -> Iterator[Arc]:
    steps = demand.steps
    for tie, counts in zip(demand.ties, frame.counts, strict=True):
        for equation in steps.equations(tie.kind) if steps else ():
            shares = (equation.across, equation.along)
            mixed = shares[0] and shares[1]
            if not shares[axis] or (mixed and other is None):
                continue
            target = sum(step * k for step, k in zip(equation.steps_mm, counts, strict=True))
            offset = _offset(demand, frame, tie)
            if mixed and other is not None:  # the other axis is settled
                target -= shares[1 - axis] * (other[tie.first] - other[tie.second] + offset[1 - axis])
            value = target / shares[axis] - offset[axis]
            slack = share * (tie.slack_along_mm if axis else tie.slack_across_mm)
            yield (tie.second, tie.first, value - slack)
            yield (tie.first, tie.second, -value - slack)


def _offset(demand: Demand, frame: Frame, tie: Tie) -> tuple[float, float]:
    a = demand.parts[tie.first].point(tie.at_first, frame.turned[tie.first])
    b = demand.parts[tie.second].point(tie.at_second, frame.turned[tie.second])
    return (a[0] - b[0] - tie.offset_mm[0], a[1] - b[1] - tie.offset_mm[1])


def longest_paths(count: int, arcs: Sequence[Arc]) -> list[float] | None:
    """Least positions, all from 0, that keep every arc; None where arcs contradict (Bellman, Ford)."""
    at = [0.0] * (count + 1)  # the edge stands last, so that -1 names it
    for _ in range(count + 2):
        moved = False
        for first, second, least in arcs:
            if at[first] + least > at[second] + NOISE_MM:
                if second == -1:
                    return None
                at[second] = at[first] + least
                moved = True
        if not moved:
            return at[:count]
    return None
