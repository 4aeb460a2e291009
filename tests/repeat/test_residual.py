"""What a mean cell leaves: light and strain are taken off, what alternates from cell to cell is kept."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from printcheck.repeat.cells.residual import residual_of

CELLS, PX = (12, 16), 24  # rows and columns of cells, pixels of a side
BASIS = np.array([[float(PX), 0.0], [0.0, float(PX)]])
SHORT_SIDE = CELLS[0] * PX
Cells = NDArray[np.float32]


def mean_cell() -> Cells:
    y, x = np.mgrid[:PX, :PX] * 2 * np.pi / PX
    grey = 8 * np.sin(x + 0.3) + 6 * np.cos(y) + 4 * np.sin(x + y)
    return np.repeat(grey[..., None], 3, axis=2).astype(np.float32)


def moved(by: NDArray[np.float64]) -> Cells:
    """Cells less their mean where each lies off its place by (x, y) pixels, (nj, ni, 2)."""
    y, x = np.mgrid[:PX, :PX] * 2 * np.pi / PX
    dx, dy = (2 * np.pi / PX * by[..., k][..., None, None] for k in (0, 1))
    grey = 8 * np.sin(x - dx + 0.3) + 6 * np.cos(y - dy) + 4 * np.sin(x - dx + y - dy)
    return np.repeat(grey[..., None], 3, axis=4).astype(np.float32) - mean_cell()


def left_of(left: Cells) -> Cells:
    return residual_of(SHORT_SIDE, left, np.ones(left.shape[:4], np.float32), mean_cell(), BASIS)


def power(cells: Cells) -> float:
    return float((cells[2:-2, 2:-2].astype(float) ** 2).mean())


def test_a_smooth_strain_of_the_cloth_is_no_difference_of_the_cells() -> None:
    rows, columns = np.mgrid[: CELLS[0], : CELLS[1]]
    strained = moved(np.stack([0.4 * np.sin(rows / 4), 0.4 * np.cos(columns / 5)], axis=-1))
    assert power(left_of(strained)) < 0.05 * power(strained)


def test_no_more_is_taken_for_strain_than_the_fitted_map_can_have_missed() -> None:
    """Of a move of 1.2 pixels 0.6 are explained: half of the difference is left, a quarter of its power."""
    far = moved(np.broadcast_to([1.2, 0.0], (*CELLS, 2)))
    near = moved(np.broadcast_to([0.5, 0.0], (*CELLS, 2)))
    assert power(left_of(far)) == pytest.approx(0.25 * power(far), rel=0.2)
    assert power(left_of(near)) < 0.02 * power(near)


def test_cells_that_move_by_turns_are_told_apart() -> None:
    """Every other figure printed lower is a larger repeat, not strain: it must not be taken off."""
    rows, columns = np.mgrid[: CELLS[0], : CELLS[1]]
    turns = np.where((rows + columns) % 2, 0.4, -0.4)
    alternating = moved(np.stack([turns, 0 * turns], axis=-1))
    assert power(left_of(alternating)) > 0.9 * power(alternating)


def test_light_that_changes_slowly_is_taken_off_and_an_odd_row_is_kept() -> None:
    y, x = np.mgrid[: CELLS[0] * PX, : CELLS[1] * PX]
    light = 5 * np.sin(2 * np.pi * y / (CELLS[0] * PX)) + 3 * x / x.max()
    cells = light.reshape(CELLS[0], PX, CELLS[1], PX).swapaxes(1, 2)[..., None]
    shaded = np.repeat(cells, 3, axis=4).astype(np.float32)
    assert power(left_of(shaded)) < 0.05 * power(shaded)
    odd = np.zeros_like(shaded)
    odd[::2] += 1.0
    odd[1::2] -= 1.0
    assert power(left_of(odd)) > 0.8 * power(odd)


def test_what_is_not_seen_is_left_at_nothing() -> None:
    left = np.random.default_rng(1).normal(0, 1, (*CELLS, PX, PX, 3)).astype(np.float32)
    weight = np.ones(left.shape[:4], np.float32)
    weight[:, :5] = 0
    found = residual_of(SHORT_SIDE, left * weight[..., None], weight, mean_cell(), BASIS)
    assert not found[:, :5].any() and power(found[:, 5:]) > 0.5
