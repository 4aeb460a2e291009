"""Bags, bunting and bias binding."""

from __future__ import annotations

import math

from printcheck.core.findings import finding
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


def draw_bag(size: Values, room: Room) -> Draft:
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


BAG = Kind(
    "bag",
    "Tote bag",
    "A flat bag with two straps and a motif in the middle of its front; cut sizes, 1.5 cm of allowance.",
    {
        "width": Size("38 cm", "finished width", least=100, most=1200),
        "height": Size("42 cm", "finished height", least=100, most=1200),
        "handle": Size("65 cm", "length of each strap", least=100, most=1500),
        "strap": Size("3 cm", "finished width of a strap", least=10, most=100),
    },
    draw_bag,
    group="small things",
    also=("tote", "tote-bag", "shopper"),
    unmatched="the bottom and the straps",
)


SMALL_SEAM_MM = 6.0  # mm: seams that close a square to a tube, common practice (1/4 in)
MOST_SQUARES = 12  # more lie in no layout that is worth the wait


def draw_binding(size: Values, room: Room) -> Draft:
    """Squares whose area is the binding's: side = root of run times width, and their seams."""
    area = size["run"] * size["width"]
    squares = 1
    while squares < MOST_SQUARES and math.sqrt(area / squares) + 2 * SMALL_SEAM_MM > room.usable_mm:
        squares += 1
    side = math.sqrt(area / squares) + 2 * SMALL_SEAM_MM
    return Draft(
        (PieceRow("square", side, side, squares),),
        findings=(finding("binding-squares", squares=squares, side_mm=side),),
    )


BINDING = Kind(
    "binding",
    "Bias binding",
    "Continuous bias binding: a square slit on its diagonal, closed to a tube and cut round and round.",
    {
        "run": Size("5 m", "length of binding", least=100, most=100_000),
        "width": Size("4 cm", "width of the strip as cut", least=10, most=200),
    },
    draw_binding,
    group="small things",
    also=("bias-binding", "bias-tape", "bias"),
    unmatched="everything: the print runs at a slant",
)


def draw_bunting(size: Values, room: Room) -> Draft:
    """Triangles with their point down; nothing is matched, and each has its own bit of the print."""
    half, high = size["width"] / 2, size["height"]
    slant = math.hypot(half, high)
    # a seam of equal depth round the triangle: the same shape, larger by the share of its inner circle
    share = 1 + SMALL_SEAM_MM * (half + slant) / (half * high)
    wide, long = 2 * half * share, high * share
    flag = PieceRow(
        "flag", wide, long, 2 * int(size["count"]), outline=((0.0, 0.0), (wide, 0.0), (wide / 2, long))
    )
    return Draft((flag,))


BUNTING = Kind(
    "bunting",
    "Bunting",
    "Pennants of two triangles each, 6 mm of seam; the tape is not reckoned.",
    {
        "width": Size("18 cm", "finished width of a pennant", least=30, most=600),
        "height": Size("22 cm", "finished height of a pennant", least=30, most=600),
        "count": Size("10", "how many pennants", kind="count", most=30),
    },
    draw_bunting,
    group="small things",
    also=("pennants", "flags"),
    unmatched="everything: each pennant stands for itself",
)

KINDS = (BAG, BINDING, BUNTING)
