"""Every sentence follows from one verdict: over random prints none contradicts another."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from printcheck.advice import judge, judged_without_size, named_length
from printcheck.advice.case import Case
from printcheck.advice.difficulty import RULES
from printcheck.core.findings import finding
from printcheck.core.measurement import (
    Clump,
    Colour,
    Direction,
    Judgement,
    Measurement,
    PhotoFacts,
    Repeat,
    Scale,
)
from printcheck.core.results.lengths import facts_at, rescaled, with_pixels, without_mm
from printcheck.report.words import listing, verdicts
from printcheck.report.words import measured as words
from printcheck.report.words import text as to_text
from printcheck.report.words.findings import why
from printcheck.report.words.headline import headline
from printcheck.report.words.quantities import tape, together
from tests.advice import given as prints

SCALE = Scale("card", 0.2, 0.002, 1.0, "bank card")
SIZES = st.floats(0.5, 300.0)
WAYS = st.sampled_from(["one-way", "two-way", "four-way", "tossed", None])
MATCHING_REASONS = {"match-both", "match-rows", "check", "large-check", "cross-stripe", "length-stripe",
                    "diagonal", "chevron", "uneven-plaid", "uneven-stripe", "long-repeat",
                    "match-figures"}  # fmt: skip
LOOSE_REASONS = {"small-check", "small-stripe", "small-figures", "small-rows", "forgiving", "uneven-small",
                 "plain"}  # fmt: skip


def measurement(case: Case, *, scaled: bool = True, clump: Clump | None = None) -> Measurement:
    """What is measured of the print, with a scale or without."""
    facts = replace(case.facts, clump=clump)

    def judged_at(size: float) -> Judgement:
        return judge(rescaled(case.repeat, size), facts_at(facts, size), None)

    found = (
        judged_at(1.0) if scaled else judged_without_size(judged_at, named_length(case.repeat, case.facts))
    )
    m = Measurement(
        PhotoFacts("swatch.jpg", 900, 700), SCALE, case.repeat, facts.motif, facts.direction,
        facts.stripe_or_check, clump, found.classes, found.seams, found.difficulty, findings=found.findings,
        print_name=found.print_name, colours=(Colour("navy", (20.0, 5.0, -30.0), 0.6),),
    )  # fmt: skip
    return m if scaled else without_mm(with_pixels(replace(m, scale=None), 0.2), 0.2)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    widths = draw(st.lists(st.floats(0.5, 60.0), min_size=2, max_size=6))
    even = draw(st.booleans())
    angle = draw(st.floats(0, 45))
    size, pitch = draw(SIZES), draw(SIZES)
    way = draw(WAYS)
    kind = draw(st.sampled_from(range(9)))
    made = [
        lambda: prints.stripe(*widths, angle_deg=angle, crosswise=draw(st.booleans()), even=even),
        lambda: prints.check(tuple(widths), even=even, angle_deg=angle),
        lambda: prints.built("squares", pitch, angle_deg=angle),
        lambda: prints.built("zigzag", pitch),
        lambda: prints.dots(size, size + pitch),
        lambda: prints.figures(
            size, size + pitch, way=way, count=draw(st.integers(1, 9)), symmetry=draw(st.floats(0, 1))
        ),
        lambda: prints.packed(pitch, way=way, symmetry=draw(st.floats(0, 1)), cover=draw(st.floats(0, 1))),
        prints.plain,
        lambda: prints.border(pitch),
    ][kind]()
    margin = draw(st.floats(0, 1))
    facts = replace(made.facts, direction=replace(made.facts.direction, margin=margin))
    if draw(st.booleans()) and kind < 7:
        return Case(
            replace(made.repeat, kind="beyond-photo", basis_mm=(), across_mm=None, along_mm=None), facts
        )
    return Case(made.repeat, facts)


@settings(max_examples=150, deadline=None)
@given(cases(), st.booleans())
def test_no_sentence_contradicts_another(case: Case, scaled: bool) -> None:
    m = measurement(case, scaled=scaled)
    match, more = verdicts.matching(m, "metric"), verdicts.more_cloth(m, "metric")
    codes = {reason.code for reason in m.difficulty.reasons}
    whole = " ".join(to_text.measurement(m).split())
    nothing = m.seams.needs == "none"
    if any(f.code == "match-by-size" for f in m.findings):
        assert "depends on its size" in match and "If it has to match" in more
        return
    assert match.startswith("No:") == nothing
    assert bool(m.seams.places) != nothing
    if nothing:  # nothing to match: no repeat to buy for, and no reason that asks for matching
        assert "one repeat" not in more and not codes & MATCHING_REASONS
        assert not re.search(r"\b[Mm]atch (it|them|the|each|only)\b", whole.split("For a better photo")[0])
    else:
        assert not codes & LOOSE_REASONS
        assert ("No more length" in more) <= (m.seams.needs == "upright")
    if "No more length" in more:
        assert "wastes" not in whole and "one way up" not in more and "buy extra" not in whole
    if m.direction.way in ("one-way", None) and "plain" not in m.classes:
        assert "may be turned" not in whole and "any-way-up" not in codes
        assert "one way up" in more
    assert not ("uneven" in headline(m, "metric").lower() and "any-way-up" in codes)
    assert not ("Turn pieces" in whole and ("tops the same way" in whole or "one way up" in whole))
    assert not ("hides small faults" in whole and "spaced" in headline(m, "metric"))


@settings(max_examples=60, deadline=None)
@given(cases())
def test_nothing_is_said_twice(case: Case) -> None:
    """But for the reason of the first line, which heads the reasons again."""
    m = measurement(case)
    made = words.content(m, "metric", detail=False)
    parts = [row.text for row in made.answers]
    for section in made.sections:
        if section.title != "Seam by seam":
            parts += [*section.sentences, *section.points]
    sentences = re.split(r"(?<=[.])\s", " ".join(parts))
    doubled = {s for s in sentences if sentences.count(s) > 1}
    assert doubled <= {why(m.difficulty.reasons[0]).text} if m.difficulty.reasons else not doubled


@settings(max_examples=60, deadline=None)
@given(cases(), st.sampled_from(["metric", "imperial"]))
def test_the_first_screen_is_plain_english_in_one_unit(case: Case, units: str) -> None:
    m = measurement(case)
    first = verdicts.answers(m, units)
    assert [row.label for row in first] == [
        "What it is", "How hard to sew", "Match at seams?", "How much more?", "How sure?",
    ]  # fmt: skip
    said = " ".join(row.text for row in first)
    assert not re.search(r"Delta E|confidence|\d ?%|selvage|askew|as a ceiling|lattice|pixel", said)
    for sentence in re.split(r"(?<=[.])\s", said):
        units_said = set(re.findall(r"\d ?(mm|cm|m|in|yd)\b", sentence))
        assert len(units_said) <= 1, sentence
    for row in first:
        assert row.text[0].isupper() and row.text.endswith(".")


def test_the_names_come_with_their_size() -> None:
    said = headline
    assert said(measurement(prints.check((6, 6))), "metric") == "Even gingham, 6 mm squares, in navy."
    assert said(measurement(prints.check((6.35, 6.35))), "imperial").startswith(
        "Even gingham, 1/4 in squares"
    )
    assert said(measurement(prints.dots(10, 25)), "metric").startswith("Polka dot, 10 mm dots 15 mm apart")
    assert said(measurement(prints.built("squares", 40)), "metric").startswith("Checkerboard, 20 mm squares")
    # squares of 20 mm stood on a corner repeat by their diagonal, 28.3 mm (geometry)
    on_a_corner = prints.built("squares", 28.3, angle_deg=45)
    assert said(measurement(on_a_corner), "metric").startswith("Checkerboard, 20 mm squares")
    diamonds = prints.built("squares", 40, 60, angle_deg=34)
    assert said(measurement(diamonds), "metric").startswith("Harlequin check, 40 mm by 60 mm diamonds")
    assert said(measurement(prints.stripe(6, 6)), "metric").startswith("Even stripe, 6 mm bars")
    assert said(measurement(prints.figures(88, 200)), "metric").startswith(
        "Large-scale motif print, the largest figure 88 mm by 88 mm"
    )


def test_sizes_of_one_sentence_are_in_one_unit() -> None:
    """78.8 mm stood beside 12.7 cm in one sentence."""
    assert together((78.8, 127.0), "metric") == ["7.9 cm", "12.7 cm"]
    assert together((78.8, 27.0), "metric") == ["79 mm", "27 mm"]


def test_without_a_scale_it_says_what_the_size_would_change() -> None:
    m = measurement(prints.check((6, 6)), scaled=False)
    said = verdicts.matching(m, "metric")
    assert said.startswith("Whether to match it depends on its size") and "over 13.0 mm" in said  # 12.7 mm
    assert "over 1/2 in" in verdicts.matching(m, "imperial")
    assert "mm" not in headline(m, "metric")
    assert "No sizes" in verdicts.how_sure(m, "metric")


def test_where_the_size_makes_bunches_they_are_what_is_to_be_matched() -> None:
    """Strewn figures of 12 mm need no match (Shaeffer); twice as large they gather at a hand's breadth."""
    case = prints.figures(12, 60)

    def clump_at(size: float) -> Clump | None:
        return Clump("#b02020", 60.0 * size, 120.0 * size, 5.0, (0.0, 0.0), 4) if size >= 2 else None

    m = measurement(Case(case.repeat, replace(case.facts, clump_at=clump_at)), scaled=False)
    assert "over 12.0 cm" in verdicts.matching(m, "metric")  # and not the size of large figures
    assert m.clump is None and "bunches" not in {reason.code for reason in m.difficulty.reasons}


