"""Where one shape may stand against another: outside every no-fit polygon of their convex parts.

Two convex parts overlap exactly when the difference of their positions lies inside one convex polygon,
the Minkowski sum of the first and the second mirrored through the origin. Kept as half-planes, it
serves both to test a place and to say which straight line keeps the two apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.plan import EPS_MM
from printcheck.cutting.shape.simplify import Shape

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PARALLEL = 1e-12  # of a unit normal: an edge this near to an axis is parallel to it
KEPT = 4096  # pairs of shapes remembered; a project of 60 pieces of 15 kinds, both ways up, has 900


@dataclass(frozen=True, eq=False)
class NoFit:
    """Half-planes of every pair of convex parts: apart when ``normal . d >= reach`` for one of a pair.

    ``d`` is the second shape's position less the first's. ``normals`` is (pairs, edges, 2), ``reach``
    (pairs, edges), filled up with half-planes that never hold.
    """

    normals: Floats
    reach: Floats
    low: tuple[float, float]
    high: tuple[float, float]  # outside this box of differences the two are apart

    def gaps(self, d: tuple[float, float] | Floats) -> Floats:
        """Gap of each pair of parts along its best half-plane, (..., pairs) in mm; below 0 they overlap."""
        along = self.normals @ np.asarray(d)
        return np.asarray((along - self.reach).max(axis=-1))

    def apart_mm(self, places: Floats) -> Floats:
        """Smallest gap at each of many differences (n, 2), in mm; negative where they overlap."""
        found = np.full(len(places), np.inf)
        inside = np.all((places > self.low) & (places < self.high), axis=1)
        if inside.any():
            along = np.einsum("pek,nk->npe", self.normals, places[inside])
            found[inside] = (along - self.reach).max(axis=2).min(axis=1)
        return found


@lru_cache(maxsize=KEPT)
def no_fit(first: Shape, second: Shape) -> NoFit:
    """No-fit polygons of two shapes."""
    normals, reach = [], []
    for a, out_of_a in first.half_planes:
        for b, out_of_b in second.half_planes:
            n = np.concatenate([out_of_a, -out_of_b])
            normals.append(n)
            reach.append((n @ a.T).max(axis=1) - (n @ b.T).min(axis=1))
    most = max(map(len, reach))
    filled_n = np.zeros((len(normals), most, 2))
    filled_r = np.full((len(normals), most), np.inf)
    for row, (n, r) in enumerate(zip(normals, reach, strict=True)):
        filled_n[row, : len(n)], filled_r[row, : len(r)] = n, r
    low = (-second.width_mm, -second.length_mm)
    return NoFit(filled_n, filled_r, low, (first.width_mm, first.length_mm))


def forbidden(fit: NoFit, axis: int, across: float) -> Floats:
    """Stretches of differences along one axis at which the shapes overlap, (n, 2) in mm.

    ``across`` is the difference on the other axis.
    """
    found = stretches(fit, axis, np.array([across]))[0]
    return np.asarray(found[found[:, 1] > found[:, 0]])


def stretches(fit: NoFit, axis: int, across: Floats) -> Floats:
    """The same at many differences (k,) on the other axis: (k, pairs, 2), from inf to -inf where apart."""
    n, m = fit.normals[..., axis], fit.normals[..., 1 - axis]
    room = fit.reach - m * across[:, None, None]  # overlap where n * d < room on every edge
    with np.errstate(divide="ignore", invalid="ignore"):
        at = room / n
    high = np.where(n > PARALLEL, at, np.inf).min(axis=2)
    low = np.where(n < -PARALLEL, at, -np.inf).max(axis=2)
    missed = ((np.abs(n) <= PARALLEL) & (room <= 0)).any(axis=2) | (high - low <= EPS_MM)
    return np.stack([np.where(missed, np.inf, low), np.where(missed, -np.inf, high)], axis=2)
