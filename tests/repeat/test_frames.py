"""A lattice that lies bent in the picture: its map, the map's slopes and its inverse agree."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from printcheck.repeat.cells.warp import FRAME_CELLS, MOST_CELLS, POWERS, Frame, coordinates, straight_frame
from printcheck.repeat.surface.illumination import View

STEP = 1e-5  # lattice steps of a numerical derivative


def view(width: int, height: int) -> View:
    picture = np.zeros((height, width, 3), np.float32)
    return View(picture, picture[..., 0] + 1, np.zeros(3, np.float32), 0.5, 2.0, np.array([10.0, 6.0]))


def bent(seed: int) -> Frame:
    """A frame of 9 by 7 cells, each term of higher degree moving points by up to 2 pixels."""
    rng = np.random.default_rng(seed)
    coefficients = rng.uniform(-2, 2, (2, POWERS, POWERS)) / POWERS
    coefficients[:, 1, 0] += (180.0, 12.0)
    coefficients[:, 0, 1] += (-15.0, 120.0)
    return Frame(coefficients, (-5, -3), (9, 7))


def some(frame: Frame, seed: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    rng = np.random.default_rng(seed)
    return rng.uniform(0, 9, 20) + frame.first[0], rng.uniform(0, 7, 20) + frame.first[1]


@pytest.mark.parametrize("seed", range(3))
def test_local_vectors_are_the_slopes_of_the_map(seed: int) -> None:
    frame = bent(seed)
    i, j = some(frame, seed)
    vectors = frame.basis_at(i, j)
    by_i = (frame.at(i + STEP, j) - frame.at(i - STEP, j)) / (2 * STEP)
    by_j = (frame.at(i, j + STEP) - frame.at(i, j - STEP)) / (2 * STEP)
    assert np.allclose(vectors[:, 0], by_i, atol=1e-4) and np.allclose(vectors[:, 1], by_j, atol=1e-4)


@pytest.mark.parametrize("seed", range(3))
def test_coordinates_are_the_map_backwards(seed: int) -> None:
    frame = bent(seed)
    i, j = some(frame, seed)
    back = coordinates(frame, frame.at(i, j))
    assert np.allclose(back, np.stack([i, j], axis=1), atol=1e-3)


def test_points_far_off_are_held_one_cell_outside() -> None:
    frame = straight_frame(view(200, 150), np.array([[30.0, 0.0], [9.0, 41.0]]), None)
    low, high = np.array(frame.first) - 1, np.array(frame.first) + frame.counts + 1
    found = coordinates(frame, np.array([[1e5, 1e5], [-1e5, -1e5]]))
    assert np.array_equal(found, [[high[0], high[1]], [low[0], low[1]]])


def test_a_raster_holds_the_middles_of_its_pixels() -> None:
    frame = bent(7)
    x, y = frame.raster((6, 4))
    assert x.shape == y.shape == (7 * 4, 9 * 6)
    i, j = (np.arange(9 * 6) + 0.5) / 6 - 5, (np.arange(7 * 4) + 0.5) / 4 - 3
    where = frame.at(*np.meshgrid(i, j))
    assert np.allclose(x, where[..., 0], atol=1e-3) and np.allclose(y, where[..., 1], atol=1e-3)


@pytest.mark.parametrize("angle_deg", [0.0, 20.0, 75.0])
@pytest.mark.parametrize("origin", [None, (31.0, 47.0)])
def test_a_straight_frame_covers_the_picture_and_is_the_lattice_everywhere(
    angle_deg: float, origin: tuple[float, float] | None
) -> None:
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    basis = np.array([[30.0, 0.0], [9.0, 41.0]]) @ np.array([[c, s], [-s, c]])
    middle = np.array([99.5, 74.5]) if origin is None else np.array(origin)
    frame = straight_frame(view(200, 150), basis, None if origin is None else middle)
    assert np.allclose(frame.at(np.array(0), np.array(0)), middle)
    i, j = np.array([-2.5, 0.0, 3.0]), np.array([1.0, -0.5, 2.0])
    assert np.allclose(frame.at(i, j), middle + np.stack([i, j], axis=1) @ basis)
    assert np.allclose(frame.basis_at(i, j), basis)
    corners = np.array([[-0.5, -0.5], [199.5, -0.5], [-0.5, 149.5], [199.5, 149.5]])
    at = (corners - middle) @ np.linalg.inv(basis)
    first, last = np.array(frame.first), np.array(frame.first) + frame.counts
    assert np.all(at >= first - 1e-6) and np.all(at <= last + 1e-6)
    assert np.all(at.min(0) < first + 1) and np.all(at.max(0) > last - 1)  # and no cell that touches nothing


def test_the_smallest_cells_are_left_out_at_the_rim_alone() -> None:
    fine = straight_frame(view(3000, 40), np.array([[3.0, 0.0], [0.0, 3.0]]), None)
    assert fine.counts[0] == FRAME_CELLS and fine.first[0] == -FRAME_CELLS // 2
    slanting = straight_frame(view(1200, 1200), np.array([[3.0, 0.0], [0.0, 3.0]]), None)
    assert MOST_CELLS * 0.9 < slanting.counts[0] * slanting.counts[1] <= MOST_CELLS
    assert abs(slanting.first[0] + slanting.counts[0] / 2) <= 1
    high = straight_frame(view(300, 1200), np.array([[1.5, 0.0], [0.0, 3.0]]), np.array([290.0, 1190.0]))
    assert tuple(high.counts) == (201, MOST_CELLS // 201)  # the longer side is cut


def test_points_go_to_the_flat_picture_and_back() -> None:
    """The corner of the working picture lies at its offset, which is of a pixel's corner, not its middle."""
    shown = view(20, 10)
    assert np.allclose(shown.to_flat(np.array([-0.5, -0.5])), shown.offset_px - 0.5)
    points = np.random.default_rng(0).uniform(0, 10, (5, 2))
    assert np.allclose(shown.from_flat(shown.to_flat(points)), points)
    apart = shown.to_flat(np.array([4.0, 3.0])) - shown.to_flat(np.array([3.0, 3.0]))
    assert np.allclose(apart, [shown.reduction, 0])
