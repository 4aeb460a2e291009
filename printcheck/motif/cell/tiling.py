"""A rectangle of the endless print on the cloth's own axes, from its cell."""

from __future__ import annotations

import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.cv_types import sampled


def cloth_patch(cell: MeanCell, size: tuple[int, int], mm: float) -> Array:
    """CIELAB of ``size`` (width, height) samples of ``mm`` each, top left at the cell's origin."""
    height, width = cell.lab.shape[:2]
    per_mm = np.linalg.inv(cell.basis_mm) * np.array([width, height])  # samples of the cell per mm
    x = (np.arange(size[0]) + 0.5) * mm
    y = (np.arange(size[1]) + 0.5) * mm
    columns = x[None] * per_mm[0, 0] + y[:, None] * per_mm[1, 0] - 0.5
    rows = x[None] * per_mm[0, 1] + y[:, None] * per_mm[1, 1] - 0.5
    # one wrapped sample on the far sides, so that interpolation runs across the seam of the cell
    wrapped = np.pad(cell.lab, ((0, 1), (0, 1), (0, 0)), mode="wrap")
    return sampled(wrapped, np.dstack([columns % width, rows % height]))
