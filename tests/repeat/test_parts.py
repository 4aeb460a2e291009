"""The parts of the search, each against something that knows the answer without it."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from skimage.registration import phase_cross_correlation

from printcheck.repeat.cells.refine import fit_lattice
from printcheck.repeat.cells.sublattice import finer_lattice
from printcheck.repeat.cells.superlattice import Satellite, enlarged, levelled, satellites_of
from printcheck.repeat.surface.candidates import reduced
from printcheck.repeat.surface.correlation import autocorrelate, whole_surface
from printcheck.repeat.surface.illumination import look
from printcheck.repeat.surface.significance import Significance
from tests.repeat.drawn import GROUND, INK, OTHER, SIZE, cloth_of, dots, noisy, stripes

Colour = tuple[int, int, int]


def test_the_peak_is_where_scikit_image_registers_two_crops() -> None:
    picture = noisy(dots(73, 73, drop=0.5), 2)
    view = look(cloth_of(picture))
    found = Significance(whole_surface(view), shortest_px=4).proposals(1)[0]
    rng = np.random.default_rng(3)
    for vector in found:
        step = np.round(vector).astype(int)
        top, left = rng.integers(110, 150, 2)
        here = view.lab[top : top + 200, left : left + 300, 0]
        there = view.lab[top + step[1] : top + step[1] + 200, left + step[0] : left + step[0] + 300, 0]
        shift, _, _ = phase_cross_correlation(here, there, upsample_factor=20, normalization=None)
        assert step - shift[::-1] == pytest.approx(vector, abs=0.25)  # both to a fraction of a pixel


def test_a_lattice_whose_fit_falls_onto_one_line_is_no_lattice(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tops found along one line alone make a least-squares basis of parallel vectors."""
    clear = Significance(whole_surface(look(cloth_of(noisy(dots(73, 73))))), shortest_px=4)
    monkeypatch.setattr(Significance, "_refined", lambda _, basis: np.array([basis[0], 2 * basis[0]]))
    assert clear.proposals(3) == []


def test_correlation_is_that_of_the_overlap() -> None:
    view = look(cloth_of(noisy(dots(60, 50))))
    surface = autocorrelate(view)
    rx, ry = surface.reach
    dx, dy = 37, 21
    a = view.lab[:-dy, :-dx][view.weight[:-dy, :-dx] * view.weight[dy:, dx:] > 0]
    b = view.lab[dy:, dx:][view.weight[:-dy, :-dx] * view.weight[dy:, dx:] > 0]
    a, b = a - a.mean(axis=0), b - b.mean(axis=0)
    wanted = (a * b).sum() / np.sqrt((a**2).sum() * (b**2).sum())
    assert surface.values[ry + dy, rx + dx] == pytest.approx(wanted, abs=1e-3)
    assert surface.values[ry, rx] == pytest.approx(1, abs=1e-3)


def test_the_fit_betters_the_start() -> None:
    view = look(cloth_of(noisy(dots(61.3, 47.9))))
    fit = fit_lattice(view, np.array([[61.0, 0.4], [-0.3, 48.2]]))
    assert fit.basis == pytest.approx(np.array([[61.3, 0], [0, 47.9]]), abs=0.06)
    assert fit.explained > 0.97


@pytest.mark.parametrize("factor", [2, 3, 5])
def test_a_larger_lattice_has_the_area_of_its_index(factor: int) -> None:
    # International Tables for Crystallography A: a sublattice of index k has k times the cell's area
    basis = np.array([[10.0, 1.0], [-2.0, 9.0]])
    for wave in [(1, 0), (0, 1), (1, 1), (1, factor - 1)]:
        larger = enlarged(basis, [Satellite(factor, wave, 9.0, 99.0, 9.0, 1.0)])
        assert abs(np.linalg.det(larger)) == pytest.approx(factor * abs(np.linalg.det(basis)))
        steps = larger @ np.linalg.inv(basis)
        assert steps == pytest.approx(np.round(steps), abs=1e-9)
        assert (np.round(steps) @ wave) % factor == pytest.approx([0, 0])


def test_alternating_columns_show_as_a_satellite_and_like_ones_do_not() -> None:
    basis = np.array([[50.0, 0.0], [0.0, 50.0]])
    for second, wanted in ((tuple(v + 12 for v in INK), True), (INK, False)):
        view = look(cloth_of(noisy(dots(50, 50, second=second), 3)))
        found = satellites_of(view, fit_lattice(view, basis))
        if wanted:
            assert (found[0].factor, found[0].wave) == (2, (1, 0))
            assert found[0].ratio > 15 and found[0].size > 2.7
        else:
            assert not found


