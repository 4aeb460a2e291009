"""Where a peak lies between the samples."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printcheck.core.handover import Floats

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

LEAST_BEND = 1e-9  # where three samples bend less they have no top


def peak_offset(left: ArrayLike, top: ArrayLike, right: ArrayLike, *, most: float = 0.5) -> Floats:
    """Where the parabola through three neighbouring samples has its top, in samples from the middle one.

    Beyond ``most``, or where the samples have no top, it is taken to lie that far on the higher side.
    Where the middle sample is the highest it lies within a half.

    Examples
    --------
    >>> [float(peak_offset(*three)) for three in ((0.75, 1.0, 0.75), (0.0, 1.0, 1.0), (0.0, 0.5, 1.0))]
    [0.0, 0.5, 0.5]
    """
    import numpy as np

    low, middle, high = (np.asarray(part, float) for part in (left, top, right))
    bend = np.minimum(low - 2 * middle + high, -LEAST_BEND)
    return np.asarray(np.clip(0.5 * (low - high) / bend, -most, most))
