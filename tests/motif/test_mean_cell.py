"""How far the mean cell can be relied on: one half of the cells against the other."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.motif.cell.mean_cell import SPLITS, _reliability

CELL = (20, 24, 3)


def cell(seed: int) -> np.ndarray:
    return np.random.default_rng(seed).uniform(20, 230, CELL).astype(np.float32)


def folded(kinds: list[np.ndarray], seen: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Sums over the four kinds of cell, each seen so often at each place."""
    return np.stack(kinds) * seen[..., None], seen


@pytest.mark.parametrize("split", SPLITS)
def test_halves_of_one_print_agree_however_often_a_place_was_seen(split: tuple) -> None:
    seen = np.random.default_rng(1).integers(1, 6, (4, *CELL[:2])).astype(np.float32)
    assert _reliability(*folded([cell(2)] * 4, seen), split) == pytest.approx(1, abs=1e-4)


@pytest.mark.parametrize("split", SPLITS)
def test_halves_that_show_other_prints_do_not(split: tuple) -> None:
    kinds = [cell(3) if n in split[0] else cell(4) for n in range(4)]
    assert _reliability(*folded(kinds, np.ones((4, *CELL[:2]), np.float32)), split) < 0.3


def test_halves_that_show_hardly_one_place_alike_say_nothing() -> None:
    seen = np.zeros((4, *CELL[:2]), np.float32)
    seen[:2, :10], seen[2:, 10:] = 1, 1
    assert np.isnan(_reliability(*folded([cell(5)] * 4, seen), ((0, 1), (2, 3))))
