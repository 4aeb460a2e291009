"""Whether a picture shows a print, or plain cloth with its weave, folds and light."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.repeat.surface.print_shown import print_features, print_probability

SIDE = 400
Y, X = np.mgrid[:SIDE, :SIDE] / SIDE  # of the picture
DYE = np.array((190.0, 95.0, 50.0))


def probability(bgr: np.ndarray) -> float:
    noise = np.random.default_rng(0).normal(0, 3, bgr.shape)
    picture = np.clip(bgr + noise, 0, 255).astype(np.uint8)
    return print_probability(picture, np.ones(picture.shape[:2], bool))


def woven() -> np.ndarray:
    """Threads of 0.9 mm on 30 mm of cloth."""
    threads = 12 * np.sin(2 * np.pi * X * 30 / 0.9) * np.sin(2 * np.pi * Y * 30 / 0.9)
    return np.asarray(DYE + threads[..., None])


def crease(place: float, depth: float) -> np.ndarray:
    """Light over a seam or fold that crosses the picture aslant: one bright and one dark side."""
    across = (0.8 * X + 0.6 * Y - place) / 0.03
    return np.asarray(1 + depth * across * np.exp(0.5 - across**2 / 2))[..., None]


@pytest.mark.parametrize(
    "light",
    [
        np.ones((SIDE, SIDE, 1)),
        np.exp(-((X - 0.57) ** 2 + (Y - 0.47) ** 2) / (2 * 0.47**2))[..., None],
        crease(0.6, 0.25),
        crease(0.4, 0.2) * crease(0.9, 0.3),
    ],
    ids=["even light", "falling light", "one seam", "two folds"],
)
def test_weave_light_and_folds_are_no_print(light: np.ndarray) -> None:
    assert probability(woven() * light) < 0.5


def test_a_dark_frame_is_no_print() -> None:
    framed = woven()
    framed[:, :6] = 15
    assert probability(framed) < 0.5


@pytest.mark.parametrize("side", [0.06, 0.12, 0.3])
def test_patches_in_another_colour_are_a_print(side: float) -> None:
    printed = woven()
    printed[(X % (2.2 * side) < side) & (Y % (2.2 * side) < side)] *= (0.6, 1.2, 1.6)
    assert probability(printed) > 0.5


def test_one_large_figure_in_another_colour_is_a_print() -> None:
    printed = woven()
    printed[(X - 0.45) ** 2 + (Y - 0.55) ** 2 < 0.3**2] *= (0.6, 1.2, 1.6)
    assert probability(printed) > 0.5


def in_grey(picture: np.ndarray) -> float:
    grey = np.clip(picture, 0, 255).astype(np.uint8)[..., :1].repeat(3, axis=2)
    return print_probability(grey, np.ones(grey.shape[:2], bool))


def test_lace_on_black_in_greys_is_a_print_and_folded_cloth_in_greys_is_none() -> None:
    petals = np.cos(5 * np.arctan2(Y - 0.5, X - 0.5)) > 3 * np.hypot(X - 0.5, Y - 0.5) - 0.6
    assert (
        in_grey(np.where(petals & (np.sin(300 * X) * np.sin(300 * Y) > -0.5), 220.0, 30.0)[..., None]) > 0.5
    )
    assert in_grey(woven() * crease(0.4, 0.1) * crease(0.9, 0.1)) < 0.5


def test_where_too_little_cloth_is_seen_nothing_is_said() -> None:
    assert print_features(np.zeros((SIDE, SIDE, 3), np.uint8), np.zeros((SIDE, SIDE), bool)) is None


def test_a_small_picture_is_judged_as_a_large_one_is() -> None:
    striped = woven()
    striped[np.sin(2 * np.pi * Y * 13) > 0.3] *= (1.5, 1.4, 1.3)
    for side in (SIDE, 160):
        assert probability(cv2.resize(striped, (side, side), interpolation=cv2.INTER_AREA)) > 0.5
