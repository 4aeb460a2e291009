"""The contact sheet of a run: one file, or a page with a folder of pictures where one file would be large."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

from printcheck.batch.jobs import Job, Outcome
from printcheck.core.errors import InputError
from printcheck.report import atomic
from printcheck.report.page import contact_sheet

LARGEST_FILE = 20e6  # bytes: above it a browser is slow to open one file
CARD_BYTES = 700  # of a card without its picture
PLACE = "--contact-sheet"

Rows = Callable[[], Iterator[tuple[Job, Outcome]]]


def write(rows: Rows, path: Path, *, largest: float = LARGEST_FILE) -> None:
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
    own = {"index": job.index, "file": job.file, "thumbnail": outcome.thumbnail, "shown_mm": outcome.shown_mm}
    return {**outcome.cells, **own, "matching": outcome.matching}
