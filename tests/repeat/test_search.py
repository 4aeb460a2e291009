"""The search as a whole, on prints drawn here with a known lattice."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.cloth import FlatCloth
from printcheck.model import PhotoFacts, Scale
from printcheck.repeat import find_lattice


def cloth_of(bgr: np.ndarray, mm_per_px: float, mask: np.ndarray | None = None) -> FlatCloth:
    height, width = bgr.shape[:2]
    return FlatCloth(
        bgr,
        np.ones((height, width), bool) if mask is None else mask,
        mm_per_px,
        np.eye(3),
        PhotoFacts("drawn.png", width, height),
        Scale("given", mm_per_px, 0.001),
    )


def dots(across: float, along: float, drop: float = 0.0, size: tuple[int, int] = (640, 480)) -> np.ndarray:
    """Dark discs on light cloth; lengths in pixels."""
    picture = np.full((size[1], size[0], 3), 230, np.uint8)
    for i in range(-1, int(size[0] / across) + 2):
        for j in range(-2, int(size[1] / along) + 2):
            centre = (i * across + 9, (j + (i * drop) % 1) * along + 7)
            at = tuple(round(v * 16) for v in centre)
            cv2.circle(picture, at, round(0.22 * min(across, along) * 16), (90, 60, 40), -1, cv2.LINE_AA, 4)
    return picture


@pytest.mark.parametrize(("drop", "layout"), [(0.0, "straight"), (0.5, "half-drop"), (1 / 3, "drop")])
def test_dots_on_a_known_lattice(drop: float, layout: str) -> None:
    repeat = find_lattice(cloth_of(dots(70, 84, drop), 0.5)).repeat
    assert (repeat.kind, repeat.layout) == ("lattice", layout)
    assert repeat.along_mm == pytest.approx(42, rel=0.005)
    assert repeat.drop == pytest.approx(drop)


def test_plain_cloth_has_no_repeat() -> None:
    noise = np.random.default_rng(1).normal(180, 3, (480, 640, 3))
    assert find_lattice(cloth_of(noise.clip(0, 255).astype(np.uint8), 0.5)).repeat.basis_mm == ()
