"""One result, many writings: the numbers in text, JSON, page, PDF and picture are the same."""

from __future__ import annotations

import html
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest

from printcheck.core.measurement import Measurement
from printcheck.core.plan import LengthPlan, Project
from printcheck.report import write_json
from printcheck.report.drawing import pdf_pen, photo_overlay, svg_pen
from printcheck.report.drawing.layout import layout_sheet
from printcheck.report.page import html as to_html
from printcheck.report.page import page_file
from printcheck.report.page import pdf as to_pdf
from printcheck.report.words import measured as say_measured
from printcheck.report.words import planned as say_planned
from printcheck.report.words import text as to_text
from printcheck.report.words.content import Content
from tests.report import report_given as given
from tests.report import report_swatch as swatch

UNITS = ["metric", "imperial"]
MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "yd": 914.4}  # SI; the inch and the yard of 1959
NUMBER = re.compile(r"(\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?) ?(mm|cm|m|in|yd|%|[A-Z]{3})?(?![a-z])")


@dataclass(frozen=True)
class Planned:
    plan: LengthPlan
    project: Project
    measured: None = None


def flat(text: str) -> str:
    return " ".join(text.split())


def words_of(page: str) -> str:
    return flat(html.unescape(re.sub(r"<[^>]+>", " ", re.sub(r"(?s)<style.*?</style>", "", page))))


def pdf_words(data: bytes) -> str:
    """Words of a PDF set in a core font, by reading its streams."""
    shown = []
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.S):
        try:
            plain = zlib.decompress(stream).decode("latin-1")
        except zlib.error:
            continue
        for piece in re.findall(r"\(((?:\\.|[^\\()])*)\) ?Tj", plain):
            shown.append(re.sub(r"\\(.)", r"\1", piece))
    return flat(" ".join(shown))


def value_at(document: dict[str, Any], key: str) -> Any:
    for part in key.split("."):
        document = document[int(part)] if isinstance(document, list) else document[part]
    return document


def said_numbers(content: Content) -> Iterator[tuple[str, str]]:
    """Key into the JSON document, and the text that holds its number."""
    for row in (*content.answers, *(row for part in content.sections for row in part.rows)):
        if row.key:
            yield row.key, row.text
    for table in (table for part in content.sections for table in part.tables):
        for cells, keys in zip(table.rows, table.keys, strict=True):
            yield from ((key, cell) for key, cell in zip(keys, cells, strict=True) if key)


def is_said(value: float | None, text: str) -> bool:
    """Whether a number of the text is the value, to within what its last place can show."""
    if value is None:
        return text in ("-", "cannot be met")
    value = abs(value)  # which way a turn goes is said in words
    for number, unit in NUMBER.findall(text):
        whole = sum(int(a) / int(b or 1) for a, b in re.findall(r"(\d+)(?:/(\d+))?", number))
        amount = whole if "/" in number else float(number)
        place = 10.0 ** -len(number.partition(".")[2]) if "/" not in number else 1 / 8
        if unit in ("in", "yd"):
            place = 1 / 8
        scale = {"%": 0.01}.get(unit, MM_PER.get(unit, 1.0))
        over = (amount * scale - value) / (place * scale)
        # what is bought is rounded up to the next eighth of a yard, all else to the nearest
        if (-1e-9 <= over < 1) if unit == "yd" else (abs(over) <= 0.5 + 1e-9):
            return True
    return (value < 25.4 / 16 and "under 1/8 in" in text) or (value == 0 and "No more" in text)


@pytest.mark.parametrize("units", UNITS)
def test_what_is_said_of_a_measurement_is_in_its_json(measured: Measurement, units: str) -> None:
    document = write_json.document(measured)
    numbers = list(said_numbers(say_measured.content(measured, units)))
    assert len(numbers) >= 2
    for key, text in numbers:
        assert is_said(value_at(document, key), text), (key, text, value_at(document, key))


@pytest.mark.parametrize("units", UNITS)
def test_what_is_said_of_a_plan_is_in_its_json(planned: LengthPlan, units: str) -> None:
    document = write_json.document(planned)
    numbers = list(said_numbers(say_planned.content(planned, units)))
    assert len(numbers) >= 10
    for key, text in numbers:
        assert is_said(value_at(document, key), text), (key, text, value_at(document, key))


