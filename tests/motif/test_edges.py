"""Narrow bars against the passages a smeared edge shows."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from printcheck.motif.bars.profile_edges import edges_of

PX = 3.0  # samples to a pixel of the picture


def _three(between: tuple[float, float, float], width: int, n: int = 400) -> np.ndarray:
    """Violet, a narrow bar and blue; blurred in sRGB by two samples."""
    violet, blue = (0.55, 0.24, 0.65), (0.27, 0.45, 0.55)
    rgb = np.array([violet] * 200 + [between] * width + [blue] * (n - 200 - width))
    blurred = np.asarray(cv2.GaussianBlur(np.vstack([rgb] * 3)[None], (0, 0), 2.0))[0]
    lab = cv2.cvtColor(blurred[None, n : 2 * n].astype(np.float32), cv2.COLOR_RGB2Lab)
    return np.asarray(lab)[0]


def test_a_narrow_bar_of_its_own_colour_stays_and_a_mixture_goes() -> None:
    """A rose bar is none of the mixtures of violet and blue that a smeared edge shows."""
    rose, mixture = (0.66, 0.38, 0.49), (0.41, 0.345, 0.60)

    assert len(edges_of(_three(rose, 9), PX)) == 3
    assert len(edges_of(_three(mixture, 8), PX)) == 2


@pytest.mark.parametrize("place", [200.0, 200.3, 200.45, 200.8])
def test_an_edge_is_placed_between_samples(place: float) -> None:
    """By construction: a step of lightness, blurred by four samples, at a place between two."""
    ends = np.arange(400) + 0.5
    lightness = [50 + 20 * math.erf((x - place) / (4 * math.sqrt(2))) for x in ends]
    found = edges_of(np.stack([lightness, np.zeros(400), np.zeros(400)], axis=1), PX)
    assert min(abs(edge - place) for edge in found) < 0.03
