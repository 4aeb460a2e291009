"""Light that a broad print hides from the first look, told by its like cells."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from printcheck.repeat.cells.cell_shading import relit
from printcheck.repeat.cells.refine import fit_lattice
from printcheck.repeat.surface.illumination import look
from tests.repeat.drawn import cloth_of

PERIOD = 225.0  # pixels: the picture shows it 2.8 and 2.1 times
GREEN, ORANGE = (56, 60, 8), (60, 140, 235)


def window() -> np.ndarray:
    """Broad orange lines on dark green, (480, 640, 3), under light from one corner."""
    x, y = np.meshgrid(np.arange(640), np.arange(480))
    picture = np.full((480, 640, 3), GREEN, np.float32)
    picture[((x + 90) % PERIOD < 32) | ((y + 60) % PERIOD < 32)] = ORANGE
    light = 1 + 0.25 * (x / 640 - 0.5) - 0.2 * (y / 480 - 0.5) + 0.1 * np.cos(x / 200)
    noise = np.random.default_rng(3).normal(0, 3, picture.shape)
    return (cv2.GaussianBlur(picture, (0, 0), 0.8) * light[..., None] + noise).clip(0, 255).astype(np.uint8)


def test_two_broad_repeats_are_found() -> None:
    repeat = find_lattice(cloth_of(window())).repeat
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx([PERIOD * 0.5] * 2, rel=0.01)


def test_like_cells_are_alike_once_the_light_is_told_anew() -> None:
    view = look(cloth_of(window()))
    basis = np.eye(2) * PERIOD / view.reduction
    first = fit_lattice(view, basis)
    second = fit_lattice(relit(view, first), basis)
    assert 1 - second.explained < 0.5 * (1 - first.explained)
