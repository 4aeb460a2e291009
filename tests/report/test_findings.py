"""Findings in words: a sentence for every code, the values it needs at every call, the reader's units."""

from __future__ import annotations

import ast
import re
import string
from pathlib import Path

import pytest

import printcheck
from printcheck.core.findings import REMARKS, Finding, finding
from printcheck.report.words.findings import COUNT, LENGTHS, SEVERITY_ORDER, remarks, said

PACKAGE = Path(printcheck.__file__).parent
METRIC = re.compile(r"\d ?(mm|cm|m)\b")


def gaps(code: str) -> list[tuple[str, str]]:
    words = REMARKS[code]
    parsed = [*string.Formatter().parse(words.text), *string.Formatter().parse(words.remedy)]
    return [(name, spec or "") for _, name, spec, _ in parsed if name is not None]


def calls() -> list[tuple[str, str, set[str]]]:
    """File, code and names of the values of every finding made with its code written out."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "finding" and node.args):
                continue
            if isinstance(node.args[0], ast.Constant):
                names = {keyword.arg or "**" for keyword in node.keywords}
                found.append((f"{path.name}:{node.lineno}", str(node.args[0].value), names))
    return found


def test_every_code_has_a_severity_and_words() -> None:
    for code, words in REMARKS.items():
        assert words.severity in SEVERITY_ORDER
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", code)
        assert words.text.endswith(".") and words.remedy.endswith("."), code


@pytest.mark.parametrize("code", REMARKS)
def test_lengths_are_values_said_in_the_readers_units(code: str) -> None:
    assert not METRIC.search(REMARKS[code].text + REMARKS[code].remedy)
    for name, spec in gaps(code):
        # "limit" is a size to compare the cloth with, not one that was measured
        assert name.endswith("_mm") == (spec in LENGTHS and name != "limit"), f"{code}: {name}:{spec}"


@pytest.mark.parametrize(("where", "code", "names"), calls(), ids=lambda v: v if isinstance(v, str) else "")
def test_every_call_gives_the_values_its_words_hold(where: str, code: str, names: set[str]) -> None:
    assert names == {name for name, _ in gaps(code)}, where


def test_the_calls_are_found() -> None:
    assert len(calls()) > 30


@pytest.mark.parametrize("code", REMARKS)
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_every_sentence_can_be_said(code: str, units: str) -> None:
    values = {
        name: 3 if spec and (spec in LENGTHS or spec.startswith(COUNT) or spec[-1] in "fg") else "word"
        for name, spec in gaps(code)
    }
    words = said(finding(code, **values), units)
    assert "{" not in words.text + words.remedy


def test_units_and_counts() -> None:
    """25.4 mm to the inch, 304.8 mm to the foot (international agreement of 1959)."""
    ring = finding("seam-ring-open", seam="Seam 1 (a to b)", what="the rows", miss_mm=63.5)
    assert "63.5 mm off" in said(ring).text and "2 1/2 in off" in said(ring, "imperial").text
    bar = finding("scale-board-unmeasured", percent=1.0, nominal_mm=50.0)
    assert "50.0 mm" in said(bar, "imperial").remedy  # somebody measures it with a millimetre rule
    one, two = (finding("skirt-panels", panels=n, width_mm=304.8) for n in (1, 2))
    assert "1 panel of 12 in" in said(one, "imperial").text and "2 panels of" in said(two).text


def test_a_length_without_a_scale_is_said_in_pixels() -> None:
    words = said(finding("repeat-either", one_px=812.2, other_px=1624.4))
    assert "1624 px where 812 px is taken" in words.text


def test_each_is_said_once_the_gravest_first() -> None:
    few, clash = finding("repeat-few-seen", seen=1.6), finding("seams-clash")
    assert len(remarks((few, clash, few)).points) == 2
    assert remarks((few, clash)).points[0].startswith("Warning: The seams cannot")


def test_numbers_of_numpy_become_plain() -> None:
    import numpy as np

    assert type(finding("repeat-few-seen", seen=np.float64(1.6)).values["seen"]) is float


@pytest.mark.parametrize("values", [{}, {"miss_mm": "wide"}, {"seam": 1, "what": 2, "miss_mm": "3"}], ids=str)
def test_the_file_of_another_version_makes_no_fault(values: dict) -> None:
    assert said(Finding("of-another-version", "note", values)).text == "of-another-version."
    assert said(Finding("seam-ring-open", "warning", values)).text
