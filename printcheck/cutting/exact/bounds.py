"""Lengths that no layout can go below, found without search.

Four widths of 44 cm do not fit into 137 cm; three do, and waste 5 cm at every height. A conservative
scale says so in numbers: whatever fits side by side by the true widths also fits by the scaled ones, but
the scaled ones may need more cloth. Each gives a bound, and a redundant rule for the solver.

All is reckoned in whole numbers, for the solver too, so that its bounds stay bounds. Where all lengths are
whole multiples of some unit, that unit is taken and nothing is lost. Otherwise sizes and width are rounded
down to a fine step: every true layout, its positions rounded down, is then a layout on the grid, so what the
grid cannot do the cloth cannot do either.

References
----------
S. P. Fekete, J. Schepers, "A general framework for bounds for higher-dimensional orthogonal packing
problems", Mathematical Methods of Operations Research 60 (2004).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import Demand
from printcheck.cutting.demand.families import Classes, classes_of, least_step

PAIRED_SCALES = 6  # scales of each axis that are tried together
MOST_TARGETS = 60  # targets looked at; with leaps they reach far
MOST_IN_ORDER = 13  # parts whose best order is found exactly: the work doubles with each more
MOST_FOLDS = 12  # folds tried; scales of more folds come back to the true sizes
MOST_RULES = 2  # redundant rules given to the solver for an axis: more cost more than they prune
MICRONS_PER_MM = 1000
WHOLE_MM = 1e-7  # mm: a length this near to whole microns counts as whole
FINEST_EXACT_UM = 20  # micrometres: a finer common unit makes the numbers too large for quick answers
ROUNDED_UNIT_MM = 0.1  # mm: the step where lengths have no common unit


@dataclass(frozen=True)
class Grid:
    """Unit of the whole numbers; ``exact`` when every length of the demand is a multiple of it."""

    unit_mm: float
    exact: bool
    up: bool = False  # sizes rounded up: any answer holds, but its bound is none

    def size(self, mm: float) -> int:
        """Size of a part in units, rounded down (or up, for answers that must hold as they stand)."""
        if self.exact:
            return round(mm / self.unit_mm)
        noise = WHOLE_MM / self.unit_mm
        return math.ceil(mm / self.unit_mm - noise) if self.up else math.floor(mm / self.unit_mm + noise)

    def room(self, mm: float) -> int:
        """Width or length at hand in units, rounded down."""
        return math.floor(mm / self.unit_mm + WHOLE_MM / self.unit_mm)


def grid_for(demand: Demand, *, up: bool = False) -> Grid:
    """Return the coarsest grid that loses nothing, or the fine rounded one."""
    if any(tie.slack_mm > 0 for tie in demand.ties):
        return Grid(ROUNDED_UNIT_MM, exact=False, up=up)
    common = 0
    for mm in _lengths(demand):
        microns = mm * MICRONS_PER_MM
        if abs(microns - round(microns)) > WHOLE_MM * MICRONS_PER_MM:
            return Grid(ROUNDED_UNIT_MM, exact=False, up=up)
        common = math.gcd(common, abs(round(microns)))
    if common < FINEST_EXACT_UM:
        return Grid(ROUNDED_UNIT_MM, exact=False, up=up)
    return Grid(common / MICRONS_PER_MM, exact=True)


def _lengths(demand: Demand) -> Iterable[float]:
    """Every length that must be whole, those of the tied parts' points and steps included."""
    for part in demand.parts:
        yield part.width_mm
        yield part.length_mm
        if part.fixed_x_mm is not None:
            yield part.fixed_x_mm
    for tie in demand.ties:
        for point in (tie.at_first, tie.at_second, tie.offset_mm):
            yield from point
        for equation in demand.steps.equations(tie.kind):
            yield from (equation.across % 1, equation.along % 1)  # a slanting stripe is never whole
            yield from equation.steps_mm


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
        along = scales_of(heights, widths, target + step - 1)[:PAIRED_SCALES]
        if any(a.overfull(b) for a in pairs for b in along):
            target, step = target + step, 2 * step
        elif step == 1:
            break
        else:
            step = max(1, step // 4)
    return max(bound_mm, target * grid.unit_mm)


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


@dataclass(frozen=True)
class Scale:
    """Scaled sizes and the scaled capacity they share."""

    sizes: tuple[int, ...]
    capacity: int

    def overfull(self, other: Scale) -> bool:
        """Whether the pieces overfill the cloth on these scales of its two axes."""
        area = sum(w * h for w, h in zip(self.sizes, other.sizes, strict=True))
        return area > self.capacity * other.capacity

    def load(self, others: Sequence[int]) -> float:
        """Least extent on the other axis that these sizes need."""
        return sum(s * o for s, o in zip(self.sizes, others, strict=True)) / self.capacity


def sums_within(sizes: Iterable[int], room: int) -> int:
    """Sums of some of the sizes that are no more than the room: the bits of a whole number."""
    sums, mask = 1, (1 << (room + 1)) - 1
    for size in sizes:
        sums |= (sums << size) & mask
    return sums


def best_reach(sizes: Sequence[int], room: int) -> int:
    """Largest sum of some of the sizes that is no more than the room."""
    return sums_within(sizes, room).bit_length() - 1


def scales_of(sizes: Sequence[int], others: Sequence[int], room: int) -> list[Scale]:
    """Conservative scales of sizes in a room, the one that needs most of the other axis first."""
    reach = max(1, best_reach(sizes, room))
    found = {Scale(tuple(sizes), reach)}
    found |= {_folded(sizes, reach, k) for k in range(1, MOST_FOLDS + 1)}
    for edge in sorted({s for s in sizes if 0 < 2 * s <= reach}):
        found.add(_cut_off(sizes, reach, edge))
        found.add(_rounded(sizes, reach, edge))
    return sorted(found, key=lambda s: (-s.load(others), s.capacity, s.sizes))


def rules_of(sizes: Sequence[int], others: Sequence[int], room: int) -> list[Scale]:
    """The true sizes within what they reach, and the few scales that say more."""
    true = Scale(tuple(sizes), max(1, best_reach(sizes, room)))
    more = [s for s in scales_of(sizes, others, room) if s.load(others) > true.load(others)]
    return [true, *more[:MOST_RULES]]


def _folded(sizes: Sequence[int], room: int, k: int) -> Scale:
    """Shares of ``1 / k``: sizes rounded down to them, those that are whole kept (u^(k) of the reference).

    Multiplied by ``k * room`` to stay whole.
    """
    scaled = []
    for size in sizes:
        whole, rest = divmod((k + 1) * size, room)
        scaled.append(k * size if rest == 0 else whole * room)
    return Scale(tuple(scaled), k * room)


def _cut_off(sizes: Sequence[int], room: int, edge: int) -> Scale:
    """What leaves less than ``edge`` fills the room; what is smaller than ``edge`` counts for nothing."""
    return Scale(tuple(room if s > room - edge else s if s >= edge else 0 for s in sizes), room)


def _rounded(sizes: Sequence[int], room: int, edge: int) -> Scale:
    """Sizes in whole edges, what is over half the room by what it leaves (phi of the reference)."""
    whole = room // edge
    scaled = []
    for size in sizes:
        if 2 * size > room:
            scaled.append(2 * (whole - (room - size) // edge))
        else:
            scaled.append(whole if 2 * size == room else 2 * (size // edge))
    return Scale(tuple(scaled), 2 * whole)
