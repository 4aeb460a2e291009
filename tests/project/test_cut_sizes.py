"""Cut sizes worked out by hand: finished size, seams of 1.5 cm, hems, ease. All in cm, all derived."""

from __future__ import annotations

import pytest

from printcheck.project import built_in

SIZES = [
    # kind, sizes, piece, width, length
    # 76 x 1.8 / 2 + 2 x 1.5; 65 + 1.5 + 4; band 76 + 4 of overlap + 3, twice 3.5 + 3
    ("skirt", {"waist": "76 cm"}, "panel", 71.4, 70.5),
    ("skirt", {"waist": "76 cm"}, "waistband", 83, 10),
    # the same band cut along the cloth
    ("a-line-skirt", {"waist": "76 cm", "hip": "100 cm"}, "waistband", 10, 83),
    # quarter of 92 and 12 of ease, overlap 2, facing 6, one seam; 62 + 1.5 + 2
    ("blouse", {"bust": "92 cm"}, "front", 26 + 8 + 1.5, 65.5),
    ("blouse", {"bust": "92 cm"}, "back", 52 + 3, 65.5),
    # a quarter of the bust, 8 and half the ease; 45 + 1.5 + 2
    ("blouse", {"bust": "92 cm"}, "sleeve", 23 + 8 + 6 + 3, 48.5),
    # neck 92 / 4 + 14, two overlaps of 2, seams; 3.5 and seams
    ("blouse", {"bust": "92 cm"}, "collar", 37 + 4 + 3, 6.5),
    # quarter of 100 and 16 of ease, overlap 2, band 3.5; 76 + 1.5 + 2
    ("shirt", {"chest": "100 cm"}, "front", 29 + 5.5 + 1.5, 79.5),
    # half of it, a pleat of 4; half of the yoke's height less
    ("shirt", {"chest": "100 cm"}, "back", 58 + 4 + 3, 74.5),
    ("shirt", {"chest": "100 cm"}, "yoke", 46 + 3, 13),
    # 64 less the cuff's 6.5, two seams
    ("shirt", {"chest": "100 cm"}, "sleeve", 25 + 8 + 8 + 3, 60.5),
    ("shirt", {"chest": "100 cm"}, "collar", 39 + 3, 10.5),
    ("shirt", {"chest": "100 cm"}, "stand", 39 + 4 + 3, 6.5),
    ("shirt", {"chest": "100 cm"}, "cuff", 18 + 7 + 3, 16),
    ("shirt", {"chest": "100 cm"}, "pocket", 15, 14 + 3 + 3),
    # half of 100 and 12; 98 + 1.5 + 4
    ("dress", {"hip": "100 cm"}, "front", 56 + 3, 103.5),
    ("dress", {"hip": "100 cm"}, "back", 28 + 3, 103.5),
    ("dress", {"bust": "110 cm", "hip": "100 cm"}, "front", 61 + 3, 103.5),
    # quarter of 100 and 5, a sixteenth or an eighth of the hip; 104 + 1.5 + 4, a back 3 higher
    ("trousers", {"hip": "100 cm", "leg": "104 cm"}, "front", 26.25 + 6.25 + 3, 109.5),
    ("trousers", {"hip": "100 cm", "leg": "104 cm"}, "back", 26.25 + 12.5 + 3, 112.5),
    ("trousers", {"waist": "80 cm"}, "waistband", 11, 80 + 4 + 3),
    # ease 16, casing 5 and hem 4
    ("pyjama-trousers", {"hip": "100 cm", "leg": "104 cm"}, "front", 29 + 6.25 + 3, 113),
    ("pyjamas", {"bust": "92 cm"}, "jacket front", 27 + 9 + 1.5, 70 + 1.5 + 2.5),
    ("pyjamas", {"bust": "92 cm"}, "jacket back", 54 + 3, 74),
    ("pyjamas", {"bust": "92 cm"}, "collar", 37 + 3, 10.5),
    # side hems of 2, hems of 4 at top and foot
    ("apron", {}, "apron", 74, 93),
    ("apron", {}, "pocket", 23, 17 + 1.5 + 4),
    ("apron", {}, "tie", 8, 90),
    # height 100: hip and ease 72 in quarters, hip 57; leg 62 + 1.5 + 4
    ("dungarees", {"height": "100 cm"}, "front", 18 + 57 / 16 + 3, 67.5),
    ("dungarees", {"height": "100 cm"}, "bib", 22, 19),
    ("dungarees", {"height": "100 cm"}, "strap", 7, 50),
    # 45 + 3; half of it, half the lap of 10, a seam, a hem of 3
    ("cushion", {}, "front", 48, 48),
    ("cushion", {}, "back", 48, 22.5 + 5 + 1.5 + 3),
    # 38 + 3; 42 + 1.5 + 4; strap twice 3 + 3; 65 + 3
    ("bag", {}, "side", 41, 47.5),
    ("bag", {}, "strap", 9, 68),
    # 140 + 3; 200 + 1.5 + 5; 80 + 3; 80 + 1.5 + 3, a flap of 20 more behind
    ("duvet", {}, "front", 143, 206.5),
    ("duvet", {}, "pillow front", 83, 84.5),
    ("duvet", {}, "pillow back", 83, 104.5),
    # 120 and side hems of 4; 150 + 4 + 10
    ("blind", {}, "blind", 128, 164),
    # double hems of 1 all round
    ("tablecloth", {}, "cloth", 134, 184),
]


