"""What photographs of real cloth taught: few repeats, folds, weave, stripes across a corner."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.core.lattice import Lattice
from printcheck.repeat import find_lattice
from printcheck.repeat.cells.refine import fit_lattice
from printcheck.repeat.cells.superlattice import satellites_of
from printcheck.repeat.surface.illumination import look
from tests.repeat.drawn import GROUND, INK, OTHER, cloth_of, dots, noisy, stripes

MM_PER_PX = 0.5


def columns(colours: list[tuple[int, int, int]], width: int = 60, height: int = 300) -> np.ndarray:
    """Columns of discs, one column for each colour, one below another."""
    picture = np.full((height, width * len(colours), 3), GROUND, np.uint8)
    for n, colour in enumerate(colours):
        for y in range(width // 2, height, width):
            cv2.circle(picture, (n * width + width // 2, y), width // 4, colour, -1, cv2.LINE_AA)
    return picture


def gain_of_two(colours: list[tuple[int, int, int]]) -> float:
    """What telling odd from even columns gains, under noise that hides it in every single cell."""
    view = look(cloth_of(noisy(columns(colours), 20.0), MM_PER_PX))
    step = 60 / view.reduction
    fit = fit_lattice(view, np.array([[step, 0.0], [0.0, step]]), origin=np.array([step / 2, step / 2]))
    return next(s.gain for s in satellites_of(view, fit) if (s.factor, s.wave) == (2, (1, 0)))


def test_columns_that_alternate_gain_by_being_told_apart_and_uneven_ones_do_not() -> None:
    other, paler, darker = OTHER, (110, 80, 60), (70, 40, 20)
    assert gain_of_two([INK, other, INK, other]) > 0.6
    assert gain_of_two([INK, other, INK]) > 0.5  # one and a half repeats
    assert gain_of_two([paler, INK, darker, INK]) < 0.3  # like cells differ as much as unlike ones


@pytest.mark.parametrize("angle_deg", [45.0, 50.0, -40.0])
def test_a_stripe_across_the_corner_may_be_as_long_as_two_thirds_of_the_short_side(angle_deg: float) -> None:
    picture = noisy(stripes(205.0, angle_deg, size=(300, 300)))
    repeat = find_lattice(cloth_of(picture, MM_PER_PX)).repeat
    assert repeat.kind == "stripe"
    assert np.hypot(*repeat.basis_mm[0]) == pytest.approx(205.0 * MM_PER_PX, rel=0.01)


def test_a_fold_under_the_centre_does_not_speak_for_the_whole_cloth() -> None:
    flat, stretch = dots(48, 60, size=(640, 480)), 0.05
    x, y = np.meshgrid(np.arange(640, dtype=np.float32), np.arange(480, dtype=np.float32))
    wave = 0.6 * 640  # one whole wave over the middle part: stretched in the centre, none overall
    moved = x + stretch * wave / (2 * np.pi) * np.sin(2 * np.pi * (x - 320) / wave).astype(np.float32)
    folded = cv2.remap(flat, moved, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)
    repeat = find_lattice(cloth_of(noisy(folded), MM_PER_PX)).repeat
    sides = sorted(np.hypot(*v) for v in Lattice(repeat.basis_mm).reduced().basis_mm)
    # a straight line through a whole wave rises 3 / pi^2 as fast as the wave does in its middle (arithmetic)
    assert sides == pytest.approx([24.0, 30.0], rel=0.4 * stretch)


def test_bent_stripes_on_shaded_cloth_stay_stripes() -> None:
    straight = stripes(75.0, -40.0, size=(700, 700))
    x, y = np.meshgrid(np.arange(600, dtype=np.float32), np.arange(600, dtype=np.float32))
    bow = 40 * ((x - y) / 600) ** 2
    bent = cv2.remap(straight, x + 20 + bow, y + 20 + bow, cv2.INTER_CUBIC).astype(np.float32)
    dark_edge = 1 - 0.8 / (1 + np.exp((560 - y) / 15))  # the shadow of the camera
    repeat = find_lattice(cloth_of(noisy(bent * dark_edge[..., None]), MM_PER_PX)).repeat
    assert repeat.kind == "stripe"
    assert np.hypot(*repeat.basis_mm[0]) == pytest.approx(37.5, rel=0.03)
