"""The checker must find fault with what is wrong: each fault made on purpose."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, CutLayout, Piece, Place, Placement, Print, Project, Seam, SeamEnd
from printcheck.cutting.check import faults, seam_residual_mm

PIECES = (Piece("a", 400.0, 500.0), Piece("b", 300.0, 600.0, turn="none"))
SEAM = Seam((SeamEnd("a", (400.0, 100.0)), SeamEnd("b", (0.0, 100.0))))
PROJECT = Project("two", Cloth(1000.0), PIECES, (SEAM,))
PRINT = Print(Lattice.of_steps(100.0, 80.0), "straight", "one-way", "project")
GOOD = CutLayout(600.0, 600.0, True, 0.0, (Placement("a", 0.0, 0.0), Placement("b", 500.0, 0.0)))


def moved(n: int, **changes: object) -> CutLayout:
    spots = list(GOOD.placements)
    spots[n] = replace(spots[n], **changes)  # type: ignore[arg-type]
    return replace(GOOD, placements=tuple(spots))


def found(layout: CutLayout, *, print_: Print = PRINT, seams: tuple[Seam, ...] = (SEAM,)) -> str:
    return "; ".join(faults(PROJECT, print_, layout, keeps_way=True, seams=seams))


def test_a_sound_layout_has_no_fault() -> None:
    assert found(GOOD) == ""


@pytest.mark.parametrize(
    ("layout", "words"),
    [
        (moved(1, x_mm=399.9), "overlap"),
        (moved(1, x_mm=700.1), "edge"),
        (moved(0, y_mm=-0.1), "edge"),
        (moved(0, x_mm=float("nan")), "no place"),
        (moved(1, x_mm=500.6), "misses by 0.60 mm"),
        (moved(1, y_mm=41.0), "misses by 39.00 mm"),
        (moved(1, turned=True), "turned"),
        (moved(0, turned=True), "one side"),
        (moved(0, mirrored=True), "mirrored"),
        (replace(GOOD, length_mm=590.0), "stated"),
        (replace(GOOD, placements=GOOD.placements[:1]), "every piece"),
        (replace(GOOD, placements=(*GOOD.placements, GOOD.placements[0])), "every piece"),
    ],
)
def test_each_fault_is_found(layout: CutLayout, words: str) -> None:
    assert words in found(layout)


def test_a_miss_within_the_tolerance_passes() -> None:
    assert found(moved(1, x_mm=500.4)) == ""


@pytest.mark.parametrize(
    ("match", "x", "y", "miss"),
    [
        ("level", 437.0, 80.0, 0.0),  # rows 80 apart: any column will do
        ("level", 437.0, 20.0, 20.0),
        ("upright", 500.0, 33.0, 0.0),  # columns 100 apart: any row will do
        ("upright", 530.0, 33.0, 30.0),
        ("both", 530.0, 0.0, 30.0),
    ],
)
def test_residuals_by_hand(match: str, x: float, y: float, miss: float) -> None:
    at = {s.piece: s for s in moved(1, x_mm=x, y_mm=y).placements}
    seam = replace(SEAM, match=match)  # type: ignore[arg-type]
    assert seam_residual_mm(PROJECT, PRINT, at, seam) == pytest.approx(miss, abs=1e-9)


# a drop of p/q in lowest terms has rows along/q apart (layout by arithmetic on the lattice)
@pytest.mark.parametrize(("drop", "rows"), [(0.5, 40.0), (1 / 3, 80 / 3), (2 / 5, 16.0), (0.25, 20.0)])
def test_level_on_a_drop(drop: float, rows: float) -> None:
    print_ = replace(PRINT, lattice=Lattice.of_steps(100.0, 80.0, drop))
    seam = replace(SEAM, match="level")
    at = {s.piece: s for s in moved(1, x_mm=437.0, y_mm=rows).placements}
    assert seam_residual_mm(PROJECT, print_, at, seam) == pytest.approx(0.0, abs=1e-9)
    at = {s.piece: s for s in moved(1, x_mm=437.0, y_mm=rows / 2).placements}
    assert seam_residual_mm(PROJECT, print_, at, seam) == pytest.approx(rows / 2, abs=1e-9)


def test_stripes() -> None:
    at = {s.piece: s for s in moved(1, x_mm=500.0, y_mm=33.0).placements}
    upright = replace(PRINT, lattice=Lattice(((100.0, 0.0),)))
    assert seam_residual_mm(PROJECT, upright, at, SEAM) == pytest.approx(0.0)
    level = replace(PRINT, lattice=Lattice(((0.0, 80.0),)))
    assert seam_residual_mm(PROJECT, level, at, SEAM) == pytest.approx(33.0)
    slanting = replace(PRINT, lattice=Lattice(((30.0, 40.0),)))  # gap (-100, -33): 86.4 along it, period 50
    assert seam_residual_mm(PROJECT, slanting, at, SEAM) == pytest.approx(13.6)


def test_turned_seam_points() -> None:
    """Both turned end for end: the points move to the far corners of their pieces."""
    pieces = (PIECES[0], replace(PIECES[1], turn="half"))
    project = replace(PROJECT, pieces=pieces)
    spots = {"a": Placement("a", 0.0, 0.0, True), "b": Placement("b", 500.0, 0.0, True)}
    # a: (0, 400); b: (500 + 300, 500): gap (-800, -100), 20 from the row at -80
    assert seam_residual_mm(project, PRINT, spots, SEAM) == pytest.approx(20.0)


def test_places_share_one_phase() -> None:
    places = (Place("a", (200.0, 100.0)), Place("b", (100.0, 100.0)))  # 400 apart across: four columns
    assert faults(PROJECT, PRINT, GOOD, keeps_way=True, places=places) == []
    off = (places[0], Place("b", (130.0, 100.0)))
    assert "place" in faults(PROJECT, PRINT, GOOD, keeps_way=True, places=off)[0]
    clash = (places[0], replace(places[1], on="between"))
    assert "between" in faults(PROJECT, PRINT, GOOD, keeps_way=True, places=clash)[0]


def test_outlines_may_lie_in_one_another_s_boxes() -> None:
    corner = ((0.0, 0.0), (400.0, 0.0), (0.0, 500.0))
    other = ((400.0, 0.0), (400.0, 500.0), (0.0, 500.0))
    pieces = (Piece("a", 400.0, 500.0, corner), Piece("b", 400.0, 500.0, other))
    project = Project("triangles", Cloth(1000.0), pieces)
    spots = (Placement("a", 0.0, 0.0), Placement("b", 2.0, 0.0))
    layout = CutLayout(500.0, 500.0, True, 0.0, spots)
    assert faults(project, PRINT, layout, keeps_way=False) == []
    bad = replace(layout, placements=(spots[0], replace(spots[1], x_mm=-0.0, y_mm=0.0, turned=True)))
    assert any("overlap" in f for f in faults(project, PRINT, bad, keeps_way=False))


def test_a_border_must_lie_at_its_selvedge() -> None:
    border = replace(PRINT, border=True)
    spots = (Placement("a", 500.0, 0.0, crosswise=True), Placement("b", 400.0, 400.0, crosswise=True))
    layout = CutLayout(700.0, 700.0, True, 0.0, spots)
    assert faults(PROJECT, border, layout, keeps_way=True, at_border=True) == []
    off = replace(layout, placements=(spots[0], replace(spots[1], x_mm=100.0)))
    assert "border" in faults(PROJECT, border, off, keeps_way=True, at_border=True)[0]