def test_the_check_itself_can_fail() -> None:
    assert is_said(240.4, "24.0 cm ± 0.2 cm") and not is_said(240.6, "24.0 cm ± 0.2 cm")
    assert is_said(63.5, "2 1/2 in") and not is_said(66.0, "2 1/2 in")
    assert is_said(1200.0, "1 3/8 yd") and not is_said(1300.0, "1 3/8 yd")


def every_text(content: Content) -> list[str]:
    found = [row.text for row in content.answers]
    for part in content.sections:
        found += [*part.sentences, *part.points, *(row.text for row in part.rows)]
        found += [cell for table in part.tables for cells in table.rows for cell in cells]
    return [flat(text) for text in found]


@pytest.mark.parametrize("units", UNITS)
def test_text_page_and_pdf_of_a_measurement_say_the_same(
    measured: Measurement, units: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pdf_pen, "FONT_PLACES", ())  # PDF's own face, whose words can be read back
    content = say_measured.content(measured, units)
    writings = {
        "text": flat(re.sub(r"(?m)^- ", "", to_text.measurement(measured, units))),
        "page": words_of(to_html.report(content, list(content.sections))),
        "pdf": pdf_words(to_pdf.report(content, list(content.sections))),
    }
    for text in every_text(content):
        assert [name for name, said in writings.items() if text not in said] == [], text


@pytest.mark.parametrize("units", UNITS)
def test_text_page_and_pdf_of_a_plan_say_the_same(
    planned: LengthPlan, units: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pdf_pen, "FONT_PLACES", ())
    content = say_planned.content(planned, units)
    writings = {
        "text": flat(re.sub(r"(?m)^- ", "", to_text.length(planned, units))),
        "page": words_of(to_html.report(content, list(content.sections))),
        "pdf": pdf_words(to_pdf.report(content, list(content.sections))),
    }
    for text in every_text(content):
        assert [name for name, said in writings.items() if text not in said] == [], text


@pytest.mark.parametrize("units", UNITS)
def test_numbers_in_the_picture_are_those_of_the_text(units: str) -> None:
    photo, bgr = swatch.photo()
    m = photo.measurement
    drawing = photo_overlay.measured(bgr, photo.cloth, photo.lattice, m, units)
    said = words_of(svg_pen.svg(drawing))
    for key, text in said_numbers(say_measured.content(m, units)):
        if key in ("repeat.across_mm", "repeat.along_mm"):
            assert f"{text} {'across' if 'across' in key else 'along'}" in said


@pytest.mark.parametrize("units", UNITS)
def test_numbers_in_the_layout_are_those_of_the_text(units: str) -> None:
    project, plan = given.skirt()
    said = words_of(svg_pen.svg(layout_sheet.layout_drawing(plan, project, units=units)))
    content = say_planned.content(plan, units)
    lengths = {k: t for k, t in said_numbers(content) if k in ("plain.length_mm", "matched.length_mm")}
    assert len(lengths) == 2
    assert f"{say_planned.LAYOUT_NAMES['matched']}: {lengths['matched.length_mm']} washed" in said
    for key, text in said_numbers(content):
        if key.startswith("matched.placements") and key.endswith("y_mm"):
            nought = text.startswith("0 ") or text.startswith("0.0 ")
            assert (", 0" if nought else f", {text}") in said


def test_a_report_of_both_keeps_every_word_of_both() -> None:
    photo, _ = swatch.photo()
    project, plan = given.skirt()
    content, parts = page_file.compose(measured=photo, planned=Planned(plan, project), units="metric")
    page = words_of(page_file.render(content, parts, ".html"))
    for part in (say_measured.content(photo.measurement, "metric"), say_planned.content(plan, "metric")):
        for text in every_text(part)[len(part.answers) :]:
            assert text in page
    assert "1.20 m (15.00 EUR)" in page and "Large-scale motif print" in page
    assert "Up to one repeat" not in page  # the plan's exact length stands in place of the rule of thumb
