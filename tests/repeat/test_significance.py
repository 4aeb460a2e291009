"""Lattices weighed by chance: on pictures made of one tile, so that the repeat is known."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.repeat.surface.candidates import reduced
from printcheck.repeat.surface.correlation import whole_surface
from printcheck.repeat.surface.illumination import View
from printcheck.repeat.surface.significance import Significance

SIZE = (300, 240)  # across, down, pixels
SHORTEST_PX = 4.0


def blobs(size: tuple[int, int], seed: int) -> np.ndarray:
    """Smooth noise that meets itself at its other side, (h, w, 3)."""
    rng = np.random.default_rng(seed)
    noise = np.tile(rng.normal(0, 1, (size[1], size[0], 3)), (3, 3, 1))
    soft = cv2.GaussianBlur(noise, (0, 0), 4)[size[1] : 2 * size[1], size[0] : 2 * size[0]]
    return (10 * soft / soft.std()).astype(np.float32)


def significance(picture: np.ndarray, seed: int = 0) -> Significance:
    noisy = picture + np.random.default_rng(seed).normal(0, 1, picture.shape)
    weight = np.ones(picture.shape[:2], np.float32)
    lab = (noisy - noisy.mean(axis=(0, 1))).astype(np.float32)
    view = View(lab, weight, np.zeros(3, np.float32), 1.0, 1.0, np.zeros(2))
    return Significance(whole_surface(view), shortest_px=SHORTEST_PX)


@pytest.mark.parametrize("shares", [(1.2, 1.2), (1.15, 1.9), (2.5, 1.2)])
def test_a_strip_of_dense_detail_that_comes_again_is_proof(shares: tuple[float, float]) -> None:
    tile = tuple(round(side / share) for side, share in zip(SIZE, shares, strict=True))
    picture = np.tile(blobs(tile, 1), (3, 3, 1))[: SIZE[1], : SIZE[0]]
    clear = significance(picture)
    true = np.diag(tile).astype(float)
    assert clear.proposals(1)[0] == pytest.approx(reduced(true), abs=3)
    assert clear.second(true) > 15
    aside = true + np.array([[0, 0], [0.3 * tile[0], -0.1 * tile[1]]])
    assert clear.second(aside) < 6


def test_without_a_repeat_none_stands_out() -> None:
    clear = significance(blobs(SIZE, 2)[:, : SIZE[0] - 7])
    assert max((clear.second(basis) for basis in clear.proposals(5)), default=0.0) < 7


def test_plain_ground_that_comes_again_says_nothing() -> None:
    """One row of motifs: their step across is sure, of the rows nothing is known."""
    picture = np.zeros((SIZE[1], SIZE[0], 3), np.float32)
    motif = blobs((30, 40), 3)
    for left in range(5, SIZE[0] - 30, 50):
        picture[100:140, left : left + 30] = motif
    clear = significance(picture)
    assert clear.along(np.array([50.0, 0.0])) > 15
    assert clear.second(np.array([[50.0, 0.0], [0.0, 180.0]])) < 3


def test_stripes_stand_out_by_their_period() -> None:
    across = np.arange(SIZE[0])
    stripes = np.where(across % 40 < 15, 8.0, -8.0) + np.where(across % 40 < 5, 6.0, 0.0)
    picture = np.repeat(np.tile(stripes, (SIZE[1], 1))[..., None], 3, axis=2).astype(np.float32)
    clear = significance(picture)
    assert clear.along(np.array([40.0, 0.0])) > 2 * max(clear.along(np.array([27.0, 0.0])), 0.1)


def test_the_highest_place_near_a_node_is_looked_for_to_all_sides_alike() -> None:
    clear = significance(blobs((60, 50), 5))
    height, width = clear.heights.shape
    y, x = np.mgrid[:height, :width]
    for place in [(20, 30), (width // 2 + 17, height // 2 - 9), (2, 3), (width - 3, height - 2)]:
        for radius in (1, 4, 9):
            near = (np.abs(x - place[0]) <= radius) & (np.abs(y - place[1]) <= radius)
            highest = int(np.where(near, clear.heights, -np.inf).argmax())
            across, down = clear._top(np.array(place), radius) + np.array(clear.middle)
            assert (down, across) == divmod(highest, width)
