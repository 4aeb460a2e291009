"""A gathered skirt: equal panels closed to a ring, and a waistband."""

from __future__ import annotations

from printcheck.core.findings import finding
from printcheck.project.kinds.body import WOMEN
from printcheck.project.kinds.breadth import count_of_widths
from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, Room, SeamRow, Size, Values

BAND_EASE_MM = 40.0  # mm: overlap of the waistband for a button, common practice
MATCH_BELOW_MM = 200.0  # mm: side seams are matched at the hip, where they are seen; from memory


def draw(size: Values, room: Room) -> Draft:
    """Two panels, or as many more as the cloth's width asks for; side seams level."""
    around = size["waist"] * size["fullness"]
    panels = max(2, count_of_widths(around, room.usable_mm - 2 * SEAM_MM))
    width = around / panels + 2 * SEAM_MM
    length = size["length"] + SEAM_MM + size["hem"]
    at = min(MATCH_BELOW_MM, length / 2)
    names = [f"panel#{n}" for n in range(1, panels + 1)]
    ring = zip(names, names[1:] + names[:1], strict=True)
    band = size["waist"] + BAND_EASE_MM + 2 * SEAM_MM
    strips = count_of_widths(band, room.usable_mm)
    strip = (band + (strips - 1) * 2 * SEAM_MM) / strips
    return Draft(
        (
            PieceRow("panel", width, length, panels),
            PieceRow("waistband", strip, 2 * size["band"] + 2 * SEAM_MM, strips, on_border=False),
        ),
        tuple(
            SeamRow("side" if panels == 2 else "panel", a, (width - SEAM_MM, at), b, (SEAM_MM, at), "level")
            for a, b in ring
        ),
        findings=(finding("skirt-panels", panels=panels, width_mm=width),),
    )


KIND = Kind(
    "skirt",
    "Gathered skirt",
    "A skirt of straight panels gathered to a waistband; 1.5 cm of seam allowance is in the pieces.",
    {
        "size": WOMEN.letter(),
        "waist": WOMEN.measure("waist"),
        "length": Size("65 cm", "finished length without the band", least=100, most=1500),
        "fullness": Size("1.8", "cloth for each length of waist", kind="fullness", least=1, most=5),
        "hem": Size("4 cm", "hem", least=0, most=500),
        "band": Size("3.5 cm", "finished height of the waistband", least=10, most=200),
    },
    draw,
    group="clothes",
    also=("gathered-skirt", "dirndl"),
    body=WOMEN,
    unmatched="the waist seam, which gathers hide",
)
