"""Pieces on the torus: what ends, what runs on, and holes."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from printcheck.motif.figures.torus import pieces_of, without_holes


def test_a_piece_over_the_corner_is_one() -> None:
    mask = np.zeros((20, 30), bool)
    mask[np.ix_([18, 19, 0, 1], [28, 29, 0, 1, 2])] = True
    (piece,) = pieces_of(mask).ending
    assert piece.area == 20
    assert np.ptp(piece.rows) == 3
    assert np.ptp(piece.columns) == 4


def test_a_line_round_the_torus_is_a_network() -> None:
    mask = np.zeros((20, 30), bool)
    mask[7] = True
    mask[12:15, 3:6] = True
    found = pieces_of(mask)
    assert [piece.area for piece in found.ending] == [9]
    assert found.network.sum() == 30


def test_a_diagonal_that_closes_only_after_several_cells_is_a_network() -> None:
    mask = np.zeros((20, 20), bool)
    rows = np.arange(20)
    mask[rows, (rows + 3) % 20] = True
    assert not pieces_of(mask).ending


def test_a_ring_is_filled_and_the_ground_is_not() -> None:
    mask = np.zeros((20, 20), bool)
    mask[15:20, 15:20] = True
    mask[17, 17] = False
    filled = without_holes(mask)
    assert filled[17, 17]
    assert filled.sum() == 25


@given(st.integers(0, 19), st.integers(0, 29))
def test_pieces_do_not_depend_on_the_origin(down: int, right: int) -> None:
    mask = np.zeros((20, 30), bool)
    mask[3:6, 4:9] = True
    mask[10:12, 20:21] = True
    mask[15] = True
    moved = pieces_of(np.roll(mask, (down, right), axis=(0, 1)))
    assert sorted(piece.area for piece in moved.ending) == [2, 15]
    assert moved.network.sum() == 30
