"""Where one shape may stand against another: outside every no-fit polygon of their convex parts.

Two convex parts overlap exactly when the difference of their positions lies inside one convex polygon,
the Minkowski sum of the first and the second mirrored through the origin. Kept as half-planes, it
serves both to test a place and to say which straight line keeps the two apart.

How far two shapes run into each other is also read from a small picture, quick and right to a few
millimetres: it has one cell for each difference of their positions, which holds the distance to the nearest
difference at which they lie apart. Laid over the cloth at the place of one part, it tells the overlap with
the other at all places at once; what the search finds is then pressed exact by the half-planes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Floats, Floats32
from printcheck.core.plan import EPS_MM
from printcheck.cutting.shape.simplify import Shape

if TYPE_CHECKING:
    from numpy.typing import NDArray


PARALLEL = 1e-12  # of a unit normal: an edge this near to an axis is parallel to it
KEPT = 4096  # pairs of shapes remembered; a project of 60 pieces of 15 kinds, both ways up, has 900
KEPT_MAPS = 2048  # pairs of shapes remembered, up to a fifth of a megabyte each
SUBPIXEL_BITS = 4  # the picture's corners are placed to a sixteenth of a cell
DEEPEST = 255  # cells
CELLS = 40_000  # on the area of all boxes: finer costs time, and pressing does the rest
FINEST_MM, COARSEST_MM = 2.0, 12.0  # mm: of a cell


@dataclass(frozen=True, eq=False)
class NoFit:
    """Half-planes of every pair of convex parts: apart when ``normal . d >= reach`` for one of a pair.

    ``d`` is the second shape's position less the first's. ``normals`` is (pairs, edges, 2), ``reach``
    (pairs, edges), filled up with half-planes that never hold.
    """

    normals: Floats
    reach: Floats
    low: tuple[float, float]
    high: tuple[float, float]  # outside this box of differences the two are apart

    def gaps(self, d: tuple[float, float] | Floats) -> Floats:
        """Gap of each pair of parts along its best half-plane, (..., pairs) in mm; below 0 they overlap."""
        along = self.normals @ np.asarray(d)
        return np.asarray((along - self.reach).max(axis=-1))

    def apart_mm(self, places: Floats) -> Floats:
        """Smallest gap at each of many differences (n, 2), in mm; negative where they overlap."""
        found = np.full(len(places), np.inf)
        inside = np.all((places > self.low) & (places < self.high), axis=1)
        if inside.any():
            along = np.einsum("pek,nk->npe", self.normals, places[inside])
            found[inside] = (along - self.reach).max(axis=2).min(axis=1)
        return found


@lru_cache(maxsize=KEPT)
def no_fit(first: Shape, second: Shape) -> NoFit:
    """No-fit polygons of two shapes."""
    normals, reach = [], []
    for a, out_of_a in first.half_planes:
        for b, out_of_b in second.half_planes:
            n = np.concatenate([out_of_a, -out_of_b])
            normals.append(n)
            reach.append((n @ a.T).max(axis=1) - (n @ b.T).min(axis=1))
    most = max(map(len, reach))
    filled_n = np.zeros((len(normals), most, 2))
    filled_r = np.full((len(normals), most), np.inf)
    for row, (n, r) in enumerate(zip(normals, reach, strict=True)):
        filled_n[row, : len(n)], filled_r[row, : len(r)] = n, r
    low = (-second.width_mm, -second.length_mm)
    return NoFit(filled_n, filled_r, low, (first.width_mm, first.length_mm))


def stretches(fit: NoFit, axis: int, across: Floats) -> Floats:
    """Stretches of differences along one axis at which pairs of parts overlap, (k, pairs, 2) in mm.

    ``across`` (k,) are differences on the other axis; a stretch is from inf to -inf where they are apart.
    """
    n, m = fit.normals[..., axis], fit.normals[..., 1 - axis]
    room = fit.reach - m * across[:, None, None]  # overlap where n * d < room on every edge
    with np.errstate(divide="ignore", invalid="ignore"):
        at = room / n
    high = np.where(n > PARALLEL, at, np.inf).min(axis=2)
    low = np.where(n < -PARALLEL, at, -np.inf).max(axis=2)
    missed = ((np.abs(n) <= PARALLEL) & (room <= 0)).any(axis=2) | (high - low <= EPS_MM)
    return np.stack([np.where(missed, np.inf, low), np.where(missed, -np.inf, high)], axis=2)


@dataclass(frozen=True, eq=False)
class DepthMap:
    """Depths in cells; row and column 1 stand for the difference ``low``."""

    cells: NDArray[np.uint8]
    low: tuple[float, float]
    cell_mm: float

    def depth_mm(self, differences: Floats) -> Floats:
        """Depth at each difference (n, 2), second position less first, in mm; 0 where they lie apart."""
        at = ((differences - self.low) * (1 / self.cell_mm) + 1.5).astype(np.intp)
        rows, columns = self.cells.shape
        # the rim of the picture is empty, so that what lies outside reads as apart
        np.maximum(at, 0, out=at)
        np.minimum(at, (columns - 1, rows - 1), out=at)
        return np.asarray(self.cells[at[:, 1], at[:, 0]] * self.cell_mm, dtype=np.float64)

    def one_mm(self, dx: float, dy: float) -> float:
        """Depth at one difference not below ``low``, in mm."""
        column = int((dx - self.low[0]) / self.cell_mm + 1.5)
        row = int((dy - self.low[1]) / self.cell_mm + 1.5)
        rows, columns = self.cells.shape
        return self.cell_mm * self.cells.item(row, column) if row < rows and column < columns else 0.0

    def add_to(self, total: Floats32, column: int, row: int, weight: float) -> None:
        """Add the weighted depths, in cells, to a grid whose first cell is this column and row here."""
        # called some ten thousand times a second, so written out
        rows, columns = self.cells.shape
        height, width = total.shape
        left = -column if column < 0 else 0
        top = -row if row < 0 else 0
        right = columns - column if columns - column < width else width
        foot = rows - row if rows - row < height else height
        if right <= left or foot <= top:
            return
        window = total[top:foot, left:right]
        cells = self.cells[top + row : foot + row, left + column : right + column]
        if weight == 1.0:
            cv2.accumulate(cells, window)
        else:
            cv2.addWeighted(cells, weight, window, 1.0, 0.0, window, cv2.CV_32F)


def cell_for(shapes: Sequence[Shape]) -> float:
    """Cell of the pictures for some parts, mm: the larger they are the coarser."""
    area = sum(s.width_mm * s.length_mm for s in shapes)
    return min(COARSEST_MM, max(FINEST_MM, math.sqrt(area / CELLS)))


@lru_cache(maxsize=KEPT_MAPS)
def depth_map(first: Shape, second: Shape, cell_mm: float) -> DepthMap:
    """Picture of the depths of two shapes."""
    low = (-second.width_mm, -second.length_mm)
    size = np.subtract((first.width_mm, first.length_mm), low) / cell_mm
    picture = np.zeros((int(np.ceil(size[1])) + 3, int(np.ceil(size[0])) + 3), np.uint8)
    for a in first.parts:
        for b in second.parts:
            sums = (np.array(a)[:, None] - np.array(b)[None]).reshape(-1, 2)
            hull = cv2.convexHull(((sums - low) / cell_mm + 1).astype(np.float32))
            corners = np.rint(hull * (1 << SUBPIXEL_BITS)).astype(np.int32)
            cv2.fillConvexPoly(picture, corners, 1, lineType=cv2.LINE_8, shift=SUBPIXEL_BITS)
    picture[[0, -1]], picture[:, [0, -1]] = 0, 0
    depths = cv2.distanceTransform(picture, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    # shapes that touch lie on a filled rim cell: the outermost cell counts as apart
    return DepthMap(np.clip(np.ceil(depths - 1), 0, DEEPEST).astype(np.uint8), low, cell_mm)
