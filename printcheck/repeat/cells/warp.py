"""A lattice that lies a little bent in the picture: a smooth map from lattice coordinates to pixels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from printcheck.repeat.arrays import Image, Vectors
from printcheck.repeat.surface.illumination import View

POWERS = 6  # 1, s ... s^5
MOST_CELLS = 40_000  # in all: the smallest cells of a working picture that lies straight are half as many
FRAME_CELLS = 400  # along one side: more cells than that are left out at the rim
NEWTON_STEPS = 6  # from the middle to any place: the map is nearly straight
NEAR_ENOUGH = 1e-4  # lattice steps


@dataclass(frozen=True)
class Frame:
    """Where lattice coordinates lie in the working picture.

    Parameters
    ----------
    coefficients : (2, 6, 6) float64
        x and y are sums of c[p, q] s^p t^q, with s and t running over -1 ... 1.
    first : (2,) int
        Lattice coordinates (i, j) of the raster's first cell.
    counts : (2,) int
        Cells across and down the raster (i and j).
    """

    coefficients: Vectors
    first: tuple[int, int]
    counts: tuple[int, int]

    def at(self, i: Vectors, j: Vectors) -> Vectors:
        """Working pixels of lattice coordinates, (..., 2)."""
        powers = self._powers(i, j)
        return np.stack([self._sum(self.coefficients[k], *powers) for k in (0, 1)], axis=-1)

    def basis_at(self, i: Vectors, j: Vectors) -> Vectors:
        """Local lattice vectors in working pixels at lattice coordinates, (..., 2, 2), rows a and b."""
        s, t = self._powers(i, j)
        slope_s, slope_t = _derivative(s) * 2 / self.counts[0], _derivative(t) * 2 / self.counts[1]
        rows = [
            np.stack([self._sum(self.coefficients[k], *pair) for k in (0, 1)], axis=-1)
            for pair in ((slope_s, t), (s, slope_t))
        ]
        return np.stack(rows, axis=-2)

    def raster(self, cell: tuple[int, int]) -> tuple[Image, Image]:
        """Maps x and y, for a raster with this many pixels to the cell (across, down)."""
        columns, rows = self.counts[0] * cell[0], self.counts[1] * cell[1]
        s = ((np.arange(columns) + 0.5) * 2 / columns - 1)[:, None] ** np.arange(POWERS)
        t = ((np.arange(rows) + 0.5) * 2 / rows - 1)[:, None] ** np.arange(POWERS)
        x, y = (np.asarray(t @ self.coefficients[k].T @ s.T, dtype=np.float32) for k in (0, 1))
        return x, y

    def _powers(self, i: Vectors, j: Vectors) -> tuple[Vectors, Vectors]:
        s = 2 * (np.asarray(i) - self.first[0]) / self.counts[0] - 1
        t = 2 * (np.asarray(j) - self.first[1]) / self.counts[1] - 1
        return s[..., None] ** np.arange(POWERS), t[..., None] ** np.arange(POWERS)

    @staticmethod
    def _sum(coefficients: Vectors, s: Vectors, t: Vectors) -> Vectors:
        return np.asarray(np.einsum("...p,pq,...q->...", s, coefficients, t))


def straight_frame(view: View, basis: Vectors, origin: Vectors | None) -> Frame:
    """Straight lattice around the middle of the picture, with the cells that touch it."""
    width, height = view.size
    middle = np.array([(width - 1) / 2, (height - 1) / 2]) if origin is None else origin
    corners = np.array([[0, 0], [width, 0], [0, height], [width, height]], dtype=np.float64) - 0.5
    at = (corners - middle) @ np.linalg.inv(basis)
    low = np.maximum(np.floor(at.min(axis=0) + 1e-6), -FRAME_CELLS // 2).astype(int)
    high = np.minimum(np.ceil(at.max(axis=0) - 1e-6), FRAME_CELLS // 2).astype(int)
    longer = int(np.argmax(high - low))
    spare = (high - low)[longer] - MOST_CELLS // max(1, int((high - low)[1 - longer]))
    if spare > 0:  # a slanting lattice on a long strip: nearly all of its cells are empty
        low[longer], high[longer] = low[longer] + spare // 2, high[longer] - (spare - spare // 2)
    counts = np.maximum(high - low, 1)
    coefficients = np.zeros((2, POWERS, POWERS))
    coefficients[:, 0, 0] = middle + (low + counts / 2) @ basis
    coefficients[:, 1, 0] = basis[0] * counts[0] / 2
    coefficients[:, 0, 1] = basis[1] * counts[1] / 2
    return Frame(coefficients, (int(low[0]), int(low[1])), (int(counts[0]), int(counts[1])))


def coordinates(frame: Frame, points: Vectors) -> Vectors:
    """Lattice coordinates of points of the working picture (n, 2), by a few Newton steps."""
    first, counts = np.array(frame.first), np.array(frame.counts)
    at = np.tile(first + counts / 2, (len(points), 1))
    for _ in range(NEWTON_STEPS):
        off = points - frame.at(at[:, 0], at[:, 1])
        step = np.linalg.solve(frame.basis_at(at[:, 0], at[:, 1]).transpose(0, 2, 1), off[..., None])[..., 0]
        at = at + step
        if np.abs(step).max() < NEAR_ENOUGH:
            break
    return np.clip(at, first - 1, first + counts + 1)


def _derivative(powers: Vectors) -> Vectors:
    """Derivatives of 1, s, s^2 ... from these powers."""
    zero = np.zeros_like(powers[..., :1])
    return np.concatenate([zero, powers[..., :-1] * np.arange(1.0, POWERS)], axis=-1)
