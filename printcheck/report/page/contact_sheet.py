"""A contact sheet: one small picture per listing, to sort and filter in a browser, without a server."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, get_args

from printcheck.core.measurement import Level, Needs, SizeClass, Way
from printcheck.report.words.content import TABLES

BARS_MM = (200, 100, 50, 20, 10, 5, 2, 1)  # lengths of the scale bar tried, longest first
LONGEST_BAR = 0.45  # of the small picture's width
SIZES_MM = (5, 10, 25, 50, 100, 250)  # bounds of the sizes offered: a rough doubling, as prints are sold
MOST_COLOURS = 24  # offered, the commonest first: a longer list is not read

EMBEDDED = "data:image/jpeg;base64,{thumbnail}"  # address of a picture that stands in the page itself

LABELS, WORDS = TABLES["contact-sheet"], TABLES["contact-sheet-value"]
ORDER = (
    *(value for kind in (Level, SizeClass, Way, Needs) for value in get_args(kind)),
    *("by-size", "find-repeat"),
    *("ok", "no-scale", "failed"),
)


class Choices:
    """Values that the listings have, counted while their rows are gone through once."""

    def __init__(self) -> None:
        self._counts: dict[str, Counter[str]] = {key: Counter() for key in LABELS}

    def add(self, row: Mapping[str, Any]) -> None:
        """Count one row of the table."""
        for key, value in values_of(row).items():
            self._counts[key].update(dict.fromkeys(value.split("|")).keys())

    def groups(self) -> list[tuple[str, str, list[tuple[str, str, int]]]]:
        """Key, label, and (value, words, count) of each group of more than one value, in the order shown."""
        shown = ((key, LABELS[key], self._choices(key)) for key in LABELS)
        return [group for group in shown if len(group[2]) > 1]

    def _choices(self, key: str) -> list[tuple[str, str, int]]:
        counts = self._counts[key]
        if key == "colours":
            found = counts.most_common(MOST_COLOURS)
        else:
            sizes = [_size_words(i) for i in range(len(SIZES_MM) + 1)]
            rank = {value: i for i, value in enumerate((*ORDER, *sizes))}
            found = sorted(counts.items(), key=lambda item: (item[0] == "", rank.get(item[0], 0)))
        return [(value, WORDS.get(value, value), count) for value, count in found]


def values_of(row: Mapping[str, Any]) -> dict[str, str]:
    """What a row is filtered by: words parted by ``|``."""
    lengths = [float(row[key]) for key in ("repeat_across_mm", "repeat_along_mm") if row[key]]
    size = _size_words(sum(bound <= max(lengths) for bound in SIZES_MM)) if lengths else ""
    return {
        "difficulty": row["difficulty"],
        "size": size,
        "way": row["way"],
        "matching": row["matching"],
        "classes": "|".join(row["classes"].split()),
        "colours": "|".join(row["colours"].split(", ")),
        "status": row["status"],
    }


def parts(rows: Iterable[Mapping[str, Any]], choices: Choices, *, picture: str = EMBEDDED) -> Iterator[str]:
    """Yield the page in parts.

    ``rows`` are those of the table with ``thumbnail`` (JPEG in base64; may be empty), ``shown_mm`` (width of
    the cloth in it, mm), ``matching`` (a word for programs) and ``index`` besides; all have been counted in
    ``choices``. ``picture`` is the address of a row's picture.
    """
    from jinja2 import Environment, PackageLoader

    environment = Environment(loader=PackageLoader("printcheck.report.page"), autoescape=True)
    template = environment.get_template("contact_sheet.html")
    return template.generate(groups=choices.groups(), cards=(_card(row, picture) for row in rows))


def _card(row: Mapping[str, Any], picture: str) -> dict[str, Any]:
    lengths = [float(row[key]) for key in ("repeat_across_mm", "repeat_along_mm") if row[key]]
    return {
        **row,
        "kinds": values_of(row),
        "mm": max(lengths, default=""),
        "picture": picture.format(**row) if row["thumbnail"] else "",
        "bar": _bar(row["shown_mm"]) if row["shown_mm"] else None,
        "size_text": _size(row),
    }


def _size_words(place: int) -> str:
    if place == 0:
        return f"under {SIZES_MM[0]} mm"
    if place == len(SIZES_MM):
        return f"over {SIZES_MM[-1]} mm"
    return f"{SIZES_MM[place - 1]} to {SIZES_MM[place]} mm"


def _size(row: Mapping[str, Any]) -> str:
    if row["status"] == "no-scale":
        return "no scale, so no sizes"
    return f"repeat {row['repeat']}" if row["repeat"] else "no repeat found"


def _bar(shown_mm: float) -> tuple[int, float]:
    """Length of the scale bar in mm, and its share of the picture's width in per cent."""
    length_mm = next((mm for mm in BARS_MM if mm <= LONGEST_BAR * shown_mm), BARS_MM[-1])
    return length_mm, round(100 * length_mm / shown_mm, 2)
