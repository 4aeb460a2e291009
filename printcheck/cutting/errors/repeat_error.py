"""What the repeat's error does to the length: one plan that holds for all of it, and the cliff.

Once lattice steps and neighbours are settled, positions and length depend on the repeat in straight
lines, so the repeats for which a plan can be laid form one unbroken range, and its length is convex on
it. A plan that can be laid at both ends of the error can therefore be laid everywhere between, on no
more cloth than the longer end. The best length alone is no such thing: it jumps where a piece needs one
more whole repeat.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

from printcheck.core.findings import Finding, finding
from printcheck.core.lattice import Lattice
from printcheck.core.plan import CutLayout, RepeatError
from printcheck.cutting.demand.demands import Demand, Spot, spots_of
from printcheck.cutting.demand.families import classes_of, least_step
from printcheck.cutting.demand.lattice_steps import steps_of
from printcheck.cutting.exact.positions import frames_of, stretched
from printcheck.cutting.search.rectangle_search import shortest

ERROR_SIGMAS = 2.0  # how far the repeat may plausibly lie off: 95 in 100 of a normal error
CLIFF_SHARE = 0.01  # where no error is known: what a careful hand reads off a tape over one repeat
TOUCHING_MM = 0.2  # mm: pieces this near to their least distance lie as close as rows allow


def plausible_share(error_share: float) -> float:
    """Share by which the repeat may plausibly differ from what was measured."""
    return ERROR_SIGMAS * error_share


def with_repeat(demand: Demand, along: float, across: float = 1.0) -> Demand:
    """Return the demand on a print whose repeat is larger by these factors."""
    if demand.steps is None:
        return demand
    steps = steps_of(Lattice(demand.steps.basis_mm).scaled(across, along))
    ties = tuple(
        replace(tie, offset_mm=(tie.offset_mm[0] * across, tie.offset_mm[1] * along)) for tie in demand.ties
    )
    return replace(demand, steps=steps, ties=ties)


def repeat_error(demand: Demand, layout: CutLayout, share: float, *, seconds: float) -> RepeatError:
    """Return the length that one plan keeps for every repeat within ``share`` either way.

    The plan of the measured repeat is tried first, then plans made for the two ends.
    """
    stop = time.monotonic() + seconds
    ends = tuple(with_repeat(demand, 1 + e, 1 + e) for e in (-share, share))
    best = held_mm(demand, spots_of(demand, layout), ends)
    for end in ends:
        limit = (stop - time.monotonic()) / 2
        if limit <= 0 or (best is not None and best <= layout.length_mm * (1 + share)):
            break
        found = shortest(end, seconds=limit)
        if found.spots:
            safe = held_mm(end, found.spots, ends)
            best = min((v for v in (best, safe) if v is not None), default=None)
    return RepeatError(share, layout.length_mm, best)


def held_mm(demand: Demand, spots: Sequence[Spot], ends: Sequence[Demand]) -> float | None:
    """Length on which one plan holds at every end; None where it does not hold at one."""
    best: float | None = None
    for frame in frames_of(demand, spots):
        laid = [stretched(end, frame) for end in ends]
        lengths = [found[0] for found in laid if found is not None]
        if len(lengths) == len(ends) and (best is None or max(lengths) < best):
            best = max(lengths)
    return best


def cliffs(demand: Demand, layout: CutLayout, share: float) -> tuple[Finding, ...]:
    """Return a warning for the piece that would need a further repeat were the repeat a little shorter."""
    steps = demand.steps
    if steps is None or steps.level_mm is None:
        return ()
    shorter = with_repeat(demand, 1 - share)
    now, then = classes_of(demand), classes_of(shorter)
    worst: tuple[float, int] | None = None
    spots = layout.placements
    for upper, one in enumerate(spots):
        for lower, two in enumerate(spots):
            if upper == lower or now.rows.of[upper] != now.rows.of[lower]:
                continue
            step = least_step(demand, now, upper, lower)
            jump = least_step(shorter, then, upper, lower) - step
            touching = abs(two.y_mm - one.y_mm - step) <= TOUCHING_MM
            if touching and jump > steps.level_mm / 2 and (worst is None or jump > worst[0]):
                worst = (jump, upper)
    if worst is None:
        return ()
    return (cliff_finding(demand, worst[1], share, worst[0]),)


def cliff_finding(demand: Demand, part: int, share: float, jump_mm: float) -> Finding:
    """Warning that a part only just clears whole repeats, and what one more would cost."""
    steps, own = demand.steps, demand.parts[part]
    assert steps is not None
    return finding(
        "repeat-cliff",
        piece=own.name,
        length_mm=own.length_mm,
        repeat_mm=steps.row_mm or steps.level_mm or 0.0,
        percent=100 * share,
        jump_mm=jump_mm,
    )
