"""A little less of one size that saves a repeat, a row, a width or a step of the shop."""

from __future__ import annotations

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting import plan_length
from printcheck.cutting.what_if.near_miss import near_misses
from printcheck.pipeline import Effort
from printcheck.pipeline import plan_length as planned
from printcheck.project import built_in

PLAIN = Print(None, "none", "four-way", "project")


def drops(length: float, repeat: float) -> tuple[Project, Print]:
    """Two full widths whose figure runs on (trade tables A: whole repeats, the last one bare)."""
    pieces = tuple(Piece(f"drop#{n}", 1370.0, length) for n in (1, 2))
    seams = (Seam((SeamEnd("drop#1", (1370.0, 100.0)), SeamEnd("drop#2", (0.0, 100.0)))),)
    print_ = Print(Lattice.of_steps(685.0, repeat), "straight", "one-way", "project")
    return Project("drops", Cloth(1370.0), pieces, seams), print_


def told(project: Project, print_: Print) -> list[tuple[object, ...]]:
    plan = plan_length(project, print_, seconds=1)
    found = near_misses(project, print_, plan, seconds=1)
    return [(f.code, *f.values.values()) for f in found]


def test_a_drop_that_only_just_needs_another_repeat() -> None:
    # 2570 on 640: 5 x 640 + 2570 = 5770, bought as 5800; 2560 goes into 4 repeats: 5120, bought as 5200
    assert told(*drops(2570, 640)) == [("near-miss", "Drop", "shorter", 10.0, 600.0, 5200.0)]


def test_a_drop_well_within_its_repeats_is_no_near_miss() -> None:
    # 2500 on 640: 2560 + 2500 = 5060; a step of 100 less asks for 60 less
    assert told(*drops(2500, 640)) == []


def test_a_row_of_napkins() -> None:
    # three of 470 are 1410 on 1400: two abreast, three rows; 3 1/3 mm less each: three abreast, two rows
    project = Project(
        "napkins", Cloth(1400.0, sold_by_mm=10), tuple(Piece(f"n#{k}", 470.0, 470.0) for k in range(6))
    )
    assert told(project, PLAIN) == [("near-miss", "N", "narrower", 4.0, 470.0, 940.0)]


def test_a_step_of_the_shop() -> None:
    project = Project("throw", Cloth(1400.0, sold_by_mm=500), (Piece("throw", 1300.0, 1010.0),))
    assert told(project, PLAIN) == [("near-miss", "Throw", "shorter", 10.0, 500.0, 1000.0)]
    triangle = ((0.0, 0.0), (1300.0, 0.0), (650.0, 1010.0))
    shaped = Project("shawl", Cloth(1400.0, sold_by_mm=500), (Piece("shawl", 1300.0, 1010.0, triangle),))
    assert told(shaped, PLAIN) == [("near-miss", "Shawl", "shorter", 10.0, 500.0, 1000.0)]
    wide = ((0.0, 0.0), (700.0, 0.0), (700.0, 400.0), (20.0, 400.0))  # two, 10 too wide for a row
    pair = tuple(Piece(f"flap#{n}", 700.0, 400.0, wide, turn="none") for n in (1, 2))
    assert told(Project("flaps", Cloth(1390.0, sold_by_mm=200), pair), PLAIN) == [
        ("near-miss", "Flap", "narrower", 5.0, 200.0, 400.0)
    ]


def test_what_is_cut_off_every_length_is_no_surprise() -> None:
    # five lengths of 520 are 2600; 20 less of each is a whole step, but that is what is cut off
    project = Project("lengths", Cloth(1000.0), tuple(Piece(f"l#{k}", 900.0, 520.0) for k in range(5)))
    assert told(project, PLAIN) == []


def test_fullness_that_asks_for_one_more_width() -> None:
    """137 of usable width: 2.007 widths are three (W = ceil(track x fullness / usable width))."""
    project = built_in(
        "curtain",
        {"track": "137.5 cm", "drop": "250 cm", "curtains": "1", "cloth.width": "140 cm",
         "cloth.selvedge": "1.5 cm", "cloth.shrink_across": "0 %", "cloth.shrink_along": "0 %"},
    )  # fmt: skip
    plan = planned(project, PLAIN, Effort(1.0)).plan
    assert [f.code for f in plan.findings if f.code.startswith("near")] == ["near-miss-fullness"]
