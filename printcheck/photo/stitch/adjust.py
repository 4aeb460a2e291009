"""Views that lie on one another by pairs, settled all together, so that every overlap agrees at once.

What tilt each view's own object left, or the overlap it was laid by, is taken up: a view may bend as a
camera bends it, held by a weak tie to where it lay, and all pairs of places that two views show in common
are brought together (bundle adjustment of planes; Triggs et al. 2000).
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from printcheck.photo.stitch.patches import pairs_near
from printcheck.photo.stitch.similarity import FLAT, Matrix, Shown, corners_of, moved

PAIR_PX = 1.0  # how well a patch finds its like, one sigma, pixels of a flat picture
GIVE = 0.01  # of the longest side: how far a view's corner may lie off, one sigma
MOST_PAIRS = 120  # of one overlap: more say nothing new
LEAST_PAIRS = 12  # of one overlap: fewer are chance
ROUNDS = 2  # of looking for pairs and settling


def settled(pictures: Sequence[Shown], moves: Sequence[Matrix]) -> list[Matrix]:
    """Movements of the views into the first one's pixels, made to agree; the first one's stays.

    Parameters
    ----------
    pictures : sequence of Shown
    moves : sequence of (3, 3) float64
        As they lie so far.

    Returns
    -------
    list of (3, 3) float64
    """
    now = list(moves)
    for _ in range(ROUNDS):
        overlaps = [
            (new, old, pairs[:: 1 + len(pairs) // MOST_PAIRS])
            for new in range(1, len(pictures))
            for old in range(new)
            if len(
                pairs := pairs_near(pictures[new], pictures[old], np.linalg.inv(now[old]) @ now[new], FLAT)
            )
            >= LEAST_PAIRS
        ]
        if not overlaps:
            break
        now = _brought_together(pictures, moves, now, overlaps)
    return now


def _brought_together(
    pictures: Sequence[Shown],
    moves: Sequence[Matrix],
    start: Sequence[Matrix],
    overlaps: list[tuple[int, int, NDArray[np.float64]]],
) -> list[Matrix]:
    corners = [corners_of(picture.size) for picture in pictures]
    there = [moved(frame, move) for frame, move in zip(corners, moves, strict=True)]
    tie = GIVE * max(max(picture.size) for picture in pictures)

    def placed(numbers: NDArray[np.float64]) -> list[Matrix]:
        """A view's numbers are how far its corners move."""
        shifts = numbers.reshape(-1, 4, 2)
        return [moves[0]] + [
            _quadrangle(corners[n + 1], there[n + 1] + shift) for n, shift in enumerate(shifts)
        ]

    def misfit(numbers: NDArray[np.float64]) -> NDArray[np.float64]:
        at = placed(numbers)
        apart = [moved(p[:, 0], at[new]) - moved(p[:, 1], at[old]) for new, old, p in overlaps]
        return np.concatenate([*(a.ravel() / PAIR_PX for a in apart), numbers / tie])

    first = np.concatenate(
        [(moved(c, m) - t).ravel() for c, m, t in list(zip(corners, start, there, strict=True))[1:]]
    )
    found = least_squares(misfit, first, loss="soft_l1", diff_step=1e-4, x_scale=tie, max_nfev=20)
    return placed(found.x)


def _quadrangle(source: Matrix, target: Matrix) -> Matrix:
    return np.asarray(cv2.getPerspectiveTransform(np.float32(source), np.float32(target)), np.float64)
