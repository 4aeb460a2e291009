"""A layout at once: parts laid one by one at the lowest place of their class, and the order bettered.

Works in true millimetres, so what it gives holds as it stands: an answer within a tenth of a second, a
start for the solver, and the last resort when time runs out.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from printcheck.cutting.classes import EPS_MM, Classes, classes_of, round_up
from printcheck.cutting.demands import Demand
from printcheck.lattice import Lattice

SEED = 20  # any number: the same answer each time
ASKEW_ROWS = 6  # rows below what is laid where a lattice askew is searched for a place
FAR_MM = 1e9  # mm: a place this far down is none
MANY_COLUMNS = 60  # columns tried for a tied part; further ones are sampled


@dataclass(frozen=True)
class Spot:
    """Where a part lies: its box's corner, in mm, and whether it is turned."""

    x_mm: float
    y_mm: float
    turned: bool = False


@dataclass(frozen=True)
class _Try:
    """One order of laying down, each family's shift along, and the turned groups."""

    order: tuple[int, ...]
    shift: tuple[float, ...]
    turned: tuple[int, ...] = ()


def greedy(
    demand: Demand, *, seconds: float, bound_mm: float = 0.0, turning: bool = False
) -> tuple[float, tuple[Spot, ...]] | None:
    """Shortest layout found by local search over the order of laying down.

    Parameters
    ----------
    demand : Demand
        What the layout must keep.
    seconds : float
        Time to search.
    bound_mm : float
        Stop once this length is reached.
    turning : bool
        Whether groups may be turned.

    Returns
    -------
    (length_mm, spots) or None
        None when no part order gave a layout (a lattice askew, say).
    """
    if not _lays(demand):
        return None
    rng = random.Random(SEED)
    stop = time.monotonic() + seconds
    best: tuple[float, tuple[Spot, ...]] | None = None
    now: tuple[float, _Try] | None = None
    for attempt in _starts(demand):
        found = _lay(demand, attempt)
        if found and (best is None or found[0] < best[0]):
            best, now = found, (found[0], attempt)
    while now and best and time.monotonic() < stop and best[0] > bound_mm + EPS_MM:
        attempt = _changed(demand, now[1], rng, turning)
        found = _lay(demand, attempt)
        if found and found[0] <= now[0] + EPS_MM:
            now = (found[0], attempt)
            if found[0] < best[0] - EPS_MM:
                best = found
    return best


def _lays(demand: Demand) -> bool:
    """Whether every tie's classes run along the axes; the others are left to the solver."""
    steps = demand.steps
    if steps is None or not demand.ties:
        return True
    if steps.askew:
        return len(steps.basis_mm) == 2 and all(tie.kind == "both" for tie in demand.ties)
    levels = any(tie.kind == "level" and steps.equations("level") for tie in demand.ties)
    return steps.level_mm is not None or not levels


def _starts(demand: Demand) -> list[_Try]:
    parts = demand.parts
    keys = (
        lambda n: (-parts[n].length_mm, -parts[n].width_mm, n),
        lambda n: (-parts[n].width_mm, -parts[n].length_mm, n),
        lambda n: (-parts[n].length_mm * parts[n].width_mm, 0.0, n),
    )
    still = (0.0,) * len(parts)
    return [_Try(tuple(sorted(range(len(parts)), key=key)), still) for key in keys]


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
    elif demand.ties and demand.steps and demand.steps.row_mm:
        shift = list(attempt.shift)
        shift[rng.randrange(count)] = rng.choice((0.0, rng.random())) * demand.steps.row_mm
        return replace(attempt, shift=tuple(shift))
    return replace(attempt, order=tuple(order))


def _lay(demand: Demand, attempt: _Try) -> tuple[float, tuple[Spot, ...]] | None:
    classes = classes_of(demand, dict.fromkeys(attempt.turned, True))
    laid: dict[int, tuple[float, float]] = {}
    for n in attempt.order:
        spot = _lowest(demand, classes, laid, n, attempt.shift[n])
        if spot is None:
            return None
        laid[n] = spot
    length = max(laid[n][1] + part.length_mm for n, part in enumerate(demand.parts))
    turned = set(attempt.turned)
    return length, tuple(
        Spot(*laid[n], part.group in turned and part.group in demand.turnable)
        for n, part in enumerate(demand.parts)
    )


def _lowest(
    demand: Demand, classes: Classes, laid: dict[int, tuple[float, float]], n: int, shift: float
) -> tuple[float, float] | None:
    part = demand.parts[n]
    best: tuple[float, float] | None = None
    for x, residue, step in _columns(demand, classes, laid, n):
        low = shift if not step and not laid_kin(classes, laid, n) else 0.0
        y = _lowest_at(demand, laid, (x, part.width_mm, part.length_mm), (low, residue, step))
        if best is None or (y, x) < (best[1], best[0]):
            best = (x, y)
    return best if best is None or best[1] < FAR_MM / 2 else None


def laid_kin(classes: Classes, laid: dict[int, tuple[float, float]], n: int) -> bool:
    """Whether a part of the same rows is laid already."""
    return any(classes.rows.of[m] == classes.rows.of[n] for m in laid)


