"""Curtains, blinds, bed linen and cloths worked out by hand from rules of the trade.

The arithmetic stands above each row, in centimetres, done before the program was run. Where nothing else is
said the rule is common practice: whole repeats from drop to drop, the last one bare (Fabric Quantity
Handbook, metric, p. 6-7); washed length divided by what is left.
"""

from __future__ import annotations

from typing import Any

import pytest

from printcheck.core.units import parse_length

from tests.cutting import trade_projects as trade  # isort: skip
from tests.cutting.trade_projects import (  # isort: skip
    FURNISHING,
    NAPKINS,
    PLAIN,
    Case,
    buy,
    cloth,
    curtain,
    kind,
    piece,
    printed,
    seam,
    used,
)

THREE_COLUMNS = 2 * 137 / 3  # across of a half-drop with three columns on 137
CASES: dict[str, Case] = {
    # 210 x 2 = 420 / 147 = 2.9: 3 widths of three columns each, which join dropped: starts at 0, 1/2, 0 of
    # 48. Best order 0, 0, 1/2: 0, 240, then the first place at 24 mod 48 from 472 on, 504: 736
    "half-drop of an odd count": (
        curtain(210, 232) + cloth(150, 1.5) + printed(98, 48, "half-drop"),
        [used(736)],
    ),
    # two columns a width: level. 200 goes into 4 x 60 = 240: 3 x 240 + 200
    "half-drop of an even count": (
        curtain(270, 200) + FURNISHING + printed(137, 60, "half-drop"),
        [used(920)],
    ),
    # 360 / 137 = 2.6: a pair of 1 1/2 widths, the halves one drop. Cut 210 + 6 + 2 x 5 = 226, 5 x 53 = 265
    "halves share a drop": (
        curtain(160, 210, 2, "2.25", hem=5.0, heading=6.0) + FURNISHING + printed(68.5, 53),
        [used(2 * 265 + 226)],
    ),
    # 240 x 2.5 / 137 = 4.4: two widths and a half each. Joins of three columns are dropped: the inner ones
    # alike at 0, the next at 1/2, the halves at 0 again: 0, 1/2, 0, 1/2, 0 of 64, 224 from one to the next
    "five widths of an odd half-drop": (
        curtain(240, 220, 2, "2.5") + FURNISHING + printed(THREE_COLUMNS, 64, "half-drop"),
        [used(4 * 224 + 220)],
    ),
    # 65 x 2 = 130: one width, slit down its middle
    "a pair of half a width each": (curtain(65, 220, 2) + FURNISHING + printed(68.5, 64), [used(220)]),
    # one column as wide as the cloth, half-drop: an odd count
    "a half-drop of one column a width": (
        curtain(130, 220) + FURNISHING + printed(2 * 137, 64, "half-drop"),
        [used(224 + 220)],
    ),
    # 132 x 2 + 12 = 276 and two widths are 274
    "a return that takes another width": (
        curtain(132, 200, **{"return": 12.0}) + FURNISHING + PLAIN,
        [used(3 * 200)],
    ),
    # a stripe along the cloth has no rows, one across it none but rows: 244 in tens is 250
    "curtains of a stripe along": (
        curtain(180, 244) + FURNISHING + printed(13.7, None, "stripe"),
        [used(732)],
    ),
    "curtains of a stripe across": (
        curtain(130, 244) + FURNISHING + printed(None, 10, "stripe"),
        [used(494)],
    ),
    # 300 x 2 + 2 x 2 x 2 of side hems
    "railroaded pair with side hems": (
        curtain(300, 240, 2, hem=8.0, heading=6.0, side_hem=2.0, railroaded="yes") + cloth(280) + PLAIN,
        [used(608)],
    ),
    # the same of a half-drop of two columns a width: 240 in repeats of 64 is 256
    "halves of a half-drop": (
        curtain(180, 240, 2) + FURNISHING + printed(137, 64, "half-drop"),
        [used(2 * 256 + 240)],
    ),
    # odd widths: the full ones of the pair alike, the halves half a repeat off, in one drop between them
    "halves of an odd half-drop": (
        curtain(180, 220, 2) + FURNISHING + printed(THREE_COLUMNS, 64, "half-drop"),
        [used(2 * 224 + 220)],
    ),
    # a pair of one width each hangs alike, columns even or odd: 220 by 64 is 256
    "a pair of a half-drop, even": (
        curtain(130, 220, 2) + FURNISHING + printed(137, 64, "half-drop"),
        [used(256 + 220)],
    ),
    "a pair of a half-drop, odd": (
        curtain(130, 220, 2) + FURNISHING + printed(THREE_COLUMNS, 64, "half-drop"),
        [used(256 + 220)],
    ),
    # two odd widths each: 0, 1/2, 0, 1/2 of 64: 220 and 4 more each time
    "two widths each of a half-drop": (
        curtain(260, 220, 2) + FURNISHING + printed(THREE_COLUMNS, 64, "half-drop"),
        [used(3 * 224 + 220)],
    ),
    # 150 x 2 + 2 x (2 x 3 + 7 + 5) = 336 over 137: three; four columns join level: 230 + 6 + 16 = 252 by 48
    "half widths of a half-drop, returns and hems": (
        curtain(150, 230, 2, hem=8.0, heading=6.0, side_hem=3.0, overlap=5.0, **{"return": 7.0}) + FURNISHING
        + printed(68.5, 48, "half-drop"),
        [used(2 * 288 + 252), buy(830)],
    ),
    # three columns: each width half a repeat off its neighbour, the middles alike, so the slit one lies as
    # they do: starts 1/2, 0, 0, 1/2, 0, best in turn: 205 by 64 takes 224 each time
    "five widths of a half-drop": (
        curtain(320, 205, 2) + FURNISHING + printed(THREE_COLUMNS, 64, "half-drop"),
        [used(4 * 224 + 205)],
    ),
    # 146 of cloth, columns of 40: three to a seam line. 290 over 146 is two, but 146 + 120 is 8 % short
    "a width more because they lap": (
        curtain(145, 210) + cloth(150, 2) + printed(40, 50),
        [used(2 * 250 + 210)],
    ),
    # bars across the cloth meet every 12: 204
    "widths of a cross stripe": (
        curtain(130, 200) + FURNISHING + printed(None, 12, "stripe"),
        [used(204 + 200)],
    ),
    # sides of 34.5 beside 137, half a repeat off it at both edges: 164 by 40 is 180
    "roman blind of three columns, half-drop": (
        kind("blind", width=200.0, drop=150.0, side_hem=3.0, top=4.0, hem=10.0) + FURNISHING
        + printed(THREE_COLUMNS, 40, "half-drop"),
        [used(180 + 164)],
    ),
    # washed at 3 % the repeat of 18 in is 17.46: 84 takes 87.3, three 258.6; 266.6 in are 7.41 yd
    "eighths of a yard, washed": (
        '[cloth]\nwidth = "54 in"\nselvedge = "0.5 in"\nshrink_along = "3 %"\nsold_by = "1/8 yd"\n'
        '[print]\nacross = "26.5 in"\nalong = "18 in"\n'
        '[[piece]]\nname = "drop"\ncount = 3\nwidth = "53 in"\nlength = "84 in"\n'
        + seam("drop#1", (134.62, 100), "drop#2", (0, 100))
        + seam("drop#2", (134.62, 100), "drop#3", (0, 100)),
        [used(258.6 * 2.54), buy(7.5 * 91.44)],
    ),
    # a drop of 1/3, four columns: every width 4/3, that is 1/3, lower. 205 by 60, starts 0, 40, 20 in the
    # best order: 205 + 15 = 220 from one to the next
    "a third drop": (
        curtain(180, 205) + FURNISHING + printed(34.25, 60, "drop", more='drop = "1/3"'),
        [used(2 * 220 + 205)],
    ),
    # two columns of a quarter drop: every width half a repeat down: 205 by 30 is 210
    "a quarter drop": (
        curtain(180, 205) + FURNISHING + printed(68.5, 60, "drop", more='drop = "1/4"'),
        [used(2 * 210 + 205)],
    ),
    # 125 % of extra cloth is 2.25 (OSUE-529): 150 x 2.25 / 137 = 2.5: 3 of 190 + 5 + 15
    "fullness in per cent, double hem": (
        curtain(150, 190, full="125 %", hem=7.5, heading=5.0) + FURNISHING + PLAIN,
        [used(3 * 210), buy(630)],
    ),
    # 280 x 2 / 137 = 4.09: five widths, the halves out of one
    "five widths of lining": (curtain(280, 200, 2) + FURNISHING + PLAIN, [used(5 * 200)]),
    # 190 x 2 + 2 x (2 x 5 + 9 + 5) = 428 / 137 = 3.1: four, where 380 alone would do with three
    "side hems, returns, overlap": (
        curtain(190, 215, 2, side_hem=5.0, overlap=5.0, **{"return": 9.0}) + FURNISHING + PLAIN,
        [used(4 * 215)],
    ),
    # 350 x 1.8 = 630 of cloth that is 286 wide and takes the drop of 240 + 8 + 24
    "railroaded": (
        curtain(350, 240, 2, "1.8", hem=12.0, heading=8.0, railroaded="yes") + cloth(290, 2) + PLAIN,
        [used(630)],
    ),
    # columns of 50 on 148: two of them from seam to seam, the rest laps over. 148 + 100 covers 200
    "lapped to whole columns": (curtain(100, 230) + cloth(150, 1) + printed(50, 70), [used(280 + 230)]),
    # a border runs along the foot: two curtains of 130 one after another (The Press, 5 Jul 1978)
    "curtains of a border print": (
        curtain(130, 220, 2) + cloth(260, 1) + printed(20, 20, more="border = true"),
        [used(260)],
    ),
    # washed at 4 % the repeat is 48 and 100 goes into 144: 244 / 0.96 = 254.2
    "the repeat shrinks with the cloth": (
        cloth(100, step="5 cm", along=4)
        + printed(10, 50)
        + piece("panel", 70, 100, 2)
        + seam("panel#1", (68.5, 50), "panel#2", (1.5, 50), "level"),
        [used(244), buy(255)],
    ),
    # 54 in cloth, 27 in repeat, three drops of 90 in: 2 x 108 + 90 = 306 in, 8 1/2 yd to the thread, at 16
    "inches": (
        '[cloth]\nwidth = "54 in"\nsold_by = "0.25 yd"\nprice = 16.0\nprice_per = "1 yd"\ncurrency = "USD"\n'
        '[print]\nacross = "13.5 in"\nalong = "27 in"\n'
        '[[piece]]\nname = "drop"\ncount = 3\nwidth = "54 in"\nlength = "90 in"\n'
        + seam("drop#1", (137.16, 20), "drop#2", (0, 20))
        + seam("drop#2", (137.16, 20), "drop#3", (0, 20)),
        [used(306 * 2.54), buy(306 * 2.54), ("buy.matched_cost", 13.5999, 13.6001)],
    ),
    # 210 + 6 = 216: 137 and two sides of 39.5 from one more drop; 144 by 64 is 192
    "roman blind with sides": (
        kind("blind", width=210.0, drop=130.0, side_hem=3.0, top=5.0, hem=9.0) + FURNISHING
        + printed(68.5, 64),
        [used(192 + 144)],
    ),
    # 305 wide: sides of 84 do not share a drop. 194 by 64 is 256
    "roman blind of three drops": (
        kind("blind", width=300.0, drop=180.0, side_hem=2.5, top=4.0, hem=10.0) + FURNISHING
        + printed(68.5, 64),
        [used(2 * 256 + 194)],
    ),
    # 54 in of which 53 are printed, columns of 26 1/2, rows of 25 1/4: 96 in takes 101; 298 in are 8.28 yd
    "inches, selvedges": (
        '[cloth]\nwidth = "54 in"\nselvedge = "0.5 in"\nsold_by = "0.25 yd"\n'
        '[print]\nacross = "26.5 in"\nalong = "25 1/4 in"\n'
        '[[piece]]\nname = "drop"\ncount = 3\nwidth = "53 in"\nlength = "96 in"\n'
        + seam("drop#1", (134.62, 20), "drop#2", (0, 20))
        + seam("drop#2", (134.62, 20), "drop#3", (0, 20)),
        [used(298 * 2.54), buy(8.5 * 91.44)],
    ),
    # a half-drop lets both sides move one column of 68.5, and half a repeat, in: 144 by 32 is 160
    "roman blind of a half-drop": (
        kind("blind", width=210.0, drop=130.0, side_hem=3.0, top=5.0, hem=9.0) + FURNISHING
        + printed(137, 64, "half-drop"),
        [used(160 + 144)],
    ),
    # 150 + 4 + 10
    "roman blind of one width": (
        kind("blind", width=120.0, drop=150.0) + FURNISHING + PLAIN,
        [used(164), buy(170)],
    ),
    # covers 203 x 206.5, two of them; pillow pieces 53 wide do not fit beside (238 - 203 = 35), but beside
    # each other: the longer is 75 + 1.5 + 3 + 20
    "duvet set, small pillows": (
        kind("duvet", width=200.0, length=200.0, pillow_width=50.0, pillow_length=75.0) + cloth(240, 1)
        + PLAIN,
        [used(2 * 206.5 + 99.5)],
    ),
    # two cases of 80: pieces 83 wide, two abreast: fronts 84.5, backs 104.5
    "duvet set, two square pillows": (
        kind("duvet", width=200.0, length=200.0, pillows=2) + cloth(240, 1) + PLAIN,
        [used(2 * 206.5 + 84.5 + 104.5)],
    ),
    # front 150 + side 60, back likewise; both sides abreast. From the front to its side 225 (5 x 45), the
    # other side right below the front at 210 and the back 225 below that: 435 + 210
    "duvet from narrow cloth": (
        cloth(150)
        + printed(36.75, 45)
        + piece("front", 150, 210)
        + piece("back", 150, 210)
        + piece("side", 60, 210, 2)
        + seam("front", (148.5, 100), "side#1", (1.5, 100))
        + seam("back", (148.5, 100), "side#2", (1.5, 100)),
        [used(225 + 2 * 210)],
    ),
    # double hems of 2: 208 x 258; sides of 35.5 share a length; 258 by 37 is 259
    "tablecloth": (
        kind("tablecloth", width=200.0, length=250.0, hem=2.0) + FURNISHING + printed(34.25, 37),
        [used(259 + 258)],
    ),
    # three columns a width: the sides half a repeat down at the edges, 6 1/2 x 40
    "tablecloth of a half-drop": (
        kind("tablecloth", width=200.0, length=250.0, hem=2.0) + FURNISHING
        + printed(THREE_COLUMNS, 40, "half-drop"),
        [used(260 + 258)],
    ),
    "tablecloth of one width": (
        kind("tablecloth", width=120.0, length=170.0, hem=2.0) + FURNISHING + PLAIN,
        [used(178)],
    ),
    # 216 x 236 from 109 between the seams: two widths of 236; the other way 236 takes three of 216
    "quilt backing along the quilt": (
        kind("backing", width=200.0, length=220.0, overhang=8.0) + cloth(112, 1) + PLAIN,
        [used(2 * 236)],
    ),
    # 160 x 260: two of 260, or three of 160 the other way
    "quilt backing across the quilt": (
        kind("backing", width=140.0, length=240.0, overhang=10.0) + cloth(112, 1) + PLAIN,
        [used(3 * 160)],
    ),
    # four columns of 27.5 fill the 110: sides of 30 abreast; 220 by 32 is 224
    "quilt backing of a print": (
        kind("backing", width=150.0, length=200.0, overhang=10.0) + cloth(112, 1) + printed(27.5, 32),
        [used(224 + 220)],
    ),
    # three of 44 abreast: 3 rows, 132 / 0.96 = 137.5; at 9.90 a metre
    "napkins": (
        NAPKINS + cloth(140, along=4, more='price = 9.9\nprice_per = "1 m"\ncurrency = "EUR"') + PLAIN,
        [used(132), buy(140), ("buy.advised_cost", 1.3859, 1.3861)],
    ),
    # a seam of 6 mm round 15 x 20 makes 16.7 x 22.3: ten, turned in turn, are 5 1/2 x 16.7 = 92 wide
    "bunting on plain cloth": (
        kind("bunting", width=15.0, height=20.0, count=5) + cloth(110, 1) + PLAIN,
        [buy(30)],
    ),
    # one way up a row holds six: two rows, or a zigzag that lies a little deeper in itself, but never one row
    "bunting of a print with an up": (
        kind("bunting", width=15.0, height=20.0, count=5) + cloth(110, 1) + printed(4, 4),
        [used(22.4, 44.7), buy(30, 50)],
    ),
    # side = root of 300 x 4 = 34.6, and two seams of 0.6
    "bias binding": (
        kind("binding", run=300.0, width=4.0) + cloth(110) + PLAIN,
        [used(34.6, 37.7), buy(40)],
    ),
    # four lengths, or the three after the first (Lancaster Farming, 17 Aug 1968, p. 15)
    "rule of thumb": (
        curtain(270, 200) + FURNISHING + printed(68.5, 40),
        [("rule_of_thumb.extra_mm", 120, 160)],
    ),
    "no rule of thumb": (
        NAPKINS + cloth(140) + printed(8, 8),
        [("rule_of_thumb.extra_mm", 0, 0), used(132)],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_what_the_trade_works_out(name: str, tmp_path: Any) -> None:
    trade.agrees(CASES[name], tmp_path)


@pytest.mark.parametrize(("have", "does", "left"), [("1.5 m", True, 12.5), ("1.37 m", False, None)])
def test_a_length_at_hand(have: str, does: bool, left: float | None, tmp_path: Any) -> None:
    """Eight napkins take 132 / 0.96 = 137.5."""
    plan = trade.planned(tmp_path, NAPKINS + cloth(140, along=4) + PLAIN, have_mm=parse_length(have))
    assert plan["have"]["does"] == does
    assert plan["have"]["left_over_mm"] == (None if left is None else pytest.approx(10 * left))


def test_fullness_that_only_makes_the_cloth_shorter_is_no_near_miss(tmp_path: Any) -> None:
    """Railroaded cloth has no widths to save: 3 % less of 400 is 12, and a step of 10 is no surprise."""
    railroaded = curtain(200, 240, 2, hem=8.0, railroaded="yes") + cloth(300, 2) + PLAIN
    plan = trade.planned(tmp_path, railroaded)
    assert plan["buy"]["advised_mm"] == pytest.approx(4000)
    assert not any(f["code"].startswith("near-miss") for f in plan["findings"])


@pytest.mark.parametrize(("handle", "across"), [(85, 700), (40, None)])
def test_straps_cut_across_the_cloth(handle: float, across: float | None, tmp_path: Any) -> None:
    """Straps of 88 are longer than the sides, 47.5, which leave room above one and below the other.

    Rows of 6.4: a side at 0, its strap below it at 47.5; the other side two rows lower, at 12.8, its strap
    above it: 60.3, and the first motif up to 6.4 down. Straps of 43 lie beside the sides.
    """
    bag = kind("bag", handle=float(handle)) + cloth(150) + printed(6.4, 6.4)
    plan = trade.planned(tmp_path, bag)
    told = [f["text"] for f in plan["findings"] if f["code"] == "strips-turned"]
    if across is None:
        assert told == []
    else:
        assert plan["buy"]["advised_mm"] == pytest.approx(1000)  # 88 and 6.4
        (text,) = told
        assert "0.70 m" in text and "0.30 m less" in text


@pytest.mark.parametrize(("drop", "near"), [(241, True), (230, False)])
def test_a_near_miss(drop: float, near: bool, tmp_path: Any) -> None:
    """241 by 60 is 300 + 241; 1 cm less is 240 + 240. 230 needs 240 as well and 10 less gains 10."""
    plan = trade.planned(tmp_path, curtain(130, drop) + FURNISHING + printed(68.5, 60))
    assert any(f["code"].startswith("near-miss") for f in plan["findings"]) == near
