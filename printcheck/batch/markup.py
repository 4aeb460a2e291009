"""Open product markup: one JSON-LD graph of schema.org ``Product`` entries.

Units are UN/CEFACT Recommendation 20 codes. The context names the vocabulary itself instead of a remote
document, so that any processor reads the file without the network.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath
from typing import Any
from urllib.parse import quote

from printcheck.batch.jobs import Job, Outcome

MILLIMETRE, ONE = "MMT", "C62"  # UN/CEFACT Recommendation 20
CONTEXT = {"@vocab": "https://schema.org/"}
METHOD = "measured from a photograph"

MEASURES = {  # number -> (name for buyers, unit)
    "repeat_across_mm": ("pattern repeat across", MILLIMETRE),
    "repeat_along_mm": ("pattern repeat along", MILLIMETRE),
    "motif_width_mm": ("largest motif width", MILLIMETRE),
    "motif_height_mm": ("largest motif height", MILLIMETRE),
    "confidence": ("confidence of the repeat", ONE),
}
WORDS = {  # cell -> name for buyers
    "layout": "pattern layout",
    "way": "pattern direction",
    "classes": "pattern class",
    "difficulty": "sewing difficulty",
    "match_advice": "matching advice",
}
PATTERN_WORDS = {"stripe": "striped", "check": "checked", "plain": "plain"}


def product(job: Job, outcome: Outcome) -> dict[str, Any]:
    """Return the schema.org ``Product`` of one measured listing."""
    cells = outcome.cells
    entry: dict[str, Any] = {
        "@type": "Product",
        "@id": "urn:printcheck:" + quote(job.file.encode("utf-8", "backslashreplace")),
        "name": PurePosixPath(job.file).stem.encode("utf-8", "backslashreplace").decode(),
        "pattern": cells["print_name"] or pattern_of(cells["classes"].split()),
    }
    if cells["colours"]:
        entry["color"] = cells["colours"]
    if outcome.cells["listing_text"]:
        entry["description"] = cells["listing_text"]
    if cells["same_print_as"]:
        group = quote(cells["same_print_as"].encode("utf-8", "backslashreplace"))
        entry["isVariantOf"] = {
            "@type": "ProductGroup",
            "productGroupID": f"urn:printcheck:{group}",
            "variesBy": "https://schema.org/color",
        }
    identifier = dict(job.extra).get("sku") or dict(job.extra).get("product_id")
    if identifier:
        entry["sku"] = identifier
    entry["additionalProperty"] = [*_measures(outcome), *_words(cells)]
    return entry


def pattern_of(classes: list[str]) -> str:
    """Word for schema.org's ``pattern``."""
    return next((word for name, word in PATTERN_WORDS.items() if name in classes), "printed")


def _measures(outcome: Outcome) -> Iterator[dict[str, Any]]:
    for key, (name, unit) in MEASURES.items():
        if key in outcome.numbers:
            yield {
                "@type": "PropertyValue",
                "name": name,
                "value": round(outcome.numbers[key], 2),
                "unitCode": unit,
                "measurementMethod": METHOD,
            }


def _words(cells: dict[str, str]) -> Iterator[dict[str, Any]]:
    for key, name in WORDS.items():
        if cells[key]:
            yield {"@type": "PropertyValue", "name": name, "value": cells[key]}


def jsonld_parts(rows: Iterable[tuple[Job, Outcome]]) -> Iterator[str]:
    """Yield the document in parts, one product at a time: it is never held whole."""
    yield '{"@context": ' + json.dumps(CONTEXT) + ', "@graph": ['
    first = True
    for job, outcome in rows:
        if outcome.ok:
            yield ("\n" if first else ",\n") + json.dumps(product(job, outcome), ensure_ascii=False)
            first = False
    yield "\n]}\n"
