"""Garments drafted from body measures, checked by rules of thumb of pattern drafting."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import SeamEnd
from printcheck.project import built_in, load_project, resized
from printcheck.project.kinds.draft import PieceRow, Room, seams_at_both_sides
from printcheck.project.kinds.rows import TABLES
from printcheck.report.words.findings import said

MEN, WOMEN = TABLES["men"], TABLES["women"]

SEAM = 15.0  # mm: 1.5 cm, common practice


def cut(kind, options=None):
    made = built_in(kind, options or {})
    return made, {p.name: p for p in made.pieces}


def seams_of(made, name):
    return [seam for seam in made.seams if seam.name == name]


@pytest.mark.parametrize(
    ("table", "given", "wanted"),
    # rows of EN 13402-3:2004 (girths in mm, from memory); between rows in proportion (derived)
    [
        (WOMEN, {"bust": 920}, {"waist": 760, "hip": 1000}),
        (WOMEN, {"hip": 1120}, {"bust": 1040, "waist": 880}),
        (WOMEN, {"waist": 740}, {"bust": 900, "hip": 980}),
        (WOMEN, {"bust": 1190}, {"waist": 1030, "hip": 1245}),
        (MEN, {"chest": 1000}, {"waist": 880}),
        (MEN, {"waist": 1080}, {"chest": 1180}),
    ],
)
def test_measures_left_out_come_from_the_size_table(table, given, wanted):
    assert {name: table.measure(name).derive(given) for name in wanted} == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("table", "given", "letter"),
    # letter codes of EN 13402-3 (from memory): M is a bust of 90 to 98, or a chest of 94 to 102
    [
        (WOMEN, {}, "M"),
        (WOMEN, {"bust": 899}, "S"),
        (WOMEN, {"bust": 901}, "M"),
        (WOMEN, {"hip": 1120}, "L"),  # a bust of 104
        (WOMEN, {"bust": 300}, "XXS"),
        (WOMEN, {"bust": 2000}, "3XL"),
        (MEN, {"chest": 1030}, "L"),
    ],
)
def test_the_size_letter_of_measures(table, given, letter):
    size = table.letter()
    assert size.words[int(size.derive(given))] == letter


def test_a_size_letter_gives_the_measures_and_a_measure_stands_above_it():
    assert dict(built_in("dress", {"size": "m"}).sizes)["bust"] == "94 cm"  # the middle of 90 to 98
    assert dict(built_in("dress", {"size": "XS", "bust": "104 cm"}).sizes)["hip"] == "112 cm"


def test_a_measure_beyond_the_table_is_drafted_and_said_once():
    made, pieces = cut("dress", {"bust": "175 cm", "cloth.width": "2 m"})
    (found,) = [f for f in made.findings if f.code == "measure-off-table"]
    assert found.values["value_mm"] == 1750.0
    assert said(found).text.startswith("A bust of 175.0 cm is outside the size table of EN 13402-3 for women")
    assert pieces["front#1"].width_mm > 175 / 2 * 10
    assert not [f for f in built_in("dress", {"bust": "152 cm"}).findings if f.code == "measure-off-table"]


def test_a_child_taller_than_the_table_is_said():
    codes = [f.code for f in built_in("dungarees", {"height": "188 cm"}).findings]
    assert "measure-off-table" in codes
    assert "childrens-rules" in codes


@pytest.mark.parametrize("hip", [880, 1000, 1170])
def test_trousers_by_the_rules_of_drafting(hip):
    made, pieces = cut("trousers", {"hip": f"{hip} mm", "leg": "104 cm"})
    front, back = pieces["front#1"], pieces["back#1"]
    # common practice: front and back together hold half the hip and its ease; the crotch reaches a
    # sixteenth of the hip past the centre in front and an eighth behind
    crotch = hip / 16 + hip / 8
    ease = 2 * (front.width_mm + back.width_mm - 4 * SEAM - crotch) - hip
    assert 40 <= ease <= 60  # straight trousers: 4 to 6 cm
    assert back.width_mm - front.width_mm == pytest.approx(hip / 16)
    # seam lines of the centre: a quarter of hip and ease from the side seam, both legs alike
    (front_seam,) = seams_of(made, "centre front")
    assert front_seam.join[0].at[0] == pytest.approx(SEAM + (hip + ease) / 4)
    assert front_seam.join[1].at[0] == pytest.approx(front.width_mm - front_seam.join[0].at[0])
    # matched above the crotch curve: the rise is a quarter of the hip and about 3 cm (common practice)
    assert front_seam.join[0].at[1] < SEAM + hip / 4 + 30
    # a back is cut higher at its centre, so equal heights of the side seam differ by that
    for seam in seams_of(made, "side"):
        ends = {e.piece.split("#")[0]: e.at[1] for e in seam.join}
        assert ends["back"] - ends["front"] == back.length_mm - front.length_mm


def test_the_leg_follows_the_height():
    # common practice: the waist stands at about 62 % of the height
    made = built_in("pyjama-trousers", {"height": "150 cm"})
    assert dict(made.sizes)["leg"] == "93 cm"
    assert dict(resized(made, {"leg": "90 cm"}).sizes)["leg"] == "90 cm"


@pytest.mark.parametrize(("bust", "ease"), [("84 cm", (100, 140)), ("110 cm", (100, 140))])
def test_a_blouse_goes_round_the_bust_with_its_ease(bust, ease):
    made, pieces = cut("blouse", {"bust": bust})
    (centre,) = seams_of(made, "centre front")
    fronts = 2 * (centre.join[0].at[0] - SEAM)  # from side seam to centre front, twice
    around = fronts + pieces["back#1"].width_mm - 2 * SEAM
    low, high = ease  # common practice: 10 to 14 cm
    assert low <= around - float(bust.split()[0]) * 10 <= high


@pytest.mark.parametrize("kind", ["blouse", "shirt", "dress", "pyjamas"])
def test_rows_run_from_the_front_notch_of_the_sleeve_into_the_front(kind):
    made, pieces = cut(kind)
    seams = seams_of(made, "sleeve")
    assert len(seams) == 2
    for seam in seams:
        assert seam.match == "level"
        (sleeve, front) = seam.join
        assert "sleeve" in sleeve.piece
        assert "front" in front.piece
        # common practice: an armhole is about 21 to 26 cm deep; its front notch lies in the lower half
        assert 110 <= front.at[1] - SEAM <= 230
        assert sleeve.at[1] < pieces[sleeve.piece].length_mm / 2
    # seen from outside, the front of the right sleeve lies at the right, that of the left at the left
    right, left = (seam.join[0] for seam in seams)
    assert right.at[0] > pieces[right.piece].width_mm / 2 > left.at[0]
    # the right front has its side seam at the left as it is looked at
    assert seams[0].join[1].at[0] < pieces[seams[0].join[1].piece].width_mm / 2


@pytest.mark.parametrize("kind", ["shirt", "blouse", "dress", "trousers", "pyjamas", "a-line-skirt"])
def test_each_side_of_the_body_has_its_side_seam(kind):
    made, pieces = cut(kind)
    sides = seams_of(made, "side")
    assert len(sides) in (2, 4)  # pyjamas have them on jacket and trousers
    touched = [(end.piece, end.at[0] < pieces[end.piece].width_mm / 2) for s in sides for end in s.join]
    assert len(set(touched)) == len(touched)  # no edge is sewn twice
    for seam in sides if kind != "a-line-skirt" else ():
        for end in seam.join:  # on the stitching line, 1.5 cm inside the cut edge
            width = pieces[end.piece].width_mm
            assert min(end.at[0], width - end.at[0]) == pytest.approx(SEAM)


def test_a_shirt_is_matched_where_shirtmakers_match():
    made, _ = cut("shirt")
    kinds = {seam.name: seam.match for seam in made.seams}
    # common practice; side seams by their cross lines (The New Dressmaker)
    assert kinds == {
        "centre front": "both",
        "side": "level",
        "sleeve": "level",
        "yoke": "upright",
        "collar": "upright",
        "pocket": "both",
    }
    (pocket,) = seams_of(made, "pocket")
    assert pocket.join[0].piece == "front#2"  # the wearer's left


def test_an_a_line_skirt_follows_waist_hip_and_foot():
    made, pieces = cut("a-line-skirt", {"waist": "76 cm", "hip": "100 cm", "flare": "8 cm"})
    front, back = pieces["front#1"], pieces["back#1"]
    tops = sorted(x for x, y in front.outline if y == 0)
    # half the waist and two darts of 3 cm, allowances beside them (common practice)
    assert tops[1] - tops[0] == pytest.approx(380 + 60 + 2 * SEAM)
    # half of hip and ease, 8 cm more at each side of the foot
    assert front.width_mm == pytest.approx((1000 + 40) / 2 + 2 * 80 + 2 * SEAM)
    assert 2 * back.width_mm == pytest.approx(front.width_mm + 2 * SEAM)
    for seam in seams_of(made, "side"):
        assert seam.join[0].at[1] == seam.join[1].at[1] == SEAM + 200  # the hip, 20 cm below the waist


def test_pieces_of_a_garment_that_show_the_border_are_its_body():
    made, _ = cut("dress")
    assert {p.name.split("#")[0] for p in made.pieces if p.on_border} == {"front", "back"}
    made, _ = cut("shirt")
    assert {p.name.split("#")[0] for p in made.pieces if p.on_border} == {"front", "back"}


def test_nightwear_and_childrens_clothes_carry_the_caution():
    # 16 CFR 1615 and 1616, UK SI 1985/2043, EN 14878, EN 14682
    for kind in ("pyjamas", "pyjama-trousers"):
        assert "nightwear-rules" in [f.code for f in built_in(kind).findings]


def test_a_file_may_name_a_size_letter(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text('kind = "dress"\nsize = "L"\nlength = "1 m"\n')
    assert dict(load_project(path).sizes)["bust"] == "102.5 cm"  # the middle of 98 to 107


def test_points_of_a_pair_are_mirrored_and_crossed():
    front = PieceRow("front", 300.0, 700.0, 2, mirrored=True)
    back = PieceRow("back", 400.0, 700.0, 2, mirrored=True)
    whole = PieceRow("whole", 500.0, 700.0)
    first, second = seams_at_both_sides("side", (front, (15.0, 200.0)), (back, (20.0, 210.0)), crossed=True)
    assert first.join == (SeamEnd("front#1", (15.0, 200.0)), SeamEnd("back#2", (380.0, 210.0)))
    assert second.join == (SeamEnd("front#2", (285.0, 200.0)), SeamEnd("back#1", (20.0, 210.0)))
    first, second = seams_at_both_sides("side", (front, (15.0, 200.0)), (whole, (485.0, 200.0)))
    assert first.join[1] == SeamEnd("whole#1", (485.0, 200.0))
    assert second.join[1] == SeamEnd("whole#1", (15.0, 200.0))


def run(ring, first, last):
    """Length of an outline from one of its corners to a later one."""
    part = ring[ring.index(first) : ring.index(last) + 1]
    return sum(math.dist(a, b) for a, b in pairwise(part))


@pytest.mark.parametrize("bust", [76, 92, 122])
def test_sleeves_go_into_armholes_and_heads_through_necks(bust):
    _, pieces = cut("dress", {"bust": f"{bust} cm", "hip": f"{bust + 4} cm", "sleeve": "50 cm"})
    front, back, sleeve = (pieces[f"{name}#1"].outline for name in ("front", "back", "sleeve"))
    middle, side = pieces["front#1"].width_mm / 2, 0.0
    armholes = []
    for ring in (front, back):
        shoulder = next(p for p in ring if p[1] == 40)  # a shoulder falls 4 cm
        underarm = next(p for p in ring if p[0] == side)
        armholes.append(run(ring, shoulder, underarm))
    cap = run(sleeve, *[p for p in sleeve if p[0] in (0.0, max(x for x, _ in sleeve))])
    # common practice: a cap holds up to 5 cm of ease against the armhole; the cut edges are compared
    assert -30 <= cap - sum(armholes) <= 50
    # neck girth of a quarter of the bust and 14 cm; the cut edge lies 1.5 cm inside the stitching line
    neck = run(front, (middle, front[0][1]), next(p for p in front if p[1] == 0))
    neck += run(back, back[0], next(p for p in back if p[1] == 0))
    assert 2 * neck == pytest.approx(2.5 * bust + 140, rel=0.15)


def test_trouser_legs_meet_at_the_inside_leg():
    """Front and back from crotch to foot are as long within 1.5 cm, which is eased in (common practice)."""
    _, pieces = cut("trousers", {"hip": "100 cm", "leg": "104 cm"})
    inside = []
    for name in ("front#1", "back#1"):
        ring = pieces[name].outline
        crotch = max(ring, key=lambda p: p[0])
        foot = next(p for p in ring[ring.index(crotch) :] if p[1] == pieces[name].length_mm)
        inside.append(run(ring, crotch, foot))
        assert crotch[1] - (pieces[name].length_mm - pieces["front#1"].length_mm) == pytest.approx(15 + 280)
    assert abs(inside[0] - inside[1]) <= 15


@pytest.mark.parametrize(("drop", "dropped"), [(0.0, False), (0.5, True), (1 / 3, True)])
def test_columns_are_dropped_where_the_lattice_is_finer_than_its_steps(drop, dropped):
    """A straight repeat's cell is just across by along; a half-drop's is half of that (geometry)."""
    assert Room(1400.0, Lattice.of_steps(63.7, 48.3, drop)).dropped is dropped