def test_plain_cloth_is_said_to_be_plain_with_its_own_truth() -> None:
    text = " ".join(to_text.measurement(measurement(prints.plain()), detail=False).split())
    assert "Plain cloth" in text and "every crooked seam and every pucker shows" in text
    assert all(word in text for word in ("nap", "right", "stretches", "heavy"))
    assert "No: plain cloth has nothing to match." in text
    assert "No more length than the pattern asks for." in text


def test_an_unknown_way_is_said_as_unknown_with_what_would_tell() -> None:
    m = measurement(prints.figures(20, 80, way=None))
    text = " ".join(to_text.measurement(m, detail=False).split())
    assert "cannot tell whether it has an up" in text
    assert "Look at the cloth from both ends" in text
    assert "directional" not in m.classes


@pytest.mark.parametrize(("count", "said"), [(1, "Single heavy figures"), (6, "Bunches of figures")])
def test_a_single_figure_is_no_bunch_and_is_set_against_the_body(count: int, said: str) -> None:
    clump = Clump("#b02020", 92.0, 160.0, 5.0, (0.0, 0.0), count)
    m = measurement(prints.figures(90, 160, way="one-way", count=count), clump=clump)
    text = " ".join(to_text.measurement(m, detail=False).split())
    assert f"{said} about 9 cm wide stand 16 cm apart, from middle to middle." in text
    assert "20 % of the width of the front at the bust and 18 % at the hip" in text  # of 460 and 500 mm
    codes = {reason.code for reason in m.difficulty.reasons}
    assert ("large-figure" in codes) and ("bunches" in codes) == (count > 1)
    assert "heavy-figure" not in codes  # the large figure says where to put it already


