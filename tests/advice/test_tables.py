"""Names, matching and difficulty by the trade's rules; each value beside its source."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from printcheck.advice.case import Case
from printcheck.advice.classes import classes_of, size_class
from printcheck.advice.difficulty import LEVELS, RULES, difficulty_of
from printcheck.advice.matching import MATCHES, PLACES, match_of, places_of
from printcheck.advice.names import NAMES, name_of
from printcheck.core.measurement import Clump, Motif, Repeat
from printcheck.report.words.findings import WHY
from tests.advice import given

TATTERSALL = ("#203060", "#f6f4ee", "#b02020", "#f6f4ee")

# name by structure: definitions of Fairchild's Dictionary of Textiles, Reader's Digest Complete Guide to
# Sewing and Shaeffer's Fabric Sewing Guide, all from memory, or common practice
NAMED = {
    "plain": given.plain(),
    "border": given.border(50),
    "diagonal-stripe": given.stripe(10, 10, angle_deg=40),
    "pin-stripe": given.stripe(1.2, 10),
    "pencil-stripe": given.stripe(2.5, 15),
    "fine-stripe": given.stripe(1.5, 1.5),
    "even-stripe": given.stripe(6, 6.5),
    "wide-stripe": given.stripe(20, 20),
    "awning-stripe": given.stripe(40, 40),
    "uneven-stripe": given.stripe(10, 4, 6, even=False, colours=3),
    "multi-stripe": given.stripe(10, 4, 6, 4, colours=3),
    "stripe": given.stripe(10, 5),
    "even-gingham": given.check((6, 6)),
    "even-check": given.check((6, 6), colours=("#203060", "#b02020")),
    "check": given.check((10, 20)),
    "windowpane": given.check((2, 40)),
    "tattersall": given.check((2, 20, 2, 20), colours=TATTERSALL),
    "trellis": given.check((2, 40), angle_deg=45),
    "even-plaid": given.check((12, 5, 7, 5)),
    "uneven-plaid": given.check((12, 5, 7), even=False),
    "checkerboard": given.built("squares", 40),
    "harlequin": given.built("squares", 15, 22, angle_deg=40),
    "chevron": given.built("zigzag", 40),
    "herringbone": given.built("zigzag", 28, 8, jump=0.5),
    "animal-skin": given.figures(20, 300, hide=True),
    "pin-dot": given.dots(2, 8),
    "polka-dot": given.dots(10, 25),
    "coin-dot": given.dots(28, 60),
    "ditsy": given.figures(6, 40, gap=4),
    "large-motif": given.figures(90, 160, way="one-way", count=1),
    "rows-of-figures": given.figures(30, 60, way="one-way", count=1),
    "tossed-figures": given.figures(30, 90),
    "spaced-motif": given.figures(30, 90, way=None),
    "tile": given.packed(40, way="two-way", symmetry=1.0),
    "all-over": given.packed(40),
}


@pytest.mark.parametrize("name", NAMED)
def test_names(name: str) -> None:
    assert name_of(NAMED[name]).name == name


@pytest.mark.parametrize(("line_mm", "name"), [(1.5, "pin-stripe"), (1.7, "pencil-stripe")])
def test_a_pin_stripe_is_no_wider_than_a_sixteenth_of_an_inch(line_mm: float, name: str) -> None:
    assert name_of(given.stripe(line_mm, 15)).name == name


DIAMONDS = {"two_sided": 0.9, "side_deg": 35.0}  # tests/motif has it measured


def test_nets_and_diamonds_by_their_edges() -> None:
    """Two ways on the slant: a trellis where ground shows, diamonds in turn where none does; else tiles."""
    in_order = {"way": "two-way", "symmetry": 1.0}
    assert name_of(given.packed(40, along=55, cover=0.25, **in_order, **DIAMONDS)).name == "trellis"
    assert name_of(given.packed(40, along=55, cover=0.6, **in_order, **DIAMONDS)).name == "harlequin"
    assert name_of(given.packed(40, cover=0.25, **in_order)).name == "tile"


def test_every_name_but_the_drawn_ones_is_tried() -> None:
    assert {row.name for row in NAMES} - set(NAMED) == {"geometric-figures"}
    assert len({row.name for row in NAMES}) == len(NAMES)


# seams by print: RULES of dressmaking books (Reader's Digest; Shaeffer; from memory) or common practice
NEEDED = [
    (given.plain(), "none"),
    (given.border(50), "level"),  # pieces meet at the seams with the border (The Press, 5 July 1978)
    (given.check((3, 3)), "none"),  # a small gingham is no worry (common practice)
    (given.check((9.5, 9.5)), "both"),  # a 19 mm red and white gingham, matched at the centre front
    (given.check((7.5, 7.5)), "both"),
    (given.check((17.5, 5, 7, 5)), "both"),  # a 35 mm tartan
    (given.built("squares", 6), "none"),
    (given.built("squares", 22), "both"),
    (given.stripe(1, 2), "none"),
    (given.stripe(8, 8), "upright"),
    (given.stripe(8, 8, crosswise=True), "level"),  # crosswise stripes are level, not both
    (given.stripe(8, 8, angle_deg=45), "both"),
    (given.built("zigzag", 40), "both"),
    (given.built("zigzag", 8), "none"),
    (given.built("zigzag", 28, 8, jump=0.5), "upright"),
    (given.dots(5, 15), "none"),
    (given.dots(20, 62), "level"),
    (given.figures(8, 12, way="one-way", count=1), "none"),
    (given.figures(35, 70, way="one-way", count=1), "level"),
    (given.figures(20, 80), "none"),
    (given.figures(70, 150, gap=75), "level"),
    (given.figures(90, 160, way="one-way", count=1), "both"),
    (given.packed(8, way="two-way", symmetry=1.0), "none"),
    (given.packed(40, way="two-way", symmetry=1.0), "both"),
    (given.packed(80), "none"),
]


@pytest.mark.parametrize(("case", "needs"), NEEDED)
def test_what_seams_need(case: Case, needs: str) -> None:
    assert match_of(case).needs == needs


@pytest.mark.parametrize(
    ("pitch", "pattern", "needs"),
    [(40, 4.0, "none"), (40, 12.0, "level"), (200, 1.0, "none"), (200, 4.0, "level")],
)
def test_figures_that_touch_are_matched_where_they_are_seen_as_pattern(
    pitch: float, pattern: float, needs: str
) -> None:
    """What is left at the scale of an inch, against what people put up with (Xu, Tong, Gong 2013).

    Rows that stand a hand apart are followed as soon as they are noticed (Mahy 1994).
    """
    case = given.packed(pitch, way=None)
    assert match_of(replace(case, pattern_delta_e=pattern)).needs == needs


def test_tone_on_tone_needs_nothing() -> None:
    quiet = Case(given.check((20, 20)).repeat, given.check((20, 20)).facts, delta_e=4.0)
    assert match_of(quiet).needs == "none"


def level_of(case: Case) -> tuple[str, set[str]]:
    found = difficulty_of(case, match_of(case).needs)
    return found.level, {reason.code for reason in found.reasons}


# RULES of difficulty: common practice, Reader's Digest, Shaeffer (from memory)
@pytest.mark.parametrize(
    ("case", "level", "code"),
    [
        (given.plain(), "easy", "plain"),
        (given.border(50), "care", "border"),
        (given.check((3, 3)), "easy", "small-check"),
        (given.stripe(1, 2), "easy", "small-stripe"),
        (given.check((9.5, 9.5)), "care", "check"),
        (given.check((40, 40)), "hard", "large-check"),
        (given.check((12, 5, 7), even=False), "hard", "uneven-plaid"),
        (given.stripe(8, 8), "care", "length-stripe"),
        (given.stripe(8, 8, crosswise=True), "care", "cross-stripe"),
        (given.stripe(8, 8, angle_deg=45), "hard", "diagonal"),  # a diagonal is never easy
        (given.stripe(10, 4, 6, even=False), "care", "uneven-stripe"),
        (given.built("zigzag", 40), "hard", "chevron"),
        (given.built("zigzag", 8), "easy", "small-zigzag"),
        (given.built("zigzag", 28, 8, jump=0.5), "care", "herringbone"),
        (given.dots(5, 15), "easy", "small-rows"),
        (given.figures(35, 70, way="one-way", count=1), "care", "one-way"),
        (given.figures(8, 12, way="one-way", count=1), "easy", "one-way-small"),
        (given.figures(90, 160, way="one-way", count=1), "hard", "large-figure"),
        (given.figures(20, 80), "easy", "any-way-up"),
        (given.figures(20, 80, way=None), "easy", "way-unknown"),
    ],
)
def test_difficulty(case: Case, level: str, code: str) -> None:
    found, codes = level_of(case)
    assert found == level
    assert code in codes


# Kight, A Field Guide to Fabric Design, p. 26: small 1/2 in and under, large over 4 in
@pytest.mark.parametrize(
    ("mm", "word"), [(3.2, "small"), (12.7, "small"), (12.8, "medium"), (101.6, "medium"), (101.7, "large")]
)
def test_size_words(mm: float, word: str) -> None:
    assert size_class(mm) == word


def test_classes() -> None:
    assert classes_of(given.plain()) == ("plain",)
    assert classes_of(given.check((6, 6))) == ("small", "check")
    assert classes_of(given.stripe(60, 60)) == ("large", "stripe")
    assert "directional" in classes_of(given.figures(30, 60, way="one-way", count=1))


@pytest.mark.parametrize(("cover", "busy"), [(0.14, False), (0.18, False), (0.7, True)])
def test_busy_is_said_of_packed_prints_alone(cover: float, busy: bool) -> None:
    """Spaced prints of 14 to 18 % cover were called busy; over 50 % is (common practice)."""
    case = given.figures(20, 80, cover=cover, gap=2)
    assert ("busy" in classes_of(case)) == busy


def test_a_check_or_a_dot_is_never_busy() -> None:
    for case in (given.check((6, 6)), given.dots(10, 25), given.stripe(8, 8)):
        assert "busy" not in classes_of(case)


def test_every_row_says_who_says_so_in_plain_words() -> None:
    for text, source in [
        *((row.means, row.source) for row in NAMES),
        *((row.means, row.source) for row in MATCHES),
        *((WHY[rule.code].text + WHY[rule.code].remedy, rule.source) for rule in RULES),
    ]:
        assert source and text
        assert not re.search(r"lattice|\bcell\b|sigma|variance|selvage|askew", text, re.IGNORECASE)
    assert len({rule.code for rule in RULES}) == len(RULES)
    assert WHY.keys() == {rule.code for rule in RULES}
    assert all(rule.level in LEVELS and WHY[rule.code].text.endswith(".") for rule in RULES)


def test_places_follow_from_what_is_needed() -> None:
    assert places_of(match_of(given.plain())) == ()
    for code, rows in PLACES.items():
        needs = next((row.needs for row in MATCHES if row.code == code), code)
        allowed = {"none"} | ({"level", "upright", "both"} if needs == "both" else {needs})
        assert {match for _, match, _ in rows} <= allowed
    by_place = {s.place: s.match for s in places_of(match_of(given.check((20, 20))))}
    assert by_place["side"] == "level"  # side seams by their cross lines (The New Dressmaker, Butterick 1921)
    assert by_place["centre-front"] == "both"


def test_a_diagonal_is_asked_to_meet_at_the_centre_alone() -> None:
    """It cannot meet at every seam, so nothing else is promised (Reader's Digest; from memory)."""
    found = places_of(match_of(given.stripe(8, 8, angle_deg=45)))
    assert {s.place for s in found} == {"centre-front", "centre-back"}


def test_figures_that_stand_neither_in_rows_nor_far_apart_are_an_all_over() -> None:
    """Common practice: "motif print" is too vague to be a name."""
    assert name_of(given.figures(30, 90, way=None, gap=10)).name == "all-over"


@pytest.mark.parametrize(("cover", "name"), [(0.2, "spaced-motif"), (0.3, "all-over")])
def test_much_ground_round_figures_that_the_photo_cuts_means_spaced(cover: float, name: str) -> None:
    """Common practice: cover under a quarter. No figure is wholly in view, and no repeat."""
    case = given.figures(30, 90, way=None, cover=cover)
    unseen = replace(case, repeat=Repeat("beyond-photo"), facts=replace(case.facts, motif=Motif()))
    assert name_of(unseen).name == name


@pytest.mark.parametrize(
    ("count", "cover", "name"),
    [(3, 0.2, "spaced-motif"), (3, 0.4, "tossed-figures"), (1, 0.2, "tossed-figures")],
)
def test_between_bunches_the_ground_decides(count: int, cover: float, name: str) -> None:
    """Bunches with much ground between are spaced (Kight, p. 26), however the figures in them lie."""
    case = given.figures(40, 60, gap=4, cover=cover)
    gathered = replace(
        case, facts=replace(case.facts, clump=Clump("#705216", 59.0, None, 9.0, figures=count))
    )
    assert name_of(gathered).name == name
