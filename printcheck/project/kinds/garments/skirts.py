"""Gathered and A-line skirts."""

from __future__ import annotations

from printcheck.core.findings import finding
from printcheck.core.lattice import Vector
from printcheck.core.plan import Place
from printcheck.project.kinds.breadth import count_of_widths
from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    PieceRow,
    Room,
    Values,
    centre_seam,
    seams_at_both_sides,
    sewn,
)
from printcheck.project.kinds.rows import kind


def draw_skirt(size: Values, room: Room) -> Draft:
    """Two panels, or as many more as the cloth's width asks for; side seams level."""
    around = size["waist"] * size["fullness"]
    panels = max(2, count_of_widths(around, room.usable_mm - 2 * SEAM_MM))
    width = around / panels + 2 * SEAM_MM
    length = size["length"] + SEAM_MM + size["hem"]
    at = min(size["match_below"], length / 2)
    names = [f"panel#{n}" for n in range(1, panels + 1)]
    ring = zip(names, names[1:] + names[:1], strict=True)
    band = size["waist"] + size["band_ease"] + 2 * SEAM_MM
    strips = count_of_widths(band, room.usable_mm)
    strip = (band + (strips - 1) * 2 * SEAM_MM) / strips
    return Draft(
        (
            PieceRow("panel", width, length, panels),
            PieceRow("waistband", strip, 2 * size["band"] + 2 * SEAM_MM, strips, on_border=False),
        ),
        tuple(
            sewn("side" if panels == 2 else "panel", a, (width - SEAM_MM, at), b, (SEAM_MM, at), "level")
            for a, b in ring
        ),
        findings=(finding("skirt-panels", panels=panels, width_mm=width),),
    )


def _half(size: Values, length: float) -> tuple[Vector, Vector, Vector]:
    """Side seam of half a front, from waist over hip to foot, each as (half width, below the cut waist)."""
    hip_at = SEAM_MM + min(size["hip_below"], size["hip_share"] * size["length"])
    waist = (size["waist"] / 2 + size["darts"]) / 2
    hip = max(waist, (size["hip"] + size["ease"]) / 4)
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
    band = size["waist"] + size["band_ease"] + 2 * SEAM_MM
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
        (Place("front#1", (reach, hip[1])),),
    )


KINDS = kind("skirt", draw_skirt), kind("a-line-skirt", draw_aline_skirt)
