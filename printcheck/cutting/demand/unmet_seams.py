"""Seams that the print cannot meet on this cloth: found before any search, named and explained.

Two things can stand in the way. A ring of seams (a skirt closed round) may come back to its start a
part of a repeat off, and no placement changes that. And full widths have little or no room to move
across: their columns may not meet. Up to what a match may miss by, the miss is shared out as slack.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, replace

from printcheck.core.findings import Finding, finding
from printcheck.core.plan import EPS_MM, MATCH_TOLERANCE_MM, Print, Project
from printcheck.core.results.comparisons import Match
from printcheck.cutting.demand.demands import Demand, demands_of
from printcheck.cutting.demand.families import Classes, Miss, classes_of, members

SLACK_MM = 0.9 * MATCH_TOLERANCE_MM  # mm: what a seam may miss by in a layout, a tenth kept for rounding

AXIS_WORDS = {"both": "the print", "level": "the rows", "upright": "the columns"}


@dataclass(frozen=True)
class Squeeze:
    """Columns of one family against the cloth: the least push off the columns that lets all fit.

    ``pair`` are the two parts that stand worst against each other, by ``gap_mm``.
    """

    push_mm: float
    gap_mm: float
    pair: tuple[int, int]


def settle(demand: Demand) -> tuple[Demand | None, tuple[Finding, ...]]:
    """Return the demand, with slack where it is needed, or None and what stands in its way."""
    if not demand.ties:
        return demand, ()
    classes = classes_of(demand)
    worst = [m for m in classes.misses if m.miss_mm > SLACK_MM * m.ring]
    if worst:
        return None, (_ring_finding(demand, max(worst, key=lambda m: m.miss_mm)),)
    across: dict[int, float] = {}
    along: dict[int, float] = {}
    families = {"both": classes.full, "level": classes.rows, "upright": classes.columns}
    for m in classes.misses:
        for n in members(families[m.axis], demand.ties[m.tie].first):
            across[n] = max(across.get(n, 0.0), _enough(m.across_mm))
            along[n] = max(along.get(n, 0.0), _enough(m.along_mm))
    for squeeze in _squeezes(demand, classes):
        if 2 * squeeze.push_mm > SLACK_MM:
            return None, (_width_finding(demand, squeeze),)
        for n in members(classes.columns, squeeze.pair[0]):
            across[n] = max(across.get(n, 0.0), _enough(2 * squeeze.push_mm))
    ties = tuple(
        replace(t, slack_across_mm=across.get(t.first, 0.0), slack_along_mm=along.get(t.first, 0.0))
        for t in demand.ties
    )
    return replace(demand, ties=ties), ()


def settled_match(project: Project, print_: Print, match: Match) -> Demand | None:
    """Matched demand of a project, with its slack; None where a seam cannot be met."""
    demand = demands_of(project, print_, match=match).matched
    return None if demand is None else settle(demand)[0]


def _enough(miss_mm: float) -> float:
    """Slack of one tie for a miss, with some room for rounding and never more than a match allows."""
    return 0.0 if miss_mm <= EPS_MM else min(SLACK_MM, miss_mm + _ROUNDING_MM)


_ROUNDING_MM = 0.05  # mm: half the step of the rounded grid


def _squeezes(demand: Demand, classes: Classes) -> Iterable[Squeeze]:
    """One squeeze for each family of columns with two parts or more."""
    step = demand.steps.column_mm
    if step is None:
        return
    for root in sorted(set(classes.columns.of)):
        if len(family := list(members(classes.columns, root))) > 1:
            yield _squeeze(demand, classes, family, step)


def _squeeze(demand: Demand, classes: Classes, family: list[int], step: float) -> Squeeze:
    """Phase of the family's columns that pushes its worst part least.

    Part n fits for phases from ``-at`` to ``-at + room``, modulo the step: an arc. The best phase is an
    arc's end or lies half-way between two arcs.
    """
    arcs = {}
    for n in family:
        part = demand.parts[n]
        start = -classes.columns.at[n][0] + (part.fixed_x_mm or 0.0)
        room = 0.0 if part.fixed_x_mm is not None else demand.width_mm - part.width_mm
        arcs[n] = (start % step, room)
    phases = {(start + end) % step for start, room in arcs.values() for end in (0.0, room)}
    gaps = {}
    for one, two in itertools.permutations(family, 2):
        end = arcs[one][0] + arcs[one][1]
        gap = (arcs[two][0] - end) % step
        phases.add((end + gap / 2) % step)
        gaps[one, two] = min(_apart(arcs[one], arcs[two], step), _apart(arcs[two], arcs[one], step))
    push = min(max(_off_arc(phase, arc, step) for arc in arcs.values()) for phase in phases)
    pair = max(gaps, key=lambda key: (round(gaps[key], 6), _tied(demand, key)))
    return Squeeze(push, gaps[pair], pair)


def _off_arc(phase: float, arc: tuple[float, float], step: float) -> float:
    start, room = arc
    after = (phase - start) % step
    return 0.0 if after <= room or room >= step else min(after - room, step - after)


def _apart(one: tuple[float, float], two: tuple[float, float], step: float) -> float:
    """Gap between two arcs going one way round; 0 where they meet."""
    inside = (two[0] - one[0]) % step
    return 0.0 if inside <= one[1] else min(inside - one[1], max(0.0, step - inside - two[1]))


def _tied(demand: Demand, pair: tuple[int, int]) -> bool:
    return any({tie.first, tie.second} == set(pair) for tie in demand.ties)


def _ring_finding(demand: Demand, miss: Miss) -> Finding:
    tie = demand.ties[miss.tie]
    if tie.seam is None:
        first, second = demand.parts[tie.first].name, demand.parts[tie.second].name
        return finding("place-cannot-be-met", first=first, second=second, miss_mm=miss.miss_mm)
    name = _seam_name(demand, (tie.first, tie.second), tie.seam)
    return finding("seam-ring-open", seam=name, what=AXIS_WORDS[miss.axis], miss_mm=miss.miss_mm)


def _width_finding(demand: Demand, squeeze: Squeeze) -> Finding:
    pair = squeeze.pair
    seams = [t.seam for t in demand.ties if {t.first, t.second} == set(pair) and t.seam is not None]
    step = demand.steps.column_mm
    assert step is not None  # there are columns that do not meet
    return finding(
        "seam-widths-do-not-join",
        seam=_seam_name(demand, pair, seams[0] if seams else None),
        miss_mm=max(squeeze.gap_mm, squeeze.push_mm),
        column_mm=step,
        columns=demand.width_mm / step,
        narrower_mm=max(squeeze.gap_mm, 2 * squeeze.push_mm),
        widest_mm=max(demand.parts[n].width_mm for n in pair),
    )


def _seam_name(demand: Demand, pair: tuple[int, int], seam: int | None) -> str:
    """Name a seam in a sentence by its number in the project and its two copies."""
    first, second = (demand.parts[n].name for n in sorted(pair))
    number = "The seam" if seam is None else f"Seam {seam + 1}"
    return f"{number} ({first} to {second})"
