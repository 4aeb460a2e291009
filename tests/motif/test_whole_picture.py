"""A picture without a known repeat: its slow light is taken out, its print is not; figures cut by its rim."""

import numpy as np
import pytest

from printcheck.motif.figures.segmentation import Motif, Separation
from printcheck.motif.figures.torus import Piece
from printcheck.motif.no_lattice import uncut
from printcheck.motif.whole_picture import evened

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


def test_figures_two_samples_from_the_rim_are_whole_on_every_side() -> None:
    """A rim of two samples: blur smears so far what goes on outside the picture, or where no cloth is."""
    seen = np.ones((12, 20), bool)
    seen[:, 15:] = False
    places = [(row, column) for row in range(12) for column in range(20)]
    pieces = [Piece(np.array([row]), np.array([column])) for row, column in places]
    motifs = tuple(Motif(piece, (0.0, 0.0, 1.0, 1.0), 1.0) for piece in pieces)
    blank = np.zeros(seen.shape)
    kept = uncut(Separation(np.zeros(3), blank, blank > 0, motifs, 1.0, 1.0), seen).motifs
    whole = {(int(m.piece.rows[0]), int(m.piece.columns[0])) for m in kept}
    assert whole == {(row, column) for row in range(2, 10) for column in range(2, 13)}
