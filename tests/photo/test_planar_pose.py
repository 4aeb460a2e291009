"""Poses of cameras over flat cloth, against homographies made by a camera's own geometry."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.photo.stitch.planar_pose import Link, PlanarPose, fitted_poses, pose_near
from printcheck.photo.stitch.view import moved

SIZE = (1600, 1200)
MIDDLE = (799.5, 599.5)
FRAME = PlanarPose(np.array([0, 0, 0, 0, *MIDDLE]), SIZE)


def link(
    rng: np.random.Generator, new: int, old: int, poses: dict[int, PlanarPose], *, noise_px: float = 1.0
) -> Link:
    """Places in the left third of the new picture as both show them."""
    seen = rng.uniform((0, 0), (SIZE[0] / 3, SIZE[1]), (120, 2))
    there = moved(seen, np.linalg.inv(poses[old].move) @ poses[new].move)
    pairs = np.stack([seen, there + rng.normal(0, noise_px, there.shape)], 1)
    return Link(new, old, pairs, np.tile(np.eye(2), (len(pairs), 1, 1)))


def strip(rng: np.random.Generator, count: int) -> dict[int, PlanarPose]:
    numbers = [[*rng.normal(0, 0.05, 4), MIDDLE[0] + 1000.0 * n, MIDDLE[1]] for n in range(count)]
    return {0: FRAME, **{n: PlanarPose(np.array(numbers[n]), SIZE) for n in range(1, count)}}


@pytest.mark.parametrize("turn", [0.04, 1.6, -2.5])  # radians: a photo may be taken from any side
def test_the_pose_of_a_homography_is_the_one_that_made_it(turn: float) -> None:
    made = PlanarPose(np.array([0.06, -0.05, turn, 0.1, 1500, 620]), SIZE)
    assert pose_near(made.move, SIZE).numbers[:4] == pytest.approx(made.numbers[:4], abs=0.002)


def test_tilt_is_as_a_pinhole_makes_it() -> None:
    """Tilted about the picture's upright axis, its farther side shows more cloth (Hartley and Zisserman)."""
    tilt = 0.1
    tilted = PlanarPose(np.array([0, tilt, 0, 0, *MIDDLE]), SIZE)
    edge = moved(np.array([[0.0, 599.5], [1599.0, 599.5]]), tilted.move)[:, 0] - MIDDLE[0]
    focal, half = 0.85 * SIZE[0], 799.5
    ray = np.arctan(half / focal)
    assert sorted(np.abs(edge)) == pytest.approx(
        sorted(focal * np.abs(np.sin([-ray, ray]) / np.cos(np.array([-ray, ray]) - tilt))), rel=1e-3
    )


def test_a_strip_of_five_does_not_drift() -> None:
    rng = np.random.default_rng(4)
    true = strip(rng, 5)
    links = [link(rng, n, n - 1, true) for n in range(1, 5)]
    starts = {n: pose_near(np.array([[1, 0, 1000.0 * n], [0, 1, 0], [0, 0, 1]]), SIZE) for n in true}
    found, covariance = fitted_poses(starts, links, 3.0)
    off = np.array([found[n].numbers[4:] - true[n].numbers[4:] for n in range(1, 5)])
    sigma = np.sqrt(np.diag(covariance).reshape(-1, 6)[1:, 4:])
    assert np.hypot(*off.T).max() < 0.02 * SIZE[0]
    assert np.all(np.diff(sigma[:, 0]) > 0)  # the farther from the first, the less sure
    assert np.abs(off / sigma).max() < 4


def test_places_that_slide_along_an_edge_are_told_across_it_alone() -> None:
    rng = np.random.default_rng(5)
    true = strip(rng, 2)
    one = link(rng, 1, 0, true, noise_px=0.5)
    slid = one.pairs.copy()
    slid[::2, 1, 1] += 40.0  # every second place lies on an upright edge
    tensors = one.tensors.copy()
    tensors[::2] = np.diag([1.0, 0.0])
    found, _ = fitted_poses(true, [Link(1, 0, slid, tensors)], 3.0)
    assert found[1].numbers[4:] == pytest.approx(true[1].numbers[4:], abs=4)


def test_upright_stripes_leave_a_photo_where_it_was_along_them() -> None:
    rng = np.random.default_rng(6)
    true = strip(rng, 2)
    one = link(rng, 1, 0, true, noise_px=0.5)
    stripes = Link(1, 0, one.pairs, np.tile(np.diag([1.0, 0.0]), (len(one.pairs), 1, 1)))
    start = PlanarPose(true[1].numbers + np.array([0, 0, 0, 0, 20, 30]), SIZE)
    found, covariance = fitted_poses({0: FRAME, 1: start}, [stripes], 3.0)
    assert found[1].numbers[4] == pytest.approx(true[1].numbers[4], abs=8)
    assert found[1].numbers[5] == pytest.approx(start.numbers[5], abs=1)
    assert np.all(np.isfinite(covariance))
