"""Lengths that no layout can go below, found without search."""

from __future__ import annotations

import math

from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import Demand
from printcheck.cutting.demand.families import Classes, classes_of, least_step
from printcheck.cutting.demand.integer_grid import Grid
from printcheck.cutting.exact.dual_feasible import Scale, scales_of

PAIRED_SCALES = 6  # scales of each axis that are tried together
MOST_TARGETS = 60  # targets looked at; with leaps they reach far
MOST_IN_ORDER = 13  # parts whose best order is found exactly: the work doubles with each more


def cheap_bound_mm(demand: Demand, states: list[Classes] | None = None) -> float:
    """Greatest of three bounds: area over width, the longest part, parts too wide to lie side by side."""
    area = sum(p.width_mm * p.length_mm for p in demand.parts) / demand.width_mm
    tallest = max(p.length_mm for p in demand.parts)
    return max(area, tallest, _wide_bound(demand, states or [classes_of(demand)])) - EPS_MM


def scaled_bound_mm(demand: Demand, grid: Grid, bound_mm: float) -> float:
    """Bound lifted by conservative scales of both axes: the area, with waste that must be counted in.

    A target is refuted when the scaled pieces do not fit the scaled cloth; the first that is not
    refuted is the bound.
    """
    widths = [grid.size(p.width_mm) for p in demand.parts]
    heights = [grid.size(p.length_mm) for p in demand.parts]
    across = scales_of(widths, heights, grid.room(demand.width_mm))
    target = max(math.floor(bound_mm / grid.unit_mm + EPS_MM), math.ceil(across[0].load(heights) - EPS_MM))
    pairs = across[:PAIRED_SCALES]
    step = 1
    for _ in range(MOST_TARGETS):  # every refuted target is a bound, so leap while they are refuted
        if _refuted(pairs, scales_of(heights, widths, target + step - 1)[:PAIRED_SCALES]):
            target, step = target + step, 2 * step
        elif step == 1:
            break
        else:
            step = max(1, step // 4)
    return max(bound_mm, target * grid.unit_mm)


def _refuted(across: list[Scale], along: list[Scale]) -> bool:
    """Whether the pieces overfill the cloth on some scale of either axis."""
    return any(_overfull(a.sizes, b.sizes, a.capacity * b.capacity) for a in across for b in along)


def _overfull(widths: tuple[int, ...], heights: tuple[int, ...], room: int) -> bool:
    return sum(w * h for w, h in zip(widths, heights, strict=True)) > room


def _wide_bound(demand: Demand, states: list[Classes]) -> float:
    """Shortest order of parts of which no two fit side by side, rows counted."""
    wide = [n for n, p in enumerate(demand.parts) if 2 * p.width_mm > demand.width_mm + EPS_MM]
    narrow = [
        n
        for n, p in enumerate(demand.parts)
        if n not in wide
        and all(p.width_mm + demand.parts[m].width_mm > demand.width_mm + EPS_MM for m in wide)
    ]
    if wide and narrow:
        wide.append(max(narrow, key=lambda n: demand.parts[n].length_mm))
    if not wide:
        return 0.0
    if len(wide) > MOST_IN_ORDER:
        return sum(demand.parts[n].length_mm for n in wide)
    step = {(i, j): min(least_step(demand, s, i, j) for s in states) for i in wide for j in wide if i != j}
    return _shortest_order(wide, step, {n: demand.parts[n].length_mm for n in wide})


def _shortest_order(parts: list[int], step: dict[tuple[int, int], float], length: dict[int, float]) -> float:
    """Least length of all parts one below another, over every order (dynamic programming over subsets).

    The distance of neighbours only is counted: what lies two places lower is farther off still.
    """
    best = {(1 << k, k): 0.0 for k in range(len(parts))}
    for mask in range(1, 1 << len(parts)):
        for last in range(len(parts)):
            start = best.get((mask, last))
            if start is None:
                continue
            for k in range(len(parts)):
                if not mask >> k & 1:
                    key, value = (mask | 1 << k, k), start + step[parts[last], parts[k]]
                    if value < best.get(key, float("inf")):
                        best[key] = value
    whole = (1 << len(parts)) - 1
    return min(best[whole, k] + length[n] for k, n in enumerate(parts))
