"""Curtains, blinds and other things of full widths: how many, how long, and where they are joined."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from printcheck import pipeline
from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth
from printcheck.project import built_in, parse_print
from printcheck.project.kinds.breadth import count_of_widths

FURNISHING = Cloth(1400.0, selvedge_mm=15.0)  # 137 cm printed between the selvedges, common practice


def curtain(cloth=FURNISHING, repeat=None, **sizes):
    usual = {"hem": "0 cm", "heading": "0 cm", "curtains": "1"}
    printed = None if repeat is None else parse_print(repeat)
    return built_in("curtain", {**usual, **sizes}, cloth=cloth, print_=printed)


def names(made):
    return [p.name for p in made.pieces]


@pytest.mark.parametrize(
    ("track", "fullness", "usable", "widths"),
    # common practice: widths = track x fullness / usable width, rounded up; rows derived from that rule
    [
        (180, "2.0", 137, 3), (180, "2.5", 137, 4), (137, "2", 137, 2), (137.001, "2", 137, 3),
        (300, "2.25", 140, 5),
        # 100 % is ratio 2, 150 % is 2.5 (Ohio State Extension OSUE-529)
        (180, "100 %", 137, 3), (180, "150 %", 137, 4), (180, "150%", 137, 4),
    ],
)  # fmt: skip
def test_widths_of_a_curtain(track, fullness, usable, widths):
    made = curtain(Cloth(usable * 10.0), track=f"{track} cm", fullness=fullness)
    assert len(made.pieces) == widths
    assert count_of_widths(2 * 137.001, 137) == 3


@pytest.mark.parametrize(
    ("sizes", "length"),
    # common practice: a double hem takes its depth twice, a heading is turned in once
    [
        ({"drop": "210 cm", "hem": "10 cm", "heading": "8 cm"}, 2380.0),
        ({"drop": "210 cm", "hem": "0 cm", "heading": "8 cm"}, 2180.0),
    ],
)
def test_the_cut_drop(sizes, length):
    assert curtain(**sizes).pieces[0].length_mm == length


def test_side_hems_returns_and_overlap_are_added_before_the_widths_are_counted():
    # common practice; 205 x 2 = 410; 4 side hems of 4, two returns of 8, two overlaps of 6: 454 / 137 = 3.31
    flat = {"side_hem": "4 cm", "return": "8 cm", "overlap": "6 cm"}
    assert len(curtain(track="205 cm", fullness="2", curtains="2").pieces) == 4  # 2 widths and 2 halves
    assert names(curtain(track="205 cm", fullness="2", curtains="2", **flat)) == [
        f"width#{n}" for n in (1, 2, 3, 4)
    ]


def test_an_odd_number_of_widths_is_halved_between_two_curtains():
    made = curtain(Cloth(1370.0), track="180 cm", curtains="2")
    assert [(p.name, p.width_mm) for p in made.pieces] == [
        ("width#1", 1370.0),
        ("width#2", 1370.0),
        ("half width#1", 685.0),
        ("half width#2", 685.0),
    ]


def column_of(made):
    lattice = made.print.lattice.scaled(1 - made.cloth.shrink_across, 1 - made.cloth.shrink_along)
    return lattice.area_mm2 / lattice.shortest_along_axis(1)


@pytest.mark.parametrize("shrink", [0.0, 0.03])
@pytest.mark.parametrize("repeat", ["68.5cm x 64cm", "913.3333mm x 64cm half-drop", "137cm x 61cm"])
def test_furnishing_cloth_of_whole_columns_is_joined_at_the_selvedge(repeat, shrink):
    # common practice: it is printed so that the figure runs on there; the selvedge is the allowance
    cloth = Cloth(1400.0, selvedge_mm=15.0, shrink_across=shrink, shrink_along=shrink)
    made = curtain(cloth, repeat, track="180 cm", fullness="2")
    usable = cloth.usable_width_mm
    assert len(made.pieces) == 3
    for seam in made.seams:
        assert seam.name == "join"
        assert [end.at[0] for end in seam.join] == pytest.approx([usable, 0.0], abs=0.01)
        columns = (seam.join[0].at[0] - seam.join[1].at[0]) / column_of(made)
        assert columns == pytest.approx(round(columns), abs=1e-9)
    assert "curtain-selvedge" in [f.code for f in made.findings]


@pytest.mark.parametrize(
    ("repeat", "columns"),
    # usable 137: three columns of 40, one of 100; the selvedge holds the allowance of 1.5 cm
    [("40cm x 64cm", 3), ("80cm x 64cm half-drop", 3), ("100cm x 64cm", 1)],
)
def test_elsewhere_joins_lap_to_whole_columns(repeat, columns):
    made = curtain(repeat=repeat, track="100 cm", fullness="2")
    first, second = made.seams[0].join
    assert (first.at[0] - second.at[0]) / column_of(made) == pytest.approx(columns)
    # more widths where the laps take more than a twentieth of what was asked
    joined = 1370.0 + (len(made.pieces) - 1) * columns * column_of(made)
    assert joined >= 0.95 * 2000
    assert 1370.0 + (len(made.pieces) - 2) * columns * column_of(made) < 0.95 * 2000


def test_the_way_of_joining_may_be_said():
    lapped = curtain(Cloth(1400.0, 15.0, join="lap"), "68.5cm x 64cm", track="180 cm")
    assert [e.at[0] for e in lapped.seams[0].join] == [1370.0, 0.0]  # two columns fill the width anyhow
    forced = curtain(Cloth(1400.0, 15.0, join="selvedge"), "40cm x 64cm", track="180 cm")
    assert [e.at[0] for e in forced.seams[0].join] == [1370.0, 0.0]
    bare = curtain(Cloth(1400.0), "40cm x 64cm", track="180 cm")  # no selvedge: 1.5 cm of allowance is cut in
    assert [e.at[0] for e in bare.seams[0].join] == pytest.approx([1215.0, 15.0])


@pytest.mark.parametrize(
    "repeat", ["64mm x 64mm half-drop", "320mm x 320mm", "68.5cm x 64cm", "100mm x 70mm"]
)
def test_both_half_widths_come_out_of_one_drop(repeat):
    made = curtain(repeat=repeat, track="180 cm", curtains="2")
    usable = made.cloth.usable_width_mm
    left = next(s for s in made.seams if s.join[0].piece == "half width#1")
    right = next(s for s in made.seams if s.join[1].piece == "half width#2")
    # slit down the middle: the left half lies at the edge, the right half from the middle; each meets its
    # neighbour, which lies at the edge of its own drop, by whole columns
    for here, there in (
        (left.join[0].at[0] + usable / 2, left.join[1].at[0]),
        (right.join[1].at[0], right.join[0].at[0]),
    ):
        columns = (here - there) / column_of(made)
        assert columns == pytest.approx(round(columns), abs=1e-6)


def test_a_railroaded_curtain_lies_across_the_cloth():
    # common practice: wide plain cloth turned sideways; 250 and a double hem of 10 across, 400 x 2 along
    made = curtain(Cloth(3000.0), track="400 cm", drop="250 cm", hem="10 cm", railroaded="yes")
    assert [(p.width_mm, p.length_mm, p.turn) for p in made.pieces] == [(2700.0, 8000.0, "none")]
    pair = curtain(Cloth(3000.0), track="400 cm", drop="250 cm", curtains="2", railroaded="true")
    assert [p.length_mm for p in pair.pieces] == [4000.0, 4000.0]
    assert [s.match for s in pair.seams] == ["upright"]  # level rows of the hanging curtain are columns here


def joined_width(made, middle):
    """Finished width between the outer edges, from the seam lines."""
    left, right = made.seams[0], made.seams[-1]
    pieces = {p.name: p for p in made.pieces}
    total = left.join[0].at[0] + (pieces[right.join[1].piece].width_mm - right.join[1].at[0])
    return total + (right.join[0].at[0] - left.join[1].at[0]) * sum(n.startswith(middle) for n in pieces)


def test_a_wide_blind_has_a_full_width_in_its_middle_and_equal_sides():
    # common practice; 198 and side hems of 2.5: 203, of which 137 are the middle: 33 a side
    sizes = {"width": "198 cm", "drop": "146 cm", "side_hem": "2.5 cm", "top": "4 cm", "hem": "8 cm"}
    made = built_in("blind", sizes, cloth=FURNISHING, print_=parse_print("68.5cm x 60cm"))
    assert [(p.name, p.width_mm, p.length_mm) for p in made.pieces] == [
        ("left blind#1", 330.0, 1580.0),
        ("blind#1", 1370.0, 1580.0),
        ("right blind#1", 330.0, 1580.0),
    ]
    assert [s.match for s in made.seams] == ["both", "both"]
    assert joined_width(made, "blind") == 2030.0


@pytest.mark.parametrize("repeat", [None, "342.5mm x 400mm", "500mm x 400mm", "30cm x 40cm half-drop"])
@pytest.mark.parametrize("width", [220, 300, 480])
def test_a_wide_tablecloth_comes_out_as_wide_as_asked(repeat, width):
    printed = None if repeat is None else parse_print(repeat)
    made = built_in("tablecloth", {"width": f"{width} cm", "length": "300 cm", "hem": "3 cm"},
                    cloth=Cloth(1400.0), print_=printed)  # fmt: skip
    assert made.pieces[0].length_mm == 3120.0  # a double hem of 3 cm at both ends
    wide = joined_width(made, "cloth")
    assert wide == pytest.approx(width * 10.0 + 120.0)
    left, right = made.pieces[0], made.pieces[-1]
    assert abs(left.width_mm - right.width_mm) <= 15.0  # sides alike, but for allowances cut in


@pytest.mark.parametrize("selvedge", [0.0, 15.0])
def test_both_sides_of_a_tablecloth_come_out_of_one_length(selvedge):
    # derived: columns fill the width, so the sides are cut from the edges of one more width
    cloth = Cloth(1400.0, selvedge)
    span = cloth.usable_width_mm - (30.0 if not selvedge else 0.0)
    repeat = parse_print(f"{span / 4}mm x 400mm")
    made = built_in("tablecloth", {"width": "220 cm"}, cloth=cloth, print_=repeat)
    (left, middle), (_, right) = made.seams[0].join, made.seams[-1].join
    pieces = {p.name: p for p in made.pieces}
    x_left = cloth.usable_width_mm - pieces["left cloth#1"].width_mm
    assert ((x_left + left.at[0] - middle.at[0]) / (span / 4)) % 1 == pytest.approx(0, abs=1e-9)
    assert ((right.at[0] - made.seams[-1].join[0].at[0]) / (span / 4)) % 1 == pytest.approx(0, abs=1e-9)
    assert pieces["right cloth#1"].width_mm < x_left


@pytest.mark.parametrize(
    ("way", "panels"),
    # 190 x 260 on 110: two lengths of 260 are 520, three of 190 are 570; 240 x 200: 2 x 220 against 2 x 260
    [
        ("plain", ({"width": "170 cm", "length": "240 cm"}, 2600.0)),
        ("plain", ({"width": "180 cm", "length": "130 cm"}, 1500.0)),
        ("plain", ({"width": "130 cm", "length": "180 cm"}, 1500.0)),
        ("5cm x 30cm", ({"width": "130 cm", "length": "180 cm"}, 2000.0)),  # its up is kept
    ],
)
def test_a_backing_is_joined_the_cheaper_way(way, panels):
    sizes, length = panels
    made = built_in("backing", sizes, cloth=Cloth(1100.0), print_=parse_print(way))
    assert {p.length_mm for p in made.pieces} == {length}


def test_joins_of_the_duvet_s_back_are_hidden():
    made = built_in("duvet", {"width": "200 cm"}, cloth=Cloth(1400.0), print_=parse_print("34.25cm x 32cm"))
    assert [s.visible for s in made.seams] == [True, True, False, False]
    assert not built_in("duvet").seams  # bed linen is wide enough


def test_binding_comes_from_a_square_of_the_same_area():
    # common practice: side of the square = root of run x width, and its seams
    (square,) = built_in("binding", {"run": "400 cm", "width": "5 cm"}).pieces
    assert 447.2 + 10 <= square.width_mm <= 500
    assert square.width_mm == square.length_mm
    squares = built_in("binding", {"run": "100 m", "width": "5 cm"}, cloth=Cloth(1100.0)).pieces
    assert len(squares) * (squares[0].width_mm - 12) ** 2 == pytest.approx(100_000 * 50)


def test_a_pennant_has_the_same_seam_all_round():
    flag = built_in("bunting", {"width": "20 cm", "height": "25 cm", "count": "1"}).pieces[0]
    (ax, ay), (bx, _), (cx, cy) = flag.outline
    # the finished triangle's inner circle has its centre 6 mm nearer to every side than the cut one's
    inner = [2 * 0.5 * w * h / (w + 2 * math.hypot(w / 2, h)) for w, h in ((200, 250), (bx - ax, cy - ay))]
    assert inner[1] - inner[0] == pytest.approx(6.0)
    assert cx == pytest.approx((ax + bx) / 2)


def test_napkins_have_a_double_hem():
    # 40 and four times 1 cm across
    assert {(p.width_mm, p.length_mm) for p in built_in("napkin").pieces} == {(440.0, 440.0)}


@pytest.mark.parametrize(
    ("column", "error", "filled"),
    [
        (688.0, 0.003, True),  # measured 0.44 % large, known to 0.3 %, one sigma: two fill the 137
        (682.0, 0.003, True),
        (688.0, 0.002, False),  # more than two sigma off
        (688.0, 0.0, False),  # said, not measured
        (46.0, 0.003, False),  # 29.8 columns: whole within the error at every other guess
    ],
)
def test_measured_columns_fill_the_cloth_where_the_error_allows(column, error, filled):
    # common practice: furnishing cloth is printed in whole columns from selvedge to selvedge
    printed = replace(
        parse_print("1cm x 1cm"), error_share=error, lattice=Lattice.of_steps(column, 640.0, 0.5)
    )
    made = built_in("curtain", {"track": "180 cm"}, cloth=FURNISHING, print_=printed)
    assert (column_of(made) != pytest.approx(column)) == filled
    assert ("curtain-selvedge" in [f.code for f in made.findings]) == filled
    if filled:
        assert column_of(made) == pytest.approx(685.0)
        assert made.print.lattice.shortest_along_axis(1) == pytest.approx(640.0)
        assert len(made.pieces) == 4  # two widths and two halves
    assert built_in("shirt", cloth=FURNISHING, print_=printed).print == printed  # nothing of it is joined


def test_a_plan_from_a_measured_repeat_meets_its_joins():
    printed = replace(parse_print("688mm x 640mm"), error_share=0.003)
    sizes = {"track": "180 cm", "curtains": "1", "drop": "240 cm", "hem": "0 cm", "heading": "0 cm"}
    made = built_in("curtain", sizes, cloth=FURNISHING)
    plan = pipeline.plan_length(made, printed, pipeline.Effort(2.0), widths_mm=(1400.0, 1800.0)).plan
    # 360 / 137: three drops; 240 in repeats of 64 is 256: 2 x 256 + 240 (trade rule)
    assert plan.matched.length_mm == pytest.approx(7520.0, abs=1.0)
    assert plan.widths[0].matched_mm == pytest.approx(7520.0, abs=1.0)
    assert plan.widths[1].matched_mm is not None


@pytest.mark.parametrize(("curtains", "railroaded"), [("1", "no"), ("2", "yes")])
def test_a_curtain_of_a_border_print_hangs_with_the_border_along_its_foot(curtains, railroaded):
    # *The Press* (Christchurch), 5 Jul 1978: length = sum of the border edges, here 200 x 2
    made = curtain(
        Cloth(2600.0), "30 cm straight border", track="200 cm", drop="230 cm",
        curtains=curtains, railroaded=railroaded,
    )  # fmt: skip
    assert [f.code for f in made.findings] == ["curtain-border"]
    plan = pipeline.plan_length(made, made.print, pipeline.Effort(1.0)).plan
    assert plan.matched.length_mm == pytest.approx(4000, abs=0.1)
