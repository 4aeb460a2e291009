"""Clothes, borders, placed motifs and folded cloth worked out by hand from rules of the trade.

The arithmetic stands above each row, in centimetres, done before the program was run. Where nothing else is
said the rule is common practice: one way up for a print with an up and no turn for an uneven plaid (PNW 187);
border prints by the sum of their border edges (The Press, 5 Jul 1978); a motif placed pays for where the
shop's cut falls.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.cutting import trade_projects as trade  # isort: skip
from tests.cutting.trade_projects import (  # isort: skip
    PLAIN,
    Case,
    buy,
    cloth,
    kind,
    outline,
    piece,
    place,
    printed,
    seam,
    used,
)

# a right-angled gore 16 above and 48 below, 60 long, on 64: two, one turned, fill 64 x 60; one way up none
# lies beside another, for the slanted edge is cleared only from 48 aside, and 48 + 48 > 64
GORES = outline("gore", (0, 0), (16, 0), (48, 60), (0, 60), count=4)
# seam lines 1.5 in, at half the height, all on one level
GORE_SEAMS = "".join(seam(f"gore#{n}", (30.5, 30), f"gore#{n + 1}", (1.5, 30), "level") for n in (1, 2, 3))
TRAPEZOIDS = outline("gore", (15, 0), (45, 0), (60, 80), (0, 80), count=4)
TRAPEZOID_SEAMS = "".join(seam(f"gore#{n}", (51, 40), f"gore#{n + 1}", (9, 40), "level") for n in (1, 2, 3))
# a shirt of boxes on 150: at most three of its five pieces lie side by side (33 + 33 + 44 + 44 > 150), so
# they fill three columns; the best has front and sleeve, 80 + 60, in one of them. Rows: side seams 30 below a
# front's top and 28 below the back's, sleeves 15 below theirs at 20 below a front's
SHIRT = (
    piece("front", 33, 80, 2, "mirrored = true")
    + piece("back", 60, 78)
    + piece("sleeve", 44, 60, 2, "mirrored = true")
    + seam("front#1", (1.5, 30), "back", (58.5, 28), "level")
    + seam("front#2", (31.5, 30), "back", (1.5, 28), "level")
    + seam("sleeve#1", (37, 15), "front#1", (6, 20), "level")
    + seam("sleeve#2", (7, 15), "front#2", (27, 20), "level")
)
# trousers of boxes: fronts 34 x 100, backs 40 x 104 and 4 higher; all hips level
TROUSERS = (
    piece("front", 34, 100, 2, "mirrored = true")
    + piece("back", 40, 104, 2, "mirrored = true")
    + seam("front#1", (1.5, 20), "back#2", (38.5, 24), "level")
    + seam("front#2", (32.5, 20), "back#1", (1.5, 24), "level")
    + seam("front#1", (30, 20), "front#2", (4, 20), "level")
    + seam("back#1", (34, 24), "back#2", (6, 24), "level")
)
SKIRT = kind("skirt", waist=70.0, length=60.0, fullness=2)
MOTIFS = piece("front", 50, 55, 2) + place("front#1", (25, 25)) + place("front#2", (25, 25))
BORDER = "border = true"
AT_8_CM = 'motif_from_selvedge = "8 cm"'
CASES: dict[str, Case] = {
    # panels 70 x 2 / 2 + 3 = 73 by 60 + 1.5 + 4 = 65.5, one below another on 140; the band of 77 x 10 lies in
    # the gap of 80 - 65.5; plain 2 x 65.5 + 10
    "gathered skirt, small repeat": (
        SKIRT + cloth(140) + printed(8, 40),
        [used(80 + 65.5), used(141, which="plain")],
    ),
    "gathered skirt, large repeat": (SKIRT + cloth(140) + printed(8, 60), [used(120 + 65.5)]),
    # both abreast, the band below
    "gathered skirt on wide cloth": (SKIRT + cloth(150) + printed(8, 60), [used(65.5 + 10)]),
    # bars along the cloth ask nothing of rows: 80 + 60
    "shirt, stripe along": (
        cloth(150) + printed(3, None, "stripe") + SHIRT + seam("front#1", (29, 30), "front#2", (4, 30)),
        [used(140)],
    ),
    # rows of 5: a sleeve starts 80 below a front's top, at 20 - 15 = 5 mod 5
    "shirt, fine cross stripe": (cloth(150) + printed(None, 5, "stripe") + SHIRT, [used(140)]),
    # rows of 9: at 5 mod 9, that is 86; a back over a sleeve takes 84, a sleeve over a front 67: 86 + 60
    "shirt, cross stripe": (
        cloth(150) + printed(None, 9, "stripe") + SHIRT,
        [used(146), used(140, which="plain"), buy(150), buy(140, which="unmatched")],
    ),
    # all four abreast (148), backs begin 4 above the fronts
    "trousers abreast": (cloth(150) + printed(4, 30) + TROUSERS, [used(104)]),
    # three abreast, one pair stacked: a back, 4 higher, below a front: 120 - 4 = 116 below its top
    "trousers stacked": (
        cloth(140) + printed(4, 30) + TROUSERS,
        [used(116 + 104), used(200, which="plain")],
    ),
    "gores of an uneven plaid": (
        cloth(64) + printed(12, 12) + GORES + GORE_SEAMS,
        [buy(4 * 60), buy(4 * 60, which="unmatched")],
    ),
    "gores of velvet": (cloth(64) + printed(None, None, "none") + GORES, [buy(4 * 60)]),
    # three edges of 80; bodices 50 across and 40 along lie in the field of 85 above
    "border, bodice off it": (
        cloth(140)
        + printed(20, 20, more=BORDER)
        + piece("panel", 80, 55, 3, BORDER)
        + piece("bodice", 40, 50, 2),
        [used(3 * 80)],
    ),
    # seam lines 57 apart, 25 along the border: the second first, 57 + 18 = 75: 68 from edge to edge
    "border, panels matched": (
        cloth(140)
        + printed(25, 25, more=BORDER)
        + piece("panel", 60, 55, 2)
        + seam("panel#1", (58.5, 30), "panel#2", (1.5, 30)),
        [used(68 + 60)],
    ),
    # panels 160 / 2 + 3, the band off the border
    "border, skirt": (
        kind("skirt", waist=80.0, length=65.0, fullness=2) + cloth(150) + printed(20, 20, more=BORDER),
        [used(2 * 83)],
    ),
    # a border goes with the motif: 25 along it
    "motif on a border": (
        cloth(140) + printed(25, 25, more=BORDER) + piece("panel", 60, 55) + place("panel", (30, 30)),
        [used(60), buy(90)],
    ),
    # columns 40 apart do not let two of 50 lie side by side within 110 (80 + 50): two rows of 45: 90 + 55;
    # the cut falls up to 45 before the first
    "two fronts on motifs": (cloth(110) + printed(40, 45) + MOTIFS, [used(90 + 55), buy(190)]),
    "two fronts abreast": (cloth(140) + printed(40, 45) + MOTIFS, [used(55), buy(100)]),
    # on 140 with columns 8 from the edge, middles between 25 and 115: 48 and 88 only, 40 apart
    "columns known from the selvedge": (
        cloth(140) + printed(40, 45, more=AT_8_CM) + MOTIFS,
        [used(90 + 55), buy(190)],
    ),
    # 120 of cloth, columns of 25 from 10: middles between 25 and 95 at 35, 60, 85, of which the outer two are
    # 50 apart
    "columns that let two lie abreast": (
        cloth(120) + printed(25, 45, more='motif_from_selvedge = "10 cm"') + MOTIFS,
        [used(55), buy(100)],
    ),
    # a half-drop whose columns, 20 apart, are known: rows every 15 in one or the other within reach
    "columns of a half-drop known": (
        cloth(100, step="5 cm")
        + printed(40, 30, "half-drop", more='motif_from_selvedge = "10 cm"')
        + piece("front", 40, 40)
        + place("front", (20, 20)),
        [used(40), buy(55)],
    ),
    # largest size: panels 136 x 1.8 / 2 + 3 by 70.5; the band of 143 in two strips of 73, below another
    "gathered skirt, largest size": (
        kind("skirt", waist=136.0) + cloth(140, 1) + PLAIN,
        [used(2 * 70.5 + 2 * 10)],
    ),
    # washed the repeat is 10 by 9.5: side by side they begin 53 apart, or 47 the other way round, 93 on 92
    "fronts on washed cloth": (
        cloth(92, along=5)
        + printed(10, 10)
        + piece("front", 46, 60, 2)
        + seam("front#1", (44.5, 30), "front#2", (1.5, 30)),
        [used(66.5 + 60), buy(140)],
    ),
    # between them middles at 28, 68, 108, of which 28 and 108 let both lie abreast
    "between columns known": (
        cloth(140) + printed(40, 45, more=AT_8_CM) + MOTIFS.replace('"motif"', '"between"'),
        [used(55), buy(100)],
    ),
    # washed at 5 % the repeat is 57: 107 / 0.95 = 112.6
    "motif on cloth that shrinks": (
        cloth(140, step="1 cm", along=5)
        + printed(32, 60)
        + piece("front", 50, 50)
        + place("front", (25, 25)),
        [buy(113)],
    ),
    # bars along the cloth have no rows: nothing is lost at the start
    "motif of a stripe": (cloth(100) + printed(12, None, "stripe") + MOTIFS, [used(2 * 55), buy(110)]),
    # a half-drop offers a row every 20 to a piece that can move 25 aside: 40 + 20
    "motif of a half-drop": (
        cloth(100) + printed(50, 40, "half-drop") + piece("front", 40, 40) + place("front", (20, 20)),
        [used(40), buy(60)],
    ),
    # sides 45 long begin up to 50 down, straps of 70 lie alongside: 95, and never more than 70 + 50
    "tote": (
        cloth(100)
        + printed(8, 50)
        + piece("side", 40, 45, 2)
        + piece("strap", 8, 70, 2)
        + seam("side#1", (38.5, 20), "side#2", (1.5, 20), "level")
        + place("side#1", (20, 20)),
        [used(70), buy(100, 120)],
    ),
    # trapezoids 30 above, 60 below, 80 long: turned in turn n lie in 45 n + 15, so two abreast on 105; one
    # way up a second one clears the first only 60 aside, or right below it
    "trapezoids of a two-way print": (
        cloth(105) + printed(6, 6, way="two-way") + TRAPEZOIDS,
        [buy(2 * 80), buy(2 * 80, which="unmatched")],
    ),
    "trapezoids that may not turn": (
        cloth(105) + PLAIN + TRAPEZOIDS + 'turn = "none"\n',
        [buy(4 * 80)],
    ),
    # matched level in rows of 6: 84 from one to the next
    "trapezoids of a tossed print, matched": (
        cloth(105) + printed(6, 6, way="tossed") + TRAPEZOIDS + TRAPEZOID_SEAMS,
        [used(3 * 84 + 80), buy(2 * 80, which="unmatched")],
    ),
    # seam points 38.5 and 1.5: 37 + 20 = 57 from edge to edge and 97 in all are too much for 90; the other
    # way round they are 43 apart
    "the second front to the left of the first": (
        cloth(90)
        + printed(20, 20)
        + piece("front", 40, 70, 2)
        + seam("front#1", (38.5, 20), "front#2", (1.5, 20)),
        [used(70)],
    ),
    # columns 20, rows 40, on 65: abreast takes 70, so one below another, 80 and 50; 40 before the first
    "fronts on motifs that do not lie abreast": (
        cloth(65)
        + printed(20, 40)
        + MOTIFS.replace("50 cm", "30 cm")
        .replace("55 cm", "50 cm")
        .replace('"25 cm", "25 cm"', '"15 cm", "25 cm"'),
        [used(130), buy(170)],
    ),
    # panels 63 x 75.5, one below another on 110, in rows of 40; the band of 87 x 10 fits neither between
    # (4.5) nor beside: 80 + 75.5 + 10
    "gathered skirt, band below": (
        kind("skirt", waist=80.0, length=70.0, fullness="1.5") + cloth(110) + printed(10, 40),
        [used(80 + 75.5 + 10)],
    ),
    # ties of 100 lie crosswise on a border print too, and 90 + 100 > 140: beside the apron, 70 + 2 x 6
    "border, ties beside the apron": (
        cloth(140)
        + printed(15, 15, more=BORDER)
        + piece("apron", 70, 90)
        + piece("bib", 25, 30, 1, "border = false")
        + piece("tie", 6, 100, 2, "border = false"),
        [used(70 + 12)],
    ),
    # 60 x 50 laid open: three on 100 stand one below another
    "half a piece on the fold": (
        cloth(100) + PLAIN + piece("skirt", 30, 50, 3, 'fold = "left"'),
        [used(150)],
    ),
    # folded to 75: half the front 35 and a pair of backs 36 beside it, sleeves below: 90 + 25
    "cut double": (
        cloth(150)
        + PLAIN
        + piece("front", 70, 90, 1, "on_fold = true")
        + piece("back", 36, 90, 2, "mirrored = true")
        + piece("sleeve", 40, 25, 2, "mirrored = true"),
        [("double.length_mm", 114.9, 115.1), ("double.buy_mm", 119.9, 120.1)],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_the_trade_works_out(name: str, tmp_path: Any) -> None:
    trade.agrees(CASES[name], tmp_path)


def test_the_start_may_be_declined(tmp_path: Any) -> None:
    toml = cloth(110) + printed(40, 45) + MOTIFS  # 90 + 55 as above, without the 45
    assert trade.planned(tmp_path, toml, start_allowance=False)["buy"]["advised_mm"] == pytest.approx(1500)


@pytest.mark.parametrize(
    "print_and_seams",
    [printed(12, 12, way="two-way"), printed(12, 12, way="tossed"), PLAIN + GORE_SEAMS],
    ids=["two-way", "tossed", "plain cloth, seams and all"],
)
def test_what_no_match_ties_is_turned(print_and_seams: str, tmp_path: Any) -> None:
    plan = trade.planned(tmp_path, cloth(64) + GORES + print_and_seams)
    assert plan["buy"]["advised_mm"] == plan["buy"]["unmatched_mm"] == pytest.approx(1200)


@pytest.mark.parametrize(("start", "buys"), [(None, 1260), (False, 1200)])
def test_an_even_plaid_pays_for_a_centre_line_at_the_cut(start: bool, buys: float, tmp_path: Any) -> None:
    """Turned in turn the gores take 120; their centre lines come every 6 (PNW 187: even plaids may turn)."""
    toml = cloth(64, step="1 cm") + printed(12, 12, way="four-way") + GORES + GORE_SEAMS
    plan = trade.planned(tmp_path, toml, start_allowance=start)
    assert plan["buy"]["advised_mm"] == pytest.approx(buys)


@pytest.mark.parametrize(("way", "buys"), [("one-way", 2600), ("four-way", 2400)])
def test_one_of_two_panels_turns_on_an_even_plaid(way: str, buys: float, tmp_path: Any) -> None:
    """Panels of 100 level at 20 from their tops, rows of 80: 160 + 100.

    One turned lies 100 below: 20 and 180 are whole rows apart, about a centre line at 100. Such lines come
    every 40, and the shop's cut may fall so far from one: 200 + 40.
    """
    panels = piece("panel", 70, 100, 2) + seam("panel#1", (68.5, 20), "panel#2", (1.5, 20), "level")
    toml = cloth(80, step="1 cm") + printed(80, 80, way=way) + panels
    assert trade.planned(tmp_path, toml)["buy"]["advised_mm"] == pytest.approx(buys)