def test_detail_adds_the_numbers_and_takes_nothing_away() -> None:
    m = measurement(prints.dots(20, 62))
    short, full = (words.content(m, "metric", detail=detail) for detail in (False, True))
    assert full.answers == short.answers and full.sections[: len(short.sections)] == short.sections
    assert {part.title for part in full.sections[len(short.sections) :]} == {
        "The numbers", "How sure, in figures",
    }  # fmt: skip


def test_a_direction_that_is_hardly_decided_is_said_so() -> None:
    case = prints.figures(20, 80)
    unsure = Case(case.repeat, replace(case.facts, direction=Direction("tossed", 0.2)))
    assert "It probably has no up" in verdicts.how_sure(measurement(unsure), "metric")
    assert "may be turned" not in to_text.measurement(measurement(unsure))


def test_dots_have_no_up_however_little_the_photo_decides() -> None:
    case = prints.dots(20, 62)
    unsure = measurement(Case(case.repeat, replace(case.facts, direction=Direction("four-way", 0.2))))
    assert "may be turned" in to_text.measurement(unsure)
    assert "probably" not in to_text.measurement(unsure, detail=False) and not verdicts.lies_one_way(unsure)


@pytest.mark.parametrize(
    ("units", "said"),
    [
        ("metric", "of the repeat: 64 mm, give or take 0.1 mm."),
        ("imperial", "2 1/2 in, give or take less than 1/8 in."),
    ],
)
def test_how_sure_gives_the_size_with_its_error(units: str, said: str) -> None:
    m = measurement(prints.figures(20, 64))
    assert said in verdicts.how_sure(m, units)
    assert "give or take" not in verdicts.how_sure(measurement(prints.figures(20, 64), scaled=False), units)


