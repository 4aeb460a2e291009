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


def few_bars(rng: np.random.Generator) -> np.ndarray:
    """A sum of bars 830 pixels across and 164 down, of which 1.3 and 2.4 are seen, in uneven light."""
    lines = []
    for side, size, count in ((830, 1080, 9), (164, 400, 4)):
        edges = np.sort(rng.choice(np.arange(8, side - 8), count, replace=False))
        colours = rng.uniform(30, 220, (count + 1, 3))
        colours[-1] = colours[0]
        lines.append(colours[np.searchsorted(edges, np.arange(size) % side, side="right")])
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, 1080), np.linspace(-0.5, 0.5, 400))
    light = 1 + 0.25 * x - 0.2 * y + 0.1 * np.cos(5 * x)
    bars = cv2.GaussianBlur(((lines[0][None] + lines[1][:, None]) / 2).astype(np.float32), (0, 0), 0.8)
    return (bars * light[..., None] + rng.normal(0, 3, bars.shape)).clip(0, 255).astype(np.uint8)


def test_a_rival_is_weighed_in_the_light_that_its_own_cells_show() -> None:
    repeat = find_lattice(cloth_of(few_bars(np.random.default_rng(4)))).repeat
    assert repeat.across_mm == pytest.approx(415, rel=0.01)
    rival = next(one for one in repeat.alternatives if np.hypot(*one.basis_mm[0]) < 350)
    assert rival.probability > 0.25  # lit as for the other it explains less, and has a fifth
