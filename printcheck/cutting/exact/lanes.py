"""Lanes: the few runs of places across the cloth in which a part can stand when little cloth is wasted.

Three cushions of 44 cm fill 132 of 137 cm. One that stands 20 cm from the edge leaves room beside it for
one more only, and wastes 44 cm of the width over its whole length; a short cloth has no such waste to
spare. So each part stands in one of three lanes, and the parts of a lane lie one below another. To the
solver, which sees places alone, that is hard to find and, once told, easy to use.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from printcheck.cutting.exact.bounds import best_reach, sums_within

MOST_LANES = 9  # of one part: columns of equal pieces have up to five, garments of many widths thirty


@dataclass(frozen=True)
class Lane:
    """Run of places, both ends included; ``full`` where the width beside the part can be filled."""

    low: int
    high: int
    full: bool


def lanes_of(widths: Sequence[int], heights: Sequence[int], room: int, length: int) -> list[list[Lane]]:
    """Lanes of every part on a cloth of a width (``room``) and a length, all in whole units.

    A part at ``x`` has ``x`` units to its left and the rest to its right; what no sum of the other
    widths fills there is waste over the part's whole height. Places that waste more than the cloth has
    over the parts' area are left out. Where a part has too many lanes there are none for any: then sums of
    widths fill the cloth from nearly anywhere, and lanes only add to the solver's choices.
    """
    most = best_reach(widths, room)
    spare = length * most - sum(w * h for w, h in zip(widths, heights, strict=True))
    lanes = []
    for n, (width, height) in enumerate(zip(widths, heights, strict=True)):
        beside = max(0, room - width)
        filled = _filled([*widths[:n], *widths[n + 1 :]], beside)
        waste = np.maximum(0, most - width - filled - filled[::-1])
        lanes.append(_runs(waste == 0, height * waste <= spare))
        if len(lanes[n]) > MOST_LANES:
            return []
    return lanes


def crossings(lanes: Sequence[Sequence[Lane]], widths: Sequence[int]) -> list[list[tuple[int, int]]]:
    """Lines along the cloth, each with all (part, lane) that surely lie across it.

    Whatever lies across one line lies one below another. Lines through what the parts of a full lane
    have in common are enough.
    """
    pairs = list(zip(lanes, widths, strict=True))
    ends = {x for own, w in pairs for lane in own if lane.full for x in (lane.high, lane.low + w - 1)}
    across = {
        tuple(
            (n, k)
            for n, (own, w) in enumerate(pairs)
            for k, lane in enumerate(own)
            if lane.high <= x < lane.low + w
        )
        for x in ends
    }
    return sorted(list(line) for line in across if len(line) > 1)


def _filled(widths: Iterable[int], room: int) -> NDArray[np.int64]:
    """Largest sum of some of the widths within each room from 0 up to this one."""
    sums = sums_within(widths, room)
    bits = np.frombuffer(sums.to_bytes(room // 8 + 1, "little"), np.uint8)
    reached = np.unpackbits(bits, bitorder="little")[: room + 1]
    return np.maximum.accumulate(np.where(reached, np.arange(room + 1), 0))


def _runs(full: NDArray[np.bool_], allowed: NDArray[np.bool_]) -> list[Lane]:
    """Runs of allowed places, those that are full apart from the others."""
    kind = np.where(allowed, np.where(full, 2, 1), 0)
    starts = [0, *(np.flatnonzero(np.diff(kind)) + 1).tolist(), len(kind)]
    return [Lane(a, b - 1, bool(kind[a] == 2)) for a, b in pairwise(starts) if kind[a]]
