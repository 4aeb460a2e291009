"""Sizes replaced by others that keep every set that fits, so that wasted room counts as used.

Four widths of 44 cm do not fit into 137 cm; three do, and waste 5 cm at every height. A conservative
scale says so in numbers: whatever fits side by side by the true widths also fits by the scaled ones, but
the scaled ones may need more cloth. Each gives a bound, and a redundant rule for the solver.

References
----------
S. P. Fekete, J. Schepers, "A general framework for bounds for higher-dimensional orthogonal packing
problems", Mathematical Methods of Operations Research 60 (2004).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

MOST_FOLDS = 12  # folds tried; scales of more folds come back to the true sizes
MOST_RULES = 2  # redundant rules given to the solver for an axis: more cost more than they prune


@dataclass(frozen=True)
class Scale:
    """Scaled sizes and the scaled capacity they share."""

    sizes: tuple[int, ...]
    capacity: int

    def load(self, others: Sequence[int]) -> float:
        """Least extent on the other axis that these sizes need."""
        return sum(s * o for s, o in zip(self.sizes, others, strict=True)) / self.capacity


def best_reach(sizes: Sequence[int], room: int) -> int:
    """Largest sum of some of the sizes that is no more than the room."""
    sums, mask = 1, (1 << (room + 1)) - 1
    for size in sizes:
        sums |= (sums << size) & mask
    return sums.bit_length() - 1


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
