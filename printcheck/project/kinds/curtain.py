"""Curtains: full widths of cloth joined side by side, the figure running on across every join."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

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
    seams = [seam for names in each for seam in (_join(a, b, room, length) for a, b in pairwise(names))]
    if curtains == 2:  # where the two curtains meet, rows stand level
        seams.append(_level(each[0][-1], each[1][0], room, length))
    return Draft(tuple(rows), tuple(seams), notes=(_note(widths, curtains, size, room),))


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


def _join(left: str, right: str, room: Room, length: float) -> SeamRow:
    """Seam whose lines lie whole columns apart where the left panel holds one at least."""
    width = _panel_mm(left, room)
    span = width - 2 * JOIN_MM
    column = room.column_mm
    if column is not None and span >= column:
        span = math.floor(span / column + 1e-9) * column
    height = length * MATCH_AT
    return SeamRow(left, (JOIN_MM + span, height), right, (JOIN_MM, height), "both")


def _level(left: str, right: str, room: Room, length: float) -> SeamRow:
    height = length * MATCH_AT
    return SeamRow(left, (_panel_mm(left, room) - JOIN_MM, height), right, (JOIN_MM, height), "level")


def _note(widths: int, curtains: int, size: Mapping[str, float], room: Room) -> str:
    real = widths * room.usable_mm / size["track"]
    told = f"{widths} width{'s' * (widths > 1)} of cloth for {curtains} curtain{'s' * (curtains > 1)}, "
    told += f"{real:.2f} times the track."
    column = room.column_mm
    if column is None or room.usable_mm - 2 * JOIN_MM < column or widths < 2:
        return told
    columns = math.floor((room.usable_mm - 2 * JOIN_MM) / column + 1e-9)
    return f"{told} Joins lap over so that the seam lines lie {columns} columns apart."


KIND = Kind(
    "curtain",
    "Curtains",
    "Curtains from full widths of cloth, hem and heading included in the cut drop, joins matched both ways.",
    SIZES,
    draw,
    cloth=CURTAINING,
)
