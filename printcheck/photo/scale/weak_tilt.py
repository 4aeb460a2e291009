"""Least squares for objects that hardly show the tilt: a coin, a tape. The tilt has a prior."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.scale.pose import K1, LN_FOCAL, PARAMETERS, ROUNDS, STEP, TINY, Camera
from printcheck.photo.scale.sighting import UNKNOWN_TILT_DEG

if TYPE_CHECKING:
    from printcheck.core.handover import Floats

LARGEST_MOVE = 0.3  # of order one: a longer step is cut, as the model bends


def priors(numbers: Floats, camera: Camera) -> Floats:
    """Residuals of what is known beforehand: little tilt, the usual lens."""
    tilt_sigma = math.radians(UNKNOWN_TILT_DEG) / math.sqrt(2)  # of each of its two parts
    return np.array(
        [
            numbers[0] / tilt_sigma,
            numbers[1] / tilt_sigma,
            (numbers[LN_FOCAL] - math.log(camera.focal_px)) / camera.focal_sigma,
            numbers[K1] / camera.k1_sigma,
        ]
    )


def settle(
    residuals: Callable[[Floats], Floats], start: Floats, *, unit: Floats, free: tuple[int, ...]
) -> tuple[Floats, Floats]:
    """Numbers that make the residuals least, and the covariance of the pose's own PARAMETERS of them.

    Parameters
    ----------
    residuals : callable
        Takes all numbers; what it gives is in sigmas.
    start : (P,) float64
        The pose's numbers first, then whatever else is fitted.
    unit : (P,) float64, keyword-only
        Size of each number, so that steps are alike.
    free : tuple of int, keyword-only
        Which numbers are fitted.
    """
    which = list(free)
    numbers = start.astype(float).copy()
    slope = np.zeros((0, len(which)))
    for _ in range(ROUNDS):  # five suffice, as the start is good and the tilt small
        here = residuals(numbers)
        steps = STEP * unit * np.eye(len(numbers))
        slope = np.stack([(residuals(numbers + steps[k]) - here) / STEP for k in which], 1)
        move = np.linalg.lstsq(slope, -here, rcond=None)[0]
        move *= min(1.0, LARGEST_MOVE / (float(np.abs(move).max()) + TINY))
        numbers[which] += move * unit[which]
    inner = np.linalg.pinv(slope.T @ slope, hermitian=True) * np.outer(unit[which], unit[which])
    covariance = np.zeros((len(numbers), len(numbers)))
    covariance[np.ix_(which, which)] = inner
    return numbers, covariance[:PARAMETERS, :PARAMETERS]
