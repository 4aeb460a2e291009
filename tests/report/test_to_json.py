"""JSON documents: keys to the letter of the fixed surface, strict, and back without loss."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.measurement import Measurement
from printcheck.core.plan import LengthPlan
from printcheck.core.results import read_json
from printcheck.report import write_json
from tests.report import report_given as given

# key -> its own keys, copied from the fixed surface (measure --json, length --json)
MEASUREMENT_KEYS = {
    "photo": "file width_px height_px",
    "scale": "source mm_per_px relative_error tilt_deg",
    "print_name": "",
    "colours": "",
    "repeat": "kind layout drop across_mm along_mm basis_mm raw_basis_mm across_px along_px basis_px "
    "error_mm confidence repeats_seen turn_deg skew_deg alternatives",
    "motif": "width_mm height_mm count_per_repeat cover gap_mm headings_deg",
    "direction": "way margin",
    "stripe_or_check": "family balanced_across balanced_along bars",
    "clump": "colour size_mm spacing_mm strength",
    "classes": "",
    "seams": "mismatch_delta_e pattern_delta_e viewing_distance_m verdict needs",
    "difficulty": "level reasons",
    "findings": "",
}
LENGTH_KEYS = {
    "project": "",
    "cloth": "width_mm usable_width_mm shrink_along shrink_across",
    "print": "basis_mm layout way source",
    "plain": "length_mm bound_mm proved solve_s placements",
    "one_way": "length_mm bound_mm proved solve_s placements",
    "matched": "length_mm bound_mm proved solve_s placements",
    "extra_mm": "",
    "buy": "plain_mm one_way_mm matched_mm plain_cost one_way_cost matched_cost currency",
    "seams": "",
    "rule_of_thumb": "extra_mm text",
    "findings": "",
}


def lacking(document: dict, keys: dict[str, str]) -> list[str]:
    found = [key for key in keys if key not in document]
    for key, inner in keys.items():
        if isinstance(document.get(key), dict):
            found += [f"{key}.{name}" for name in inner.split() if name not in document[key]]
    return found


def test_measurement_has_every_key_with_the_schema_first(measured: Measurement) -> None:
    document = write_json.document(measured)
    assert next(iter(document.items())) == ("schema", "printcheck.measurement/2")
    assert lacking(document, MEASUREMENT_KEYS) == []


def test_length_has_every_key_with_the_schema_first(planned: LengthPlan) -> None:
    document = write_json.document(planned)
    assert next(iter(document.items())) == ("schema", "printcheck.length/1")
    assert lacking(document, LENGTH_KEYS) == []


def test_lists_hold_the_keys_of_the_surface() -> None:
    document = write_json.document(given.flowers())
    assert set(document["difficulty"]["reasons"][0]) >= {"code", "text"}
    assert list(document["findings"][0]) == ["code", "severity", "text", "remedy", "values"]
    assert document["repeat"]["basis_mm"] == [[120.2, 156.3], [0.0, 312.6]]
    plan = write_json.document(given.skirt()[1])
    assert set(plan["plain"]["placements"][0]) >= {"piece", "x_mm", "y_mm", "turned", "mirrored"}
    assert plan["seams"][0]["join"][0] == {"piece": "front#1", "at": [500.0, 100.0]}
    assert write_json.document(given.unmatched())["matched"] is None


def test_measurement_comes_back_the_same(measured: Measurement) -> None:
    text = write_json.dumps(write_json.document(measured))
    assert read_json.measurement(read_json.loads(text)) == measured
    assert write_json.dumps(write_json.document(read_json.measurement(json.loads(text)))) == text


def test_length_comes_back_the_same(planned: LengthPlan) -> None:
    text = write_json.dumps(write_json.document(planned))
    assert read_json.length(read_json.loads(text)) == planned


def test_what_is_no_number_becomes_null() -> None:
    m = given.flowers()
    broken = replace(
        m, direction=replace(m.direction, margin=math.nan), repeat=replace(m.repeat, error_mm=math.inf)
    )
    text = write_json.dumps(write_json.document(broken))
    assert "NaN" not in text and "Infinity" not in text
    assert json.loads(text)["direction"]["margin"] is None


def test_a_file_name_that_is_no_text_is_still_utf_8() -> None:
    m = given.gingham()
    document = write_json.document(replace(m, photo=replace(m.photo, file="a\udcff.jpg")))
    assert json.loads(write_json.dumps(document).encode("utf-8"))["photo"]["file"] == "a\udcff.jpg"


def test_error_document() -> None:
    document = write_json.error(NoAnswerError("no-scale", "No card was found.", "Lay one on the cloth."))
    assert document == {
        "schema": "printcheck.error/1",
        "error": {"code": "no-scale", "message": "No card was found.", "remedy": "Lay one on the cloth."},
    }


@pytest.mark.parametrize(
    "text", ["", "[]", "{", '{"a": NaN}', "[" * 5000], ids=["empty", "list", "cut", "nan", "deep"]
)
def test_text_that_is_no_document_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_json.loads(text)


def spoilt(**changes: object) -> dict:
    document = write_json.document(given.flowers())
    for path, value in changes.items():
        part = document
        *way, last = path.split("__")
        for key in way:
            part = part[key]
        part[last] = value
    return document


@pytest.mark.parametrize(
    "changes",
    [
        {"schema": "printcheck.measurement/1"},
        {"repeat": None},
        {"repeat__kind": "spiral"},
        {"repeat__basis_mm": [[1.0, 2.0], [2.0, 4.0]]},
        {"repeat__basis_mm": [[0.0, 0.0]]},
        {"repeat__across_mm": "64mm"},
        {"scale__mm_per_px": None},
    ],
    ids=str,
)
def test_a_broken_measurement_is_refused(changes: dict) -> None:
    with pytest.raises(InputError) as caught:
        read_json.measurement(spoilt(**changes), place="swatch.json")
    assert "swatch.json" in caught.value.message and caught.value.remedy


def test_keys_we_do_not_know_are_passed_over() -> None:
    assert read_json.measurement(spoilt(extra=1, repeat__more=2)) == given.flowers()
