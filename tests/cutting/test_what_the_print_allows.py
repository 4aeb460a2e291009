"""What is told to be bought is what the print allows: turned, tied to a motif, at a border."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import (
    Cloth,
    CutLayout,
    Piece,
    Place,
    Placement,
    Print,
    Project,
    Seam,
    SeamEnd,
)
from printcheck.cutting import plan_length
from printcheck.cutting.check import faults

# half of a square along its slope: two, one of them turned, fill the width; one way up none lies beside
# another (derived: side by side they take 2 x 500 of the 600)
WEDGE = ((0.0, 0.0), (100.0, 0.0), (500.0, 400.0), (0.0, 400.0))
SQUARE = Lattice.of_steps(80.0, 80.0)


def wedges(count: int, *, match: bool = False) -> Project:
    pieces = tuple(Piece(f"wedge#{n}", 500.0, 400.0, WEDGE) for n in range(1, count + 1))
    seams = (Seam((SeamEnd("wedge#1", (200.0, 200.0)), SeamEnd("wedge#2", (50.0, 200.0))), "level"),)
    cloth = Cloth(600.0, sold_by_mm=10, price=10.0, currency="EUR")
    return Project("wedges", cloth, pieces, seams if match else ())


# on an even plaid a turned wedge meets the other one side by side, at the middle of a bar (PNW 187; derived):
# 400 where 800 is needed one way up, and up to half a repeat of 80 until such a middle lies right
@pytest.mark.parametrize(
    ("print_", "advised"),
    [
        (Print(SQUARE, "straight", "four-way", "project"), 440),
        (Print(SQUARE, "straight", "two-way", "project", family="plaid"), 440),
        (Print(SQUARE, "straight", "two-way", "project"), 800),
        (Print(SQUARE, "straight", "tossed", "project"), 800),
        (Print(SQUARE, "straight", "one-way", "project", family="plaid"), 800),
    ],
)
def test_joined_pieces_turn_one_by_one_about_an_even_plaid_s_middle(print_: Print, advised: float) -> None:
    project = wedges(2, match=True)
    plan = plan_length(project, print_, seconds=1.5)
    assert plan.buy.advised_mm == pytest.approx(advised) and plan.layout is not None
    assert plan.matched is not None and plan.matched.length_mm == pytest.approx(800, abs=0.1)
    assert not faults(project, print_, plan.layout, keeps_way=True, seams=project.seams)
    alone = advised == 440
    assert len({s.turned for s in plan.layout.placements}) == 1 + alone
    assert plan.start_allowance_mm == pytest.approx(40.0 if alone else 0.0)
    if alone:
        assert plan.start is not None and plan.start.at_mm[0] is None and plan.start.tied
        assert plan_length(project, print_, seconds=1, start_allowance=False).buy.advised_mm == 400


def test_turned_sides_must_all_mean_the_same_middle() -> None:
    """Each of two seams could be met about some middle of its own; the second pair lies a quarter off."""
    print_ = Print(SQUARE, "straight", "four-way", "project")
    pieces = tuple(Piece(f"a#{n}", 100.0, 100.0) for n in range(4))
    ends = [SeamEnd(p.name, (50.0, 50.0)) for p in pieces]
    seams = (Seam((ends[0], ends[1]), "level"), Seam((ends[2], ends[3]), "level"))
    project = Project("pairs", Cloth(1000.0), pieces, seams)
    for off, bad in ((0.0, 0), (40.0, 0), (20.0, 1)):
        spots = tuple(
            Placement(p.name, 200.0 * n, off * (n > 1), turned=n % 2 == 1) for n, p in enumerate(pieces)
        )
        layout = CutLayout(100.0 + off, 0.0, False, 0.0, spots)
        assert len(faults(project, print_, layout, keeps_way=True, seams=seams)) == bad


def test_pieces_that_no_match_ties_turn_beside_matched_ones() -> None:
    """Two wedges matched level lie one below another; two free ones, one of them turned, side by side."""
    project = wedges(4, match=True)
    plan = plan_length(project, Print(SQUARE, "straight", "tossed", "project"), seconds=1.5)
    assert plan.layout is not None and plan.matched is not None
    assert plan.layout.length_mm <= 1200.1 < plan.one_way.length_mm <= plan.matched.length_mm
    still = plan_length(project, Print(SQUARE, "straight", "one-way", "project"), seconds=1)
    assert still.layout is not None and still.layout.length_mm == pytest.approx(1600, abs=0.1)
    assert still.buy.unmatched_mm == pytest.approx(1600)


def front(lattice: Lattice, **cloth: float) -> tuple[Project, Print]:
    project = Project(
        "cushion",
        Cloth(1400.0, sold_by_mm=10, **cloth),
        (Piece("front", 480.0, 480.0),),
        places=(Place("front", (240.0, 240.0)),),
    )
    return project, Print(lattice, "straight", "one-way", "project")


# the shop's cut falls anywhere on the print, so up to one repeat along is lost before the motif (derived)
@pytest.mark.parametrize(
    ("lattice", "start"),
    [
        (Lattice.of_steps(320.0, 640.0), 640),
        (Lattice.of_steps(160.0, 640.0, 0.5), 320),  # 920 of room hold two columns wherever they lie
        (Lattice.of_steps(500.0, 640.0, 0.5), 640),  # but not two of these
        (Lattice(((0.0, 120.0),)), 120),
        (Lattice(((120.0, 0.0),)), 0),
    ],
)
def test_a_placed_motif_pays_for_where_the_cut_falls(lattice: Lattice, start: float) -> None:
    project, print_ = front(lattice)
    plan = plan_length(project, print_, seconds=1)
    assert plan.start_allowance_mm == pytest.approx(start)
    assert plan.buy.advised_mm == plan.buy.matched_mm == pytest.approx(480 + start)
    assert plan.buy.unmatched_mm == pytest.approx(480)
    assert plan_length(project, print_, seconds=1, start_allowance=False).buy.advised_mm == pytest.approx(480)


# motifs 100 and 600 from the selvedge of cloth 1000 wide: a front of 480 has its middle between 240 and 760,
# so only the column at 600 serves, or on a half-drop the one at 350 besides, half a repeat down (derived)
@pytest.mark.parametrize(("drop", "column", "length"), [(0.0, 500.0, 980.0), (0.5, 250.0, 980.0)])
def test_columns_are_fixed_to_the_selvedge(drop: float, column: float, length: float) -> None:
    pieces = tuple(Piece(f"front#{n}", 480.0, 480.0) for n in (1, 2))
    places = tuple(Place(p.name, (240.0, 240.0)) for p in pieces)
    project = Project("covers", Cloth(1000.0), pieces, places=places)
    lattice = Lattice.of_steps(column, 500.0, drop)
    print_ = Print(lattice, "straight", "one-way", "project", motif_from_selvedge_mm=100.0)
    plan = plan_length(project, print_, seconds=2)
    assert plan.layout is not None and plan.layout.length_mm == pytest.approx(length, abs=0.1)
    assert {round((s.x_mm + 240 - 100) % column, 3) for s in plan.layout.placements} <= {0.0, column}
    loose = plan_length(project, replace(print_, motif_from_selvedge_mm=None), seconds=2)
    assert loose.layout is not None and loose.layout.length_mm <= plan.layout.length_mm


def test_where_columns_are_known_the_layout_is_not_told_to_slide() -> None:
    project = Project("front", Cloth(1000.0), (Piece("a#1", 480, 480),), (), (Place("a#1", (240, 240)),))
    known = Print(
        Lattice.of_steps(500.0, 500.0), "straight", "one-way", "project", motif_from_selvedge_mm=100.0
    )
    for print_, column in ((known, 0.0), (replace(known, motif_from_selvedge_mm=None), 500.0)):
        start = plan_length(project, print_, seconds=1).start
        assert start is not None and start.column_mm == column


def test_a_piece_on_a_border_stays_there_when_the_layout_slides_to_a_motif() -> None:
    """Half-drop columns 150 apart: a row every 150 at some column, but the piece cannot move to it."""
    project = Project("panel", Cloth(1500.0), (Piece("a#1", 700, 600),), (), (Place("a#1", (350, 300)),))
    print_ = Print(Lattice.of_steps(150.0, 300.0, 0.5), "half-drop", "one-way", "project", border=True)
    assert plan_length(project, print_, seconds=1).start_allowance_mm == pytest.approx(300)


# one repeat for each length that is cut, "often" enough (Lancaster Farming, 17 Aug 1968 p. 15)
def test_small_pieces_are_no_lengths() -> None:
    panels = tuple(Piece(f"panel#{n}", 500.0, 900.0) for n in (1, 2))
    strips = tuple(Piece(f"strip#{n}", 900.0, 120.0) for n in range(4))
    seams = (Seam((SeamEnd("panel#1", (485.0, 200.0)), SeamEnd("panel#2", (15.0, 200.0)))),)
    project = Project("skirt", Cloth(1000.0), panels + strips, seams)
    print_ = Print(Lattice.of_steps(100.0, 400.0), "straight", "one-way", "project")
    assert plan_length(project, print_, seconds=1).rule_of_thumb.extra_mm == pytest.approx(400)
    assert plan_length(replace(project, seams=()), print_, seconds=1).rule_of_thumb.extra_mm == 0
