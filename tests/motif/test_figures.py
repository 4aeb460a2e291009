"""Figures on a cell whose sides join: which are round, which touch, what a seam cuts, where rows lie."""

from __future__ import annotations

import math
from types import SimpleNamespace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from printcheck.core.handover import MeanCell
from printcheck.core.measurement import FiguresAtRisk
from printcheck.motif.build.structure import row_pitch
from printcheck.motif.figures.cut_risk import SEAM_ALLOWANCE_MM, _cut, figures_at_risk
from printcheck.motif.figures.grouping import joined_satellites, runs_together, split_touching
from printcheck.motif.figures.segmentation import Motif, Separation
from printcheck.motif.figures.shape import is_round, of_one_colour, rounded_share
from printcheck.motif.figures.torus import Piece, pieces_of

SIDE = 120
SQUARE = np.array([[60.0, 0.0], [0.0, 60.0]])
Bools = NDArray[np.bool_]


def spots(
    *places: tuple[float, float, float], side: int = SIDE, step: NDArray[np.float64] | None = None
) -> Bools:
    """Discs at (x, y, radius) on a cell whose sides join; with a ``step``, in mm of a slanting cell."""
    v, u = np.mgrid[:side, :side]
    mask = np.zeros((side, side), bool)
    for x, y, r in places:
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                off = np.stack([u - x + i * side, v - y + j * side], axis=-1).astype(float)
                mask |= np.hypot(*np.moveaxis(off if step is None else off @ step, -1, 0)) <= r
    return mask


def motif(mask: Bools, step: NDArray[np.float64] | None = None) -> Motif:
    step = np.eye(2) if step is None else step
    (piece,) = pieces_of(mask).ending
    at = np.stack([piece.columns, piece.rows], axis=1) @ step
    low, size = at.min(0), np.ptp(at, axis=0)
    area = piece.area * abs(float(np.linalg.det(step)))
    return Motif(piece, (float(low[0]), float(low[1]), float(size[0]), float(size[1])), area)


def polygon(sides: int, radius: float) -> Bools:
    angles = np.arange(sides) * 2 * np.pi / sides + 0.2
    points = np.stack([np.cos(angles), np.sin(angles)], axis=1) * radius + SIDE / 2
    picture = np.zeros((SIDE, SIDE), np.uint8)
    cv2.fillPoly(picture, [np.round(16 * points).astype(np.int32)], 1, shift=4)
    return picture > 0


@pytest.mark.parametrize("radius", [6.4, 15.3, 40.2])
@pytest.mark.parametrize("place", [(60.0, 60.0), (2.0, 60.0), (0.0, 0.0)])
def test_a_disc_is_round_wherever_the_cell_s_sides_cut_it(radius: float, place: tuple[float, float]) -> None:
    assert is_round(motif(spots((*place, radius))), np.eye(2))


def test_a_disc_on_a_slanting_cell_is_round_and_an_oval_is_not() -> None:
    step = np.array([[0.5, 0.0], [0.2, 0.4]])
    assert is_round(motif(spots((60, 60, 12), step=step), step), step)
    assert not is_round(motif(spots((60, 60, 25))), step)  # a disc of samples, so no disc of mm
    pulled = np.diag([1.0, 0.8])  # of the axes short to long, below ROUNDISH
    assert not is_round(motif(spots((60, 60, 25)), pulled), pulled)
    assert is_round(motif(spots((60, 60, 25)), np.diag([1.0, 0.9])), np.diag([1.0, 0.9]))


@pytest.mark.parametrize("sides", [3, 4, 5])
def test_polygons_of_few_sides_are_not_round(sides: int) -> None:
    """Area over that of the ellipse of the same spread (integrals): 3 sides 0.827, 4 0.955, 5 0.983."""
    assert not is_round(motif(polygon(sides, 50)), np.eye(2))
    assert is_round(motif(polygon(24, 50)), np.eye(2))


def separation(masks: list[Bools], contrast: NDArray[np.float64] | None = None) -> Separation:
    motifs = tuple(sorted((motif(mask) for mask in masks), key=lambda one: -one.area_mm2))
    whole = np.logical_or.reduce(masks)
    shown = whole * 30.0 if contrast is None else contrast
    return Separation(np.zeros(3), shown, whole, motifs, 1.0, 30.0)


