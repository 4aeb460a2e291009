"""Results as text for a terminal: 80 columns, no colour, the answer first."""

from __future__ import annotations

import itertools
import unicodedata
from collections.abc import Iterator

from printcheck.core.measurement import Measurement
from printcheck.core.plan import LengthPlan
from printcheck.core.units import UnitSystem
from printcheck.report.words import measured, planned
from printcheck.report.words.content import Content, Row, Section, Table, tamed

COLUMNS = 79  # one less than a terminal's 80, so that no terminal wraps the last letter
MOST_ROWS = 40  # rows of a table, or steps: more than a screen or two is read in the report, not here
GAP = 2  # columns between a label and its text, and between the columns of a table


def measurement(m: Measurement, units: UnitSystem = "metric", *, detail: bool = True) -> str:
    """Text of a measurement; see :mod:`printcheck.report.words.measured` for what is said."""
    return write(measured.content(m, units, detail=detail))


def length(plan: LengthPlan, units: UnitSystem = "metric") -> str:
    """Text of a length to buy; see :mod:`printcheck.report.words.planned` for what is said."""
    return write(planned.content(plan, units))


def write(content: Content) -> str:
    """Lines of a content, none wider than 79 columns."""
    lines = [*wrapped(content.title), "=" * min(COLUMNS, width(content.title)), *_rows(content.answers)]
    for section in content.sections:
        lines += ["", *wrapped(section.title), "-" * width(section.title), *_section(section)]
    return "\n".join(tamed(line).rstrip() for line in lines)


def width(text: str) -> int:
    """Columns a text takes: two for the wide letters of East Asian scripts, none for added accents."""
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )


def wrapped(text: str, columns: int = COLUMNS) -> list[str]:
    """Lines of a text, broken between words, and inside a word that is wider than a line."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines[-1] else word
        if width(joined) <= columns:
            lines[-1] = joined
            continue
        pieces = list(_cut(word, columns))
        lines += pieces if lines[-1] else pieces[:]
    return [line for line in lines if line] or [""]


def _cut(word: str, columns: int) -> Iterator[str]:
    piece = ""
    for letter in word:
        if piece and width(piece) + width(letter) > columns:
            yield piece
            piece = ""
        piece += letter
    yield piece


def _section(section: Section) -> Iterator[str]:
    for sentence in section.sentences:
        yield from wrapped(sentence)
    for number, step in enumerate(section.steps[:MOST_ROWS], start=1):
        yield from _hanging(f"{number}.", step, 2 * GAP)
    yield from _left_out(len(section.steps))
    yield from _rows(section.rows)
    for point in section.points:
        yield from _hanging("-", point, GAP)
    for table in section.tables:
        yield from _table(table)


def _hanging(mark: str, text: str, columns: int) -> Iterator[str]:
    """A text behind its mark, all lines starting below one another."""
    first, *rest = wrapped(text, COLUMNS - columns)
    yield f"{mark:<{columns}}{first}"
    yield from (f"{'':{columns}}{line}" for line in rest)


def _rows(rows: tuple[Row, ...]) -> Iterator[str]:
    label_columns = max((width(row.label) for row in rows), default=0) + GAP
    for row in rows:
        first, *rest = wrapped(row.text, COLUMNS - label_columns)
        yield _padded(row.label, label_columns) + first
        yield from (" " * label_columns + line for line in rest)


def _table(table: Table) -> Iterator[str]:
    yield from wrapped(table.caption)
    shown = table.rows[:MOST_ROWS]
    widths = _column_widths((table.head, *shown))
    for row in (table.head, tuple("-" * w for w in widths), *shown):
        cells = [wrapped(cell, w) for cell, w in zip(row, widths, strict=True)]
        for parts in itertools.zip_longest(*cells, fillvalue=""):
            yield "".join(_padded(part, w + GAP) for part, w in zip(parts, widths, strict=True))
    yield from _left_out(len(table.rows))


def _left_out(number: int) -> Iterator[str]:
    """What is said of rows or steps that are not shown."""
    if number > MOST_ROWS:
        yield f"... and {number - MOST_ROWS} more, in the report and the layout."


def _column_widths(rows: tuple[tuple[str, ...], ...]) -> list[int]:
    """Columns as wide as their widest cell; the widest give way until all fit the line."""
    widths = [max(1, *(width(cell) for cell in column)) for column in zip(*rows, strict=True)]
    while sum(widths) + GAP * (len(widths) - 1) > COLUMNS:
        widths[widths.index(max(widths))] -= 1
    return widths


def _padded(text: str, columns: int) -> str:
    return text + " " * max(0, columns - width(text))
