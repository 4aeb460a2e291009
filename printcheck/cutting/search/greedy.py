"""A layout at once: parts laid one by one at the lowest place of their class, and the order bettered.

Works in true millimetres, so what it gives holds as it stands.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import Demand, Spot
from printcheck.cutting.demand.families import Classes, classes_of
from printcheck.cutting.search.bottom_left import Laying
from printcheck.cutting.search.effort import Effort

SEED = 20  # any number: the same answer each time


@dataclass(frozen=True)
class _Try:
    """One order of laying down, each family's shift along, and the turned groups."""

    order: tuple[int, ...]
    shift: tuple[float, ...]
    turned: tuple[int, ...] = ()


def greedy(
    demand: Demand, effort: Effort, *, bound_mm: float = 0.0, turning: bool = False
) -> tuple[float, tuple[Spot, ...]] | None:
    """Length and layout found by local search over the order of laying down.

    ``effort`` is that of bettering the order; a few orders are tried in any case. None when no order gave a
    layout (a lattice askew, say).
    """
    if not _lays(demand):
        if not demand.steps.two_ways:
            return None
        # what keeps the whole print keeps its rows and its columns too
        demand = replace(demand, ties=tuple(replace(tie, kind="both") for tie in demand.ties))
    rng = random.Random(SEED)
    best: tuple[float, tuple[Spot, ...]] | None = None
    now: tuple[float, _Try] | None = None
    known: dict[tuple[int, ...], Classes] = {}

    def laid(attempt: _Try) -> tuple[float, tuple[Spot, ...]] | None:
        if attempt.turned not in known:
            known[attempt.turned] = classes_of(demand, dict.fromkeys(attempt.turned, True))
        return _lay(demand, attempt, known[attempt.turned], effort)

    for attempt in _starts(demand):
        found = laid(attempt)
        if found and (best is None or found[0] < best[0]):
            best, now = found, (found[0], attempt)
    while now and best and effort.left and best[0] > bound_mm + EPS_MM:
        attempt = _changed(demand, now[1], rng, turning)
        found = laid(attempt)
        if found and found[0] <= now[0] + EPS_MM:
            now = (found[0], attempt)
            if found[0] < best[0] - EPS_MM:
                best = found
    return best


def _lays(demand: Demand) -> bool:
    """Whether every tie's classes run along the axes; the others are left to the solver."""
    steps = demand.steps
    if not demand.ties:
        return True
    if steps.askew:
        return steps.two_ways and all(tie.axes.full for tie in demand.ties)
    levels = any(tie.axes.rows_alone and steps.equations(tie.kind) for tie in demand.ties)
    return steps.level_mm is not None or not levels


def _starts(demand: Demand) -> list[_Try]:
    parts = demand.parts
    keys = (
        lambda n: (-parts[n].length_mm, -parts[n].width_mm, n),
        lambda n: (-parts[n].width_mm, -parts[n].length_mm, n),
        lambda n: (-parts[n].length_mm * parts[n].width_mm, 0.0, n),
    )
    still = (0.0,) * len(parts)
    shaped = any(part.outline for part in parts)  # shapes take a hundred times as long as boxes
    return [_Try(tuple(sorted(range(len(parts)), key=key)), still) for key in keys[: 1 if shaped else None]]


def _changed(demand: Demand, attempt: _Try, rng: random.Random, turning: bool) -> _Try:
    order, count = list(attempt.order), len(attempt.order)
    move = rng.random()
    if count > 1 and move < 0.45:
        i, j = rng.sample(range(count), 2)
        order[i], order[j] = order[j], order[i]
    elif count > 1 and move < 0.85:
        order.insert(rng.randrange(count), order.pop(rng.randrange(count)))
    elif turning and demand.turnable and move < 0.92:
        group = rng.choice(demand.turnable)
        return replace(attempt, turned=tuple(sorted({*attempt.turned} ^ {group})))
    elif demand.ties and demand.steps.row_mm:
        shift = list(attempt.shift)
        shift[rng.randrange(count)] = rng.choice((0.0, rng.random())) * demand.steps.row_mm
        return replace(attempt, shift=tuple(shift))
    return replace(attempt, order=tuple(order))


def _lay(
    demand: Demand, attempt: _Try, classes: Classes, effort: Effort
) -> tuple[float, tuple[Spot, ...]] | None:
    laying, turned = Laying(demand, classes), set(attempt.turned)
    placed = [laying.lay(n, attempt.shift[n], turned=demand.parts[n].group in turned) for n in attempt.order]
    effort.spend(laying.looks)
    return (laying.length_mm, laying.spots()) if all(placed) else None
