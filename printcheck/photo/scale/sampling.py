"""Colours between the pixels of a picture."""

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
