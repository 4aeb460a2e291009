"""Small prints drawn here, each with a lattice that its own arithmetic fixes."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.handover import FlatCloth
from printcheck.core.measurement import PhotoFacts, Scale

SIZE = (640, 480)
GROUND, INK, OTHER = (230, 230, 225), (90, 60, 40), (60, 60, 150)


def cloth_of(bgr: np.ndarray, mm_per_px: float = 0.5, mask: np.ndarray | None = None) -> FlatCloth:
    height, width = bgr.shape[:2]
    return FlatCloth(
        np.asarray(bgr, np.uint8),
        np.ones((height, width), bool) if mask is None else mask,
        mm_per_px,
        np.eye(3),
        PhotoFacts("drawn.png", width, height),
        Scale("given", mm_per_px, 0.001),
    )


def dots(
    across: float,
    along: float,
    *,
    drop: float = 0.0,
    size: tuple[int, int] = SIZE,
    second: tuple[int, int, int] = INK,
    turn_deg: float = 0.0,
    skew: float = 0.0,
) -> np.ndarray:
    """Discs; ``second`` is the colour of every other column. Lengths in pixels."""
    picture = np.full((size[1], size[0], 3), GROUND, np.uint8)
    c, s = np.cos(np.deg2rad(turn_deg)), np.sin(np.deg2rad(turn_deg))
    middle = np.array([size[0] / 2, size[1] / 2])
    radius = round(0.22 * min(across, along) * 16)
    reach = int(1.2 * max(size) / min(across, along)) + 2
    for i in range(-reach, reach + 1):
        for j in range(-reach, reach + 1):
            x, y = i * across, (j + (i * drop) % 1) * along + skew * i * across
            place = middle + np.array([x * c - y * s, x * s + y * c])
            if not (-99 < place[0] < size[0] + 99 and -99 < place[1] < size[1] + 99):
                continue
            at = tuple(round(float(v) * 16) for v in place)
            cv2.circle(picture, at, radius, second if i % 2 else INK, -1, cv2.LINE_AA, 4)
    return picture


def stripes(period: float, angle_deg: float, *, size: tuple[int, int] = SIZE) -> np.ndarray:
    """Bars of one and of two fifths of the period; the angle is that of the period, from x towards y."""
    x, y = np.meshgrid(np.arange(size[0]), np.arange(size[1]))
    angle = np.deg2rad(angle_deg)
    place = ((x * np.cos(angle) + y * np.sin(angle)) / period) % 1.0
    picture = np.full((size[1], size[0], 3), GROUND, np.float32)
    picture[place < 0.2] = INK
    picture[(place > 0.4) & (place < 0.8)] = OTHER
    return cv2.GaussianBlur(picture, (0, 0), 0.7)


def noisy(picture: np.ndarray, sigma: float = 4.0, *, light: float = 0.3, seed: int = 0) -> np.ndarray:
    """The same under one-sided light and with noise."""
    height, width = picture.shape[:2]
    slope = 1 + light * (np.linspace(-0.5, 0.5, width)[None, :, None] + np.zeros((height, 1, 1)))
    noise = np.random.default_rng(seed).normal(0, sigma, picture.shape)
    return (picture * slope + noise).clip(0, 255).astype(np.uint8)
