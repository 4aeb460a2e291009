"""A straight dress with short sleeves and a centre back seam."""

from __future__ import annotations

from printcheck.project.kinds.body import WOMEN
from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    Kind,
    PieceRow,
    PlaceRow,
    Room,
    Size,
    Values,
    centre_seam,
    seams_at_both_sides,
)
from printcheck.project.kinds.garments import tops

BUST_EASE_MM, HIP_EASE_MM = 120.0, 120.0  # mm: room of a straight dress, common practice (10 to 14 cm)
HEM_MM, SLEEVE_HEM_MM = 40.0, 25.0  # mm: common practice
FACING_MM = (280.0, 130.0)  # mm: neck facing, from memory


def draw(size: Values, room: Room) -> Draft:
    """A front, two backs, two sleeves, three neck facings; the front's centre lies on a motif.

    As drawn, a back's side seam lies on the left and its centre on the right.
    """
    half = max(size["bust"] + BUST_EASE_MM, size["hip"] + HIP_EASE_MM) / 4
    block = tops.Block(size["bust"], BUST_EASE_MM, half, size["length"] + SEAM_MM + HEM_MM)
    front, back = block.whole("front"), block.pair("back", SEAM_MM, back=True)
    sleeve, low = block.sleeve(size["sleeve"], SLEEVE_HEM_MM), block.side_point_mm
    half_facing = FACING_MM[0] / 2 + SEAM_MM
    return Draft(
        (
            front,
            back,
            sleeve,
            PieceRow("front facing", *FACING_MM, on_border=False, on_fold=True),
            PieceRow("back facing", half_facing, FACING_MM[1], 2, mirrored=True, on_border=False),
        ),
        (
            centre_seam("centre back", back, (back.width_mm - SEAM_MM, low)),
            *seams_at_both_sides("side", (front, (SEAM_MM, low)), (back, (SEAM_MM, low)), crossed=True),
            *block.sleeve_seams(sleeve, front),
        ),
        (PlaceRow("front#1", (front.width_mm / 2, low)),),
    )


KIND = Kind(
    "dress",
    "Dress with sleeves",
    "A straight dress with short sleeves; cut sizes, 1.5 cm of allowance.",
    {
        "size": WOMEN.letter(),
        "bust": WOMEN.measure("bust"),
        "hip": WOMEN.measure("hip"),
        "length": Size("98 cm", "finished length from the shoulder", least=200, most=1800),
        "sleeve": Size("25 cm", "finished length of the sleeve", least=50, most=900),
    },
    draw,
    group="clothes",
    also=("simple-dress", "shift-dress", "dress-with-sleeves"),
    body=WOMEN,
    unmatched="shoulders, the back of the armholes, sleeve seams and facings",
)
