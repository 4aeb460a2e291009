"""A child's dungarees, height 104 cm as they stand, each piece given by its box."""

from __future__ import annotations

from collections.abc import Mapping

from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, PlaceRow, Room, SeamRow, Size

# shares of the child's height, from memory; ease for crawling and climbing included
HIP_SHARE, LEG_SHARE = 0.72, 0.62
HOOK_SHARE, BIB_WIDE_SHARE, BIB_HIGH_SHARE, STRAP_SHARE = 0.05, 0.19, 0.16, 0.5
HEM_MM = 40.0  # mm: to let down later, common practice
STRAP_MM, POCKET_MM = 70.0, 130.0  # mm: strap and bib pocket as cut, from memory

SIZES = {"height": Size("104 cm", "height of the child", least=500, most=1700)}


def draw(size: Mapping[str, float], room: Room) -> Draft:
    """Two fronts, two backs, two bibs, two straps, a pocket; the bib's middle lies on a motif.

    As drawn, the side seam of a front and of a back lies on the left and the centre on the right.
    """
    tall = size["height"]
    hook = HOOK_SHARE * tall
    leg = HIP_SHARE * tall / 4 + hook + 2 * SEAM_MM
    length = LEG_SHARE * tall + SEAM_MM + HEM_MM
    bib = (BIB_WIDE_SHARE * tall + 2 * SEAM_MM, BIB_HIGH_SHARE * tall + 2 * SEAM_MM)
    low, line = length * 0.2, hook + SEAM_MM  # 0.2: above the crotch curve
    pocket_on_bib = (bib[0] / 2 - POCKET_MM / 2 + SEAM_MM, bib[1] / 2)
    return Draft(
        (
            PieceRow("front", leg, length, 2, mirrored=True),
            PieceRow("back", leg, length, 2, mirrored=True),
            PieceRow("bib", *bib, 2),
            PieceRow("strap", STRAP_MM, STRAP_SHARE * tall, 2),
            PieceRow("pocket", POCKET_MM, POCKET_MM),
        ),
        (
            SeamRow("front#1", (leg - line, low), "front#2", (line, low), "both"),
            SeamRow("back#1", (leg - line, low), "back#2", (line, low), "both"),
            SeamRow("front#1", (SEAM_MM, low), "back#2", (leg - SEAM_MM, low), "level"),
            SeamRow("front#2", (leg - SEAM_MM, low), "back#1", (SEAM_MM, low), "level"),
            SeamRow("bib#1", pocket_on_bib, "pocket#1", (SEAM_MM, SEAM_MM + HEM_MM / 2), "both"),
        ),
        (PlaceRow("bib#1", (bib[0] / 2, bib[1] / 2)),),
    )


KIND = Kind(
    "dungarees",
    "Child's dungarees",
    "Dungarees for a child of the given height; pieces are given by their boxes, cut sizes.",
    SIZES,
    draw,
    findings=("childrens-rules",),
)
