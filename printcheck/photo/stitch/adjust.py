"""All overlaps of a layout brought to agree at once, with what that leaves open of each photo's place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from printcheck.photo.stitch.planar_pose import Link, fitted_poses, pose_near
from printcheck.photo.stitch.view import Matrix, View

MISFIT = 0.002  # of the longest side, one sigma: what lens and pulled cloth leave between two photos


def adjusted(
    views: Sequence[View], moves: Mapping[int, Matrix], links: Sequence[Link]
) -> tuple[dict[int, Matrix], dict[int, float]]:
    """Movements into the first view's pixels made to agree, and one sigma of each view's middle there.

    The sigma is that of the way in which the place is told best: along stripes it is not told, and matters
    not.
    """
    starts = {n: pose_near(move, views[n].whole) for n, move in moves.items()}
    shown = [link for link in links if len(link.pairs)]
    poses, covariance = fitted_poses(starts, shown, MISFIT * max(views[0].whole))
    blocks = [covariance[k + 4 : k + 6, k + 4 : k + 6] for k in range(0, len(covariance), 6)]
    sigma_px = np.sqrt(2 * np.abs(np.linalg.eigvalsh(blocks)[:, 0]))
    found = {n: pose.move for n, pose in poses.items()}
    return found, dict(zip(sorted(starts), map(float, sigma_px), strict=True))
