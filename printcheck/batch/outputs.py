"""What a run writes: the CSV table, schema.org product markup in JSON-LD, and the contact sheet.

Units of the markup are UN/CEFACT Recommendation 20 codes. Its context names the vocabulary itself instead of
a remote document, so that any processor reads the file without the network.
"""

from __future__ import annotations

import base64
import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path, PurePosixPath
from typing import Any
from urllib.parse import quote

from printcheck.batch.jobs import COLUMNS, Job, Outcome
from printcheck.core.errors import InputError
from printcheck.core.system import atomic
from printcheck.report.page import contact_sheet

RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # first signs that spreadsheets take for a formula


def harmless(cell: str) -> str:
    """Cell that no spreadsheet runs: a formula's first sign gets an apostrophe before it.

    Examples
    --------
    >>> harmless("=1+1"), harmless("swatch 7")
    ("'=1+1", 'swatch 7')
    """
    cell = cell.encode("utf-8", "backslashreplace").decode()  # a name that is no Unicode stays readable
    return "'" + cell if cell.lstrip(" ").startswith(RUNS_AS_FORMULA) else cell


def extra_columns(jobs: Iterable[Job]) -> list[str]:
    """Further columns of the list, in the order they first appear."""
    return list(dict.fromkeys(name for job in jobs for name, _ in job.extra))


def csv_lines(rows: Iterable[tuple[Job, Outcome]], extra: Sequence[str], kind: str = "") -> Iterator[str]:
    """Yield the lines of the table, the header first; what matching adds is headed by the project's kind."""
    yield _line([*(f"{c}_{kind}" if kind and c == "extra_mm" else c for c in COLUMNS), *extra])
    for job, outcome in rows:
        own = dict(job.extra)
        yield _line([job.file, *(outcome.cells[c] for c in COLUMNS[1:]), *(own.get(c, "") for c in extra)])


def _line(cells: Sequence[str]) -> str:
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n").writerow([harmless(c) for c in cells])
    return buffer.getvalue()


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


LARGEST_FILE = 20e6  # bytes: above it a browser is slow to open one file
CARD_BYTES = 700  # of a card without its picture
PLACE = "--contact-sheet"

Rows = Callable[[], Iterator[tuple[Job, Outcome]]]


def write_sheet(rows: Rows, path: Path, *, largest: float = LARGEST_FILE) -> None:
    """Write the sheet.

    Parameters
    ----------
    rows : callable
        Gives the rows anew, in order: they are gone through once to count, and once to write.
    path : Path
        The page; its pictures go into a folder beside it where the page would grow above ``largest``.
    largest : float, keyword-only
        Bytes.
    """
    choices, size = contact_sheet.Choices(), 0
    for job, outcome in rows():
        choices.add(_card(job, outcome))
        size += len(outcome.thumbnail) + CARD_BYTES
    cards = (_card(job, outcome) for job, outcome in rows())
    if size <= largest:
        pages = contact_sheet.parts(cards, choices)
    else:
        folder = path.with_name(f"{path.stem}-pictures")
        where = quote(folder.name).replace("{", "{{").replace("}", "}}")
        pages = contact_sheet.parts(_kept(cards, folder), choices, picture=where + "/{index:07d}.jpg")
    with atomic.writing(path, place=PLACE) as out:
        out.writelines(part.encode("utf-8", "backslashreplace") for part in pages)


def _kept(cards: Iterator[dict[str, Any]], folder: Path) -> Iterator[dict[str, Any]]:
    """Write each card's picture before the card is passed on."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise InputError(
            "folder-missing",
            f"{PLACE}: the folder {folder} for the pictures could not be made ({error.strerror or error}).",
            "Choose another place for the contact sheet.",
        ) from error
    for card in cards:
        if card["thumbnail"]:
            picture = base64.b64decode(card["thumbnail"])
            atomic.write_atomic(folder / f"{card['index']:07d}.jpg", picture, place=PLACE)
        yield card


def _card(job: Job, outcome: Outcome) -> dict[str, Any]:
    of_job = {"index": job.index, "file": job.file, "units": job.units}
    shown = {"thumbnail": outcome.thumbnail, "shown_mm": outcome.shown_mm, "matching": outcome.matching}
    return {**outcome.cells, **of_job, **shown}
