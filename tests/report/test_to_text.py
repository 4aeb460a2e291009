"""Text for the terminal: 80 columns, the answer first, nothing hostile."""

from __future__ import annotations

from dataclasses import replace

import pytest
import report_given as given

from printcheck.model import Measurement
from printcheck.plan import LengthPlan
from printcheck.report import to_text
from printcheck.report.content import shown_name

UNITS = ["metric", "imperial"]


@pytest.mark.parametrize("units", UNITS)
def test_measurement_fits_80_columns(measured: Measurement, units: str) -> None:
    assert max(map(to_text.width, to_text.measurement(measured, units).splitlines())) <= 80


@pytest.mark.parametrize("units", UNITS)
def test_length_fits_80_columns(planned: LengthPlan, units: str) -> None:
    assert max(map(to_text.width, to_text.length(planned, units).splitlines())) <= 80


def test_the_answer_stands_first() -> None:
    first = to_text.measurement(given.flowers()).splitlines()[2]
    assert first.startswith("What it is") and "large" in first and "one-way" in first
    assert "1.20 m (15.00 EUR)" in to_text.length(given.skirt()[1]).splitlines()[2]


def test_imperial_holds_no_millimetre() -> None:
    text = to_text.measurement(given.flowers(), "imperial")
    assert "9 1/2 in" in text  # 240.4 / 25.4 = 9.46, to the nearest eighth 9 1/2
    assert " cm" not in text
    plan = to_text.length(given.skirt()[1], "imperial")
    assert "1 3/8 yd" in plan  # 1200 / 914.4 = 1.312, bought up to the next eighth
    assert " cm" not in plan


def test_an_unsure_repeat_is_said_to_be_unsure_at_once() -> None:
    m = given.flowers()
    unsure = replace(m, repeat=replace(m.repeat, confidence=0.2))
    assert "not sure, but perhaps it repeats" in " ".join(to_text.measurement(unsure).split())
    assert "not sure" not in to_text.measurement(m).split("How hard")[0]


def test_an_unsure_way_is_said_to_be_unsure_at_once() -> None:
    m = given.flowers()
    unsure = replace(m, direction=replace(m.direction, margin=0.1))
    assert "print, perhaps one-way" in to_text.measurement(unsure).splitlines()[2]


def test_what_was_not_measured_is_not_said() -> None:
    m = given.beyond()
    unknown = replace(m, seams=replace(m.seams, mismatch_delta_e=0.0, pattern_delta_e=0.0, verdict="slight"))
    text = to_text.measurement(unknown)
    assert "It cannot be said" in text and "Delta E" not in text and "None for" not in text
    none = replace(unknown, repeat=replace(m.repeat, kind="none", at_least_mm=None))
    assert "There is nothing to match" in to_text.measurement(none)


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
    many = plan.matched.placements * 50
    text = to_text.length(replace(plan, matched=replace(plan.matched, placements=many)))
    assert "... and 160 more" in text  # 4 x 50 pieces, 40 shown


def test_long_names_keep_their_start() -> None:
    assert shown_name("left front with the long collar " * 9).startswith("left front")
