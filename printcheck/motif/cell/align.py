"""Cells laid on one another: what strain the lattice left, as one smooth bend of the whole picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from printcheck.core.handover import Array
from printcheck.motif.cell.shading import Coarse, folded
from printcheck.motif.cell.unroll import Frame
from printcheck.motif.cv_types import summed

TERMS = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3))
FEWEST_CELLS = 3  # below this the mean is nearly the cell itself
PARTS = 4  # quarters of a cell that speak for themselves
PARTS_NEEDED = {3: 0, 6: 16, 10: 48}  # quarter cells seen for the terms of a plane, a quadratic, a cubic
RIDGE = 0.02  # of the mean stiffness: keeps directions the print cannot show (along a stripe) unbent
SEEN_MOSTLY = 0.3  # share of a cell that must be seen for it to speak
FARTHEST = 1.5  # coarse samples: a larger shift is no small bend but a wrong lattice
WORTH_SAMPLES = 0.25  # fine samples (root mean square) from which bending sharpens the mean


@dataclass(frozen=True)
class Bend:
    """Shift of the picture against the straight lattice, a polynomial over the view.

    Parameters
    ----------
    weights : (terms, 2) float64
        Shift in cells along the two vectors for every term of TERMS used.
    centre, reach : (2,) float64
        Cell coordinates that the terms' variables are measured from and in.
    """

    weights: Array
    centre: Array
    reach: Array

    def at(self, columns: Array, rows: Array) -> Array:
        """Shift in cells at places given in cells, (rows, columns, 2)."""
        x = (columns[None, :] - self.centre[0]) / self.reach[0]
        y = (rows[:, None] - self.centre[1]) / self.reach[1]
        shift: Array = _terms(x, y, number=len(self.weights)) @ self.weights
        return shift

    def plus(self, other: Bend) -> Bend:
        """Return both bends one after the other; small bends add."""
        return Bend(self.weights + other.weights, self.centre, self.reach)


def bend_of(coarse: Coarse, frame: Frame, low: Array) -> Bend | None:
    """Bend that lays the cells on their mean best; None where none is worth while.

    Notes
    -----
    Lucas and Kanade (1981) on the whole picture at once: every cell's difference from the mean, against
    the mean's slope, asks for a shift with a stiffness of its own; the polynomial's weights solve them all
    together.
    """
    used = (coarse.weight.mean(axis=(1, 3)) * coarse.keep) > SEEN_MOSTLY
    rows, columns = np.nonzero(used)
    if len(rows) < FEWEST_CELLS:
        return None
    reach = np.maximum(np.array([used.shape[1], used.shape[0]]) / 2, 0.5)
    places, stiff, pull = _pulls(coarse, frame, rows, columns)
    number = max(n for n, needed in PARTS_NEEDED.items() if needed <= len(rows) * PARTS)
    terms = _terms(*(places / reach - 1).T, number=number)
    weights = _solved(stiff, pull, terms)
    shift = terms @ weights  # in coarse samples
    samples = np.array([coarse.bgr.shape[3], coarse.bgr.shape[1]])
    fine = np.hypot(*(shift / samples * (frame.period, frame.run)).T)
    if np.hypot(*shift.T).max() > FARTHEST or np.sqrt((fine**2).mean()) < WORTH_SAMPLES:
        return None
    full = np.zeros((len(TERMS), 2))
    full[:number] = weights / samples
    return Bend(full, low + reach, reach)


def _terms(x: Array, y: Array, *, number: int) -> Array:
    x, y = np.broadcast_arrays(x, y)
    return np.stack([x**i * y**j for i, j in TERMS[:number]], axis=-1)


def _pulls(coarse: Coarse, frame: Frame, rows: Array, columns: Array) -> tuple[Array, Array, Array]:
    """Place (n, 2) in cells, stiffness (n, 2, 2) and pull (n, 2) in coarse samples of every quarter cell."""
    mean = folded(coarse.bgr, coarse.weight * coarse.keep[:, None, :, None], frame.stripe)[0, :, 0]
    if frame.stripe:
        mean = np.broadcast_to(mean, coarse.bgr.shape[1:2] + mean.shape[1:])
    slope = np.stack([(np.roll(mean, -1, a) - np.roll(mean, 1, a)) / 2 for a in (1, 0)], axis=-1)
    cells = coarse.bgr.transpose(0, 2, 1, 3, 4)[rows, columns]
    weight = coarse.weight.transpose(0, 2, 1, 3)[rows, columns]
    rest = (cells - mean) * weight[..., None]
    square = np.einsum("yxcp,yxcq->yxpq", slope, slope)
    asked = -np.stack([summed(rest * slope[..., p]) for p in (0, 1)], axis=-1)
    halves = [(part[0], part[-1] + 1) for part in np.array_split(np.arange(weight.shape[1]), 2)]
    sides = [(part[0], part[-1] + 1) for part in np.array_split(np.arange(weight.shape[2]), 2)]
    places, stiff, pull = [], [], []
    for top, bottom in halves:
        for left, right in sides:
            part = weight[:, top:bottom, left:right]
            stiff.append(np.tensordot(part, square[top:bottom, left:right], axes=2))
            pull.append(asked[:, top:bottom, left:right].sum(axis=(1, 2)))
            middle = ((left + right) / 2 / weight.shape[2], (top + bottom) / 2 / weight.shape[1])
            places.append(np.stack([columns + middle[0], rows + middle[1]], axis=1))
    return np.concatenate(places), np.concatenate(stiff), np.concatenate(pull)


def _solved(stiff: Array, pull: Array, terms: Array) -> Array:
    """Weights (terms, 2) of the shifts that answer all pulls best."""
    number = terms.shape[1]
    normal = np.einsum("nt,nu,npq->tpuq", terms, terms, stiff, optimize=True).reshape(2 * number, -1)
    right = np.einsum("nt,np->tp", terms, pull).reshape(-1)
    ridge = RIDGE * np.trace(stiff.sum(axis=0)) / 2 + 1e-9  # a blank picture has no stiffness at all
    shift: Array = np.linalg.solve(normal + ridge * np.eye(2 * number), right).reshape(number, 2)
    return shift
