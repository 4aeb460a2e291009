"""Things for table and bed, cushions and quilts."""

from __future__ import annotations

import math

from printcheck.core.findings import finding
from printcheck.project.kinds.breadth import panel_rows
from printcheck.project.kinds.draft import (
    BED_LINEN,
    SEAM_MM,
    Draft,
    Kind,
    PieceRow,
    PlaceRow,
    Room,
    SeamRow,
    Size,
    Values,
)


def draw_napkin(size: Values, room: Room) -> Draft:
    """Squares with a double hem all round; nothing is matched."""
    side = size["size"] + 4 * size["hem"]
    return Draft((PieceRow("napkin", side, side, int(size["count"])),))


NAPKIN = Kind(
    "napkin",
    "Napkins",
    "Square napkins with a double hem all round.",
    {
        "size": Size("40 cm", "side of the finished napkin", least=50, most=1000),
        "count": Size("6", "how many napkins", kind="count", most=60),
        "hem": Size("1 cm", "finished depth of the double hem", least=0, most=100),
    },
    draw_napkin,
    group="home",
    also=("serviette",),
)


def draw_tablecloth(size: Values, room: Room) -> Draft:
    """One rectangle with a double hem all round."""
    hems = 4 * size["hem"]
    rows, seams = panel_rows("cloth", size["width"] + hems, size["length"] + hems, room)
    return Draft(rows, seams)


TABLECLOTH = Kind(
    "tablecloth",
    "Tablecloth",
    "A rectangle with a double hem; joins, where it is wider than the cloth, are matched both ways.",
    {
        "width": Size("130 cm", "finished width", least=100, most=5000),
        "length": Size("180 cm", "finished length", least=100, most=10_000),
        "hem": Size("1 cm", "finished depth of the double hem", least=0, most=200),
    },
    draw_tablecloth,
    group="home",
    also=("table-cloth",),
)


FOOT_HEM_MM = 50.0  # mm: hem at the opening at the foot, as cut; common practice
FLAP_MM = 200.0  # mm: flap that the pillow is tucked behind, common practice
FLAP_HEM_MM = 30.0  # mm: hem of the flap and of the opening, as cut; common practice


def draw_duvet(size: Values, room: Room) -> Draft:
    """Front and back of the cover; joins of the back are not seen on the made bed."""
    wide, high = size["width"] + 2 * SEAM_MM, size["length"] + SEAM_MM + FOOT_HEM_MM
    front, seams = panel_rows("front", wide, high, room)
    back, hidden = panel_rows("back", wide, high, room, visible=False)
    pillows = int(size["pillows"])
    across, down = size["pillow_width"] + 2 * SEAM_MM, size["pillow_length"] + SEAM_MM + FLAP_HEM_MM
    cases = (
        PieceRow("pillow front", across, down, pillows),
        PieceRow("pillow back", across, down + FLAP_MM, pillows),
    )
    return Draft((*front, *back, *(cases if pillows else ())), (*seams, *hidden))


DUVET = Kind(
    "duvet",
    "Duvet set",
    "A duvet cover open at the foot and pillowcases with a flap; cut sizes, 1.5 cm of allowance.",
    {
        "width": Size("140 cm", "finished width of the cover", least=300, most=3000),
        "length": Size("200 cm", "finished length of the cover", least=300, most=3000),
        "pillows": Size("1", "how many pillowcases", kind="count", least=0, most=4),
        "pillow_width": Size("80 cm", "finished width of a pillowcase", least=200, most=1200),
        "pillow_length": Size("80 cm", "finished length of a pillowcase", least=200, most=1200),
    },
    draw_duvet,
    group="home",
    also=("duvet-set", "duvet-cover", "bedding", "bed-linen"),
    cloth=BED_LINEN,
    unmatched="the seams round the edge",
)


OVERLAP_MM = 100.0  # mm: by which the two backs of an envelope cover lap, common practice
BACK_HEM_MM = 30.0  # mm: hem at the opening of each back, common practice


def draw_cushion(size: Values, room: Room) -> Draft:
    """Fronts with a motif in the middle; two backs that lap over each other."""
    side, count = size["size"] + 2 * SEAM_MM, int(size["count"])
    back = size["size"] / 2 + OVERLAP_MM / 2 + SEAM_MM + BACK_HEM_MM
    places = tuple(PlaceRow(f"front#{n}", (side / 2, side / 2)) for n in range(1, count + 1))
    return Draft(
        (
            PieceRow("front", side, side, count, on_fold=True),
            PieceRow("back", side, back, 2 * count, on_border=False),
        ),
        places=places,
    )


CUSHION = Kind(
    "cushion",
    "Cushion covers",
    "Covers with an envelope back and a motif in the middle of each front; cut sizes, 1.5 cm of allowance.",
    {
        "size": Size("45 cm", "side of the finished cover", least=100, most=1200),
        "count": Size("2", "how many covers", kind="count", most=20),
    },
    draw_cushion,
    group="home",
    also=("cushion-cover", "pillow-cover", "throw-pillow"),
    unmatched="the seams round the edge and the opening at the back",
)


Panels = tuple[tuple[PieceRow, ...], tuple[SeamRow, ...]]


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


BACKING = Kind(
    "backing",
    "Quilt backing",
    "A backing larger than the quilt top all round; joins of printed cloth are matched.",
    {
        "width": Size("150 cm", "width of the quilt top", least=200, most=4000),
        "length": Size("200 cm", "length of the quilt top", least=200, most=4000),
        "overhang": Size("10 cm", "by which the backing is larger at each side", least=0, most=300),
    },
    draw_backing,
    group="home",
    also=("quilt-backing", "quilt-back"),
)

KINDS = (NAPKIN, TABLECLOTH, DUVET, CUSHION, BACKING)
