"""Blurred bars of known widths, fitted."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.motif.bars.bar_sequence import Profile, sequence
from printcheck.motif.bars.edge_model import fitted, with_hidden
from printcheck.motif.bars.profile_edges import edges_of

PX = 3.0  # samples to a pixel of the picture
N = 300
INKS = np.array([[0.9, 0.85, 0.8], [0.2, 0.3, 0.6], [0.7, 0.2, 0.25]])
FINE = 16  # drawn this much finer, so that edges fall between samples


def drawn(
    edges: list[float], blur: float, *, chroma_blur: float | None = None, noise: float = 0.0
) -> np.ndarray:
    """Bars between the edges, blurred by ``blur`` samples, and their colour by ``chroma_blur`` more."""
    x = (np.arange(N * FINE) + 0.5) / FINE
    bar = np.searchsorted(edges, x) % len(edges)
    rgb = INKS[bar].astype(np.float32)
    ycc = np.asarray(cv2.cvtColor(rgb[None], cv2.COLOR_RGB2YCrCb))[0]
    for channels, sigma in (([0], blur), ([1, 2], chroma_blur or blur)):
        wide = np.vstack([ycc[:, channels]] * 3)[None]
        ycc[:, channels] = np.asarray(cv2.GaussianBlur(wide, (0, 0), sigma * FINE))[
            0, N * FINE : 2 * N * FINE
        ].reshape(-1, len(channels))
    rgb = np.asarray(cv2.cvtColor(ycc[None], cv2.COLOR_YCrCb2RGB))[0]
    rgb = rgb.reshape(N, FINE, 3).mean(axis=1)
    return rgb + noise * np.random.default_rng(1).standard_normal(rgb.shape)


@pytest.mark.parametrize("width", [7.0, 9.0, 14.0, 40.0])  # samples: 2.3 pixels and more
@pytest.mark.parametrize("chroma_blur", [4.0, 7.0])
def test_edges_lie_where_they_were_drawn(width: float, chroma_blur: float) -> None:
    """Steepest places of a bar of 7 samples under a blur of 4 stand 9 apart; its edges 7."""
    true = [50.3, 50.3 + width, 180.9]
    rgb = drawn(true, 4.0, chroma_blur=chroma_blur)
    found = fitted(rgb, [49.0, 52.0 + width, 180.0], PX)
    assert found.edges == pytest.approx(true, abs=0.15)


def test_errors_grow_with_the_noise_and_hold() -> None:
    true = [50.3, 62.3, 180.9]
    widths = np.diff([*true, true[0] + N])
    last = np.zeros(3)
    for noise in (0.002, 0.01, 0.05):
        steps = fitted(drawn(true, 4.0, noise=noise), [49.0, 64.0, 180.0], PX)
        found, errors = steps.edges, steps.errors
        off = np.abs(np.diff([*found, found[0] + N]) - widths)
        assert (off < 3 * np.array(errors) + 0.02).all()
        assert (np.array(errors) > last).all()
        last = np.array(errors)


def test_a_blank_profile_is_left_alone() -> None:
    found = fitted(np.full((N, 3), 0.5), [20.0, 90.0], PX)
    assert found.edges == pytest.approx([20.0, 90.0], abs=4)
    assert np.isfinite(found.errors).all()


def test_an_edge_hidden_in_the_slope_of_its_neighbour_is_found_by_what_the_fit_leaves() -> None:
    """A bar of 12 samples under a blur of 5; its far edge was not seen as a peak of slope."""
    true = [50.3, 62.3, 180.9]
    rgb = drawn(true, 5.0, chroma_blur=7.0)
    blind = fitted(rgb, [52.0, 180.0], PX)
    assert blind.misfit > 0.01
    found = with_hidden(rgb, [52.0, 180.0], PX)
    assert found.edges == pytest.approx(true, abs=0.3)
    assert found.misfit < 0.2 * blind.misfit


def test_no_edge_is_made_of_noise() -> None:
    rgb = drawn([50.3, 180.9], 4.0, noise=0.02)
    assert len(with_hidden(rgb, [49.0, 180.0], PX).edges) == 2


def test_a_bar_among_finer_samples_is_still_found() -> None:
    """The same three bars sampled three times as finely: the slope to a sample falls, the edge stays."""
    wide = drawn([50.3, 62.3, 180.9], 6.0)
    lab = cv2.cvtColor(wide[None].astype(np.float32), cv2.COLOR_RGB2Lab)[0]
    fine = cv2.resize(lab[None], (3 * N, 1), interpolation=cv2.INTER_LINEAR)[0]
    assert len(edges_of(lab, PX)) == len(edges_of(fine, 3 * PX)) == 3


def test_a_step_nobody_sees_is_no_edge() -> None:
    """Two bars, one of them shaded by less than the just noticeable 2.3 Delta E (Mahy 1994) half way."""
    for shade, bars in ((0.004, 2), (0.08, 3)):
        rgb = drawn([50.3, 180.9], 3.0)[:, [0, 1, 2]]
        rgb[90:140] += shade
        rgb = np.asarray(cv2.GaussianBlur(np.vstack([rgb] * 3)[None], (0, 0), 2.0))[0, N : 2 * N]
        lab = np.asarray(cv2.cvtColor(rgb[None].astype(np.float32), cv2.COLOR_RGB2Lab))[0]
        found = sequence(Profile(lab, rgb, 60.0, 0.6))
        assert len(found) == bars + (shade > 0.05)


def test_a_sequence_fills_its_repeat() -> None:
    rgb = drawn([50.3, 62.3, 180.9], 4.0)
    lab = np.asarray(cv2.cvtColor(rgb[None].astype(np.float32), cv2.COLOR_RGB2Lab))[0]
    found = sequence(Profile(lab, rgb, 60.0, 0.6, error=0.01))
    assert sum(bar.width_mm for bar in found) == pytest.approx(60.0)
    assert [bar.width_mm for bar in found] == pytest.approx([2.4, 23.72, 33.88], abs=0.03)
    assert all(bar.error_mm is not None and bar.error_mm >= 0.01 * bar.width_mm for bar in found)
