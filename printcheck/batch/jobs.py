"""One photo to tag: what is handed to a worker, and what comes back."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from printcheck import __version__
from printcheck.core.request import AUTO, ScaleRequest
from printcheck.core.units import UnitSystem

COLUMNS = (
    "file",
    "status",
    "scale_source",
    "repeat_across_mm",
    "repeat_along_mm",
    "repeat_error_mm",
    "layout",
    "motif_mm",
    "way",
    "classes",
    "difficulty",
    "match_advice",
    "message",
    "print_name",
    "colours",
    "confidence",
    "repeat",
    "extra_mm",
    "listing_text",
    "same_print_as",
)


@dataclass(frozen=True)
class Job:
    """A row to be made.

    Parameters
    ----------
    index : int
        Place in the order given, from 0.
    file : str
        Name as shown in the table.
    path : str
        Where the photo lies: a local path, or an address that fsspec opens.
    scale : ScaleRequest
        How large things are in this photo.
    selvedge : {"vertical", "horizontal"}
        How the selvedge runs.
    thumbnail : bool
        Whether a small picture is wanted, for the contact sheet.
    extra : tuple of (column, cell)
        Further columns of the list, carried through.
    kind : str
        Built-in project whose extra length for matching is wanted; empty for none.
    units : {"metric", "imperial"}
        Of the listing text.
    problem : str
        Why the row cannot be measured (a bad scale in the list); empty when it can.
    """

    index: int
    file: str
    path: str
    scale: ScaleRequest = AUTO
    selvedge: Literal["vertical", "horizontal"] = "vertical"
    thumbnail: bool = False
    extra: tuple[tuple[str, str], ...] = ()
    problem: str = ""
    kind: str = ""
    units: UnitSystem = "metric"

    def key(self, fingerprint: str) -> str:
        """Digest of the photo's content and the options: same key, same row."""
        asked = [__version__, type(self.scale).__name__, asdict(self.scale), self.selvedge]
        text = json.dumps([fingerprint, self.thumbnail, self.kind, self.units, *asked], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True)
class Outcome:
    """Row of one photo as text cells, its small picture, and what markup needs besides."""

    cells: dict[str, str]
    numbers: dict[str, float] = field(default_factory=dict)
    thumbnail: str = ""  # JPEG, base64
    shown_mm: float = 0.0  # width of cloth in the small picture
    matching: str = ""  # what to match, as a word for programs
    passing: bool = False  # a failure that another run may not meet (time, a crash): done again then
    remedy: str = ""  # of a failure, told once in the summary
    pattern: dict[str, Any] = field(default_factory=dict)  # lattice and cell, to know the print again

    @property
    def ok(self) -> bool:
        """Whether the photo was read, with a scale or without."""
        return self.cells["status"] != "failed"


def failed(message: str, remedy: str = "", *, passing: bool = False, thumbnail: str = "") -> Outcome:
    """Outcome of a photo that could not be measured."""
    cells = {**dict.fromkeys(COLUMNS[1:], ""), "status": "failed", "message": message}
    return Outcome(cells, thumbnail=thumbnail, passing=passing, remedy=remedy)


def too_slow(seconds: float) -> Outcome:
    """Outcome of a photo that was given up."""
    return failed(f"It took longer than {seconds:g} s and was given up.", passing=True)


def crashed() -> Outcome:
    """Outcome of a photo that ended the process which measured it."""
    return failed("The photo crashed its worker; the file is most likely damaged.", passing=True)


def unreadable(error: Exception) -> Outcome:
    """Outcome of a photo that could not be read where it lies: it is tried again in the next run."""
    reason = error.strerror if isinstance(error, OSError) and error.strerror else type(error).__name__
    return failed(f"The file could not be read: {reason}.", passing=True)
