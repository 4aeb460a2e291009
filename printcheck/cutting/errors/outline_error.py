"""The repeat's error carried through a layout of outlines: the length that one plan keeps for all of it.

A plan here is the lattice step of every tie and, for every two parts, the half-planes that keep them
apart. With those fixed, everything is linear in positions and repeat: what can be laid at both ends of
the error can be laid everywhere between, on no more cloth than the longer end.
"""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Sequence

import numpy as np

from printcheck.core.findings import Finding
from printcheck.core.plan import CutLayout, RepeatError
from printcheck.cutting.demand.demands import Demand, Spot, spots_of
from printcheck.cutting.demand.families import classes_of
from printcheck.cutting.errors.repeat_error import cliff_finding, with_repeat
from printcheck.cutting.exact.linear_program import Programme
from printcheck.cutting.search.compact import add_pair, add_ties, counts_of, difference, shapes_of
from printcheck.cutting.search.matched_outlines import Matching, snap_all
from printcheck.cutting.search.overlap_removal import improve
from printcheck.cutting.shape.no_fit import no_fit
from printcheck.cutting.shape.simplify import Shape

CLIFF_OVERLAP_MM = 0.5  # mm: what a seam may miss by, and so may give way
ROUNDING_MM = 1e-6  # mm: boxes that run into each other by less lie beside each other


def held_outlines_mm(demand: Demand, spots: Sequence[Spot], ends: Sequence[Demand]) -> float | None:
    """Length in mm on which the plan of a matched layout holds at every end; None where it does not.

    Parameters
    ----------
    demand : Demand
        The demand the layout was made for.
    spots : sequence of Spot
        The layout.
    ends : sequence of Demand
        The same demand on prints of other repeats.
    """
    shapes, counts = shapes_of(demand, spots), counts_of(demand, spots)
    lengths = [_stretched(end, shapes, spots, counts) for end in ends]
    found = [length for length in lengths if length is not None]
    return max(found) if len(found) == len(ends) else None


def _stretched(
    demand: Demand, shapes: Sequence[Shape], spots: Sequence[Spot], counts: tuple[tuple[int, ...], ...]
) -> float | None:
    """Shortest length of a plan on one repeat."""
    programme = Programme()
    length = programme.variable(0.0, cost=1.0)
    for part in demand.parts:
        low, high = 0.0, max(0.0, demand.width_mm - part.width_mm)
        if part.fixed_x_mm is not None:
            low = high = part.fixed_x_mm
        programme.x.append(programme.variable(low, high))
        programme.y.append(programme.variable(0.0))
        programme.row((length, programme.y[-1]), (1.0, -1.0), low=part.length_mm)
    add_ties(programme, demand, spots, counts)
    for j in range(len(shapes)):
        for i in range(j):
            if not _add_boxes(programme, shapes, spots, i, j):
                add_pair(programme, shapes, spots, (i, j), reach=math.inf, elastic=False)
    values = programme.solve()
    return None if values is None else values[length]


def _add_boxes(programme: Programme, shapes: Sequence[Shape], spots: Sequence[Spot], i: int, j: int) -> bool:
    """Keep two parts apart by their boxes, where those lie apart: along the axis with more room."""
    d = difference(spots, i, j)
    sizes = [(shapes[k].width_mm, shapes[k].length_mm) for k in (i, j)]
    gaps = []
    for axis, variables in ((0, programme.x), (1, programme.y)):
        gaps.append((d[axis] - sizes[0][axis], sizes[0][axis], variables[j], variables[i]))
        gaps.append((-d[axis] - sizes[1][axis], sizes[1][axis], variables[i], variables[j]))
    gap, least, after, before = max(gaps, key=lambda g: g[0])
    if gap < -ROUNDING_MM:
        return False
    programme.row((after, before), (1.0, -1.0), low=least)
    return True


def outline_error(demand: Demand, layout: CutLayout, share: float, *, seconds: float) -> RepeatError:
    """What an error of the repeat, a share either way, does to the length of a layout of outlines.

    The plan of the measured repeat is tried first, then plans bettered for the two ends: parts that
    touch at a lattice step run into each other when the repeat is a little smaller.
    """
    stop = time.monotonic() + seconds
    ends = tuple(with_repeat(demand, 1 + e, 1 + e) for e in (-share, share))
    spots = spots_of(demand, layout)
    best = held_outlines_mm(demand, spots, ends)
    for number, end in enumerate(ends, start=1):
        if best is not None:
            break
        search = Matching(end, stop - (stop - time.monotonic()) * (1 - number / len(ends)), [spots])
        snap_all(search)
        improve(search, number)
        if search.best is not None:
            best = held_outlines_mm(end, search.best.spots, ends)
    # a plan bettered for an end may be the shorter one; what was planned is needed all the same
    safe = None if best is None else max(best, layout.length_mm)
    return RepeatError(share, layout.length_mm, safe)


def outline_cliffs(demand: Demand, layout: CutLayout, share: float) -> tuple[Finding, ...]:
    """Return a warning for a part that would run into its kin were the repeat a little shorter.

    The lattice steps between the two are kept; where they then overlap, one more row is needed.
    """
    steps = demand.steps
    if steps is None or steps.level_mm is None:
        return ()
    now, then = classes_of(demand).rows, classes_of(with_repeat(demand, 1 - share)).rows
    spots = spots_of(demand, layout)
    shapes = shapes_of(demand, spots)
    worst: tuple[float, int] | None = None
    for upper, lower in itertools.permutations(range(len(spots)), 2):
        dx, dy = difference(spots, upper, lower)
        if now.of[upper] != now.of[lower] or dy <= 0:
            continue
        gap, shorter = (rows.at[lower][1] - rows.at[upper][1] for rows in (now, then))
        moved = shorter + (dy - gap) * (1 - share)
        overlap = -no_fit(shapes[upper], shapes[lower]).apart_mm(np.array([(dx, moved)]))[0]
        if overlap > CLIFF_OVERLAP_MM and (worst is None or overlap > worst[0]):
            worst = (overlap, upper)
    return () if worst is None else (cliff_finding(demand, worst[1], share, steps.level_mm),)
