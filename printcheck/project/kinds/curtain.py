"""Curtains: full widths of cloth joined side by side, the figure running on across every join."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from printcheck.core.findings import Finding, finding
from printcheck.project.kinds.draft import (
    CURTAINING,
    Draft,
    Kind,
    PieceRow,
    Room,
    SeamRow,
    Size,
    count_of_widths,
)

JOIN_MM = 15.0  # mm: seam line of a join from the selvedge's inner edge, common practice
MOST_LAP = 0.6  # of a half width: lapping over more leaves no panel worth the name
LEAST_FULLNESS = 0.95  # of what was asked: laps that take more are not made
WHOLE = 1e-9  # columns: rounding of the division
MATCH_AT = 0.5  # share of the drop: where joins are matched; any height will do, rows repeat

SIZES = {
    "track": Size("180 cm", "length of the track or pole", least=300),
    "drop": Size("220 cm", "finished length from hook to hem", least=100),
    "fullness": Size("2", "cloth for each length of track, 1.5 to 2.5", kind="number", least=1, most=4),
    "curtains": Size("2", "how many curtains hang on the track: 1 or 2", kind="count", least=1, most=2),
    "hem": Size("15 cm", "double hem at the bottom", least=0),
    "heading": Size("8 cm", "turned in at the top", least=0),
}


def draw(size: Mapping[str, float], room: Room) -> Draft:
    """Panels of full width, half panels where the number of widths is odd, and their joins.

    Breadths can seldom be joined at the selvedges: the second is lapped over the first until the
    figure meets, so the seam lines lie a whole number of columns apart.
    """
    usable = room.usable_mm
    length = size["drop"] + size["hem"] + size["heading"]
    widths = count_of_widths(size["track"] * size["fullness"], usable)
    curtains = int(size["curtains"])
    full, halves = (widths, 0) if curtains == 1 else (widths - widths % 2, 2 * (widths % 2))
    rows = []
    if full:
        rows.append(PieceRow("width", usable, length, full))
    if halves:
        rows.append(PieceRow("half width", usable / 2, length, halves))
    each = _curtains(full, halves, curtains)
    asked = size["track"] * size["fullness"]
    for lapped in (True, False):
        joins = [_join(a, b, room, length, lapped=lapped) for names in each for a, b in pairwise(names)]
        if widths * room.usable_mm - _lost(joins, room) >= LEAST_FULLNESS * asked:
            break
    seams = list(joins)
    if curtains == 2:  # where the two curtains meet, rows stand level
        seams.append(_level(each[0][-1], each[1][0], room, length))
    return Draft(tuple(rows), tuple(seams), findings=_findings(widths, curtains, size, room, joins))


def _curtains(full: int, halves: int, curtains: int) -> list[list[str]]:
    """Copies of each curtain from left to right; half widths hang at the outer edges."""
    panels = [f"width#{n}" for n in range(1, full + 1)]
    if curtains == 1:
        return [panels]
    half = len(panels) // 2
    left, right = panels[:half], panels[half:]
    if halves:
        left, right = ["half width#1", *left], [*right, "half width#2"]
    return [left, right]


def _panel_mm(name: str, room: Room) -> float:
    return room.usable_mm / 2 if name.startswith("half") else room.usable_mm


def _join(left: str, right: str, room: Room, length: float, *, lapped: bool) -> SeamRow:
    """Seam whose lines lie whole columns apart where the left panel holds one at least.

    The half width on the right is the other half of the width that the left one is cut from: its seam
    line lies as far in as brings it to a column when the two lie side by side on the cloth.
    """
    span, start = _panel_mm(left, room) - 2 * JOIN_MM, JOIN_MM
    column = room.column_mm
    if column is not None and span >= column:
        span = math.floor(span / column + WHOLE) * column
        lap = -_panel_mm(right, room) % column if right.startswith("half") else 0.0
        start += lap if lapped and lap <= MOST_LAP * _panel_mm(right, room) else 0.0
    height = length * MATCH_AT
    return SeamRow(left, (JOIN_MM + span, height), right, (start, height), "both")


def _level(left: str, right: str, room: Room, length: float) -> SeamRow:
    height = length * MATCH_AT
    return SeamRow(left, (_panel_mm(left, room) - JOIN_MM, height), right, (JOIN_MM, height), "level")


def _lost(joins: Sequence[SeamRow], room: Room) -> float:
    """Width that the joins take up, in mm."""
    return sum(_panel_mm(j.first, room) - j.at_first[0] + j.at_second[0] for j in joins)


def _findings(
    widths: int, curtains: int, size: Mapping[str, float], room: Room, joins: Sequence[SeamRow]
) -> tuple[Finding, ...]:
    real = (widths * room.usable_mm - _lost(joins, room)) / size["track"]
    told = finding("curtain-widths", widths=widths, curtains=curtains, fullness=real)
    column = room.column_mm
    if column is None or not joins or room.usable_mm - 2 * JOIN_MM < column:
        return (told,)
    columns = math.floor((room.usable_mm - 2 * JOIN_MM) / column + WHOLE)
    return told, finding("curtain-joins", columns=columns)


KIND = Kind(
    "curtain",
    "Curtains",
    "Curtains from full widths of cloth, hem and heading included in the cut drop, joins matched both ways.",
    SIZES,
    draw,
    cloth=CURTAINING,
)
