"""The print on the thing as sewn: matched seams run on, unmatched ones break, as the layouts cut them."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from printcheck.core.plan import Piece, Seam, SeamEnd
from printcheck.report.drawing import as_sewn
from printcheck.report.drawing.cell_view import ClothView
from printcheck.report.drawing.primitives import Label, Line, Raster
from tests.report import report_given as given
from tests.report import report_swatch as swatch


def drawn(kind: str = "") -> tuple:
    project, plan = given.skirt()
    view = ClothView(swatch.cell(plan.print.basis_mm))
    return as_sewn.drawing(view, replace(project, kind=kind), plan.matched, plan.plain), plan


def step_at(raster: Raster, column: int) -> float:
    """Mean change of colour from one column of pixels to the next."""
    bgr = raster.bgr.astype(int)
    return float(np.abs(bgr[:, column] - bgr[:, column - 1]).mean())


def test_the_matched_seam_runs_on_and_the_other_breaks() -> None:
    drawing, _ = drawn()
    matched, unmatched = (item for item in drawing.items if isinstance(item, Raster))
    width = matched.box[2]
    # front#1 shows as far as its seam point, 500 mm from its edge
    seam = round(500.0 / width * matched.bgr.shape[1])
    usual = np.median([step_at(matched, k) for k in range(20, matched.bgr.shape[1] - 20, 7)])
    assert step_at(matched, seam) < 2 * usual + 1
    assert max(step_at(unmatched, k) for k in (seam - 1, seam, seam + 1)) > 3 * usual


def test_the_row_has_its_true_width_and_names() -> None:
    drawing, _ = drawn()
    assert drawing.width == pytest.approx(500 + 500)  # both fronts to the seam, 20 mm in at each
    names = {item.text for item in drawing.items if isinstance(item, Label)}
    assert {"front 1", "front 2"} <= names and "bust" not in names


@pytest.mark.parametrize(
    ("kind", "lines"), [("dress", {"bust", "hip"}), ("skirt", {"hip"}), ("curtain", set())]
)
def test_bust_and_hip_are_marked_where_the_kind_has_them(kind: str, lines: set[str]) -> None:
    drawing, _ = drawn(kind)
    names = {item.text for item in drawing.items if isinstance(item, Label)}
    assert names & {"bust", "hip"} == lines
    body = [
        item for item in drawing.items if isinstance(item, Line) and not item.dash and len(item.points) > 3
    ]
    assert len(body) == (4 if lines else 0)  # both sides, in both rows


def test_pieces_not_joined_at_their_sides_stay_out() -> None:
    project, plan = given.skirt()
    view = ClothView(swatch.cell(plan.print.basis_mm))
    pocket = Piece("pocket#1", 150.0, 200.0)
    onto = Seam((SeamEnd("front#1", (260.0, 300.0)), SeamEnd("pocket#1", (15.0, 15.0))))
    alone = replace(project, pieces=(*project.pieces, pocket), seams=(onto,))
    assert as_sewn.drawing(view, alone, plan.matched, plan.plain) is None
    assert as_sewn.panels(replace(project, seams=())) == []


def halves(front: float, backs: float) -> tuple[tuple[Piece, ...], tuple[Seam, ...]]:
    """A front and two halves of a back, sewn to a ring 15 mm from their edges."""
    pieces = (Piece("front#1", front, 900.0), Piece("back#1", backs, 900.0), Piece("back#2", backs, 900.0))
    order = [*pieces, pieces[0]]
    seams = tuple(
        Seam((SeamEnd(a.name, (a.width_mm - 15.0, 300.0)), SeamEnd(b.name, (15.0, 300.0))))
        for a, b in itertools.pairwise(order)
    )
    return pieces, seams


def test_a_ring_shows_every_seam_and_the_body_on_front_and_back() -> None:
    project, _ = given.skirt()
    pieces, seams = halves(600.0, 315.0)
    row = as_sewn.panels(replace(project, pieces=pieces, seams=seams))
    assert [panel.piece.name for panel in row] == ["front#1", "back#1", "back#2", "front#1"]
    edges = [(panel.at[0] + panel.low, panel.at[0] + panel.high) for panel in row]
    assert edges == [(0, 585), (585, 870), (870, 1155), (1155, 1725)]  # by hand: each sewn width is 30 less
    # a whole piece has the body in its middle, two halves where they meet
    assert as_sewn._axes(row, (0.0, 0.0)) == [292.5, 870, 1440]
