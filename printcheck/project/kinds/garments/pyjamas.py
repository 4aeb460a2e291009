"""Pyjamas: trousers with a drawn-in waist, alone or with a jacket."""

from __future__ import annotations

from printcheck.project.kinds.draft import SEAM_MM, Draft, PieceRow, Room, SeamRow, Values
from printcheck.project.kinds.garments import tops
from printcheck.project.kinds.garments.trousers import leg_of_height, legs
from printcheck.project.kinds.rows import kind

EASE_MM = 160.0  # mm: room round bust and hip of pyjamas, common practice (14 to 18 cm)
CASING_MM, HEM_MM = 50.0, 40.0  # mm: turned down at the waist and up at the ankle, common practice
OVERLAP_MM, FACING_MM = 20.0, 70.0  # mm: past the centre front, and the facing cut on; from memory
JACKET_HEM_MM = 25.0  # mm: of body and sleeves, common practice
COLLAR_MM = 75.0  # mm: finished height of a flat collar, from memory
POCKET_MM, POCKET_HEM_MM = (130.0, 140.0), 30.0  # mm: breast pocket as finished, from memory
POCKET_AT_MM = (60.0, 210.0)  # mm: its inner upper corner from centre front and shoulder, from memory


def _trousers(size: Values, room: Room) -> Draft:
    cut = legs(size["hip"], EASE_MM, size["leg"], top=CASING_MM, hem=HEM_MM)
    return Draft((cut.front, cut.back), cut.seams)


def _pyjamas(size: Values, room: Room) -> Draft:
    """Trousers and a jacket; the side seam of a front lies on the left, the centre front on the right."""
    cut = legs(size["hip"], EASE_MM, size["leg"], top=CASING_MM, hem=HEM_MM, prefix="trouser ")
    half, length = (size["bust"] + EASE_MM) / 4, size["length"] + SEAM_MM + JACKET_HEM_MM
    block = tops.Block(size["bust"], EASE_MM, half, length)
    beyond, sleeve = OVERLAP_MM + FACING_MM, block.sleeve(size["sleeve"], JACKET_HEM_MM)
    front, back = block.pair("jacket front", beyond), block.whole("jacket back", back=True)
    collar = tops.neck_mm(size["bust"]) + 2 * SEAM_MM
    wide, high = POCKET_MM
    pocket = PieceRow("pocket", wide + 2 * SEAM_MM, high + POCKET_HEM_MM + 2 * SEAM_MM, on_border=False)
    at = (beyond + POCKET_AT_MM[0], SEAM_MM + min(POCKET_AT_MM[1], length / 2))  # on the wearer's left front
    return Draft(
        (
            cut.front,
            cut.back,
            front,
            back,
            sleeve,
            PieceRow("collar", collar, COLLAR_MM + 2 * SEAM_MM, 2, on_border=False),
            pocket,
        ),
        (
            *cut.seams,
            *block.seams(front, back, sleeve, beyond),
            SeamRow("pocket", "jacket front#2", at, "pocket#1", (SEAM_MM, SEAM_MM + POCKET_HEM_MM), "both"),
        ),
    )


KINDS = (
    kind("pyjamas", _pyjamas, leg=leg_of_height),
    kind("pyjama-trousers", _trousers, leg=leg_of_height),
)
