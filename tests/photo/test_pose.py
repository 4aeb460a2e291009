"""How far a fitted pose can be trusted, against fits of the same corners pointed at again and again."""

from __future__ import annotations

import math

import numpy as np
import pytest

from printcheck.core.handover import Picture
from printcheck.core.measurement import PhotoFacts
from printcheck.photo.scale.pose import Pose, camera_of, fit_pose, project

CARD_MM = np.array([(0.0, 0.0), (85.6, 0.0), (85.6, 53.98), (0.0, 53.98)])
POINTING_PX = 0.7
DRAWS = 300


def seen_from(tilt_deg: float) -> tuple[Picture, np.ndarray]:
    picture = Picture(PhotoFacts("a.jpg", 1600, 1200), np.zeros((12, 16, 3), np.uint8), 100.0)
    numbers = np.array([math.radians(tilt_deg), 0.0, 0.0, -40.0, -25.0, 330.0, math.log(1360.0), 0.0])
    return picture, project(numbers, CARD_MM, (799.5, 599.5))


def leans(poses: list[Pose], pixel: tuple[float, float]) -> np.ndarray:
    """Angle less a right angle, in mm on the plane, of two directions square to each other in the first."""
    out = []
    for turn in np.linspace(0, math.pi, 9)[:-1]:
        ends = [np.array([math.cos(turn), math.sin(turn)]), np.array([-math.sin(turn), math.cos(turn)])]
        at_mm = on_plane(poses[0], np.array(pixel))
        pixels = [on_photo(poses[0], at_mm + end) for end in ends]
        for pose in poses:
            at = on_plane(pose, np.array(pixel))
            first, second = (on_plane(pose, p) - at for p in pixels)
            out.append(math.asin(float(first @ second) / math.hypot(*first) / math.hypot(*second)))
    return np.array(out)


def on_plane(pose: Pose, pixel: np.ndarray) -> np.ndarray:
    point = np.linalg.inv(pose.to_photo) @ [*pixel, 1.0]
    return point[:2] / point[2]


def on_photo(pose: Pose, mm: np.ndarray) -> np.ndarray:
    point = pose.to_photo @ [*mm, 1.0]
    return point[:2] / point[2]


@pytest.mark.parametrize("tilt_deg", [12.0, 24.0])
def test_lean_sigma_is_the_spread_of_many_fits(tilt_deg: float) -> None:
    picture, seen = seen_from(tilt_deg)
    camera, rng = camera_of(picture), np.random.default_rng(2)
    true, _ = fit_pose(CARD_MM, seen, sigma_px=POINTING_PX, camera=camera)
    fits = [true]
    for _ in range(DRAWS):
        pointed = seen + rng.normal(0, POINTING_PX, seen.shape)
        one, two = fit_pose(CARD_MM, pointed, sigma_px=POINTING_PX, camera=camera)
        fits.append(min(one, two, key=lambda p: np.abs(p.numbers[:3] - true.numbers[:3]).sum()))
    pixel = (820.0, 640.0)
    spread = float(np.sqrt(np.square(leans(fits, pixel)).mean()))
    assert true.lean_sigma(pixel) == pytest.approx(spread, rel=0.1)
