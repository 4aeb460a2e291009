"""OpenCV's calls with the types this room uses."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.core.handover import Array

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


def resized(values: Array, width: int, height: int, *, smooth: bool = False) -> Array:
    """Picture at another size: area means, or linear interpolation where it grows smoothly."""
    how = cv2.INTER_LINEAR if smooth else cv2.INTER_AREA
    return np.asarray(cv2.resize(values, (width, height), interpolation=how))


def sampled(values: Array, where: Array, *, nearest: bool = False, outside: float | None = 0.0) -> Array:
    """Picture at the places ``where`` (rows, columns, 2 as x, y); ``outside`` None repeats the rim."""
    how = cv2.INTER_NEAREST if nearest else cv2.INTER_LINEAR
    border = cv2.BORDER_REPLICATE if outside is None else cv2.BORDER_CONSTANT
    at = np.asarray(where, np.float32)
    taken = cv2.remap(values, at, None, how, borderMode=border, borderValue=outside or 0.0)  # type: ignore[call-overload]
    return np.asarray(taken)


def blurred(values: Array, sigma_x: float, sigma_y: float | None = None) -> Array:
    """Gaussian blur, the rim mirrored."""
    sigma_y = sigma_x if sigma_y is None else sigma_y
    return np.asarray(
        cv2.GaussianBlur(values, (0, 0), sigmaX=sigma_x, sigmaY=sigma_y, borderType=cv2.BORDER_REFLECT)
    )


def summed(values: Array) -> Array:
    """Sum over the channels, (..., C) to (...): twenty times as quick as numpy's own over so few."""
    channels = values.shape[-1]
    total = cv2.transform(values.reshape(-1, 1, channels), np.ones((1, channels), np.float32))
    return np.asarray(total, values.dtype).reshape(values.shape[:-1])


def mean_colour(picture: Array, where: Bools | None = None) -> Array:
    """Mean colour (3,) of a picture (H, W, 3), of a part of it where asked."""
    mask = None if where is None else where.astype(np.uint8)
    return np.array(cv2.mean(picture, mask)[:3], np.float32)


def delta_e(lab: Array, colour: Array) -> Array:
    """Delta E (CIE 1976) of every sample from a colour."""
    return np.asarray(np.sqrt(summed(np.square(lab - colour))))


def lab_of(bgr: Array) -> Array:
    """CIELAB of sRGB with 0 to 255."""
    unit = np.clip(bgr / 255, 0, 1).astype(np.float32)
    return np.asarray(cv2.cvtColor(unit, cv2.COLOR_BGR2Lab))
