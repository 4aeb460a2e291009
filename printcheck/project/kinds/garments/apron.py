"""A bib apron cut in one, with a pocket, a neck strap and two ties."""

from __future__ import annotations

from printcheck.project.kinds.draft import SEAM_MM, Draft, PieceRow, PlaceRow, Room, Values, seam_between
from printcheck.project.kinds.rows import kind

SIDE_HEM_MM, TOP_HEM_MM, FOOT_HEM_MM = 20.0, 40.0, 40.0  # mm: as cut, common practice
BIB_HIGH_SHARE = 0.31  # of the length, from memory
ARM_STRAIGHT_SHARE = 0.75  # of the cut-away armhole's height: where its curve turns outwards, from memory
NECK_MM, TIE_MM = 600.0, 900.0  # mm: neck strap and each tie, from memory
POCKET_MM = (200.0, 170.0)  # mm: finished, from memory
POCKET_BELOW_SHARE = 0.45  # of the length: upper edge of the pocket, from memory


def draw(size: Values, room: Room) -> Draft:
    """Apron with a motif in the middle of the bib; the pocket runs on in the print."""
    wide = size["width"] + 2 * SIDE_HEM_MM
    high = size["length"] + TOP_HEM_MM + FOOT_HEM_MM
    bib = min(size["bib"] + 2 * SIDE_HEM_MM, wide)
    left, right = (wide - bib) / 2, (wide + bib) / 2
    arm = TOP_HEM_MM + BIB_HIGH_SHARE * size["length"]
    bend = ARM_STRAIGHT_SHARE * arm
    ring = (
        (left, 0.0), (right, 0.0), (right + left / 2, bend), (wide, arm), (wide, high), (0.0, high),
        (0.0, arm), (left / 2, bend),
    )  # fmt: skip
    apron = PieceRow("apron", wide, high, on_fold=True, outline=ring if left > 1 else ())
    pocket_wide = min(POCKET_MM[0], size["width"] / 2)
    pocket = PieceRow(
        "pocket", pocket_wide + 2 * SEAM_MM, POCKET_MM[1] + SEAM_MM + TOP_HEM_MM, on_border=False
    )
    strap = 2 * size["strap"] + 2 * SEAM_MM
    upper = ((wide - pocket_wide) / 2, TOP_HEM_MM + POCKET_BELOW_SHARE * size["length"])
    return Draft(
        (
            apron,
            pocket,
            PieceRow("neck strap", strap, NECK_MM, on_border=False),
            PieceRow("tie", strap, TIE_MM, 2, on_border=False),
        ),
        (seam_between("pocket", (apron, upper), (pocket, (SEAM_MM, TOP_HEM_MM)), "both"),),
        (PlaceRow("apron#1", (wide / 2, TOP_HEM_MM + BIB_HIGH_SHARE * size["length"] / 2)),),
    )


KIND = kind("apron", draw)
