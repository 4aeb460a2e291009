"""One line in n heavier than the others: the heavier ones make the repeat."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from printcheck.repeat.cells.row_test import band_of
from tests.repeat.drawn import GROUND, INK, cloth_of, noisy

FINE = 14.0  # pixels between lines


def lines(every: int, *, thin: float = 1.6, thick: float = 3.2, turn_deg: float = 4.0) -> np.ndarray:
    """Graph paper, (480, 640, 3): lines both ways, each ``every``-th one thicker (widths in pixels)."""
    x, y = np.meshgrid(np.arange(4 * 640) / 4, np.arange(4 * 480) / 4)
    turn = np.deg2rad(turn_deg)
    picture = np.full((*x.shape, 3), GROUND, np.float32)
    for place in (x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)):
        number = np.round(place / FINE)
        width = np.where(number % every == 0, thick, thin)
        picture[np.abs(place - number * FINE) < width / 2] = INK
    return cv2.resize(picture, (640, 480), interpolation=cv2.INTER_AREA)


@pytest.mark.parametrize("every", [4, 5, 8, 10, 12])
def test_the_heavier_lines_make_the_repeat(every: int) -> None:
    repeat = find_lattice(cloth_of(noisy(lines(every)))).repeat
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx([every * FINE * 0.5] * 2, rel=0.01)


def test_lines_alike_repeat_at_every_one() -> None:
    repeat = find_lattice(cloth_of(noisy(lines(5, thick=1.6)))).repeat
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx([FINE * 0.5] * 2, rel=0.01)


def rows(number: int, every: int, more: float, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Residuals of rows that differ by 1 at random and by ``more`` in every n-th, with their weights."""
    rng = np.random.default_rng(seed)
    rows = rng.normal(0, 1 / np.sqrt(3), (number, 1, 1, 1, 3)) + rng.normal(0, 1, (number, 8, 10, 10, 3))
    rows[::every, :, 4:6] += more
    return rows.astype(np.float32), np.ones((number, 8, 10, 10), np.float32)


@pytest.mark.parametrize("every", [4, 7, 10])
def test_a_band_is_what_like_rows_do_not_differ_by(every: int) -> None:
    even = np.ones((10, 10))
    band = band_of(*rows(40, every, 3.0), even)
    assert band is not None
    assert (band.number, band.ratio > 10) == (every, True)
    assert band.size == pytest.approx(3.0 * np.sqrt(3), rel=0.35)
    worse = [band_of(*rows(40, 5, 0.0, seed), even) for seed in range(20)]
    assert max(b.ratio for b in worse if b is not None) < 6  # rows that differ as they please show none


def test_too_few_rows_say_nothing() -> None:
    assert band_of(*rows(6, 4, 9.0), np.ones((10, 10))) is None
