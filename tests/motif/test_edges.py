"""Edges of smeared bars, against bars of stated width."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.motif.edges import edges_of

PX = 3.0  # samples to a pixel of the picture
WHITE, TEAL = (0.96, 0.91, 0.93), (0.07, 0.76, 0.66)  # sRGB; invented, far from grey in one channel only


def _bars(starts: list[float], n: int = 400) -> np.ndarray:
    """White and teal, half of ``n`` each, averaged over cells whose first edge lies at each start."""
    at = np.arange(n * 8) / 8 + 1 / 16  # eight points to a sample: edges stand between samples too
    teal = np.mean([(at - start) % n < n / 2 for start in starts], axis=0).reshape(n, 8).mean(axis=1)
    rgb = np.outer(1 - teal, WHITE) + np.outer(teal, TEAL)
    blurred = np.asarray(cv2.GaussianBlur(np.vstack([rgb] * 3)[None], (0, 0), 1.5)[0])
    lab = cv2.cvtColor(blurred[None, n : 2 * n].astype(np.float32), cv2.COLOR_RGB2Lab)
    return np.asarray(lab)[0]


@pytest.mark.parametrize(
    "starts",
    [[100.0], [100.25], [97.0, 97.0, 105.0], [394.0, 398.0, 401.0, 404.0]],
    ids=["sharp", "between samples", "two steps", "round the wrap"],
)
def test_an_edge_stands_at_the_mean_of_the_cells_edges(starts: list[float]) -> None:
    """Arithmetic: the mean of the starts, and both bars half of the repeat."""
    first, second = edges_of(_bars(starts), PX)

    wanted = sorted([np.mean(starts) % 400, (np.mean(starts) + 200) % 400])
    assert [first, second] == pytest.approx(wanted, abs=0.3)
    assert second - first == pytest.approx(200, abs=0.15)


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
