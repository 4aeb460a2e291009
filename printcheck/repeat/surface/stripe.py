"""Stripes: prints that fall on themselves all along one direction, and repeat across it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from printcheck.core.parabola import peak_offset
from printcheck.repeat.arrays import Vectors
from printcheck.repeat.surface.correlation import Surface

ANGLE_STEP_DEG = 0.25
NEAREST_PX = 4.0
RAY_LENGTH = 0.45  # of the shorter side: how far along the stripe the print must hold
LOW_PERCENTILE = 5  # of the ray: a seam or a slub may spoil a few places, not the stripe
RIDGE_SHARE = 0.75  # of the best peak; measured: stripes and faint checks 0.966 up, everything else 0.76 down
DOUBTFUL_SHARE = 0.6
LEAST_BEST = 0.6
TOLERANCE = 0.10
LEAST_PEAK = 0.5  # of the profile across
LEAST_RISE = 0.25  # of the profile's peak above the trough before it


@dataclass(frozen=True)
class Ridge:
    """Direction along which the print stays the same, and how well (1 for a perfect stripe)."""

    along: Vectors
    strength: float


def ridge_of(
    surface: Surface, *, short_side: float, percentile: float = LOW_PERCENTILE, off_upright_deg: float = 0.0
) -> Ridge:
    """Find the direction whose ray through the correlation surface stays highest.

    Parameters
    ----------
    surface : Surface
    short_side : float
        Of the picture, pixels.
    percentile : float
        Of the ray's heights, that counts as its height.
    off_upright_deg : float
        Directions nearer to the upright are not asked.
    """
    degrees = np.arange(0, 180, ANGLE_STEP_DEG)
    angles = np.deg2rad(degrees[np.abs(degrees - 90) >= off_upright_deg])
    radii = np.arange(NEAREST_PX, max(RAY_LENGTH * short_side, NEAREST_PX + 8), 2.0)
    directions = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    heights = surface.at(directions[:, None, :] * radii[None, :, None])
    low = np.percentile(heights, percentile, axis=1)
    best = int(np.argmax(low))
    return Ridge(directions[best], float(low[best]))


def is_stripe(ridge: Ridge, best: float) -> bool:
    """Whether the ridge is as good as the repeats themselves."""
    return ridge.strength >= RIDGE_SHARE * max(best, LEAST_BEST)


def may_be_stripe(ridge: Ridge, best: float) -> bool:
    """Whether the ridge is so nearly as good that folds or wear may be what breaks it."""
    return ridge.strength >= DOUBTFUL_SHARE * max(best, LEAST_BEST)


def profile_of(surface: Surface, ridge: Ridge, *, reach_px: float) -> Vectors:
    """Mean correlation along the ridge for each shift of 0, 1, 2 ... px across it, by overlap."""
    across = np.array([-ridge.along[1], ridge.along[0]])
    lags = np.arange(0, int(reach_px))
    slides = np.arange(-40, 41) * 3.0
    shifts = lags[:, None, None] * across + slides[None, :, None] * ridge.along
    weight = np.maximum(surface.overlap_at(shifts) - 0.1, 0)
    total = weight.sum(axis=1)
    means = (surface.at(shifts) * weight).sum(axis=1) / np.maximum(total, 1e-9)
    return np.asarray(np.where(total > 0, means, -1.0))


def period_of(
    profile: Vectors, *, shortest_px: float, least_peak: float = LEAST_PEAK, tolerance: float = TOLERANCE
) -> tuple[float, float] | None:
    """Period across in pixels and the height of its peak; None where the profile shows no repeat."""
    inner = profile[1:-1]
    peaks = np.flatnonzero((inner >= profile[:-2]) & (inner > profile[2:])) + 1
    peaks = peaks[peaks >= shortest_px]
    if not len(peaks):
        return None
    trough = np.minimum.accumulate(profile)
    peaks = peaks[(profile[peaks] >= least_peak) & (profile[peaks] - trough[peaks] >= LEAST_RISE)]
    if not len(peaks):
        return None
    best = profile[peaks].max()
    lag = int(peaks[profile[peaks] >= best - tolerance * best][0])
    left, middle, right = profile[lag - 1 : lag + 2]
    return lag + float(peak_offset(left, middle, right)), float(middle)
