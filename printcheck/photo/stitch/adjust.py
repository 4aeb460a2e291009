"""All overlaps brought to agree at once: bundle adjustment of planes (Triggs and others 2000).

Each view may bend as a camera bends it, held by a weak tie to where it lay; all pairs of places that two
views show in common are brought together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.photo.stitch.placing import Join, Layout
from printcheck.photo.stitch.view import Matrix, View, corners_of, moved

PAIR_PX = 1.0  # how well a patch finds its like, one sigma, pixels of a flat picture
GIVE = 0.02  # of the longest side: how far a view's corner may lie off, one sigma
MOST_PAIRS = 150  # of one overlap: more say nothing new
MOST_STEPS = 20  # of the fit; it settles in about six


@dataclass(frozen=True)
class Adjusted:
    """Movements of the views into the first one's pixels; how far pairs are left apart there (median, px)."""

    moves: dict[int, Matrix]
    left_px: float


def adjusted(views: Sequence[View], layout: Layout) -> Adjusted:
    """The layout's movements made to agree; the first view's stays as it is."""
    from scipy.optimize import least_squares

    free = sorted(set(layout.moves) - {0})
    joins = [join for join in layout.joins if len(join.place.pairs)]
    if not free or not joins:
        return Adjusted(dict(layout.moves), 0.0)
    corners = {n: corners_of(views[n].whole) for n in layout.moves}
    there = {n: moved(corners[n], layout.moves[n]) for n in layout.moves}
    tie = GIVE * max(max(views[n].whole) for n in layout.moves)
    pairs = [_thinned(join) for join in joins]

    def placed(numbers: NDArray[np.float64]) -> dict[int, Matrix]:
        """A view's numbers are how far its corners move."""
        shifts = numbers.reshape(-1, 4, 2)
        bent = {n: _quadrangle(corners[n], there[n] + s) for n, s in zip(free, shifts, strict=True)}
        return {0: layout.moves[0], **bent}

    def apart(at: dict[int, Matrix]) -> NDArray[np.float64]:
        ends = zip(joins, pairs, strict=True)
        return np.concatenate([moved(p[:, 0], at[j.new]) - moved(p[:, 1], at[j.old]) for j, p in ends])

    def misfit(numbers: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.concatenate([apart(placed(numbers)).ravel() / PAIR_PX, numbers / tie])

    found = least_squares(
        misfit, np.zeros(8 * len(free)), loss="soft_l1", diff_step=1e-4, x_scale=tie, max_nfev=MOST_STEPS
    )
    at = placed(found.x)
    return Adjusted(at, float(np.sqrt(np.median(np.square(apart(at)).sum(1)))))


def _thinned(join: Join) -> Matrix:
    pairs = join.place.pairs
    return np.asarray(pairs[:: 1 + len(pairs) // MOST_PAIRS], np.float64)


def _quadrangle(source: Matrix, target: Matrix) -> Matrix:
    return np.asarray(cv2.getPerspectiveTransform(np.float32(source), np.float32(target)), np.float64)
