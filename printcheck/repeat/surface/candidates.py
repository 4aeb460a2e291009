"""Peaks of the correlation surface, and lattices reduced to their shortest vectors."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.lattice import shortest_vectors
from printcheck.core.parabola import peak_offset
from printcheck.repeat.arrays import Image, Places, Vectors
from printcheck.repeat.surface.correlation import FARTHEST as REACH
from printcheck.repeat.surface.correlation import Surface

FARTHEST = 0.67  # of each side: a shift beyond has less than one and a half repeats behind it
LEAST_OVERLAP = 0.17  # of the seen pixels
SHORTEST_MM = 1.3  # nearer peaks are the weave or the motif's own blur; cloth weaves end near 1.5 mm
SHORTEST_PX = 4.0
LEAST_SINE = 0.25  # between the two vectors; reduced lattices have at least 0.87
MOST_PEAKS = 300  # strongest, and as many nearest
LEAST_RISE = 0.2  # of a peak over the trough between it and no shift: less is weave on a large form's flank


@dataclass(frozen=True)
class Peaks:
    """Local maxima of the upper half plane, strongest first: shifts (n, 2) in pixels, values (n,)."""

    shifts: Vectors
    values: Vectors

    @property
    def best(self) -> float:
        """Highest value; 0 where there is no peak."""
        return float(self.values[0]) if len(self.values) else 0.0


def peaks_of(surface: Surface, *, shortest_px: float) -> Peaks:
    """Local maxima with places and heights between the pixels (parabolas through the neighbours).

    Of small cells a peak between pixels would else seem lower than one that meets them.
    """
    values = surface.values
    rx, ry = surface.reach
    top = cv2.dilate(values, np.ones((5, 5), np.uint8))
    found = (values >= top) & (values > 0) & (surface.overlap >= LEAST_OVERLAP)
    found[:1], found[-1:], found[:, :1], found[:, -1:] = False, False, False, False
    y, x = np.divmod(np.flatnonzero(found), found.shape[1])
    dx, dy = x - rx, y - ry
    width, height = rx / REACH, ry / REACH
    keep = ((dy > 0) | ((dy == 0) & (dx > 0))) & (np.hypot(dx, dy) >= shortest_px)
    keep &= (np.abs(dx) <= FARTHEST * width) & (np.abs(dy) <= FARTHEST * height)
    x, y = _chosen(x[keep], y[keep], values, (rx, ry))
    middle, left, right, above, below = (
        values[y + down, x + across].astype(np.float64)
        for down, across in ((0, 0), (0, -1), (0, 1), (-1, 0), (1, 0))
    )
    off_x, off_y = peak_offset(left, middle, right), peak_offset(above, middle, below)
    shifts = np.stack([x - rx + off_x, y - ry + off_y], axis=1)
    clear = _rise(surface, np.stack([x - rx, y - ry], axis=1).astype(np.float64)) >= LEAST_RISE
    tops = np.minimum(middle + 0.25 * ((right - left) * off_x + (below - above) * off_y), 1.0)[clear]
    order = np.argsort(-tops)
    return Peaks(shifts[clear][order], tops[order])


def _chosen(x: Places, y: Places, values: Image, reach: tuple[int, int]) -> tuple[Places, Places]:
    """The strongest and the nearest: of a small cell the shortest shift is one of thousands alike."""
    strongest = np.argsort(-values[y, x])
    nearest = np.argsort(np.hypot(x - reach[0], y - reach[1]))
    chosen = np.union1d(strongest[:MOST_PEAKS], nearest[:MOST_PEAKS])
    return x[chosen], y[chosen]


def spans(basis: Vectors) -> bool:
    """Whether two vectors lie far enough off one line to be a lattice."""
    a, b, c, d = map(float, basis.ravel())
    return abs(a * d - b * c) > LEAST_SINE * math.hypot(a, b) * math.hypot(c, d)


def reduced(basis: Vectors) -> Vectors:
    """The two shortest vectors of the lattice, the more level one first."""
    (x, y), (u, v) = basis.tolist()
    a, b = shortest_vectors((x, y), (u, v))
    if abs(a[1]) * math.hypot(*b) > abs(b[1]) * math.hypot(*a):
        a, b = b, a
    signs = (1 if a[0] > 0 or (a[0] == 0 and a[1] > 0) else -1), (1 if b[1] > 0 else -1)
    return np.asarray(np.array([a, b]) * np.array(signs)[:, None])


def _rise(surface: Surface, shifts: Vectors) -> Vectors:
    """Height of the peaks over the lowest place on the way to them."""
    way = np.linspace(0.1, 0.9, 17)
    heights = surface.at(shifts[:, None, :] * way[None, :, None])
    return np.asarray(surface.at(shifts[:, None, :])[:, 0] - heights.min(axis=1))
