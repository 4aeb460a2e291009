"""The shape of a project file: one typed table per TOML table, and unknown keys refused.

Lengths are ``Any`` here, for their text is read (and complained of) by :mod:`printcheck.core.units`.
Everything is optional at this level: a missing key is told in our own words by the reader of the table.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, Literal, TypeVar, get_args, get_type_hints

import msgspec

from printcheck.core.errors import InputError
from printcheck.core.plan import MatchKind

DrawingUnit = Literal["mm", "cm", "in"]
Side = Literal["up", "down", "left", "right"]
MOST_SHOWN = 20  # lines: more than a screenful helps nobody


@dataclass
class Mistakes:
    """Mistakes as ``(code, line)``; a line reads ``place: what is wrong. What to do.`` in that order."""

    found: list[tuple[str, str]] = field(default_factory=list)

    def add(self, place: str, text: str, *, code: str) -> None:
        """Note one mistake."""
        self.found.append((code, f"{place}: {text}"))

    @contextmanager
    def noting(self) -> Iterator[None]:
        """Note an :class:`InputError` raised inside and carry on behind the block."""
        try:
            yield
        except InputError as error:
            self.found.append((error.code, str(error)))

    def raise_any(self, file: str) -> None:
        """Raise one InputError that holds every mistake so far, a line each.

        A single mistake keeps its own code, several together are ``project-mistakes``.
        """
        if not self.found:
            return
        codes = {code for code, _ in self.found}
        lines = [line for _, line in self.found]
        if len(lines) > MOST_SHOWN:
            lines[MOST_SHOWN:] = [f"{file}: {len(lines) - MOST_SHOWN} mistakes more."]
        raise InputError(
            codes.pop() if len(codes) == 1 else "project-mistakes",
            "\n".join(lines),
            f"Correct {file} and try again.",
        )


class Table(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A table of the file."""


class FileTable(Table):
    """The whole file; the tables inside are read one by one so that each can tell its own mistakes."""

    name: str | None = None
    kind: str | None = None
    cloth: dict[str, Any] | None = None
    print: dict[str, Any] | None = None
    piece: list[dict[str, Any]] | None = None
    seam: list[dict[str, Any]] = []
    place: list[dict[str, Any]] = []


class ClothTable(Table):
    """``[cloth]``."""

    width: Any = None
    selvedge: Any = None
    shrink_along: Any = None
    shrink_across: Any = None
    sold_by: Any = None
    price: float | None = None
    price_per: Any = None
    currency: str = ""
    join: Literal["selvedge", "lap"] | None = None


class PrintTable(Table):
    """``[print]``."""

    across: Any = None
    along: Any = None
    basis: list[tuple[Any, Any]] | None = None
    layout: Literal["straight", "half-drop", "drop", "stripe", "none"] | None = None
    drop: Any = None
    way: Literal["one-way", "two-way", "four-way", "tossed"] | None = None
    error: Any = None
    motif: Any = None
    border: bool = False
    motif_from_selvedge: Any = None
    family: Literal["stripe", "check", "plaid"] | None = None


class SvgTable(Table):
    """``outline_svg``: a file beside the project file, and the id of a closed path in it."""

    file: str
    id: str


class DxfTable(Table):
    """``outline_dxf``: a file beside the project file, and the piece and size where it holds several."""

    file: str
    piece: str | None = None
    size: str | None = None
    units: DrawingUnit | None = None
    top: Side | None = None  # side of the drawing at which the piece's top is
    allowance: Any = None  # seam allowance, where no sewing line is drawn


class PieceTable(Table):
    """``[[piece]]``."""

    name: str | None = None
    count: int | None = None
    mirrored: bool | None = None
    width: Any = None
    length: Any = None
    outline: list[tuple[Any, Any]] | None = None
    outline_svg: SvgTable | None = None
    outline_dxf: DxfTable | None = None
    fold: Literal["left", "right", "top", "bottom"] | None = None
    turn: Literal["half", "none"] = "half"
    border: bool | None = None
    on_fold: bool = False


class EndTable(Table):
    """One end of a seam: a point, or a notch of a piece that was drawn with notches."""

    piece: str
    at: tuple[Any, Any] | None = None
    notch: int | None = None


class SeamTable(Table):
    """``[[seam]]``."""

    name: str = ""
    join: tuple[EndTable, EndTable] | None = None
    match: MatchKind = "both"
    visible: bool = True


class PlaceTable(Table):
    """``[[place]]``."""

    piece: str | None = None
    at: tuple[Any, Any] | None = None
    notch: int | None = None
    on: Literal["motif", "between"] = "motif"


T = TypeVar("T", bound=Table)

_IN_WORDS = {
    "int": "a whole number",
    "float": "a number",
    "str": "text in quotes",
    "bool": "true or false",
    "array": "a list",
    "object": "a table",
    "null": "nothing",
}


def read_table(raw: Mapping[str, Any], shape: type[T], *, place: str, mistakes: Mistakes) -> T:
    """Table of this shape; each wrong key is noted and left out, so that later ones are seen too.

    ``place`` says where it stands, such as ``piece[2]``; it is empty for the whole file.
    """
    left = dict(raw)
    known = [known_field.name for known_field in msgspec.structs.fields(shape)]
    for key in [key for key in left if key not in known]:
        del left[key]
        close = difflib.get_close_matches(key, known, n=1)
        hint = f"Did you mean {close[0]}?" if close else f"Known keys: {', '.join(known)}."
        mistakes.add(_inside(place, key), f"unknown key. {hint}", code="unknown-key")
    while True:
        try:
            return msgspec.convert(left, shape)
        except msgspec.ValidationError as error:
            key, path, text = _explained(str(error), shape)
            mistakes.add(_inside(place, path), text, code="wrong-value")
            if key not in left:
                return shape()
            del left[key]


def _words_of(hint: Any) -> list[Any]:  # noqa: ANN401  (a type hint may be anything)
    """Words of a Literal, also inside a union with None."""
    return [word for part in get_args(hint) for word in (get_args(part) or [part]) if isinstance(word, str)]


def _inside(place: str, key: str) -> str:
    return f"{place}.{key}" if place and key else place or key


def _explained(error: str, shape: type[Table]) -> tuple[str, str, str]:
    """First key, path and own words of a complaint of msgspec's."""
    text, _, at = error.partition(" - at `")
    path = re.sub(r"\[(\d+)\]", lambda m: f"[{int(m[1]) + 1}]", at.rstrip("`").removeprefix("$").lstrip("."))
    key = re.split(r"[.\[]", path)[0]
    if expected := re.fullmatch(r"Expected `(.+)`, got `(.+)`", text):
        wanted = " or ".join(_IN_WORDS.get(w, w) for w in expected[1].split(" | ") if w != "null")
        text = f"expected {wanted}, found {_IN_WORDS.get(expected[2], expected[2])}."
    elif length := re.fullmatch(r"Expected `array` of length (\d+).*", text):
        text = f"expected a list of {length[1]}."
    elif missing := re.fullmatch(r"Object missing required field `(.+)`", text):
        text = f"{missing[1]} is missing."
    elif unknown := re.fullmatch(r"Object contains unknown field `(.+)`", text):
        text = f"unknown key {unknown[1]}."
    elif value := re.fullmatch(r"Invalid enum value (.+)", text):
        words = ", ".join(str(w) for w in _words_of(get_type_hints(shape)[key]))
        text = f"{value[1]} is not one of: {words}."
    return key, path, text
