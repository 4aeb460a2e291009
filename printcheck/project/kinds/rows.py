"""The rows of ``kinds.toml`` and the size tables of ``body.toml``: words, sizes and body measures."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec

from printcheck.project.kinds.draft import CLOTHS, Draft, Kind, Room, Size, Values

STANDARD = "EN 13402-3"


@dataclass(frozen=True)
class SizeTable:
    """Girths of people of each size, in cm; the first column names the size.

    ``letters`` hold the range of the first column for each letter code.
    """

    people: str
    columns: Mapping[str, Sequence[float]]
    letters: Mapping[str, tuple[float, float]]

    @property
    def lead(self) -> str:
        """Measure that names the size."""
        return next(iter(self.columns))

    def measure(self, name: str) -> Size:
        """Size of a kind that is a body measure; left out, it is that of the other measures or the letter."""
        text = f"{name}; left out, that of the size"
        return Size(text=text, least=200, most=2500, derive=self._estimate(name))

    def letter(self) -> Size:
        """Size letter of a kind; the measures that are given stand above it."""
        text = f"size letter of {STANDARD} for {self.people}; left out, that of the measures"
        return Size(text=text, kind="choice", words=tuple(self.letters), derive=self._letter_of)

    def first_outside(self, values: Values) -> tuple[str, float, float] | None:
        """Measure outside the table by more than half a step, and the table's ends; None where all fit."""
        for name, column in self.columns.items():
            least = 10 * (column[0] - (column[1] - column[0]) / 2)
            most = 10 * (column[-1] + (column[-1] - column[-2]) / 2)
            if name in values and not least <= values[name] <= most:
                return name, 10.0 * column[0], 10.0 * column[-1]
        return None

    def _estimate(self, name: str) -> Callable[[Values], float]:
        def estimate(values: Values) -> float:
            for other in self.columns:
                if other in values and other != name:
                    return 10 * _interpolated(values[other] / 10, self.columns[other], self.columns[name])
            ends = list(self.letters.values())[int(values["size"])]
            return 10 * _interpolated(sum(ends) / 2, self.columns[self.lead], self.columns[name])

        return estimate

    def _letter_of(self, values: Values) -> float:
        """Letter of the measures that are given, else the middle one, M."""
        letters = list(self.letters)
        if not any(name in values for name in self.columns):
            return letters.index("M")
        lead = values[self.lead] if self.lead in values else self._estimate(self.lead)(values)
        place = bisect_right([low for low, _ in self.letters.values()], lead / 10, lo=1) - 1
        return min(place, len(letters) - 1)


def _interpolated(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """Value of a table between its rows; beyond its ends the last step goes on."""
    i = min(max(bisect_right(xs, x), 1), len(xs) - 1)
    return ys[i - 1] + (x - xs[i - 1]) * (ys[i] - ys[i - 1]) / (xs[i] - xs[i - 1])


TABLES = {
    people: SizeTable(people, table["columns"], table.get("letters", {}))
    for people, table in msgspec.toml.decode(Path(__file__).with_name("body.toml").read_bytes()).items()
}

_ROWS: dict[str, dict[str, Any]] = msgspec.toml.decode(
    Path(__file__).with_name("kinds.toml").read_text(encoding="utf-8")
)


def kind(name: str, draw: Callable[[Values, Room], Draft], **derive: Callable[[Values], float]) -> Kind:
    """Kind of this name in ``kinds.toml``; ``derive`` has what gives a size that was left out."""
    row = dict(_ROWS[name])
    people = row.get("people", "")
    sizes = {key: _size(key, size, people, derive) for key, size in row.pop("sizes").items()}
    cloth = CLOTHS[row.pop("cloth", "cotton")]
    row |= {key: tuple(row.get(key, ())) for key in ("also", "findings")}
    return Kind(name=name, draw=draw, sizes=sizes, cloth=cloth, **row)


def _size(key: str, size: Any, people: str, derive: dict[str, Callable[[Values], float]]) -> Size:  # noqa: ANN401
    if size == "letter":
        return TABLES[people].letter()
    return TABLES[people].measure(key) if size == "measure" else Size(derive=derive.get(key), **size)
