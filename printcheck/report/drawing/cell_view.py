"""The measured cell laid out over any stretch of cloth."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Bgr, Floats, Lab, MeanCell
from printcheck.core.lattice import Vector

FINENESS = 2  # samples per pixel and axis, averaged, so that small prints do not turn to moire
MOST_PIXELS = 4_000_000  # samples laid at once: some 100 MB of working memory


@dataclass(frozen=True)
class ClothView:
    """The print as it lies on a stretch of cloth.

    Parameters
    ----------
    cell : MeanCell
        As measured.
    anchor_mm : (across, along)
        Cloth point at which ``cell_mm`` of the cell lies.
    cell_mm : (across, along)
        Point of the cell, from its origin.
    shrink : (across, along)
        What a millimetre of the measured cloth has become (0.97 after 3 % of shrinkage).
    """

    cell: MeanCell
    anchor_mm: Vector = (0.0, 0.0)
    cell_mm: Vector = (0.0, 0.0)
    shrink: Vector = (1.0, 1.0)

    def laid(self, left_mm: float, top_mm: float, width_mm: float, height_mm: float, mm_per_px: float) -> Bgr:
        """Picture of the stretch of cloth whose corner lies at (left, top); (H, W, 3) uint8.

        Colours are averaged where a pixel covers more than the cell's own samples, as the eye would.
        """
        columns, rows = max(1, round(width_mm / mm_per_px)), max(1, round(height_mm / mm_per_px))
        fine = FINENESS if columns * rows * FINENESS**2 <= MOST_PIXELS else 1
        x = left_mm + (np.arange(columns * fine) + 0.5) * mm_per_px / fine
        y = top_mm + (np.arange(rows * fine) + 0.5) * mm_per_px / fine
        source = self._reduced(mm_per_px / fine)
        lab = _wrapped(source, *self._cell_coordinates(x, y))
        if fine > 1:
            lab = np.asarray(cv2.resize(lab, (columns, rows), interpolation=cv2.INTER_AREA), np.float32)
        return _to_bgr(lab)

    def _cell_coordinates(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        across = (x[None, :] - self.anchor_mm[0]) / self.shrink[0] + self.cell_mm[0]
        along = (y[:, None] - self.anchor_mm[1]) / self.shrink[1] + self.cell_mm[1]
        (a, b), (c, d) = self.cell.basis_mm
        det = a * d - b * c
        return (across * d - along * c) / det, (a * along - b * across) / det

    def _reduced(self, mm_per_sample: float) -> Lab:
        """Cell blurred, with its wrap, to what one sample sees."""
        lab = np.asarray(self.cell.lab, np.float32)
        lengths = np.hypot(self.cell.basis_mm[:, 0], self.cell.basis_mm[:, 1])
        sizes = [min(n, 2 * int(np.ceil(length / mm_per_sample)) + 1) for n, length in
                 zip(lab.shape[1::-1], lengths, strict=True)]  # fmt: skip
        reduced = cv2.resize(lab, (max(1, sizes[0]), max(1, sizes[1])), interpolation=cv2.INTER_AREA)
        return np.asarray(reduced, np.float32)


def _wrapped(cell: Lab, u: Floats, v: Floats) -> Lab:
    """Bilinear samples of a cell that goes on at its other side, at (u, v) in whole cells."""
    rows, columns = cell.shape[:2]
    padded = cv2.copyMakeBorder(cell, 1, 1, 1, 1, cv2.BORDER_WRAP)
    x = (u % 1.0) * columns + 0.5  # sample i has its centre at (i + 0.5) / n; the border adds one
    y = (v % 1.0) * rows + 0.5
    laid = cv2.remap(padded, x.astype(np.float32), y.astype(np.float32), cv2.INTER_LINEAR)
    return np.asarray(laid, np.float32)


def _to_bgr(lab: Lab) -> Bgr:
    bgr = cv2.cvtColor(np.ascontiguousarray(lab, np.float32), cv2.COLOR_LAB2BGR)
    picture: Bgr = (255 * np.clip(bgr, 0, 1) + 0.5).astype(np.uint8)
    return picture
