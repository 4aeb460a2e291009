"""A contact sheet: one small picture per listing, to sort and filter in a browser, without a server."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Any, get_args

from printcheck.core.measurement import Level, Needs, SizeClass, Way
from printcheck.core.units import UnitSystem
from printcheck.report.words.content import TABLES

UNITS_MM = {"metric": ("mm", 1.0), "imperial": ("in", 25.4)}  # short name of the unit, and its length in mm
BARS = {  # units: lengths of the scale bar tried, longest first
    "metric": (200, 100, 50, 20, 10, 5, 2, 1),
    "imperial": (8, 4, 2, 1, 1 / 2, 1 / 4, 1 / 8),
}
LONGEST_BAR = 0.45  # of the small picture's width
SIZES = {  # units: bounds of the sizes offered, a rough doubling, as prints are sold
    "metric": (5, 10, 25, 50, 100, 250),
    "imperial": (1 / 4, 1 / 2, 1, 2, 4, 10),
}
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
            rank = {
                value: i for i, value in enumerate((*ORDER, *_size_words("metric"), *_size_words("imperial")))
            }
            found = sorted(counts.items(), key=lambda item: rank.get(item[0], 0))
        found.sort(key=lambda item: item[0] == "")  # what is not known comes last
        return [(value, WORDS.get(value, value), count) for value, count in found]


def values_of(row: Mapping[str, Any]) -> dict[str, str]:
    """What a row is filtered by: words parted by ``|``."""
    longest, units = _longest_mm(row), row["units"]
    place = sum(bound * UNITS_MM[units][1] <= longest for bound in SIZES[units])
    return {
        "difficulty": row["difficulty"],
        "size": _size_words(units)[place] if longest else "",
        "way": row["way"],
        "matching": row["matching"],
        "classes": "|".join(row["classes"].split()),
        "colours": "|".join(row["colours"].split(", ")),
        "status": row["status"],
    }


def parts(rows: Iterable[Mapping[str, Any]], choices: Choices, *, picture: str = EMBEDDED) -> Iterator[str]:
    """Yield the page in parts.

    ``rows`` are those of the table with ``thumbnail`` (JPEG in base64; may be empty), ``shown_mm`` (width of
    the cloth in it, mm), ``matching`` (a word for programs), ``units`` and ``index`` besides; all have been
    counted in ``choices``. ``picture`` is the address of a row's picture.
    """
    from jinja2 import Environment, PackageLoader

    environment = Environment(loader=PackageLoader("printcheck.report.page"), autoescape=True)
    template = environment.get_template("contact_sheet.html")
    return template.generate(groups=choices.groups(), cards=(_card(row, picture) for row in rows))


def _card(row: Mapping[str, Any], picture: str) -> dict[str, Any]:
    return {
        **row,
        "kinds": values_of(row),
        "mm": _longest_mm(row) or "",
        "picture": picture.format(**row) if row["thumbnail"] else "",
        "bar": _bar(row["shown_mm"], row["units"]) if row["shown_mm"] else None,
        "size_text": _size(row),
    }


def _longest_mm(row: Mapping[str, Any]) -> float:
    """The longer repeat; 0 where no size is known."""
    return max(float(row[key] or 0) for key in ("repeat_across_mm", "repeat_along_mm"))


def _size_words(units: UnitSystem) -> list[str]:
    unit, bounds = UNITS_MM[units][0], [str(Fraction(bound)) for bound in SIZES[units]]
    between = [f"{low} to {high} {unit}" for low, high in pairwise(bounds)]
    return [f"under {bounds[0]} {unit}", *between, f"over {bounds[-1]} {unit}"]


def _size(row: Mapping[str, Any]) -> str:
    if row["status"] == "no-scale":
        return "no scale, so no sizes"
    return f"repeat {row['repeat']}" if row["repeat"] else "no repeat found"


def _bar(shown_mm: float, units: UnitSystem) -> tuple[str, float]:
    """Length of the scale bar in words, and its share of the picture's width in per cent."""
    unit, unit_mm = UNITS_MM[units]
    lengths = BARS[units]
    length = next((one for one in lengths if one * unit_mm <= LONGEST_BAR * shown_mm), lengths[-1])
    return f"{Fraction(length)} {unit}", round(100 * length * unit_mm / shown_mm, 2)
