"""Pyjamas: trousers with a drawn-in waist, alone or with a jacket."""

from __future__ import annotations

from printcheck.project.kinds.body import WOMEN
from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    Kind,
    PieceRow,
    Room,
    SeamRow,
    Size,
    Values,
)
from printcheck.project.kinds.garments import tops
from printcheck.project.kinds.garments.trousers import leg_of_height, legs

EASE_MM = 160.0  # mm: room round bust and hip of pyjamas, common practice (14 to 18 cm)
CASING_MM, HEM_MM = 50.0, 40.0  # mm: turned down at the waist and up at the ankle, common practice
OVERLAP_MM, FACING_MM = 20.0, 70.0  # mm: past the centre front, and the facing cut on; from memory
JACKET_HEM_MM = 25.0  # mm: of body and sleeves, common practice
COLLAR_MM = 75.0  # mm: finished height of a flat collar, from memory
POCKET_MM, POCKET_HEM_MM = (130.0, 140.0), 30.0  # mm: breast pocket as finished, from memory
POCKET_AT_MM = (60.0, 210.0)  # mm: its inner upper corner from centre front and shoulder, from memory

TROUSER_SIZES = {
    "size": WOMEN.letter(),
    "hip": WOMEN.measure("hip"),
    "height": Size("168 cm", "height of the body", least=700, most=2300),
    "leg": Size("", "outer leg, waist to ankle", least=200, most=1500, derive=leg_of_height),
}


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
    Kind(
        "pyjamas",
        "Pyjamas",
        "A buttoned jacket and trousers with a drawn-in waist, cut sizes, 1.5 cm of allowance.",
        {
            **TROUSER_SIZES,
            "bust": WOMEN.measure("bust"),
            "length": Size("70 cm", "finished length of the jacket", least=200, most=1300),
            "sleeve": Size("56 cm", "finished length of the sleeve", least=50, most=900),
        },
        _pyjamas,
        group="clothes",
        also=("pajamas",),
        body=WOMEN,
        findings=("nightwear-rules",),
        unmatched="inside legs, shoulders, the back of the armholes and sleeve seams",
    ),
    Kind(
        "pyjama-trousers",
        "Pyjama trousers",
        "Trousers with a drawn-in waist, cut sizes, 1.5 cm of allowance.",
        TROUSER_SIZES,
        _trousers,
        group="clothes",
        also=("pyjama-trouser", "pyjama-bottoms", "pajama-pants"),
        body=WOMEN,
        findings=("nightwear-rules",),
        unmatched="inside legs",
    ),
)
