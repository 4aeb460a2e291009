"""Plaids with bars as broad as a hand: size and shift by their profiles, against the camera's geometry."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from printcheck.photo.stitch.bar_profiles import bar_angle
from printcheck.photo.stitch.guesses import guesses
from printcheck.photo.stitch.view import View, view
from tests.drawn import bars, colours
from tests.drawn.art import Art
from tests.drawn.camera import Camera
from tests.drawn.photo import photograph
from tests.drawn.photo_sets import PRINTS

SIDES = (330.0, 240.0)
FARTHEST = 0.035  # of a photo's side: patches are looked for as far from a guess


def seen(
    art: Art, *, turn_deg: float, view_mm: float = 250.0, look: tuple[float, float] = (0, 0)
) -> tuple[View, np.ndarray]:
    camera = Camera(view_mm=view_mm, size_px=(800, 600), turn_deg=turn_deg, look_mm=look, noise=3.0)
    photo = photograph(art, camera, seed=4)
    return view("a.jpg", photo.bgr), np.array(photo.truth.homography)


@pytest.mark.parametrize("turn_deg", [-8.0, 0.0, 11.0])
def test_the_turn_of_bars_is_read_off_their_edges(turn_deg: float) -> None:
    plaid, _ = seen(PRINTS["plaid"](np.random.default_rng(1), SIDES), turn_deg=turn_deg)
    assert bar_angle(plaid) == pytest.approx(math.radians(turn_deg), abs=math.radians(0.5))


def test_figures_and_stripes_are_no_crossing_bars() -> None:
    rng = np.random.default_rng(2)
    ground = colours.ground(rng)
    sequence = bars.random_sequence(rng, 90.0, [ground, *colours.inks(rng, 3, ground)], even=False)
    for art in (PRINTS["floral"](rng, SIDES), bars.stripe("stripe", sequence)):
        assert bar_angle(seen(art, turn_deg=5.0)[0]) is None


@pytest.mark.parametrize(
    ("zoom", "look"), [(1.0, (160.0, 10.0)), (0.88, (20.0, 110.0)), (1.12, (-150.0, -5.0))]
)
def test_one_of_the_first_guesses_is_the_place(zoom: float, look: tuple[float, float]) -> None:
    art = PRINTS["plaid"](np.random.default_rng(3), SIDES)
    (old, to_old), (new, to_new) = (
        seen(art, turn_deg=2.0),
        seen(art, turn_deg=-6.0, view_mm=250.0 * zoom, look=look),
    )
    corners = np.array([[[0, 0], [800, 0], [800, 600], [0, 600]]], float)
    true = cv2.perspectiveTransform(corners, to_old @ np.linalg.inv(to_new))
    first = list(next(iter(guesses(new, old))))[:4]
    off = [float(np.abs(cv2.perspectiveTransform(corners, guess) - true).max()) for guess in first]
    assert min(off) < FARTHEST * 800, off
