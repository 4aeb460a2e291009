"""Checks whose lightness repeats at a fraction of the whole: one row of another dye."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from printcheck.repeat.illumination import look
from printcheck.repeat.refine import fit_lattice
from printcheck.repeat.row_hue import has_row_of_another_hue
from tests.repeat.drawn import cloth_of, noisy

NAVY, BROWN, PALE = (70, 55, 45), (45, 52, 78), (205, 190, 170)  # blue, green, red
PERIOD = 170
SIDE = 600  # three and a half of the seeming repeats


def check(dyes: list[tuple[int, int, int]], *, side: int = SIDE, period: int = PERIOD) -> np.ndarray:
    """Bars of half a period both ways over a pale ground; the n-th bar of each way is of the n-th dye."""
    picture = np.full((side, side, 3), PALE, np.float32)
    for n in range(side // period + 1):
        dye = np.array(dyes[n % len(dyes)], np.float32)
        bar = np.zeros((side, side, 1), np.float32)
        bar[:, n * period + 20 : n * period + 20 + period // 2] += 0.5
        bar[n * period + 20 : n * period + 20 + period // 2] += 0.5
        picture += bar * (dye - picture)
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), 1.5))


def shaded(picture: np.ndarray) -> np.ndarray:
    """The same under light that falls off by a third and over a fold that runs along the rows."""
    y, x = np.mgrid[: picture.shape[0], : picture.shape[1]] / picture.shape[0]
    light = (1 - 0.33 * x) * (1 + 0.06 * np.sin(2 * np.pi * 1.3 * y + 0.7))
    return np.asarray(picture * light[..., None])


def stands_apart(dyes: list[tuple[int, int, int]], *, exposure: float = 1.0) -> bool:
    view = look(cloth_of(noisy(shaded(check(dyes)) * exposure, 3.0)))
    step = PERIOD / view.reduction
    return has_row_of_another_hue(fit_lattice(view, np.array([[step, 0.0], [0.0, step]])), view.mean)


def test_a_row_of_another_dye_stands_apart_and_one_in_another_light_does_not() -> None:
    assert not stands_apart([NAVY])
    assert not stands_apart([NAVY], exposure=1.5)  # half of the pale ground is burnt out
    assert stands_apart([NAVY, NAVY, BROWN, NAVY])


@pytest.mark.parametrize(("dyes", "kind"), [([NAVY], "lattice"), ([NAVY, NAVY, BROWN, NAVY], "beyond-photo")])
def test_a_check_is_no_lattice_by_its_lightness_alone(dyes: list[tuple[int, int, int]], kind: str) -> None:
    assert find_lattice(cloth_of(noisy(shaded(check(dyes)), 3.0))).repeat.kind == kind
