"""No short text contradicts the verdicts or itself: listings, cloths side by side, cutting steps."""

from __future__ import annotations

import re
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from printcheck.advice.case import Case
from printcheck.core.plan import LengthPlan, StepMatch
from printcheck.core.results.comparisons import ComparedCloth, Comparison
from printcheck.core.units import UnitSystem, format_buy
from printcheck.report.words import length_at_hand, listing, steps, verdicts
from tests.advice.test_sentences import cases, measurement
from tests.report.report_given import skirt

UNITS = st.sampled_from(["metric", "imperial"])
SENTENCE = re.compile(r"(?<=[.])\s+(?=[A-Z])")


def units_of(sentence: str) -> set[str]:
    return set(re.findall(r"\d ?(mm|cm|m|in|yd)\b", sentence))


@settings(max_examples=120, deadline=None)
@given(cases(), st.booleans(), UNITS)
def test_a_listing_says_what_the_verdicts_say(case: Case, scaled: bool, units: UnitSystem) -> None:
    m = measurement(case, scaled=scaled)
    text = listing.listing_text(m, units)
    assert m.difficulty.reasons
    assert ("has no up" in text) <= (not verdicts.lies_one_way(m))
    assert ("has an up" in text) <= (m.direction.way == "one-way")
    assert not ("has no up" in text and ("has an up" in text or listing.ONE_WAY_WORDS in text))
    assert ("no matching needed" in text.lower()) == (listing.matching_of(m) == "none")
    if "plain" in m.classes:
        assert " up" not in text and "one way" not in text
    for sentence in SENTENCE.split(text):
        assert len(units_of(sentence)) <= 1, sentence


@st.composite
def comparisons(draw: st.DrawFn) -> Comparison:
    cloths = []
    for number in range(draw(st.integers(2, 5))):
        unmatched = 100.0 * draw(st.integers(5, 60))
        advised = unmatched + 100.0 * draw(st.integers(0, 20))
        level = draw(st.sampled_from(["easy", "care", "hard"]))
        share = draw(st.floats(0, 0.9))
        cloths.append(
            ComparedCloth(f"cloth{number}.jpg", "even stripe", level, advised, unmatched, None, share)
        )
    return Comparison("Shirt", "EUR", tuple(cloths))


@settings(max_examples=60, deadline=None)
@given(comparisons(), UNITS)
def test_the_cloth_that_takes_least_takes_least(found: Comparison, units: UnitSystem) -> None:
    content = length_at_hand.comparison(found, units)
    (answer,), table = content.answers, content.sections[0].tables[0]
    names, _, length = answer.text.partition(": ")
    least = min(cloth.advised_mm for cloth in found.cloths)
    named = {cloth.file for cloth in found.cloths if cloth.file in names}
    assert named == {cloth.file for cloth in found.cloths if cloth.advised_mm == least}
    assert length == f"{format_buy(least, units)}{' each' if len(named) > 1 else ''}."
    for row, cloth in zip(table.rows, found.cloths, strict=True):
        assert row[0] == cloth.file and row[2] == length_at_hand.HARD_TO_SEW[cloth.difficulty]
        assert row[3] == format_buy(cloth.advised_mm, units)
        assert row[4] == format_buy(cloth.unmatched_mm, units)


@st.composite
def plans(draw: st.DrawFn) -> LengthPlan:
    """The skirt's plan on other prints, its pieces tied, turned and placed otherwise."""
    plan = skirt()[1]
    laid: list[str] = []
    made = []
    for step in plan.steps:
        kind = draw(st.sampled_from(["both", "level", "upright"]))
        tie = laid and draw(st.booleans())
        matches = (StepMatch(1, laid[-1], kind, (step.x_mm + 20.0, step.y_mm + 100.0)),) if tie else ()
        room = tuple(draw(st.floats(0, 300)) for _ in range(4))
        whole = tuple(draw(st.sampled_from([0.0, 120.0, 240.0])) for _ in range(4))
        one = replace(step, matches=matches, room_mm=room, repeats_mm=whole, free=False)
        made.append(replace(one, turned=draw(st.booleans()), mirrored=draw(st.booleans())))
        laid.append(step.piece)
    start = plan.start if draw(st.booleans()) else None
    way = draw(st.sampled_from(["one-way", "two-way", "four-way", "tossed"]))
    return replace(plan, steps=tuple(made), start=start, print=replace(plan.print, way=way))


@settings(max_examples=60, deadline=None)
@given(plans(), UNITS)
def test_no_cutting_step_contradicts_another(plan: LengthPlan, units: UnitSystem) -> None:
    said = steps.section(plan, units).steps
    whole = " ".join(said)
    assert ("anywhere on the print" in whole) == (plan.start is None)
    assert ("Choose one" in whole) == (plan.start is not None)
    assert ("All pieces lie one way up" in whole) == (plan.print.way == "one-way")
    assert "#" not in whole
    lying: set[str] = set()
    for sentence in said:
        found = re.match(r"Lay ([A-Z]+), ", sentence)
        if found is None:
            continue
        assert set(re.findall(r"notch \d+ of ([A-Z]+)", sentence)) <= lying
        lying.add(found[1])
        step = next(s for s in plan.steps if s.letter == found[1])
        assert ("top away from the cut end" in sentence) == step.turned
        assert ("paper turned over" in sentence) == step.mirrored
    assert lying == {step.letter for step in plan.steps}
