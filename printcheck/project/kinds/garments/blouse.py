"""A blouse: buttoned fronts with the facing cut on, a whole back, set-in sleeves, a stand-up collar."""

from __future__ import annotations

from printcheck.project.kinds.body import WOMEN
from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, Room, Size, Values
from printcheck.project.kinds.garments import tops

EASE_MM = 120.0  # mm: room round the bust, common practice (10 to 14 cm)
OVERLAP_MM = 20.0  # mm: from centre front to the edge, common practice
FACING_MM = 60.0  # mm: front facing cut in one with the front, from memory
HEM_MM = 20.0  # mm: common practice
COLLAR_MM = 35.0  # mm: finished height of the collar, from memory


def draw(size: Values, room: Room) -> Draft:
    """As drawn, the side seam of a front lies on the left and the centre front on the right."""
    half, length = (size["bust"] + EASE_MM) / 4, size["length"] + SEAM_MM + HEM_MM
    block = tops.Block(size["bust"], EASE_MM, half, length)
    beyond, sleeve = OVERLAP_MM + FACING_MM, block.sleeve(size["sleeve"], HEM_MM)
    front, back = block.pair("front", beyond), block.whole("back", back=True)
    collar = tops.neck_mm(size["bust"]) + 2 * OVERLAP_MM + 2 * SEAM_MM
    return Draft(
        (front, back, sleeve, PieceRow("collar", collar, COLLAR_MM + 2 * SEAM_MM, 2, on_border=False)),
        block.seams(front, back, sleeve, beyond),
    )


KIND = Kind(
    "blouse",
    "Blouse",
    "Buttoned in front, sleeves set in, a small stand-up collar; cut sizes, 1.5 cm of allowance.",
    {
        "size": WOMEN.letter(),
        "bust": WOMEN.measure("bust"),
        "length": Size("62 cm", "finished length at the back", least=200, most=1200),
        "sleeve": Size("45 cm", "finished length of the sleeve", least=50, most=900),
    },
    draw,
    group="clothes",
    also=("top", "tunic"),
    body=WOMEN,
    unmatched="shoulders, the back of the armholes, sleeve seams and collar",
)
