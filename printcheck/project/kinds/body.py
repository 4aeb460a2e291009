"""Body measures and size letters, from the size tables of EN 13402-3 (figures from memory)."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from printcheck.project.kinds.draft import Size, Values

STANDARD = "EN 13402-3"


@dataclass(frozen=True)
class SizeTable:
    """Girths of people of each size, in cm; the first column names the size.

    ``letters`` hold the range of the first column for each letter code.
    """

    people: str
    columns: Mapping[str, tuple[float, ...]]
    letters: Mapping[str, tuple[float, float]]

    @property
    def lead(self) -> str:
        """Measure that names the size."""
        return next(iter(self.columns))

    def measure(self, name: str) -> Size:
        """Size of a kind that is a body measure; left out, it is that of the other measures or the letter."""
        return Size(
            "", f"{name}; left out, that of the size", least=200, most=2500, derive=self._estimate(name)
        )

    def letter(self) -> Size:
        """Size letter of a kind; the measures that are given stand above it."""
        words = tuple(self.letters)
        text = f"size letter of {STANDARD} for {self.people}; left out, that of the measures"
        return Size("", text, kind="choice", words=words, derive=self._letter_of)

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
        return min(
            bisect_right([low for low, _ in self.letters.values()], lead / 10, lo=1) - 1, len(letters) - 1
        )


def _interpolated(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    """Value of a table between its rows; beyond its ends the last step goes on."""
    i = min(max(bisect_right(xs, x), 1), len(xs) - 1)
    return ys[i - 1] + (x - xs[i - 1]) * (ys[i] - ys[i - 1]) / (xs[i] - xs[i - 1])


_STEPS = (76, 80, 84, 88, 92, 96, 100, 104, 110, 116, 122, 128, 134, 140, 146, 152)
WOMEN = SizeTable(
    "women",
    {
        "bust": _STEPS,
        "waist": (60, 64, 68, 72, 76, 80, 84, 88, 94, 100, 106, 112, 118, 124, 130, 136),
        "hip": (84, 88, 92, 96, 100, 104, 108, 112, 117, 122, 127, 132, 137, 142, 147, 152),
    },
    {
        "XXS": (66, 74), "XS": (74, 82), "S": (82, 90), "M": (90, 98), "L": (98, 107), "XL": (107, 119),
        "XXL": (119, 131), "3XL": (131, 143),
    },
)  # fmt: skip
MEN = SizeTable(
    "men",
    {
        "chest": (84, 88, 92, 96, 100, 104, 108, 112, 118, 124, 130, 136, 142),
        "waist": (72, 76, 80, 84, 88, 92, 96, 100, 108, 114, 120, 126, 132),
    },
    {
        "XXS": (70, 78), "XS": (78, 86), "S": (86, 94), "M": (94, 102), "L": (102, 110), "XL": (110, 118),
        "XXL": (118, 129), "3XL": (129, 141),
    },
)  # fmt: skip
CHILDREN = SizeTable("children", {"height": tuple(range(50, 183, 6))}, {})
