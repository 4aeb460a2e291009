"""A picture made smaller, and colours between its pixels."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

from printcheck.core.handover import Floats, Lab, Picture

if TYPE_CHECKING:
    from numpy.typing import NDArray


def colours_at(lab: Lab, at: Floats) -> NDArray[Any]:
    """(..., 3) colours of a picture at places (B, N, ..., 2), x first; beyond it those of its edge."""
    flat = at.reshape(at.shape[0] * at.shape[1], -1, 2).astype(np.float32)
    seen = cv2.remap(lab, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen).reshape(*at.shape[:-1], 3)


def shrunk(picture: Picture, longest: int) -> Picture:
    """The same picture with at most this long side."""
    height, width = picture.bgr.shape[:2]
    factor = max(width, height) / longest
    if factor <= 1:
        return picture
    size = (round(width / factor), round(height / factor))
    small = np.asarray(cv2.resize(picture.bgr, size, interpolation=cv2.INTER_AREA), np.uint8)
    return replace(picture, bgr=small, reduction=picture.facts.width_px / size[0])
