"""The table and the markup, read back by others' programs."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import pytest

from printcheck.batch.jobs import COLUMNS, Job, Outcome, failed
from printcheck.batch.measuring import cells_of, work
from printcheck.batch.outputs import csv_lines, extra_columns, harmless, jsonld_parts, pattern_of
from printcheck.core.findings import finding
from printcheck.pipeline import Options, measure_photo

SAMPLES = Path(__file__).parents[2] / "sample_images"

CELLS = {
    "status": "ok",
    "scale_source": "card",
    "repeat_across_mm": "64.0",
    "repeat_along_mm": "32.0",
    "repeat_error_mm": "0.10",
    "layout": "straight",
    "motif_mm": "20.0",
    "way": "one-way",
    "classes": "medium directional",
    "difficulty": "care",
    "match_advice": "match the rows at the seams, lay all pieces one way",
    "message": "",
    "print_name": "large floral",
    "colours": "navy, pink",
    "confidence": "0.97",
    "repeat": "64.0 mm x 32.0 mm straight",
    "extra_mm": "200",
    "listing_text": "Large floral.",
    "same_print_as": "first.jpg",
}
NUMBERS = {"repeat_across_mm": 64.0, "repeat_along_mm": 32.0, "confidence": 0.97}


def rows() -> list[tuple[Job, Outcome]]:
    names = ['a "b", c\nd.jpg', "=SUM(A1)", "布.jpg"]
    jobs = [Job(i, n, n, extra=(("sku", f"@{i}"),)) for i, n in enumerate(names)]
    return list(
        zip(jobs, [Outcome(CELLS, NUMBERS), failed("cut short"), Outcome(CELLS, NUMBERS)], strict=True)
    )


def test_the_table_reads_back_with_the_contract_s_columns() -> None:
    text = "".join(csv_lines(rows(), extra_columns(j for j, _ in rows())))
    read = list(csv.DictReader(io.StringIO(text, newline="")))
    assert tuple(read[0]) == (*COLUMNS, "sku")
    assert [r["file"] for r in read] == ['a "b", c\nd.jpg', "'=SUM(A1)", "布.jpg"]
    assert [r["sku"] for r in read] == ["'@0", "'@1", "'@2"]
    assert read[1]["status"] == "failed"
    assert read[1]["message"] == "cut short"


@pytest.mark.parametrize("cell", ["=1", "+1", "-1", "@x", "\t=1", "\r=1", "  =1"])
def test_no_cell_runs_as_a_formula(cell: str) -> None:
    assert harmless(cell).startswith("'")


def test_a_name_that_is_no_unicode_is_written_readably() -> None:
    assert harmless("caf\udce9.jpg") == "caf\\udce9.jpg"


def test_the_markup_is_read_by_a_json_ld_processor() -> None:
    jsonld = pytest.importorskip("pyld.jsonld")
    text = "".join(jsonld_parts(rows()))
    (graph,) = [jsonld.expand(json.loads(text))]
    assert len(graph) == 2  # the failed row is left out
    product = graph[0]
    assert product["@type"] == ["https://schema.org/Product"]
    properties = product["https://schema.org/additionalProperty"]
    named = {p["https://schema.org/name"][0]["@value"]: p for p in properties}
    across = named["pattern repeat across"]
    assert across["https://schema.org/value"][0]["@value"] == 64.0
    # source: UN/CEFACT Recommendation 20: MMT millimetre, C62 one
    assert across["https://schema.org/unitCode"][0]["@value"] == "MMT"
    assert named["confidence of the repeat"]["https://schema.org/unitCode"][0]["@value"] == "C62"
    assert product["https://schema.org/sku"][0]["@value"] == "7" or product["https://schema.org/sku"]


def test_what_matching_adds_is_headed_by_the_kind() -> None:
    (head, *_) = csv_lines(rows(), [], "dress")
    assert "extra_mm_dress" in head.strip().split(",")


def test_pattern_and_colour_are_the_print_s_own() -> None:
    text = "".join(jsonld_parts(rows()))
    product = json.loads(text)["@graph"][0]
    assert (product["pattern"], product["color"]) == ("large floral", "navy, pink")


def test_pattern_words() -> None:
    assert pattern_of(["medium", "stripe"]) == "striped"  # schema.org's own example word
    assert pattern_of(["large"]) == "printed"


def test_cautions_are_sentences_one_after_another() -> None:
    m = measure_photo(SAMPLES / "ditsy.jpg", Options()).measurement
    m = replace(m, findings=(finding("way-unknown"), finding("way-unknown")))
    message = cells_of(m)["message"]
    assert message.count(". ") == 1 and message.count(".") == 2 and ";" not in message


def test_a_print_that_needs_no_matching_adds_nothing_to_any_kind() -> None:
    job = Job(0, "ditsy.jpg", str(SAMPLES / "ditsy.jpg"), kind="tote-bag")
    cells = work(job).cells
    assert cells["match_advice"] == "no matching needed" and cells["extra_mm"] == "0"
    assert "For the tote bag add nothing." in cells["listing_text"]
