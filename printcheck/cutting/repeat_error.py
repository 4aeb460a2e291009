"""What the repeat's error and its skew do to a layout.

A plan here is the lattice step of every tie and, for every two parts, the half-planes that keep them
apart. With those fixed, everything is linear in positions and repeat: what can be laid at both ends of
the error can be laid everywhere between, on no more cloth than the longer end. The best length alone is
no such thing: it jumps where a piece needs one more whole repeat, the cliff.

A print may lie off square to the selvedge (skew, as ASTM D3882 has it). Lengths are those of the print as
meant: on cloth that is not pulled straight, a seam whose two points lie some way apart across the cloth
misses by that way times the slope of the printed rows.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from printcheck.core.findings import Finding, finding
from printcheck.core.lattice import Lattice
from printcheck.core.plan import EPS_MM, MATCH_TOLERANCE_MM, Cloth, CutLayout, Print, RepeatError
from printcheck.cutting.demand.demands import Demand, Spot, Tie, spots_of
from printcheck.cutting.demand.families import classes_of
from printcheck.cutting.demand.lattice_steps import steps_of
from printcheck.cutting.demand.ties import Counts, counts_of
from printcheck.cutting.search.compact import Programme, add_pair, add_ties, difference
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.shortest import shortest
from printcheck.cutting.search.state import Search
from printcheck.cutting.shape.no_fit import no_fit
from printcheck.cutting.shape.simplify import Shape, shapes_of

ERROR_SIGMAS = 2.0  # how far the repeat may plausibly lie off: 95 in 100 of a normal error
CLIFF_SHARE = 0.01  # where no error is known: what a careful hand reads off a tape over one repeat
CLIFF_OVERLAP_MM = 0.5  # mm: what a seam may miss by, and so may give way


def plausible_share(error_share: float) -> float:
    """Share by which the repeat may plausibly differ from what was measured."""
    return ERROR_SIGMAS * error_share


def with_repeat(demand: Demand, along: float, across: float = 1.0) -> Demand:
    """Return the demand on a print whose repeat is larger by these factors."""
    if not demand.steps.basis_mm:
        return demand
    steps = steps_of(Lattice(demand.steps.basis_mm).scaled(across, along))
    ties = tuple(
        replace(tie, offset_mm=(tie.offset_mm[0] * across, tie.offset_mm[1] * along)) for tie in demand.ties
    )
    return replace(demand, steps=steps, ties=ties)


def repeat_error(demand: Demand, layout: CutLayout, share: float, *, seconds: float) -> RepeatError:
    """Return the length that one plan keeps for every repeat within ``share`` either way.

    The plan of the measured repeat is tried first, then plans made for the two ends: parts that touch at a
    lattice step run into each other when the repeat is a little smaller.
    """
    effort = Effort(seconds)
    ends = tuple(with_repeat(demand, 1 + e, 1 + e) for e in (-share, share))
    spots = spots_of(demand, layout)
    best = held_mm(demand, spots, ends)
    for end in ends:
        if best is not None and best <= layout.length_mm * (1 + share):
            break
        found = shortest(Search(end, effort.part(seconds / len(ends)), (spots,))).best
        held = None if found is None else held_mm(end, found.spots, ends)
        best = min((mm for mm in (best, held) if mm is not None), default=None)
    # a plan made for an end may be the shorter one; what was planned is needed all the same
    return RepeatError(share, None if best is None else max(best, layout.length_mm))


def held_mm(demand: Demand, spots: Sequence[Spot], ends: Sequence[Demand]) -> float | None:
    """Length in mm on which the plan of a matched layout holds at every end; None where it does not.

    ``ends`` are the demand of the layout on prints of other repeats.
    """
    shapes, counts = shapes_of(demand, spots), counts_of(demand, spots)
    lengths = [_stretched(end, shapes, spots, counts) for end in ends]
    found = [length for length in lengths if length is not None]
    return max(found) if len(found) == len(ends) else None


def _stretched(
    demand: Demand, shapes: Sequence[Shape], spots: Sequence[Spot], counts: Counts
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
    if gap < -EPS_MM:
        return False
    programme.row((after, before), (1.0, -1.0), low=least)
    return True


def cliffs(demand: Demand, layout: CutLayout, share: float) -> tuple[Finding, ...]:
    """Return a warning for a part that would run into its kin were the repeat a little shorter.

    The lattice steps between the two are kept; where they then overlap, one more row is needed.
    """
    steps = demand.steps
    if steps.level_mm is None:
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
    if worst is None:
        return ()
    own = demand.parts[worst[1]]
    return (
        finding(
            "repeat-cliff",
            piece=own.name,
            length_mm=own.length_mm,
            repeat_mm=steps.row_mm or steps.level_mm,
            percent=100 * share,
            jump_mm=steps.level_mm,
        ),
    )


def off_grain(demand: Demand, layout: CutLayout, print_: Print, cloth: Cloth) -> tuple[Finding, ...]:
    """Say what the skew costs at the seam it hurts most; nothing where every match still holds.

    ``print_`` is as sold, with its skew; washing makes another slope of it.
    """
    slope = abs(math.tan(math.radians(print_.skew_deg)))
    slope *= (1 - cloth.shrink_along) / (1 - cloth.shrink_across)
    rows = [tie for tie in demand.ties if tie.seam is not None and tie.axes.along]
    if not rows:
        return ()
    worst = max(rows, key=lambda tie: _across_mm(demand, layout, tie))
    miss = slope * _across_mm(demand, layout, worst)
    if miss <= MATCH_TOLERANCE_MM:
        return ()
    return (
        finding(
            "cloth-off-grain",
            degrees=abs(print_.skew_deg),
            lean_mm=slope * demand.width_mm,
            first=demand.parts[worst.first].name,
            second=demand.parts[worst.second].name,
            miss_mm=miss,
        ),
    )


def _across_mm(demand: Demand, layout: CutLayout, tie: Tie) -> float:
    """How far apart across the cloth the two points of a seam lie."""
    first, second = (
        layout.placements[n].x_mm + demand.parts[n].point(at, layout.placements[n].turned)[0]
        for n, at in ((tie.first, tie.at_first), (tie.second, tie.at_second))
    )
    return abs(first - second)
