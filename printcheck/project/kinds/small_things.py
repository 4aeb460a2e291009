"""Bags, bunting and bias binding."""

from __future__ import annotations

import math

from printcheck.core.findings import finding
from printcheck.core.plan import Place
from printcheck.project.kinds.draft import SEAM_MM, Draft, PieceRow, Room, Values, sewn
from printcheck.project.kinds.rows import kind


def draw_bag(size: Values, room: Room) -> Draft:
    """Two sides with a motif in the middle of the front, two straps cut along the cloth."""
    wide, high = size["width"] + 2 * SEAM_MM, size["height"] + SEAM_MM + size["top_hem"]
    strap = 2 * size["strap"] + 2 * SEAM_MM
    middle = high / 2
    return Draft(
        (
            PieceRow("side", wide, high, 2, on_fold=True),
            PieceRow("strap", strap, size["handle"] + 2 * SEAM_MM, 2, on_border=False),
        ),
        (
            sewn("side", "side#1", (wide - SEAM_MM, middle), "side#2", (SEAM_MM, middle), "level"),
            sewn("side", "side#2", (wide - SEAM_MM, middle), "side#1", (SEAM_MM, middle), "level"),
        ),
        (Place("side#1", (wide / 2, middle)),),
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


KINDS = kind("bag", draw_bag), kind("binding", draw_binding), kind("bunting", draw_bunting)
