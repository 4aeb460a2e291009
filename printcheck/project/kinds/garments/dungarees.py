"""A child's dungarees by height."""

from __future__ import annotations

from printcheck.project.kinds.body import CHILDREN
from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    Kind,
    PieceRow,
    PlaceRow,
    Room,
    Size,
    Values,
    seam_between,
)
from printcheck.project.kinds.garments.trousers import leg_of_height, legs

# shares of the child's height, from memory
HIP_SHARE, BIB_WIDE_SHARE, BIB_HIGH_SHARE, STRAP_SHARE = 0.57, 0.19, 0.16, 0.5
EASE_SHARE = 0.15  # of the height: room for crawling and climbing, from memory
HEM_MM = 40.0  # mm: to let down later, common practice
STRAP_MM, POCKET_MM, POCKET_HEM_MM = 70.0, 130.0, 20.0  # mm: strap, pocket and its hem as cut, from memory


def draw(size: Values, room: Room) -> Draft:
    """Two fronts, two backs, two bibs, two straps, a pocket; the bib's middle lies on a motif."""
    tall = size["height"]
    cut = legs(HIP_SHARE * tall, EASE_SHARE * tall, leg_of_height(size), top=SEAM_MM, hem=HEM_MM)
    bib = PieceRow(
        "bib", BIB_WIDE_SHARE * tall + 2 * SEAM_MM, BIB_HIGH_SHARE * tall + 2 * SEAM_MM, 2, on_border=False
    )
    pocket = PieceRow("pocket", POCKET_MM, POCKET_MM, on_border=False)
    on_bib = (bib.width_mm / 2 - POCKET_MM / 2 + SEAM_MM, bib.length_mm / 2)
    return Draft(
        (
            cut.front,
            cut.back,
            bib,
            PieceRow("strap", STRAP_MM, STRAP_SHARE * tall, 2, on_border=False),
            pocket,
        ),
        (
            *cut.seams,
            seam_between("pocket", (bib, on_bib), (pocket, (SEAM_MM, SEAM_MM + POCKET_HEM_MM)), "both"),
        ),
        (PlaceRow("bib#1", (bib.width_mm / 2, bib.length_mm / 2)),),
    )


KIND = Kind(
    "dungarees",
    "Child's dungarees",
    "Dungarees for a child of the given height; cut sizes, 1.5 cm of allowance.",
    {"height": Size("104 cm", "height of the child", least=450, most=1900)},
    draw,
    group="clothes",
    also=("dungaree", "child's-dungaree", "children's-dungaree", "childs-dungaree"),
    body=CHILDREN,
    findings=("childrens-rules",),
    unmatched="inside legs, straps and the seam of bib and waist",
)
