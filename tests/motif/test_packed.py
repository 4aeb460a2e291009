"""Prints whose motifs run together, and how far apart such a print forgets itself."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from printcheck.core.handover import FlatCloth, MeanCell, PrintLattice
from printcheck.motif import mean_cell, read_print
from printcheck.motif.figures.spacing import correlation_length
from tests.drawn import Cell, figures, prints
from tests.drawn.stamps import Stamp, stamped

Draw = Callable[..., tuple[FlatCloth, PrintLattice]]


@pytest.mark.parametrize("seed", [1, 2, 21, 22, 23, 24])
def test_blooms_that_touch_are_no_separate_motifs(draw: Draw, seed: int) -> None:
    """Thirty-four small flowers between three to five blooms: chains of them cover the ground."""
    cloth, lattice = draw(prints.floral(np.random.default_rng(seed), Cell(90, 80), packed=True), view_mm=320)
    facts = read_print(cloth, lattice, mean_cell(cloth, lattice))
    assert facts.motif.width_mm is None
    assert facts.motif.count_per_repeat is None
    assert facts.figures is None
    assert facts.motif.correlation_length_mm is not None
    assert 3 < facts.motif.correlation_length_mm < 40  # the blooms are 20 to 34 mm across


def test_a_slim_figure_among_dots_stays_a_motif(draw: Draw) -> None:
    """A tulip is hollow in outline and far larger than the dots, but it is one figure with room round it."""
    inks = ((40, 40, 200), (60, 140, 40), (30, 30, 30), (0, 200, 230))
    stamps = [Stamp(figures.tulip(), (30, 30), 40, inks)]
    stamps += [Stamp(figures.disc(), at, 4, inks[2:3]) for at in ((8, 8), (52, 10), (10, 52), (54, 50))]
    art = stamped(("motifs", "tulip"), Cell(62, 60), stamps, (240, 236, 230), way="one-way")
    cloth, lattice = draw(art, view_mm=260)
    motif = read_print(cloth, lattice, mean_cell(cloth, lattice)).motif
    assert motif.count_per_repeat == 5
    assert motif.height_mm == pytest.approx(40 * 0.97, rel=0.1)


@pytest.mark.parametrize("sigma_mm", [4.0, 8.0])
def test_correlation_length_of_smooth_noise(sigma_mm: float) -> None:
    """White noise blurred by sigma has the autocorrelation exp(-r^2 / 4 sigma^2): 1/e at 2 sigma."""
    n, side = 256, 256.0
    noise = np.random.default_rng(3).standard_normal((n, n, 3))
    k = np.hypot(*np.meshgrid(np.fft.fftfreq(n, side / n), np.fft.fftfreq(n, side / n)))
    blur = np.exp(-2 * (np.pi * sigma_mm * k) ** 2)
    lab = np.fft.ifft2(np.fft.fft2(noise, axes=(0, 1)) * blur[..., None], axes=(0, 1)).real
    cell = MeanCell((lab * 100).astype(np.float32), np.diag([side, side]), 1.0, 9.0)
    assert correlation_length(cell) == pytest.approx(2 * sigma_mm, rel=0.15)
