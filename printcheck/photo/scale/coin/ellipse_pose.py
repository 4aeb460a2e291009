"""What the outline of a coin says of the camera: little of the tilt, much of the scale."""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from printcheck.core.handover import Floats
from printcheck.photo.scale.pose import K1, LN_FOCAL, PARAMETERS, Camera, Pose, levenberg, rotation
from printcheck.photo.scale.sighting import tilt_misfit

TURN = 2  # number of a pose that is not fitted: a round thing has no turn of its own
HARMONIC_SIGMA_PX = 0.28  # px: least sigma of each harmonic of the outline; rays' errors go together
HARMONIC_OF_RMS = 0.4  # of the outline's rms: likewise, where it is rough
RIM_ERROR = 0.0045  # share: where the outline lies on the rounded rim, its shadow included
LENS_ROUNDS = 3  # of the fixed point that undoes the lens; k1 is small


def fit_coin(
    points_px: Floats, diameter_mm: float, *, rms_px: float, choice_px: float, camera: Camera
) -> Pose:
    """Pose of a coin's upper face, from its outline (N, 2) in photo px.

    ``rms_px`` is that of the outline, and ``choice_px`` one sigma for which line about it is the outline:
    a shadow's edge is as oval as it is wide.

    Notes
    -----
    Damped least squares on the distance, in the plane of the rim, of each outline point from the circle.
    A circle seen a little off the square is all but a circle: so the tilt has a prior, and its sigma
    stays in the covariance.
    """
    radius = diameter_mm / 2
    sigma = math.hypot(HARMONIC_SIGMA_PX, HARMONIC_OF_RMS * rms_px, choice_px) * math.sqrt(len(points_px) / 2)
    numbers = _start(points_px, radius, camera)
    unit = np.ones(PARAMETERS)
    unit[3:6], unit[TURN] = numbers[5], 0.0

    def residuals(now: Floats) -> Floats:
        off = _off_circle(now, points_px, radius, camera.centre_px)
        return np.concatenate([off / sigma, tilt_misfit(now)])

    each = partial(np.apply_along_axis, residuals, -1)
    found, covariance, chi2 = levenberg(numbers[None], each, camera=camera, unit=unit)
    return Pose(found[0], covariance[0], float(chi2[0]), camera.centre_px)


def _start(points_px: Floats, radius: float, camera: Camera) -> Floats:
    """A coin seen straight from above."""
    middle = points_px.mean(0)
    distance = camera.focal_px * radius / float(np.mean(np.linalg.norm(points_px - middle, axis=1)))
    place = (middle - np.array(camera.centre_px)) * distance / camera.focal_px
    return np.array([0.0, 0.0, 0.0, place[0], place[1], distance, math.log(camera.focal_px), 0.0])


def _off_circle(numbers: Floats, points_px: Floats, radius: float, centre_px: tuple[float, float]) -> Floats:
    """Distance of outline points from the circle, in the plane of the rim, as photo px."""
    seen = (points_px - np.array(centre_px)) / math.exp(numbers[LN_FOCAL])
    flat = seen.copy()
    for _ in range(LENS_ROUNDS):
        flat = seen / (1 + numbers[K1] * np.sum(flat**2, axis=1, keepdims=True))
    turn = rotation(numbers[None, :3])[0]
    middle = numbers[3:6]
    ray = np.concatenate([flat, np.ones((len(flat), 1))], 1)
    depth = (turn[:, 2] @ middle) / (ray @ turn[:, 2])
    reach = np.linalg.norm(ray * depth[:, None] - middle, axis=1)
    return np.asarray((reach - radius) * math.exp(numbers[LN_FOCAL]) / middle[2])
