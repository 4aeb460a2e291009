"""A picture without a known repeat: its slow light is taken out, its print is not."""

import numpy as np
import pytest

from printcheck.motif.swatch import evened

GROUND, INK = 180.0, 40.0


def lit_print(*, figure: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Picture under a light that falls off by a half, its ground and its figure at one side."""
    y, x = np.mgrid[-1:1:150j, -1:1:200j]
    light = np.exp(-0.3 * x - 0.2 * (x * x + y * y))
    ink = np.hypot(x - 0.5, y) < figure
    tone = np.where(ink, INK, GROUND) * light + np.random.default_rng(1).normal(0, 2, x.shape)
    return np.dstack([tone] * 3).astype(np.float32), ~ink, np.ones(ink.shape, bool)


@pytest.mark.parametrize("figure", [0.0, 0.3, 0.6])
def test_light_is_taken_out_however_large_a_figure_is(figure: float) -> None:
    picture, ground, seen = lit_print(figure=figure)
    even = evened(picture, seen)[ground].mean(axis=-1)
    assert np.percentile(picture[ground], 95) / np.percentile(picture[ground], 5) > 1.5
    assert np.percentile(even, 97) / np.percentile(even, 3) < 1.1  # the noise alone gives 1.08


def test_what_is_no_cloth_does_not_count() -> None:
    picture, ground, seen = lit_print(figure=0.3)
    seen[:, :60], picture[:, :60] = False, 255
    even = evened(picture, seen)[ground & seen].mean(axis=-1)
    assert np.percentile(even, 97) / np.percentile(even, 3) < 1.1


def test_a_picture_without_cloth_is_left_as_it_is() -> None:
    picture = np.full((20, 30, 3), 90, np.float32)
    assert np.allclose(evened(picture, np.zeros((20, 30), bool)), picture)
