"""Whatever the picture, an answer and never an exception."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.repeat import find_lattice
from tests.repeat.drawn import cloth_of

RNG = np.random.default_rng(11)
SHAPES = [(1, 5000), (5000, 1), (1, 1), (2, 3), (9, 9), (24, 24), (12, 80)]


def checkerboard(height: int, width: int, side: int) -> np.ndarray:
    rows, columns = np.indices((height, width)) // side
    return np.repeat(((rows + columns) % 2 * 255)[..., None], 3, axis=2).astype(np.uint8)


PICTURES = {
    "black": lambda h, w: np.zeros((h, w, 3), np.uint8),
    "white": lambda h, w: np.full((h, w, 3), 255, np.uint8),
    "one colour": lambda h, w: np.full((h, w, 3), (30, 200, 90), np.uint8),
    "noise": lambda h, w: RNG.integers(0, 256, (h, w, 3), dtype=np.uint8),
    "black and white at random": lambda h, w: (RNG.integers(0, 2, (h, w, 1)) * [255, 255, 255]).astype(
        np.uint8
    ),
    "checkerboard of 1": lambda h, w: checkerboard(h, w, 1),
    "checkerboard of 2": lambda h, w: checkerboard(h, w, 2),
    "checkerboard of 50": lambda h, w: checkerboard(h, w, 50),
    "half black": lambda h, w: (
        np.where(np.arange(w)[None, :, None] < w // 2, 0, 255) * np.ones((h, w, 3), np.uint8)
    ),
    "ramp": lambda h, w: np.broadcast_to(np.linspace(0, 255, w)[None, :, None], (h, w, 3)).astype(np.uint8),
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("name", PICTURES)
def test_any_picture_gets_an_answer(name: str, shape: tuple[int, int]) -> None:
    repeat = find_lattice(cloth_of(PICTURES[name](*shape))).repeat
    assert repeat.kind in ("none", "beyond-photo", "stripe", "lattice")
    assert 0 <= repeat.confidence <= 1
    assert all(np.isfinite(v).all() for v in repeat.basis_mm)


@pytest.mark.parametrize("scale", [1e-3, 0.05, 5.0, 300.0])
def test_any_scale_gets_an_answer(scale: float) -> None:
    assert find_lattice(cloth_of(checkerboard(300, 400, 20), scale)).repeat.confidence >= 0


def test_nothing_seen_is_no_repeat() -> None:
    mask = np.zeros((300, 400), bool)
    for seen in (np.s_[:0], np.s_[150], np.s_[150, 200], np.s_[140:160:2, 190:230:3]):
        mask[seen] = True
        assert find_lattice(cloth_of(checkerboard(300, 400, 20), mask=mask)).repeat.kind in (
            "none",
            "beyond-photo",
        )