@pytest.mark.parametrize(("kind", "sizes", "piece", "width", "length"), SIZES)
def test_cut_sizes(kind, sizes, piece, width, length):
    made = {p.name.partition("#")[0]: p for p in built_in(kind, sizes).pieces}[piece]
    assert (made.width_mm, made.length_mm) == pytest.approx((10 * width, 10 * length))


def test_the_armholes_of_an_apron_are_cut_away_beside_its_bib():
    (apron,) = [p for p in built_in("apron").pieces if p.outline]
    across = sorted(x for x, y in apron.outline if y == 0)
    assert across[1] - across[0] == pytest.approx(280 + 40)  # bib of 28 and two hems of 2
    assert max(y for x, y in apron.outline if x == 0 and y < apron.length_mm) == pytest.approx(
        40 + 0.31 * 850
    )


@pytest.mark.parametrize(
    ("kind", "seam", "at"),
    # from the shoulder or waist, in cm: armhole a tenth of bust and ease and 12, and 6 below it
    [
        ("blouse", "centre front", 1.5 + 10.4 + 12 + 6),
        ("dress", "side", 1.5 + 10.4 + 12 + 6),
        ("trousers", "centre front", 1.5 + 18),  # 18 below the waist, above the crotch
        ("skirt", "side", 20),
    ],
)
def test_seams_are_matched_where_they_show(kind, seam, at):
    made = built_in(kind, {} if kind in ("skirt", "trousers") else {"bust": "92 cm"})
    ends = [end.at[1] for s in made.seams if s.name == seam for end in s.join]
    assert min(ends) == pytest.approx(10 * at)


@pytest.mark.parametrize(("hip", "rise"), [(100, 28), (88, 25)])
def test_the_rise_of_trousers_is_a_quarter_of_the_hip_and_three_centimetres(hip, rise):
    """A rule of flat pattern cutting (common practice); the waist's seam of 1.5 cm lies above."""
    made = {p.name.partition("#")[0]: p for p in built_in("trousers", {"hip": f"{hip} cm"}).pieces}["front"]
    assert max(made.outline)[1] == pytest.approx(10 * rise + 15)
    # the centre seam runs straight for two thirds of it, then curves out to the fork (common practice)
    centre_mm = min(x for x, y in made.outline if y == 0)
    assert max(y for x, y in made.outline if x == centre_mm) == pytest.approx((10 * rise + 15) * 2 / 3)
