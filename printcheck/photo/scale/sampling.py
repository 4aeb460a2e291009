"""Colours between the pixels of a picture, and the top of a peak between samples."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.core.handover import Floats, Lab


def colours_at(lab: Lab, at: Floats) -> NDArray[Any]:
    """(..., 3) colours of a picture at places (B, N, ..., 2), x first; beyond it those of its edge."""
    flat = at.reshape(at.shape[0] * at.shape[1], -1, 2).astype(np.float32)
    seen = cv2.remap(lab, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen).reshape(*at.shape[:-1], 3)


def peak_offset(left: NDArray[Any], top: NDArray[Any], right: NDArray[Any]) -> NDArray[Any]:
    """Where the parabola through three samples has its top, in samples from the middle one, -1 to 1.

    Where they make none, it is taken to lie on the higher side.

    Examples
    --------
    >>> float(peak_offset(*np.array([[0.75], [1.0], [0.75]]))[0])
    0.0
    """
    bend = np.minimum(left - 2 * top + right, -1e-6)
    return np.asarray(np.clip(0.5 * (left - right) / bend, -1, 1))
