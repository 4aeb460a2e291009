"""What the eye sees of a print from a distance: contrast by spatial frequency, and lines that break."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

PEAK_SENSITIVITY = 200.0
"""Inverse of the least contrast seen at the best frequency in daylight: "a few hundred" (Campbell and Robson
1968); the lower end, since cloth is not a still test chart."""
FINEST_CYCLES_PER_DEG = 60.0  # end of the measured curve (Campbell and Robson 1968)
VERNIER_ARCSEC = 10.0  # least break of a line that is seen: 5 to 10 seconds of arc (Westheimer 1975)


def mm_per_degree(distance_m: float) -> float:
    """Millimetres of cloth in a degree of the eye's view.

    Examples
    --------
    >>> round(mm_per_degree(1.5), 1)
    26.2
    """
    return 1000 * distance_m * math.tan(math.radians(1))


def sensitivity(cycles_per_degree: NDArray[np.float64] | float) -> NDArray[np.float64]:
    """Inverse of the least contrast seen at a spatial frequency.

    Mannos and Sakrison 1974: A(f) = 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1), nearly 1 at its best, scaled
    by the sensitivity there, and nothing beyond the finest frequency that is seen.

    Examples
    --------
    >>> f = mm_per_degree(1.5) / 19  # a check that repeats every 19 mm
    >>> round(float(sensitivity(f)) / PEAK_SENSITIVITY, 2)
    0.4
    """
    f = np.asarray(cycles_per_degree, float)
    relative = 2.6 * (0.0192 + 0.114 * f) * np.exp(-((0.114 * f) ** 1.1))
    seen: NDArray[np.float64] = np.where(f <= FINEST_CYCLES_PER_DEG, PEAK_SENSITIVITY * relative, 0.0)
    return seen


def vernier_mm(distance_m: float) -> float:
    """Least break of a line at a seam that is seen, in mm.

    Examples
    --------
    >>> round(vernier_mm(1.5), 3)
    0.073
    """
    return 1000 * distance_m * math.tan(math.radians(VERNIER_ARCSEC / 3600))


def contrast_waves(lightness: NDArray[np.float64]) -> NDArray[np.float64]:
    """Contrast of each wave of CIELAB L (H, W) over the repeat: its amplitude over the mean luminance."""
    f = (lightness + 16) / 116
    luminance = np.where(lightness > 8, f**3, lightness / 903.3)
    mean = max(float(luminance.mean()), 1e-4)
    waves: NDArray[np.float64] = np.abs(np.fft.fft2(luminance / mean - 1)) / luminance.size
    return waves


def thresholds_seen(
    waves: NDArray[np.float64], cycles_per_mm: NDArray[np.float64], distance_m: float
) -> float:
    """How many times over the least contrast that is seen a pattern lies; below 1 it is not seen.

    Parameters
    ----------
    waves, cycles_per_mm : (H, W) float64
        Contrast and frequency of each wave of its Fourier transform.
    distance_m : float
        Viewing distance.

    Notes
    -----
    Each wave's contrast times the sensitivity at its frequency; the waves add as independent detectors do,
    by the root of the sum of squares.
    """
    seen = waves * sensitivity(cycles_per_mm * mm_per_degree(distance_m))
    return float(np.sqrt(2 * (seen**2).sum()))
