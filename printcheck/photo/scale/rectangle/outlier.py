"""Where the picture holds something that it holds only there: a hint at a thing laid on the cloth."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.core.handover import Bgr

    Floats32 = NDArray[np.floating[Any]]

CELL_PX = 4  # the picture is looked at in cells of this size
AROUND_CELLS = 7  # a cell is described by itself and by the mean and spread this far around it
LIGHT_STEP, COLOUR_STEP, SPREAD_STEP = 28.0, 14.0, 8.0  # CIELAB (8-bit): coarser than light and noise
CODES = 1 << 16  # descriptions are folded into this many


def gathered(bgr: Bgr) -> Floats32:
    """How closely everything that looks like each place lies together, 0 (all over) to 1.

    Parameters
    ----------
    bgr : (H, W, 3) uint8

    Returns
    -------
    (H / CELL_PX, W / CELL_PX) float32

    Notes
    -----
    Each cell is described by coarse steps of its own colour, of the mean colour around it and of the
    spread of lightness around it. Cells of the same description are one kind; the scatter of a kind's
    places, over that of the whole picture, is what cloth has near 1 and an object near 0.
    """
    height, width = bgr.shape[0] // CELL_PX, bgr.shape[1] // CELL_PX
    lab = cv2.cvtColor(cv2.resize(bgr, (width, height), interpolation=cv2.INTER_AREA), cv2.COLOR_BGR2LAB)
    own = lab.astype(np.float32)
    around = cv2.blur(own, (AROUND_CELLS, AROUND_CELLS))
    light = own[..., 0]
    spread = np.sqrt(
        np.maximum(cv2.blur(light * light, (AROUND_CELLS, AROUND_CELLS)) - around[..., 0] ** 2, 0)
    )
    steps = np.array([LIGHT_STEP, COLOUR_STEP, COLOUR_STEP], np.float32)
    parts = np.dstack([own / steps, around / steps, spread / SPREAD_STEP]).astype(np.int64)
    weights = np.array([1, 10, 190, 3610, 36100, 686_000, 13_000_000], np.int64)
    code = ((parts @ weights) % CODES).ravel()
    y, x = (grid.ravel().astype(float) for grid in np.indices((height, width)))
    count = np.bincount(code)
    scatter = np.zeros(len(count))
    for place in (x, y):
        mean = np.bincount(code, place) / np.maximum(count, 1)
        scatter += np.bincount(code, place**2) / np.maximum(count, 1) - mean**2
    whole = x.var() + y.var()
    return np.asarray(np.clip(1 - scatter / whole, 0, 1)[code].reshape(height, width), np.float32)