def crossed(across: tuple[Colour, ...], down: tuple[Colour, ...], step: int = 60) -> np.ndarray:
    """Lines a step apart both ways, half seen through, in these colours in turn."""
    picture = np.full((SIZE[1], SIZE[0], 3), GROUND, np.float32)
    for lines, colours in ((picture.transpose(1, 0, 2), across), (picture, down)):
        for n, at in enumerate(range(0, len(lines), step)):
            band = lines[at : at + step // 6]
            band += (np.array(colours[n % len(colours)], np.float32) - band) / 2
    return noisy(picture, 3)


def test_rows_that_differ_do_not_hide_columns_that_do() -> None:
    """As in a two-way analysis of variance (Fisher 1925), which tells rows and columns apart."""
    cycle = (INK, OTHER, (150, 120, 60))

    def gain_of(down: tuple[Colour, ...]) -> float:
        view = look(cloth_of(crossed(cycle, down)))
        basis = np.array([[60.0, 0.0], [0.0, 60.0]]) / view.reduction
        found = satellites_of(view, fit_lattice(view, basis))
        return next(s.gain for s in found if (s.factor, s.wave) == (3, (1, 0)))

    assert gain_of(cycle) == pytest.approx(gain_of((INK,)), abs=0.05)
    assert gain_of((INK,)) > 0.5


def test_levelling_leaves_what_differs_along_the_axis_and_counts_the_means() -> None:
    rng = np.random.default_rng(3)
    rows, columns = rng.normal(size=(4, 1, 1, 1, 3)), rng.normal(size=(1, 5, 1, 1, 3))
    seen = np.ones((4, 5, 1, 1), np.float32)
    cells = np.asarray(rows + columns, np.float32)
    left, means = levelled(cells, seen, (True, False))  # a wave along the rows: the columns stay
    expected = np.broadcast_to(columns - columns.mean(axis=1, keepdims=True), cells.shape)
    assert left == pytest.approx(np.asarray(expected), abs=1e-6) and means == 4
    left, means = levelled(cells, seen, (True, True))
    assert left == pytest.approx(np.zeros_like(cells), abs=1e-6) and means == 4 + 5 - 1


def test_a_cell_that_holds_its_print_twice_is_halved() -> None:
    view = look(cloth_of(noisy(dots(40, 50))))
    finer = finer_lattice(fit_lattice(view, np.array([[80.0, 0.0], [0.0, 100.0]])))
    assert finer is not None
    assert finer == pytest.approx(np.array([[40.0, 0], [0, 50.0]]), abs=0.3)
    assert finer_lattice(fit_lattice(view, np.array([[40.0, 0.0], [0.0, 50.0]]))) is None


def test_reduction_keeps_the_lattice() -> None:
    low = reduced(np.array([[60.0, 100.0], [0.0, 80.0]]))
    assert abs(np.linalg.det(low)) == pytest.approx(4800)
    assert sorted(np.hypot(*low.T)) == pytest.approx(sorted([np.hypot(60, 20), 80]))


def test_even_light_takes_the_slope_and_keeps_the_print() -> None:
    view = look(cloth_of(noisy(dots(60, 60), 1, light=0.8)))
    ground = view.lab[..., 0] > np.median(view.lab[..., 0]) - 3
    left, right = view.lab[:, 30:120][ground[:, 30:120]], view.lab[:, -120:-30][ground[:, -120:-30]]
    assert abs(left[:, 0].mean() - right[:, 0].mean()) < 2.0  # of some 25 before


def test_a_cell_sixty_times_as_long_as_wide_is_judged() -> None:
    view = look(cloth_of(noisy(stripes(12.0, 0.0))))
    fit = fit_lattice(view, np.array([[6.0, 0.0], [0.0, 400.0]]) / view.reduction)
    strongest = satellites_of(view, fit)[0]
    assert (strongest.factor, strongest.wave) == (2, (1, 0))


def columns_of(second: tuple[int, int, int], seed: int, jitter: float) -> np.ndarray:
    """Discs 80 px apart, each off its place by up to the jitter; every other column of the second colour."""
    rng = np.random.default_rng(seed)
    picture = np.full((480, 640, 3), GROUND, np.uint8)
    for n, x in enumerate(range(40, 640, 80)):
        for y in range(40, 480, 80):
            at = np.round(16 * (np.array([x, y]) + rng.uniform(-jitter, jitter, 2))).astype(int).tolist()
            cv2.circle(picture, at, 16 * 20, second if n % 2 else INK, -1, cv2.LINE_AA, 4)
    return picture


def halved(picture: np.ndarray) -> bool:
    """Whether a lattice of twice the discs' own step is seen to be too coarse."""
    view = look(cloth_of(noisy(picture, 2.0)))
    step = 80 / view.reduction
    return finer_lattice(fit_lattice(view, np.array([[2 * step, 0.0], [0.0, step]]))) is not None


def test_motifs_that_a_hand_placed_are_told_from_motifs_that_alternate() -> None:
    assert sum(halved(columns_of(INK, seed, 2.5)) for seed in range(6)) >= 5
    assert not any(halved(columns_of((112, 82, 62), seed, 0.0)) for seed in range(3))
