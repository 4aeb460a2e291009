"""Text for the terminal: 80 columns, the answer first, nothing hostile."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from printcheck.core.measurement import Measurement
from printcheck.core.plan import LengthPlan
from printcheck.report.words import text as to_text
from printcheck.report.words.content import shown_name
from tests.report import report_given as given

UNITS = ["metric", "imperial"]


@pytest.mark.parametrize("units", UNITS)
def test_measurement_fits_80_columns(measured: Measurement, units: str) -> None:
    assert max(map(to_text.width, to_text.measurement(measured, units).splitlines())) <= 80


@pytest.mark.parametrize("units", UNITS)
def test_length_fits_80_columns(planned: LengthPlan, units: str) -> None:
    assert max(map(to_text.width, to_text.length(planned, units).splitlines())) <= 80


def test_the_answer_stands_first() -> None:
    first = to_text.measurement(given.flowers()).splitlines()[2]
    assert first.startswith("What it is") and "Large-scale motif print" in first
    assert "1.20 m (15.00 EUR)" in to_text.length(given.skirt()[1]).splitlines()[2]


def test_imperial_holds_no_millimetre() -> None:
    text = to_text.measurement(given.flowers(), "imperial")
    assert "9 1/2 in" in text  # 240.4 / 25.4 = 9.46, to the nearest eighth 9 1/2
    assert " cm" not in text
    plan = to_text.length(given.skirt()[1], "imperial")
    assert "1 3/8 yd" in plan  # 1200 / 914.4 = 1.312, bought up to the next eighth
    assert " cm" not in plan


METRIC = re.compile(r"\d ?(mm|cm|m)\b|metre")


def test_imperial_reports_speak_of_no_metric_length(measured: Measurement, planned: LengthPlan) -> None:
    """But for the name of an object of known size, which is the user's own word for it."""
    text = to_text.measurement(measured, "imperial").replace(measured.scale.object or "-", "")
    assert not METRIC.search(text), METRIC.search(text)
    assert not METRIC.search(to_text.length(planned, "imperial"))


def test_what_matching_costs_is_said_in_the_readers_units() -> None:
    """25.4 mm to the inch, 914.4 to the yard; what is bought is rounded up to an eighth."""
    plan = given.skirt()[1]  # 0.30 m more to buy, which is 0.328 yd
    assert "takes 0.30 m more to buy" in " ".join(to_text.length(plan).split())
    assert "takes 3/8 yd more to buy" in " ".join(to_text.length(plan, "imperial").split())


def test_a_print_larger_than_the_photo_sends_to_the_bolt() -> None:
    m = given.beyond()
    seams = replace(m.seams, mismatch_delta_e=30.0, verdict="plain-to-see", needs="both")
    text = " ".join(to_text.measurement(replace(m, seams=seams)).split())
    assert "Find out first, on the bolt, where the print begins again." in text
    assert "measure it on the bolt" in text
    assert "nothing has to meet" not in text


def test_plain_cloth_has_no_seam_to_lose_in_a_print() -> None:
    text = to_text.measurement(given.plain_cloth())
    assert "plain cloth has nothing to match" in text
    assert "Unmatched seam" not in text


def test_an_unsure_repeat_is_said_to_be_unsure_at_once() -> None:
    m = given.flowers()
    unsure = replace(m, repeat=replace(m.repeat, confidence=0.2))
    assert "Not sure of the repeat" in " ".join(to_text.measurement(unsure, detail=False).split())
    assert "Not sure" not in to_text.measurement(m, detail=False)


def test_an_unsure_way_is_said_to_be_unsure_at_once() -> None:
    m = given.flowers()
    unsure = replace(m, direction=replace(m.direction, margin=0.1))
    assert "but look at the cloth from both ends" in " ".join(
        to_text.measurement(unsure, detail=False).split()
    )


def test_what_was_not_measured_is_not_said() -> None:
    m = given.beyond()
    text = to_text.measurement(replace(m, seams=replace(m.seams, mismatch_delta_e=0.0, verdict="slight")))
    assert "larger than the photo shows" in text and "Delta E" not in text
    none = replace(m, repeat=replace(m.repeat, kind="none", at_least_mm=None))
    assert "No repeat was found" in to_text.measurement(none)


def test_a_seam_that_cannot_be_met_is_said_first() -> None:
    lines = to_text.length(given.unmatched()).splitlines()
    assert lines[2].startswith("Buy") and "without matching" in lines[2]
    assert lines[3].startswith("Can it match?  Not")


@pytest.mark.parametrize("name", [given.HOSTILE, "a" * 300, "生地" * 100, "e\u0301" * 70, "", "\x00\r\n\t"])
def test_any_name_is_shown_tamely(name: str) -> None:
    m = given.gingham()
    text = to_text.measurement(replace(m, photo=replace(m.photo, file=name)))
    assert max(map(to_text.width, text.splitlines())) <= 80
    assert not {"\x1b", "\u202e", "\x00", "\r"} & set(text)


def test_many_pieces_are_cut_short_and_said_so() -> None:
    plan = given.skirt()[1]
    text = to_text.length(replace(plan, steps=plan.steps * 50))
    assert "\n40. Lay " in text and "\n41. " not in text
    assert "... and 168 more" in text  # six steps before the first piece, 4 x 50 pieces, two after the last


def test_long_names_keep_their_start() -> None:
    assert shown_name("left front with the long collar " * 9).startswith("left front")
