"""A camp-collar shirt with short sleeves and a pocket, each piece given by its box."""

from __future__ import annotations

from collections.abc import Mapping

from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, PlaceRow, Room, SeamRow, Size

EASE_MM = 160.0  # mm: room round the chest of a loose shirt, from memory
OVERLAP_MM = 20.0  # mm: from centre front to the edge, half a button band; from memory
FACING_MM = 70.0  # mm: front facing cut in one with the front, from memory
HEM_MM = 25.0  # mm: hem of body and sleeves, common practice
SLEEVE_WIDE_MM, SLEEVE_LONG_MM = 420.0, 240.0  # mm: sleeve, size M, from memory
COLLAR_WIDE_MM, COLLAR_HIGH_MM = 430.0, 75.0  # mm: collar, size M, from memory
POCKET_MM = (125.0, 140.0)  # mm: pocket as finished, from memory
POCKET_AT_MM = (70.0, 200.0)  # mm: its inner upper corner from centre front and shoulder, from memory
ARMHOLE_MM = 230.0  # mm: shoulder to underarm, from memory

SIZES = {
    "chest": Size("100 cm", "chest", least=400, most=2000),
    "length": Size("74 cm", "finished length at the back", least=200, most=1500),
}


def draw(size: Mapping[str, float], room: Room) -> Draft:
    """Two fronts, a back, two sleeves, collar and under collar, a pocket.

    As drawn, the side seam of a front lies on the left and the centre front on the right.
    """
    half = (size["chest"] + EASE_MM) / 2
    front = half / 2 + OVERLAP_MM + FACING_MM + SEAM_MM
    back = half + 2 * SEAM_MM
    length = size["length"] + SEAM_MM + HEM_MM
    centre = OVERLAP_MM + FACING_MM  # from the front's inner edge to its centre line
    low = min(
        SEAM_MM + ARMHOLE_MM + 60.0, length * 0.8
    )  # 60 mm below the armhole: side seam, clear of curves
    wide, high = POCKET_MM[0] + 2 * SEAM_MM, POCKET_MM[1] + 2 * SEAM_MM + HEM_MM
    on_front = (front - centre - POCKET_AT_MM[0] - POCKET_MM[0], SEAM_MM + POCKET_AT_MM[1])
    notch = (SLEEVE_WIDE_MM + 2 * SEAM_MM) * 0.3  # front notch of the sleeve's head, from memory
    cap = SEAM_MM + 90.0  # mm down the sleeve's head to the notch, from memory
    arm = SEAM_MM + 150.0  # mm down the front to the notch, from memory
    sleeve = SLEEVE_WIDE_MM + 2 * SEAM_MM
    return Draft(
        (
            PieceRow("front", front, length, 2, mirrored=True),
            PieceRow("back", back, length),
            PieceRow("sleeve", sleeve, SLEEVE_LONG_MM + SEAM_MM + HEM_MM, 2, mirrored=True),
            PieceRow("collar", COLLAR_WIDE_MM + 2 * SEAM_MM, COLLAR_HIGH_MM + 2 * SEAM_MM, 2),
            PieceRow("pocket", wide, high),
        ),
        (
            SeamRow("front#1", (front - centre, low), "front#2", (centre, low), "both"),
            SeamRow("front#1", (SEAM_MM, low), "back#1", (back - SEAM_MM, low), "level"),
            SeamRow("front#2", (front - SEAM_MM, low), "back#1", (SEAM_MM, low), "level"),
            SeamRow("front#1", on_front, "pocket#1", (SEAM_MM, SEAM_MM + HEM_MM), "both"),
            SeamRow("sleeve#1", (notch, cap), "front#1", (SEAM_MM, arm), "level"),
            SeamRow("sleeve#2", (sleeve - notch, cap), "front#2", (front - SEAM_MM, arm), "level"),
        ),
        (PlaceRow("back#1", (back / 2, low)),),
    )


KIND = Kind(
    "shirt",
    "Camp-collar shirt",
    "A loose shirt with short sleeves, size M as it stands; pieces are given by their boxes, cut sizes.",
    SIZES,
    draw,
)
