"""Things for table and bed, cushions and quilts."""

from __future__ import annotations

import math

from printcheck.core.findings import finding
from printcheck.core.plan import Place, Seam
from printcheck.project.kinds.breadth import panel_rows
from printcheck.project.kinds.draft import SEAM_MM, Draft, PieceRow, Room, Values
from printcheck.project.kinds.rows import kind


def draw_napkin(size: Values, room: Room) -> Draft:
    """Squares with a double hem all round; nothing is matched."""
    side = size["size"] + 4 * size["hem"]
    return Draft((PieceRow("napkin", side, side, int(size["count"])),))


def draw_tablecloth(size: Values, room: Room) -> Draft:
    """One rectangle with a double hem all round."""
    hems = 4 * size["hem"]
    rows, seams = panel_rows("cloth", size["width"] + hems, size["length"] + hems, room)
    return Draft(rows, seams)


def draw_duvet(size: Values, room: Room) -> Draft:
    """Front and back of the cover; joins of the back are not seen on the made bed."""
    wide, high = size["width"] + 2 * SEAM_MM, size["length"] + SEAM_MM + size["foot_hem"]
    front, seams = panel_rows("front", wide, high, room)
    back, hidden = panel_rows("back", wide, high, room, visible=False)
    pillows = int(size["pillows"])
    across, down = size["pillow_width"] + 2 * SEAM_MM, size["pillow_length"] + SEAM_MM + size["flap_hem"]
    cases = (
        PieceRow("pillow front", across, down, pillows),
        PieceRow("pillow back", across, down + size["flap"], pillows),
    )
    return Draft((*front, *back, *(cases if pillows else ())), (*seams, *hidden))


def draw_cushion(size: Values, room: Room) -> Draft:
    """Fronts with a motif in the middle; two backs that lap over each other."""
    side, count = size["size"] + 2 * SEAM_MM, int(size["count"])
    back = size["size"] / 2 + size["overlap"] / 2 + SEAM_MM + size["back_hem"]
    places = tuple(Place(f"front#{n}", (side / 2, side / 2)) for n in range(1, count + 1))
    return Draft(
        (
            PieceRow("front", side, side, count, on_fold=True),
            PieceRow("back", side, back, 2 * count, on_border=False),
        ),
        places=places,
    )


Panels = tuple[tuple[PieceRow, ...], tuple[Seam, ...]]


def draw_backing(size: Values, room: Room) -> Draft:
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


KINDS = (
    kind("napkin", draw_napkin),
    kind("tablecloth", draw_tablecloth),
    kind("duvet", draw_duvet),
    kind("cushion", draw_cushion),
    kind("backing", draw_backing),
)