def _columns(
    demand: Demand, classes: Classes, laid: dict[int, tuple[float, float]], n: int
) -> list[tuple[float, float, float]]:
    """Places across that a part may take, each with the rows it may start at there (step 0: any)."""
    steps, room = demand.steps, demand.width_mm - demand.parts[n].width_mm
    if steps is not None:
        kin = next((m for m in laid if classes.full.of[m] == classes.full.of[n]), None)
        if steps.askew and kin is not None:
            return _askew_spots(demand, classes, laid, n, kin)
        if steps.in_columns and kin is not None:
            assert steps.column_mm is not None and steps.row_mm is not None
            dx = laid[kin][0] + classes.full.at[n][0] - classes.full.at[kin][0]
            dy = laid[kin][1] + classes.full.at[n][1] - classes.full.at[kin][1]
            numbers = _numbers(dx, steps.column_mm, room, _grace(demand))
            return [
                (min(max(dx + k * steps.column_mm, 0.0), room), dy + k * steps.drop_mm, steps.row_mm)
                for k in numbers
            ]
    residue, step = 0.0, 0.0
    kin = next((m for m in laid if classes.rows.of[m] == classes.rows.of[n]), None)
    if steps is not None and steps.level_mm is not None and kin is not None:
        residue = laid[kin][1] + classes.rows.at[n][1] - classes.rows.at[kin][1]
        step = steps.level_mm
    return [(x, residue, step) for x in _free_columns(demand, classes, laid, n, room)]


def _askew_spots(
    demand: Demand, classes: Classes, laid: dict[int, tuple[float, float]], n: int, kin: int
) -> list[tuple[float, float, float]]:
    """Places on a lattice askew, each on its own: there is no second row below it."""
    assert demand.steps is not None
    part = demand.parts[n]
    (a, b), (c, d) = Lattice(demand.steps.basis_mm).reduced().basis_mm
    det = a * d - b * c
    dx = laid[kin][0] + classes.full.at[n][0] - classes.full.at[kin][0]
    dy = laid[kin][1] + classes.full.at[n][1] - classes.full.at[kin][1]
    room = demand.width_mm - part.width_mm
    deep = max(y + demand.parts[m].length_mm for m, (_, y) in laid.items()) + math.hypot(c, d) * ASKEW_ROWS
    corners = [(x - dx, y - dy) for x in (0.0, room) for y in (0.0, deep)]
    i_all = [(x * d - y * c) / det for x, y in corners]
    j_all = [(a * y - b * x) / det for x, y in corners]
    spots = []
    for i in range(math.floor(min(i_all)), math.ceil(max(i_all)) + 1):
        for j in range(math.floor(min(j_all)), math.ceil(max(j_all)) + 1):
            x, y = dx + i * a + j * c, dy + i * b + j * d
            if -EPS_MM <= x <= room + EPS_MM and -EPS_MM <= y <= deep:
                spots.append((min(max(x, 0.0), room), max(y, 0.0), FAR_MM))
    return spots


def _free_columns(
    demand: Demand, classes: Classes, laid: dict[int, tuple[float, float]], n: int, room: float
) -> list[float]:
    steps, part = demand.steps, demand.parts[n]
    if part.fixed_x_mm is not None:
        return [part.fixed_x_mm]
    kin = next((m for m in laid if classes.columns.of[m] == classes.columns.of[n]), None)
    if steps is not None and steps.column_mm is not None and kin is not None:
        dx = laid[kin][0] + classes.columns.at[n][0] - classes.columns.at[kin][0]
        numbers = _numbers(dx, steps.column_mm, room, _grace(demand))
        return [min(max(dx + k * steps.column_mm, 0.0), room) for k in numbers]
    edges = {0.0, room}
    for m, (x, _) in laid.items():
        edges |= {x + demand.parts[m].width_mm, x - part.width_mm}
    return sorted(e for e in edges if -EPS_MM <= e <= room + EPS_MM)


def _grace(demand: Demand) -> float:
    """How far a part may be pushed off its column to fit the cloth: two such pushes make one slack."""
    return max(EPS_MM, *(tie.slack_across_mm / 2 for tie in demand.ties))


def _numbers(base: float, step: float, room: float, grace: float) -> Sequence[int]:
    """Step numbers k with ``0 <= base + k * step <= room``."""
    first, last = math.ceil((-grace - base) / step), math.floor((room + grace - base) / step)
    every = max(1, (last - first) // MANY_COLUMNS)
    return range(first, last + 1, every)


def _lowest_at(
    demand: Demand,
    laid: dict[int, tuple[float, float]],
    box: tuple[float, float, float],
    rows: tuple[float, float, float],
) -> float:
    x, width, height = box
    low, residue, step = rows
    blocks = sorted(
        (y, y + demand.parts[m].length_mm)
        for m, (left, y) in laid.items()
        if left < x + width - EPS_MM and left + demand.parts[m].width_mm > x + EPS_MM
    )
    y = max(0.0, round_up(low, residue, step)) if step else low
    for top, bottom in blocks:  # sorted by their tops: one pass finds the first gap that is high enough
        if top < y + height - EPS_MM and bottom > y + EPS_MM:
            y = round_up(bottom, residue, step) if step else bottom
    return y