def test_the_share_of_round_figures_is_of_their_area() -> None:
    disc, square = spots((30, 30, 10)), np.zeros((SIDE, SIDE), bool)
    square[70:100, 70:100] = True
    cell = MeanCell(np.zeros((SIDE, SIDE, 3), np.float32), np.eye(2) * SIDE, 0.99, 9.0, 1.0)
    expected = disc.sum() / (disc.sum() + 900)
    assert rounded_share(separation([disc, square]), cell) == pytest.approx(expected)
    assert rounded_share(separation([square]), cell) == 0.0
    empty = Separation(np.zeros(3), np.zeros((4, 4)), np.zeros((4, 4), bool), (), 0.0, 0.0)
    assert rounded_share(empty, cell) == 0.0


def test_a_plain_disc_is_of_one_colour_and_one_in_two_tones_is_not() -> None:
    disc = spots((0, 60, 30))  # over the side of the cell
    assert of_one_colour(separation([disc])) == 1.0
    two = np.where(disc, 40.0, 0.0)
    two[:60][disc[:60]] = 10.0  # the upper half
    assert of_one_colour(separation([disc], two)) == pytest.approx(0.5, abs=0.03)


@pytest.mark.parametrize("gap", [2.0, 4.0])
def test_a_small_companion_belongs_to_its_figure_over_the_cell_s_side(gap: float) -> None:
    big, small = 20.0, 4.0
    apart = big + gap + small
    for x, beside in ((SIDE - 5, -apart), (5, -apart), (SIDE - 5, apart), (5, apart), (60, SIDE - apart)):
        given = pieces_of(spots((x, 50, big), ((x + beside) % SIDE, 50, small))).ending
        (joined,) = joined_satellites(given, np.eye(2), (SIDE, SIDE))
        assert joined.area == sum(piece.area for piece in given)
        assert np.ptp(joined.columns) <= 2 * (big + small) + gap + 1  # side by side, not a cell apart


def test_what_stands_off_or_is_no_small_thing_stays_by_itself() -> None:
    for other in ((60.0, 98.0, 4.0), (60.0, 76.0, 10.0)):  # 14 samples away; a quarter of the area
        given = pieces_of(spots((60.0, 60.0, 20.0) if other[2] < 5 else (60.0, 40.0, 20.0), other)).ending
        assert len(joined_satellites(given, np.eye(2), (SIDE, SIDE))) == len(given) == 2


def test_two_that_touch_are_parted_and_one_long_figure_is_not() -> None:
    alone = [(20.0, 20.0, 12.0), (60.0, 20.0, 12.0), (100.0, 20.0, 12.0)]
    touching = pieces_of(spots(*alone, (40.0, 80.0, 12.0), (63.5, 80.0, 12.0))).ending
    parted = split_touching(touching)
    assert (len(touching), len(parted)) == (4, 5)
    assert sum(piece.area for piece in parted) == sum(piece.area for piece in touching)
    assert max(np.ptp(piece.columns) for piece in parted) < 28
    bar = spots(*alone)
    bar[70:84, 20:100] = True
    assert len(split_touching(pieces_of(bar).ending)) == 4
    assert split_touching([]) == []


def test_blooms_in_a_chain_run_together_and_a_crescent_does_not() -> None:
    (chain,) = pieces_of(spots((35, 60, 12), (59, 60, 12), (59, 36, 12))).ending
    assert runs_together(chain)
    (crescent,) = pieces_of(spots((60, 60, 30)) & ~spots((75, 60, 22))).ending
    assert not runs_together(crescent)
    (disc,) = pieces_of(spots((60, 60, 30))).ending
    assert not runs_together(disc)


@pytest.mark.parametrize(
    ("width", "column"), [(10.0, 40.0), (39.0, 40.0), (40.0, 40.0), (55.0, 40.0), (8.0, 13.0)]
)
def test_a_seam_cuts_the_share_of_figures_that_span_it(width: float, column: float) -> None:
    """The mean over all places is the figure's width over the columns' distance (Buffon's argument)."""
    place = (np.arange(2000) + 0.5) / 2000 * column
    cut = _cut(7.0, width, place, column)
    assert float(cut.mean()) == pytest.approx(min(width / column, 1.0), abs=1e-3)
    copies = 7.0 + column * np.arange(-4, 5)
    spanned = ((place[:, None] >= copies) & (place[:, None] < copies + width)).any(axis=1)
    assert np.array_equal(cut > 0, spanned)


