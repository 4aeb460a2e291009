"""Parts on a strip of cloth, overlapping or not, and the overlap that one part would have anywhere on it.

The pictures of two shapes' depths, laid over the cloth where the other parts lie and added up, tell for
every place of one part how far it would run into all others: the best place of all is read off.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Floats, Floats32
from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import Demand, Spot, joined
from printcheck.cutting.shape.no_fit import cell_for, depth_map, no_fit
from printcheck.cutting.shape.simplify import Shape

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Box = tuple[tuple[float, float], tuple[float, float]]  # lowest and highest place across, and along


CORNERS = 4  # of the cloth: among equal places the one nearest to a corner is taken, a corner by chance
LEAN = 0.5  # cells: what a place at the far corner weighs more; less than the least overlap


@dataclass(frozen=True)
class Field:
    """Weighted overlap, in cells, at places a cell apart from ``low`` on; the last ones lie at ``high``."""

    cells: Floats32
    low: Floats
    high: Floats
    cell_mm: float

    def place(self, row: int, column: int) -> Floats:
        """Place of a cell, in mm."""
        return np.minimum(np.add(self.low, (column * self.cell_mm, row * self.cell_mm)), self.high)

    def index(self, places: Floats) -> NDArray[np.intp]:
        """Cells (column, row) of places (n, 2)."""
        at = np.rint((places - self.low) / self.cell_mm).astype(np.intp)
        return np.clip(at, 0, (self.cells.shape[1] - 1, self.cells.shape[0] - 1))

    def values(self, places: Floats) -> Floats32:
        """Overlap at places (n, 2)."""
        at = self.index(places)
        return self.cells[at[:, 1], at[:, 0]]

    def least(self, corner: int) -> tuple[float, Floats]:
        """Least overlap and where: of equal places the one nearest to a corner."""
        value, _, (column, row), _ = cv2.minMaxLoc(self.leaning(corner))
        return value, self.place(row, column)

    def leaning(self, corner: int) -> Floats32:
        """Overlap, and a little less than a cell more the farther a place is from a corner."""
        rows, columns = self.cells.shape
        return cv2.add(self.cells, _leaning(rows, columns, corner))  # type: ignore[return-value]


@lru_cache(maxsize=512)
def _leaning(rows: int, columns: int, corner: int) -> Floats32:
    """Weights that grow from one corner to the opposite one."""
    down = np.arange(rows) if corner & 1 else np.arange(rows)[::-1]
    right = np.arange(columns) if corner & 2 else np.arange(columns)[::-1]
    return np.asarray((down[:, None] + right[None]) * (LEAN / (rows + columns)), dtype=np.float32)


@dataclass
class Board:
    """Parts on a strip of a given length, their overlaps, and the weights of those."""

    demand: Demand
    shapes: list[Shape]  # as they lie
    turned: list[bool]
    at: Floats  # (n, 2)
    length_mm: float

    def __post_init__(self) -> None:
        count = len(self.shapes)
        self.cell_mm = cell_for(self.shapes)
        self.looks = 0.0  # work done, see Effort
        of = joined(count, self.demand.ties)
        # each part's family, itself included
        self.kin = [[m for m in range(count) if of[m] == of[n]] for n in range(count)]
        self.weight = np.ones((count, count))  # of each pair's overlap
        self.depths = np.zeros((count, count))  # overlap of each pair, in mm
        for n in range(count):
            self._measure(n)

    def room(self, n: int, shape: Shape) -> Box:
        """How far a part's corner may move across and along."""
        fixed = self.demand.parts[n].fixed_x_mm
        across = (0.0, max(0.0, self.demand.width_mm - shape.width_mm)) if fixed is None else (fixed, fixed)
        return across, (0.0, max(0.0, self.length_mm - shape.length_mm))

    def field(self, n: int, shape: Shape, without: Collection[int] = ()) -> Field:
        """Overlap of one part, in a given shape, with all others at every place."""
        self.looks += len(self.shapes)
        (left, right), (top, foot) = self.room(n, shape)
        size = (math.ceil((foot - top) / self.cell_mm) + 1, math.ceil((right - left) / self.cell_mm) + 1)
        total = np.zeros(size, np.float32)
        low = np.array([left, top])
        # the pictures' first differences are the same for all: the part's own size before the other's corner
        start = (low - self.at + (shape.width_mm, shape.length_mm)) / self.cell_mm + 1.5
        cells, weights = np.floor(start).astype(int).tolist(), self.weight[n].tolist()
        for other, (column, row) in enumerate(cells):
            if other != n and other not in without:
                depth_map(self.shapes[other], shape, self.cell_mm).add_to(total, column, row, weights[other])
        return Field(total, low, np.array([right, foot]), self.cell_mm)

    def put(self, n: int, place: Floats, *, turn: bool = False) -> None:
        """Lay one part elsewhere, turned end for end or not."""
        self.at[n] = place
        if turn:
            self.shapes[n] = self.shapes[n].turned
            self.turned[n] = not self.turned[n]
        self._measure(n)

    def turn_family(self, parts: Sequence[int]) -> None:
        """Turn parts together end for end, about the middle of all: they stay matched to each other."""
        own = np.array([(self.shapes[n].width_mm, self.shapes[n].length_mm) for n in parts])
        at = self.at[list(parts)]
        turned = at.min(axis=0) + (at + own).max(axis=0) - at - own
        for n, place in zip(parts, turned, strict=True):
            self.at[n] = place
            self.shapes[n], self.turned[n] = self.shapes[n].turned, not self.turned[n]
        self.shift(parts, np.zeros(2))

    def shift(self, parts: Sequence[int], by: Floats) -> None:
        """Shift parts together, as far as the cloth allows; where it is too short, they stick out."""
        rooms = [self.room(n, self.shapes[n]) for n in parts]
        low = np.max([(x[0], y[0]) - self.at[n] for n, (x, y) in zip(parts, rooms, strict=True)], axis=0)
        high = np.min([(x[1], y[1]) - self.at[n] for n, (x, y) in zip(parts, rooms, strict=True)], axis=0)
        self.at[list(parts)] += np.clip(by, low, np.maximum(low, high))
        for n in parts:
            self._measure(n)

    def _measure(self, n: int) -> None:
        """Measure a part's overlap with every other."""
        own = self.shapes[n]
        x, y = self.at[n].tolist()
        for other, ((left, top), lies) in enumerate(zip(self.at.tolist(), self.shapes, strict=True)):
            dx, dy = x - left, y - top
            apart = dx >= lies.width_mm or -dx >= own.width_mm or dy >= lies.length_mm or -dy >= own.length_mm
            depth = 0.0 if apart or other == n else depth_map(lies, own, self.cell_mm).one_mm(dx, dy)
            if not apart and not depth and other != n and other in self.kin[n]:
                depth = into_kin_mm(lies, own, (dx, dy))
            self.depths[n, other] = self.depths[other, n] = depth

    def spots(self) -> list[Spot]:
        """Places of all parts."""
        return [Spot(float(x), float(y), t) for (x, y), t in zip(self.at, self.turned, strict=True)]


def into_kin_mm(first: Shape, second: Shape, difference: tuple[float, float] | Floats) -> float:
    """How far two shapes run into each other: exact, for kin cannot be pressed apart."""
    gap = float(no_fit(first, second).gaps(difference).min())
    return -gap if gap < -EPS_MM else 0.0


def windows(fields: Sequence[Field], starts: Sequence[Floats]) -> tuple[list[Floats32], NDArray[np.intp]]:
    """Equal windows of several fields, laid so that the places ``starts`` fall on each other.

    Returns the windows and the cell (column, row), counted from the starts, that they begin at.
    """
    at = [np.rint((s - f.low) / f.cell_mm).astype(np.intp) for f, s in zip(fields, starts, strict=True)]
    size = [np.array([f.cells.shape[1], f.cells.shape[0]]) for f in fields]
    low = np.max([-a for a in at], axis=0)
    high = np.maximum(low, np.min([s - a for a, s in zip(at, size, strict=True)], axis=0))
    cut = [
        f.cells[a[1] + low[1] : a[1] + high[1], a[0] + low[0] : a[0] + high[0]]
        for f, a in zip(fields, at, strict=True)
    ]
    return cut, low
