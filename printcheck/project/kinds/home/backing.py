"""The backing of a quilt: joined along or across the quilt, whichever takes less cloth."""

from __future__ import annotations

import math

from printcheck.core.findings import finding
from printcheck.project.kinds.breadth import panel_rows
from printcheck.project.kinds.draft import Draft, Kind, PieceRow, Room, SeamRow, Size, Values

Panels = tuple[tuple[PieceRow, ...], tuple[SeamRow, ...]]


def draw(size: Values, room: Room) -> Draft:
    """One panel or joined widths; a print with an up keeps it, plain cloth may run across the quilt."""
    wide, long = (size[side] + 2 * size["overhang"] for side in ("width", "length"))
    upright = panel_rows("backing", wide, long, room)
    if room.way in ("one-way", "two-way"):
        return Draft(*upright)
    sideways = panel_rows("backing", long, wide, room)
    if _needed_mm(sideways, room) >= _needed_mm(upright, room):
        return Draft(*upright)
    return Draft(*sideways, findings=(finding("backing-sideways"),))


def _needed_mm(panels: Panels, room: Room) -> float:
    """Cloth by simple count: full widths one below another, narrower pieces side by side."""
    rows, _ = panels
    full = sum(row.count for row in rows if row.width_mm == room.usable_mm)
    narrow = sum(row.width_mm for row in rows if row.width_mm < room.usable_mm)
    return (full + math.ceil(narrow / room.usable_mm)) * rows[0].length_mm


KIND = Kind(
    "backing",
    "Quilt backing",
    "A backing larger than the quilt top all round; joins of printed cloth are matched.",
    {
        "width": Size("150 cm", "width of the quilt top", least=200, most=4000),
        "length": Size("200 cm", "length of the quilt top", least=200, most=4000),
        "overhang": Size("10 cm", "by which the backing is larger at each side", least=0, most=300),
    },
    draw,
    group="home",
    also=("quilt-backing", "quilt-back"),
)
