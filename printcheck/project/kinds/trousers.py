"""Pyjama trousers with a drawn-in waist: two fronts, two backs, each given by its box."""

from __future__ import annotations

from collections.abc import Mapping

from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, Room, SeamRow, Size

EASE_MM = 140.0  # mm: room round the hip of pyjamas, from memory
FRONT_HOOK_MM, BACK_HOOK_MM = 45.0, 110.0  # mm: how far the crotch reaches past the centre line, from memory
BACK_RISE_MM = 30.0  # mm: a back is cut higher than a front, from memory
CASING_MM, HEM_MM = 50.0, 40.0  # mm: turned down at the waist and up at the leg, common practice
MATCH_BELOW_MM = 180.0  # mm: below the cut waist; above the crotch curve

SIZES = {
    "hip": Size("100 cm", "hip", least=400, most=2000),
    "leg": Size("104 cm", "outer leg, waist to ankle", least=200, most=1500),
}


def draw(size: Mapping[str, float], room: Room) -> Draft:
    """Fronts and backs; centre seams matched both ways, side seams level.

    As drawn, the side seam of a front and of a back lies on the left and the centre on the right.
    """
    quarter = (size["hip"] + EASE_MM) / 4
    front = quarter + FRONT_HOOK_MM + 2 * SEAM_MM
    back = quarter + BACK_HOOK_MM + 2 * SEAM_MM
    length = size["leg"] + CASING_MM + HEM_MM
    low = min(MATCH_BELOW_MM, length / 3)
    front_line, back_line = FRONT_HOOK_MM + SEAM_MM, BACK_HOOK_MM + SEAM_MM
    back_low = low + BACK_RISE_MM
    return Draft(
        (
            PieceRow("front", front, length, 2, mirrored=True),
            PieceRow("back", back, length + BACK_RISE_MM, 2, mirrored=True),
        ),
        (
            SeamRow("front#1", (front - front_line, low), "front#2", (front_line, low), "both"),
            SeamRow("back#1", (back - back_line, back_low), "back#2", (back_line, back_low), "both"),
            SeamRow("front#1", (SEAM_MM, low), "back#2", (back - SEAM_MM, back_low), "level"),
            SeamRow("front#2", (front - SEAM_MM, low), "back#1", (SEAM_MM, back_low), "level"),
        ),
    )


KIND = Kind(
    "trousers",
    "Pyjama trousers",
    "Trousers with a drawn-in waist, size M as it stands; pieces are given by their boxes, cut sizes.",
    SIZES,
    draw,
    findings=("nightwear-rules",),
)
