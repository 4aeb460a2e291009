"""All overlaps of a layout brought to agree at once, with what that leaves open of each photo's place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from printcheck.photo.stitch.planar_pose import Link, fitted_poses, pose_near
from printcheck.photo.stitch.view import Matrix, View

MISFIT = 0.002  # of the longest side, one sigma: what lens and pulled cloth leave between two photos


@dataclass(frozen=True)
class Adjusted:
    """Movements of the views into the first one's pixels, one sigma of each middle's place there, pixels."""

    moves: dict[int, Matrix]
    sigma_px: dict[int, float]


def adjusted(views: Sequence[View], moves: Mapping[int, Matrix], links: Sequence[Link]) -> Adjusted:
    """Movements made to agree with the links; the first view's stays as it is."""
    links = [link for link in links if len(link.pairs)]
    if not links:
        return Adjusted(dict(moves), dict.fromkeys(moves, 0.0))
    starts = {n: pose_near(move, views[n].whole) for n, move in moves.items()}
    poses, covariance = fitted_poses(starts, links, MISFIT * max(views[0].whole))
    spread = np.sqrt(np.diag(covariance).reshape(-1, 6)[:, 4:].sum(1))
    found = {n: pose.move for n, pose in poses.items()}
    return Adjusted(found, dict(zip(sorted(starts), map(float, spread), strict=True)))
