"""A simple straight dress with a centre back seam, each piece given by its box."""

from __future__ import annotations

from collections.abc import Mapping

from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, PlaceRow, Room, SeamRow, Size

EASE_MM = 120.0  # mm: room round the hip of a straight dress, from memory
HEM_MM = 40.0  # mm: common practice
SLEEVE_WIDE_MM, SLEEVE_LONG_MM = 380.0, 250.0  # mm: short sleeve, size M, from memory
FACING_MM = (280.0, 130.0)  # mm: neck facing, from memory
MATCH_BELOW_MM = 320.0  # mm below the shoulder: side seam, clear of the armhole; from memory

SIZES = {
    "hip": Size("100 cm", "hip", least=300, most=2000),
    "length": Size("98 cm", "finished length from the shoulder", least=200, most=1800),
}


def draw(size: Mapping[str, float], room: Room) -> Draft:
    """A front, two backs, two sleeves, three neck facings; the front's centre lies on a motif.

    As drawn, a back's side seam lies on the left and its centre on the right.
    """
    half = (size["hip"] + EASE_MM) / 2
    front, back = half + 2 * SEAM_MM, half / 2 + 2 * SEAM_MM
    length = size["length"] + SEAM_MM + HEM_MM
    low = min(SEAM_MM + MATCH_BELOW_MM, length / 2)
    return Draft(
        (
            PieceRow("front", front, length),
            PieceRow("back", back, length, 2, mirrored=True),
            PieceRow("sleeve", SLEEVE_WIDE_MM + 2 * SEAM_MM, SLEEVE_LONG_MM + 2 * SEAM_MM, 2, mirrored=True),
            PieceRow("front facing", *FACING_MM),
            PieceRow("back facing", FACING_MM[0] / 2 + SEAM_MM, FACING_MM[1], 2, mirrored=True),
        ),
        (
            SeamRow("back#1", (back - SEAM_MM, low), "back#2", (SEAM_MM, low), "both"),
            SeamRow("back#1", (SEAM_MM, low), "front#1", (front - SEAM_MM, low), "level"),
            SeamRow("back#2", (back - SEAM_MM, low), "front#1", (SEAM_MM, low), "level"),
        ),
        (PlaceRow("front#1", (front / 2, low)),),
    )


KIND = Kind(
    "dress",
    "Simple dress",
    "A straight dress with short sleeves, size M as it stands; pieces are given by their boxes, cut sizes.",
    SIZES,
    draw,
)
