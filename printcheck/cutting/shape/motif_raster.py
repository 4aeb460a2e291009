"""Which motifs an outline touches and which it cuts: read from small pictures, and counted exactly."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Floats, Ints
from printcheck.core.lattice import Vector
from printcheck.cutting.shape.simplify import Shape

if TYPE_CHECKING:
    from numpy.typing import NDArray


MARK_MM = 2.0  # mm a cell: a sixth of the smallest motif looked at
INSIDE_MM2 = 1e-3  # mm2 of a motif off the piece, or on it: rounding

Numbers = set[tuple[int, int]]
"""Motifs by the numbers of their lattice point."""


@dataclass(frozen=True, eq=False)
class Marks:
    """For every place of a motif's centre about a shape: 0 off it, 1 cut by its edge, 2 wholly on it."""

    cells: NDArray[np.uint8]
    low: Vector

    def read(self, centres: Floats) -> NDArray[np.uint8]:
        """Marks at places (n, 2) counted from the corner of the shape's box."""
        at = np.floor((centres - self.low) / MARK_MM).astype(np.intp)
        rows, columns = self.cells.shape
        known = np.all((at >= 0) & (at < (columns, rows)), axis=1)
        found = np.zeros(len(at), np.uint8)
        found[known] = self.cells[at[known, 1], at[known, 0]]
        return found


@lru_cache(maxsize=256)
def marks_of(shape: Shape, motif: Vector) -> Marks:
    """Marks of a shape for motifs of one size."""
    rim = [math.ceil(m / 2 / MARK_MM) + 1 for m in motif]
    size = (shape.width_mm, shape.length_mm)
    columns, rows = (math.ceil(s / MARK_MM) + 2 * r for s, r in zip(size, rim, strict=True))
    picture = np.zeros((rows, columns), np.uint8)
    ring = np.rint(np.array(shape.ring) / MARK_MM + rim).astype(np.int32)
    cv2.fillPoly(picture, [ring], 1)
    kernel = np.ones([max(1, round(m / MARK_MM)) for m in reversed(motif)], np.uint8)
    touched, inside = cv2.dilate(picture, kernel), cv2.erode(picture, kernel)
    return Marks((touched + inside).astype(np.uint8), (-rim[0] * MARK_MM, -rim[1] * MARK_MM))


def as_set(numbers: Ints) -> Numbers:
    """Numbers as pairs."""
    return set(map(tuple, numbers.tolist()))


def exactly(ring: list[Vector], motif: Vector, centres: Floats, width_mm: float) -> NDArray[np.uint8]:
    """Marks of motifs about an outline that lies on the cloth, by their area on it.

    The cloth's own edges cut no motif: what hangs over them is left out.
    """
    import shapely

    piece = shapely.Polygon(ring)
    shapely.prepare(piece)
    x, y = centres[:, 0], centres[:, 1]
    left, right = np.clip((x - motif[0] / 2, x + motif[0] / 2), 0.0, width_mm)
    boxes = shapely.box(left, y - motif[1] / 2, right, y + motif[1] / 2)
    near = np.flatnonzero(shapely.intersects(piece, boxes) & (right > left))
    on = shapely.area(shapely.intersection(piece, boxes[near]))
    found = np.zeros(len(centres), np.uint8)
    found[near] = (on > INSIDE_MM2).astype(np.uint8) + (on > shapely.area(boxes[near]) - INSIDE_MM2)
    return found
