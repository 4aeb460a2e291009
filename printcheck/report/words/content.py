"""What a report says, decided once: every writer (text, page, PDF) prints this and adds nothing.

A number stands in a :class:`Row` or a cell of a :class:`Table` as finished text beside the key of the
JSON document it comes from, so that all writings of one result hold the same numbers.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import msgspec

LONGEST_NAME = 60  # letters of a user's name that are shown; more would break tables and pages
LONGEST_PIECE = 64  # letters of a piece's name, its copy's number included
HIDDEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
"""Unicode categories no name is shown with: controls, right-to-left overrides, half characters."""

TABLES = msgspec.toml.decode(
    Path(__file__).with_name("tables.toml").read_bytes(), type=dict[str, dict[str, str]]
)


@dataclass(frozen=True)
class Row:
    """A label and what is said of it. ``key`` leads to the number in the JSON document, if it is one."""

    label: str
    text: str
    key: str = ""
    rough: bool = False  # a rule of thumb, to be left out where a plan gives the exact answer


@dataclass(frozen=True)
class Said:
    """A finding in words."""

    text: str
    remedy: str


@dataclass(frozen=True)
class Table:
    """A table whose first column names its rows. ``keys`` leads from a cell to the JSON document."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    keys: tuple[tuple[str, ...], ...] = ()


Column = tuple[str, str, Callable[[Any], str]]
"""Heading of a column, the key of its number in each item (none for words alone), and how it is said."""


def table_of(
    caption: str, columns: Sequence[Column], items: Sequence[Any], path: str = ""
) -> tuple[Table, ...]:
    """Table of a row to each item, none where there are no items; ``path`` leads to them in the document."""
    if not items:
        return ()
    rows = tuple(tuple(said(item) for _, _, said in columns) for item in items)
    keys = tuple(tuple(key and f"{path}.{n}.{key}" for _, key, _ in columns) for n in range(len(rows)))
    return (Table(caption, tuple(head for head, _, _ in columns), rows, keys),)


@dataclass(frozen=True)
class Section:
    """A part under a heading: sentences, numbered steps, labelled values, points, tables, in this order."""

    title: str
    sentences: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    points: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    steps: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.sentences or self.steps or self.rows or self.points or self.tables)


@dataclass(frozen=True)
class Content:
    """A whole report: its title, the answers people came for, and the parts that explain them."""

    title: str
    answers: tuple[Row, ...]
    sections: tuple[Section, ...]


def joined(first: Content, second: Content, title: str) -> Content:
    """One report of two: both sets of answers first, then the parts of each under their own names.

    The second's rough answers, which the first answers exactly, are left out.
    """
    names = {part.title for part in first.sections}
    parts = tuple(
        replace(part, title=f"{part.title} (print)") if part.title in names else part
        for part in second.sections
    )
    return Content(
        title, first.answers + tuple(row for row in second.answers if not row.rough), first.sections + parts
    )


def shown_name(name: str, longest: int = LONGEST_NAME) -> str:
    r"""Name as a report shows it: no control characters, one line, a long one shortened before its number.

    Examples
    --------
    >>> shown_name("front\x1b[31m\n#1")
    'front?[31m #1'
    >>> shown_name("upper left front#12", 16)
    'upper left...#12'
    """
    kept = one_line(name)
    head, mark, number = kept.rpartition("#")
    copy = mark + number if head and number.isdigit() else ""
    return kept if len(kept) <= longest else kept[: longest - 3 - len(copy)].rstrip() + "..." + copy


def piece_name(piece: str, among: Iterable[str], longest: int = LONGEST_PIECE) -> str:
    """Name of a piece as it is said: with its copy's number only where there are several.

    Examples
    --------
    >>> [piece_name(piece, ["front#1", "back#1", "back#2"]) for piece in ("front#1", "back#2")]
    ['front', 'back 2']
    """
    kind, mark, number = piece.rpartition("#")
    if not mark or not number.isdigit():
        return shown_name(piece, longest)
    copies = sum(other.rpartition("#")[0] == kind for other in among)
    return f"{shown_name(kind, longest - len(number) - 1)}{f' {number}' if copies > 1 else ''}"


def one_line(text: str) -> str:
    """Text on one line, without control characters."""
    return tamed(" ".join(text.split()))


def tamed(text: str) -> str:
    """Text with a question mark for each character that could move, hide or turn what is shown."""
    return "".join("?" if unicodedata.category(c) in HIDDEN else c for c in text)
