"""Stripes as they are worn: windows vote where no one direction holds over the picture."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from printcheck.repeat.surface.bent_stripe import bent_stripe
from printcheck.repeat.surface.illumination import look
from tests.repeat.drawn import GROUND, INK, SIZE, cloth_of, dots, noisy


def worn(period: float, *, growth: float = 0.0, bow: float = 0.0, slip: float = 0.0) -> np.ndarray:
    """Level stripes whose period grows from top to bottom, that bow, and slip along a fold in the middle."""
    x, y = np.meshgrid(np.arange(SIZE[0]) / SIZE[0] - 0.5, np.arange(SIZE[1], dtype=float))
    place = y + bow * period * 4 * x**2 + slip * period * (x > 0)
    place = place - SIZE[1] / 2
    phase = np.log1p(growth * place / SIZE[1]) * SIZE[1] / growth if growth else place
    ink = ((phase / period) % 1.0 < 0.4)[..., None]
    picture = np.where(ink, np.array(INK, np.float32), np.array(GROUND, np.float32))
    return noisy(cv2.GaussianBlur(picture.astype(np.float32), (0, 0), 1.0))


@pytest.mark.parametrize(
    "how", [{"growth": 0.5}, {"bow": 1.5}, {"slip": 0.5}, {"growth": 0.3, "bow": 1.0, "slip": 0.4}]
)
def test_the_mean_period_is_square_to_the_stripes(how: dict[str, float]) -> None:
    repeat = find_lattice(cloth_of(worn(48, **how))).repeat
    assert repeat.kind == "stripe"
    assert float(np.hypot(*repeat.basis_mm[0])) == pytest.approx(24, rel=0.04)


def test_a_period_that_grows_evenly_is_told_as_it_is_counted() -> None:
    found = bent_stripe(look(cloth_of(worn(48, growth=0.8))))
    assert found is not None
    counted = 48 * 0.8 / math.log(1.4 / 0.6)  # the middle shows 6 % more
    assert found.length == pytest.approx(counted, rel=0.025)
    assert 0 < found.scatter < 0.02  # of a period more than twice as long at one side


def test_dots_and_noise_are_no_bent_stripe() -> None:
    noise = np.random.default_rng(2).integers(0, 255, (SIZE[1], SIZE[0], 3), dtype=np.uint8)
    assert bent_stripe(look(cloth_of(noise))) is None
    assert bent_stripe(look(cloth_of(noisy(dots(60, 60, drop=0.5))))) is None
