"""Gathered and A-line skirts."""

from __future__ import annotations

from printcheck.core.findings import finding
from printcheck.core.lattice import Vector
from printcheck.project.kinds.breadth import count_of_widths
from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    PieceRow,
    PlaceRow,
    Room,
    SeamRow,
    Values,
    centre_seam,
    seams_at_both_sides,
)
from printcheck.project.kinds.rows import kind

BAND_EASE_MM = 40.0  # mm: overlap of the waistband for a button, common practice
MATCH_BELOW_MM = 200.0  # mm: side seams are matched at the hip, where they are seen; from memory


def draw_skirt(size: Values, room: Room) -> Draft:
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


DARTS_MM = 60.0  # mm: taken up by the darts of a front or of both backs, common practice
EASE_MM = 40.0  # mm: room round the hip, common practice
HIP_BELOW_MM = 200.0  # mm: the hip lies about 20 cm below the waist, common practice
HIP_LINE_SHARE = 0.4  # of the length: where the hip line stands in a skirt shorter than usual


def _half(size: Values, length: float) -> tuple[Vector, Vector, Vector]:
    """Side seam of half a front, from waist over hip to foot, each as (half width, below the cut waist)."""
    hip_at = SEAM_MM + min(HIP_BELOW_MM, HIP_LINE_SHARE * size["length"])
    waist = (size["waist"] / 2 + DARTS_MM) / 2
    hip = max(waist, (size["hip"] + EASE_MM) / 4)
    return (waist, 0.0), (hip, hip_at), (hip + size["flare"], length)


def draw_aline_skirt(size: Values, room: Room) -> Draft:
    """Front on the fold, a motif at its centre; backs drawn with the side seam left and the centre right."""
    length = size["length"] + SEAM_MM + size["hem"]
    side = _half(size, length)
    reach = side[2][0] + SEAM_MM  # of half a front with the allowance of its side
    wide = [(reach + half + SEAM_MM, at) for half, at in side]
    front = PieceRow(
        "front",
        2 * reach,
        length,
        on_fold=True,
        outline=(*[(2 * reach - x, y) for x, y in wide], *reversed(wide)),
    )
    centre = reach + SEAM_MM
    left = [(reach - half - SEAM_MM, at) for half, at in side]
    back = PieceRow(
        "back", centre, length, 2, mirrored=True, outline=(*left, (centre, length), (centre, 0.0))
    )
    hip = side[1]
    on_side = (reach - hip[0], hip[1])
    band = size["waist"] + BAND_EASE_MM + 2 * SEAM_MM
    return Draft(
        (
            front,
            back,
            PieceRow("waistband", 2 * size["band"] + 2 * SEAM_MM, band, on_border=False),
        ),
        (
            centre_seam("centre back", back, (centre - SEAM_MM, hip[1])),
            *seams_at_both_sides("side", (front, on_side), (back, on_side), crossed=True),
        ),
        (PlaceRow("front#1", (reach, hip[1])),),
    )


KINDS = kind("skirt", draw_skirt), kind("a-line-skirt", draw_aline_skirt)