def at_risk(
    cell_mm: NDArray[np.float64],
    places: list[tuple[float, float]],
    *,
    headed: float = 1.0,
    size_mm: float = 20.0,
    small: tuple[Motif, ...] = (),
) -> FiguresAtRisk | None:
    """Square figures at (left, top), mm; so much of their area has a head."""
    piece = Piece(np.zeros(1, np.int64), np.zeros(1, np.int64))
    motifs = tuple(Motif(piece, (left, top, size_mm, size_mm), size_mm**2) for left, top in places)
    motifs += small
    shown = Separation(np.zeros(3), np.zeros((4, 4)), np.zeros((4, 4), bool), motifs, 1.0, 30.0)
    cell = MeanCell(np.zeros((4, 4, 3), np.float32), cell_mm, 0.99, 9.0, 1.0)
    return figures_at_risk(cell, shown, SimpleNamespace(headed_area=headed))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("cell_mm", "places", "at_random", "at_best"),
    [
        (SQUARE, [(0.0, 0.0)], 20 / 60, 0.0),
        ([[30.0, 30.0], [0.0, 60.0]], [(0.0, 0.0)], 20 / 30, 0.0),  # a half-drop: columns 30 mm apart
        (SQUARE, [(0.0, 0.0), (15.0, 30.0), (35.0, 10.0)], 1 / 3, 0.0),  # none from 55 to 60 mm
        (SQUARE, [(0.0, 0.0), (20.0, 30.0), (40.0, 10.0)], 1 / 3, 1 / 3),  # one of three wherever it runs
    ],
)
def test_the_best_seam_runs_where_the_fewest_stand(
    cell_mm: NDArray[np.float64], places: list[tuple[float, float]], at_random: float, at_best: float
) -> None:
    found = at_risk(np.array(cell_mm), places)
    assert found is not None
    assert found.cut_at_random == pytest.approx(at_random, abs=0.01)
    assert found.cut_at_best == pytest.approx(at_best, abs=1e-9)


def test_filling_between_the_figures_is_not_counted() -> None:
    """A quarter of the largest one's area is the least that counts."""
    piece = Piece(np.zeros(1, np.int64), np.zeros(1, np.int64))
    without = at_risk(SQUARE, [(0.0, 0.0)])
    leaf = Motif(piece, (30.0, 30.0, 20.0, 4.0), 0.24 * 20**2)
    assert at_risk(SQUARE, [(0.0, 0.0)], small=(leaf,)) == without
    bud = Motif(piece, (30.0, 30.0, 10.0, 10.0), 0.26 * 20**2)
    found = at_risk(SQUARE, [(0.0, 0.0)], small=(bud,))
    assert found is not None and found.cut_at_random == pytest.approx((20 + 10) / 60 / 2, abs=0.01)


def test_dots_and_what_a_seam_swallows_are_no_figures_to_cut() -> None:
    assert at_risk(SQUARE, [(0.0, 0.0)], headed=0.1) is None
    assert at_risk(SQUARE, [(0.0, 0.0)], size_mm=SEAM_ALLOWANCE_MM) is None
    assert at_risk(SQUARE, []) is None


@pytest.mark.parametrize("rows", [1, 2, 3])
@pytest.mark.parametrize("lean", [0.0, 20.0])
def test_rows_with_a_gutter_between_are_counted(rows: int, lean: float) -> None:
    """However the cell leans along the rows: they lie across the cloth all the same."""
    basis = np.array([[60.0, 0.0], [lean, 60.0]])
    discs = spots(*[(30 + 40 * k, (k + 0.5) * SIDE / rows, 10) for k in range(rows)])
    cell = MeanCell(np.zeros((SIDE, SIDE, 3), np.float32), basis, 0.99, 9.0, 0.5)
    shown = Separation(np.zeros(3), discs * 30.0, discs, (), 1.0, 30.0)
    assert row_pitch(cell, shown, 60.0) == pytest.approx(60 / rows)


def test_tossed_figures_stand_in_no_rows() -> None:
    strewn = spots(*[(17 * k % SIDE, 11 * k, 9) for k in range(11)])
    cell = MeanCell(np.zeros((SIDE, SIDE, 3), np.float32), SQUARE, 0.99, 9.0, 0.5)
    shown = Separation(np.zeros(3), strewn * 30.0, strewn, (), 1.0, 30.0)
    assert row_pitch(cell, shown, 60.0) is None
    assert math.isclose(strewn.mean(), 11 * np.pi * 81 / SIDE**2, rel_tol=0.3)  # so much ink, that it could