def test_dots_in_rows_are_not_told_to_have_none() -> None:
    text = to_text.measurement(measurement(prints.dots(5, 15)))
    assert "No row or column stands out" not in " ".join(text.split())


def test_strewn_figures_are_not_told_to_stand_in_rows() -> None:
    m = measurement(prints.figures(70, 150, gap=75, rows=75))
    text = " ".join(to_text.measurement(m).split())
    assert m.seams.needs == "level" and "larger figures meet" in text
    assert "the rows" not in text and "follows the rows" not in text


def test_a_zigzag_that_reads_otherwise_turned_is_told_to_lie_one_way_and_why() -> None:
    case = prints.built("zigzag", 60)
    one_way = Case(case.repeat, replace(case.facts, direction=Direction("one-way", 1.0)))
    assert "one-way" in {reason.code for reason in measurement(one_way).difficulty.reasons}


def test_a_repeat_is_quoted_in_one_unit() -> None:
    m = measurement(prints.figures(20, 80))
    m = replace(m, repeat=replace(m.repeat, across_mm=97.5, along_mm=107.0))
    assert listing.repeat_in_short(m, "metric") == "9.8 cm x 10.7 cm straight"
    assert "repeat 9.8 cm by 10.7 cm" in listing.listing_text(m)
    beyond = replace(m, repeat=Repeat("beyond-photo"))
    assert listing.repeat_in_short(beyond, "metric") == "not in the photo"  # larger, or none: nobody knows


def test_where_matching_hangs_on_a_size_so_does_how_hard_it_is() -> None:
    """Not "Take care. The print has no up": that is no reason to take care."""
    text = " ".join(to_text.measurement(measurement(prints.check((6, 6)), scaled=False)).split())
    assert "How hard to sew It depends on its size: the larger, the more care. Match" in text
    assert text.count("if one repeat is over") == 1 and "Lay a rule on the cloth." in text


def test_without_a_scale_the_level_is_one_that_its_first_reason_bears_out_at_any_size() -> None:
    """Nor "Hard. The print has no up", of a check that is large only as it happens to fill the photo."""
    large = prints.check((60, 60))
    assert measurement(large).difficulty.level == "hard"
    found = measurement(large, scaled=False)
    text = " ".join(to_text.measurement(found).split())
    first = found.difficulty.reasons[0].code
    assert next(rule.level for rule in RULES if rule.code == first) == found.difficulty.level
    assert "large" not in first and "How hard to sew Hard" not in text


@pytest.mark.parametrize(
    ("case", "name"),
    [(prints.figures(90, 160), "tossed-figures"), (prints.stripe(40, 40), "even-stripe"),
     (prints.dots(28, 60), "polka-dot"), (prints.check((6, 6)), "even-gingham")],
)  # fmt: skip
def test_without_a_scale_no_name_claims_a_size(case: Case, name: str) -> None:
    """Nor large-scale, awning or coin dot: those are names of sizes (names.NAMES)."""
    found = measurement(case, scaled=False).print_name
    assert found is not None and found.name == name


def test_the_first_lines_are_not_said_again_below() -> None:
    """The reason that sets the level stands in the first lines with what to do; the others stand below."""
    m = measurement(prints.check((12, 8)))
    text = " ".join(to_text.measurement(m, detail=False).split())
    assert text.count("A check breaks off at a seam that does not match.") == 1
    assert text.count("Match it at the centre front and the side seams") == 1
    assert text.count("may be turned end for end") == 1


def test_one_unit_to_a_sentence_at_the_table() -> None:
    """What is read off a tape is in centimetres throughout, a corner at the selvedge too."""
    assert [tape(mm, "metric") for mm in (9.8, 52.2, 1056.0)] == ["1.0 cm", "5.2 cm", "105.6 cm"]


@pytest.mark.parametrize("scaled", [True, False])
def test_a_print_larger_than_the_photo_is_told_without_pixels_or_part_figures(scaled: bool) -> None:
    """The figures wholly in view may be the small ones: the headline tells what the photo bounds."""
    case = prints.figures(30, 80)
    beyond = replace(case, repeat=Repeat("beyond-photo", at_least_mm=120.0))
    m = measurement(beyond, scaled=scaled)
    m = replace(m, findings=(finding("repeat-beyond-photo"),))
    text = to_text.measurement(m, detail=False)
    assert "px" not in text and "the largest figure" not in text
    assert ("its repeat longer than 12 cm" in text) == scaled
