"""How hand-held cameras look at flat cloth, fitted to places that several pictures show.

Bundle adjustment of one plane (Triggs and others 2000) by Gauss-Newton steps with Cauchy weights. A free
homography has eight numbers, and a narrow overlap hardly tells some of them: carried on over the rest of a
picture, and from picture to picture, they drift. A camera has six, of which the tilt is known to be small.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.photo.scale.pose import TYPICAL_FOCAL
from printcheck.photo.stitch.view import Matrix, corners_of, moved

Numbers = NDArray[np.float64]

# One sigma between two photos of one cloth: tilt about either axis and turn, radians; log of the zoom; pixels
# off where a fit starts, which alone keeps a photo from sliding along stripes.
USUAL = np.array([0.07, 0.07, 0.2, 0.2, 1e4, 1e4])
FIXED = 1e-5  # one sigma of what does not change
TILT_STEP = 1e-4  # radians, of the derivatives
INDEPENDENT = 30  # places of one overlap, beyond which more are near others and share what is wrong with them
MOST_ROUNDS = 15  # of the fit; it settles in about six
SETTLED_PX = 0.1  # of the pictures' middles in a round: less changes nothing


@dataclass(frozen=True)
class PlanarPose:
    """Where a picture's camera looks.

    Parameters
    ----------
    numbers : (6,) float64
        Tilt about the picture's two axes and turn (radians), log of the zoom, and where the picture's
        middle lies in the frame's pixels.
    size : (width, height)
        Of the picture.
    """

    numbers: Numbers
    size: tuple[int, int]

    @property
    def move(self) -> Matrix:
        """Homography (3, 3) from the picture's pixels to the frame's."""
        tilt_x, tilt_y, turn, zoom, x, y = self.numbers
        rotation, _ = cv2.Rodrigues(np.array([tilt_x, tilt_y, 0.0]))
        seen = np.eye(3)
        seen[:2, :2], seen[2, :2] = rotation[:2, :2], rotation[2, :2] / (TYPICAL_FOCAL * max(self.size))
        cos, sin = math.exp(zoom) * math.cos(turn), math.exp(zoom) * math.sin(turn)
        left, top = (np.array(self.size) - 1) / 2
        laid = np.array([[cos, -sin, x], [sin, cos, y], [0, 0, 1.0]])
        move = laid @ np.linalg.inv(seen) @ np.array([[1, 0, -left], [0, 1, -top], [0, 0, 1.0]])
        return np.asarray(move / move[2, 2], np.float64)


@dataclass(frozen=True)
class Link:
    """Places that two pictures show in common.

    Parameters
    ----------
    new, old : int
        The pictures.
    pairs : (n, 2, 2) float64
        Places in the one, and in the other.
    tensors : (n, 2, 2) float64
        How well each is told either way, 1 at best.
    """

    new: int
    old: int
    pairs: Matrix
    tensors: Matrix

    def apart(self, new: Matrix, old: Matrix) -> tuple[Matrix, Numbers]:
        """How far the places lie from one another in a frame (n, 2), and by what is told of it (n,)."""
        apart = moved(self.pairs[:, 0], new) - moved(self.pairs[:, 1], old)
        return apart, np.sqrt(np.einsum("ni,nij,nj->n", apart, self.tensors, apart))


def straight_pose(size: tuple[int, int]) -> PlanarPose:
    """The pose that leaves a picture's pixels where they are."""
    return PlanarPose(np.array([0, 0, 0, 0, (size[0] - 1) / 2, (size[1] - 1) / 2]), size)


def pose_near(move: Matrix, size: tuple[int, int]) -> PlanarPose:
    """The pose whose homography is most like one."""
    middle = (np.array(size) - 1) / 2
    at = moved(middle + np.array([[0, 0], [1, 0], [0, 1]]), move)
    (a, b), (c, d) = at[1:] - at[0]
    turn, zoom = math.atan2(b - c, a + d), math.log(max(a * d - b * c, 1e-9)) / 2
    start = PlanarPose(np.array([0, 0, turn, zoom, *at[0]]), size)
    corners = corners_of(size)
    link = Link(1, 0, np.stack([corners, moved(corners, move)], 1), np.tile(np.eye(2), (4, 1, 1)))
    return fitted_poses({0: straight_pose(size), 1: start}, [link], 1.0)[0][1]


def fitted_poses(
    poses: Mapping[int, PlanarPose], links: Sequence[Link], sigma_px: float, *, leaning: bool = False
) -> tuple[dict[int, PlanarPose], NDArray[np.float64]]:
    """The poses at which the places of all links meet, and their covariance.

    Parameters
    ----------
    poses : dict of int to PlanarPose
        Where each starts. Number 0 is the frame, and stays where it is.
    links : sequence of Link
    sigma_px : float
        How far two pictures show one place apart, in the frame's pixels.
    leaning : bool, keyword-only
        Whether the first may have been tilted as well.

    Returns
    -------
    dict of int to PlanarPose
    (6 n, 6 n) float64
        Of the numbers of all, in order.
    """
    at, order = dict(poses), sorted(poses)
    first = {n: 6 * k for k, n in enumerate(order)}
    usual = np.zeros((len(order), 6))
    usual[1:, 3] = np.mean([at[n].numbers[3] for n in order[1:]])
    usual[:, 4:] = [at[n].numbers[4:] for n in order]
    usual[0] = at[0].numbers
    sigma = np.tile(USUAL, (len(order), 1))
    sigma[0, 0 if not leaning else 2 :] = FIXED
    known = 1 / sigma.ravel() ** 2
    normal = np.diag(known)
    for _ in range(MOST_ROUNDS):
        numbers = np.concatenate([at[n].numbers for n in order])
        normal, slope = np.diag(known), known * (numbers - usual.ravel())
        for link in links:
            apart, told = link.apart(at[link.new].move, at[link.old].move)
            weight = min(1.0, INDEPENDENT / len(apart)) / (sigma_px**2 + told**2)
            trust = weight[:, None, None] * link.tensors
            ways = [
                (first[n], sign * _derivatives(at[n], link.pairs[:, side]))
                for side, (n, sign) in enumerate(((link.new, 1.0), (link.old, -1.0)))
            ]
            pulled = (trust @ apart[..., None]).ravel()
            for i, one in ways:
                flat = one.reshape(-1, 6).T
                slope[i : i + 6] += flat @ pulled
                for j, other in ways:
                    normal[i : i + 6, j : j + 6] += flat @ (trust @ other).reshape(-1, 6)
        step = np.linalg.solve(normal, -slope).reshape(-1, 6)
        for n, change in zip(order, step, strict=True):
            at[n] = replace(at[n], numbers=at[n].numbers + change)
        if np.abs(step[:, 4:]).max() < SETTLED_PX:
            break
    return at, np.asarray(np.linalg.inv(normal), np.float64)


def _derivatives(pose: PlanarPose, places: Matrix) -> NDArray[np.float64]:
    """Change of where places (n, 2) lie with each number of the pose, (n, 2, 6)."""
    here = moved(places, pose.move)
    change = np.zeros((len(places), 2, 6))
    for n in range(2):
        numbers = pose.numbers.copy()
        numbers[n] += TILT_STEP
        change[..., n] = (moved(places, PlanarPose(numbers, pose.size).move) - here) / TILT_STEP
    change[..., 3] = here - pose.numbers[4:]
    change[..., 2] = change[..., ::-1, 3] * (-1, 1)
    change[..., 4:] = np.eye(2)
    return change
