"""Points of a lattice within a box."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.lattice import Vector
from printcheck.core.plan import EPS_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.intp]


def points_within(
    basis: tuple[Vector, ...],
    low: Sequence[float] | Floats,
    high: Sequence[float] | Floats,
    *,
    most: float = math.inf,
) -> tuple[Ints, Floats]:
    """Lattice points in a box.

    Parameters
    ----------
    basis : two vectors
        In mm, across and along; a lattice point lies at the origin.
    low, high : (2,) array
        Corners of the box, mm.
    most : float, keyword-only
        Of a lattice with more points than about this, every second or third each way is taken.

    Returns
    -------
    Numbers (n, 2) of the points in the basis, and the points (n, 2) in mm.

    Examples
    --------
    >>> numbers, points = points_within(((30.0, 10.0), (0.0, 40.0)), (0, 0), (30, 50))
    >>> points.tolist()
    [[0.0, 0.0], [30.0, 10.0], [0.0, 40.0], [30.0, 50.0]]
    """
    (a, b), (c, d) = basis
    det = a * d - b * c
    x, y = np.array([(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])]).T
    i, j = (x * d - y * c) / det, (a * y - b * x) / det
    every = max(1, math.isqrt(int(np.ptp(i) * np.ptp(j) / most)))
    m, n = np.meshgrid(
        np.arange(math.floor(i.min()), math.ceil(i.max()) + 1, every),
        np.arange(math.floor(j.min()), math.ceil(j.max()) + 1, every),
    )
    numbers = np.column_stack([m.ravel(), n.ravel()])
    points = numbers @ np.array(basis)
    inside = np.all((points >= np.asarray(low) - EPS_MM) & (points <= np.asarray(high) + EPS_MM), axis=1)
    return numbers[inside], points[inside]
