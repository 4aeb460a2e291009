"""Pyjamas: trousers with a drawn-in waist, alone or with a jacket."""

from __future__ import annotations

from printcheck.project.kinds.draft import SEAM_MM, Draft, PieceRow, Room, Values, sewn
from printcheck.project.kinds.garments import tops
from printcheck.project.kinds.garments.trousers import leg_of_height, legs
from printcheck.project.kinds.rows import kind


def _trousers(size: Values, room: Room) -> Draft:
    cut = legs(size["hip"], size["ease"], size["leg"], top=size["casing"], hem=size["hem"])
    return Draft((cut.front, cut.back), cut.seams)


def _pyjamas(size: Values, room: Room) -> Draft:
    """Trousers and a jacket; the side seam of a front lies on the left, the centre front on the right."""
    cut = legs(size["hip"], size["ease"], size["leg"], top=size["casing"], hem=size["hem"], prefix="trouser ")
    half, length = (size["bust"] + size["ease"]) / 4, size["length"] + SEAM_MM + size["jacket_hem"]
    block = tops.Block(size["bust"], size["ease"], half, length)
    beyond, sleeve = size["overlap"] + size["facing"], block.sleeve(size["sleeve"], size["jacket_hem"])
    front, back = block.pair("jacket front", beyond), block.whole("jacket back", back=True)
    collar = tops.neck_mm(size["bust"]) + 2 * SEAM_MM
    wide, high = size["pocket_width"] + 2 * SEAM_MM, size["pocket_height"] + size["pocket_hem"] + 2 * SEAM_MM
    pocket = PieceRow("pocket", wide, high, on_border=False)
    at = (
        beyond + size["pocket_in"],
        SEAM_MM + min(size["pocket_down"], length / 2),
    )  # on the wearer's left front
    return Draft(
        (
            cut.front,
            cut.back,
            front,
            back,
            sleeve,
            PieceRow("collar", collar, size["collar"] + 2 * SEAM_MM, 2, on_border=False),
            pocket,
        ),
        (
            *cut.seams,
            *block.seams(front, back, sleeve, beyond),
            sewn("pocket", "jacket front#2", at, "pocket#1", (SEAM_MM, SEAM_MM + size["pocket_hem"]), "both"),
        ),
    )


KINDS = (
    kind("pyjamas", _pyjamas, leg=leg_of_height),
    kind("pyjama-trousers", _trousers, leg=leg_of_height),
)
