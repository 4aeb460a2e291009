"""A flat tote bag with two straps."""

from __future__ import annotations

from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    Kind,
    PieceRow,
    PlaceRow,
    Room,
    SeamRow,
    Size,
    Values,
)

TOP_HEM_MM = 40.0  # mm: hem at the top of a bag, as cut; common practice


def draw(size: Values, room: Room) -> Draft:
    """Two sides with a motif in the middle of the front, two straps cut along the cloth."""
    wide, high = size["width"] + 2 * SEAM_MM, size["height"] + SEAM_MM + TOP_HEM_MM
    strap = 2 * size["strap"] + 2 * SEAM_MM
    middle = high / 2
    return Draft(
        (
            PieceRow("side", wide, high, 2, on_fold=True),
            PieceRow("strap", strap, size["handle"] + 2 * SEAM_MM, 2, on_border=False),
        ),
        (
            SeamRow("side", "side#1", (wide - SEAM_MM, middle), "side#2", (SEAM_MM, middle), "level"),
            SeamRow("side", "side#2", (wide - SEAM_MM, middle), "side#1", (SEAM_MM, middle), "level"),
        ),
        (PlaceRow("side#1", (wide / 2, middle)),),
    )


KIND = Kind(
    "bag",
    "Tote bag",
    "A flat bag with two straps and a motif in the middle of its front; cut sizes, 1.5 cm of allowance.",
    {
        "width": Size("38 cm", "finished width", least=100, most=1200),
        "height": Size("42 cm", "finished height", least=100, most=1200),
        "handle": Size("65 cm", "length of each strap", least=100, most=1500),
        "strap": Size("3 cm", "finished width of a strap", least=10, most=100),
    },
    draw,
    group="small things",
    also=("tote", "tote-bag", "shopper"),
    unmatched="the bottom and the straps",
)
