"""Bias binding cut in one run from squares of cloth."""

from __future__ import annotations

import math

from printcheck.core.findings import finding
from printcheck.project.kinds.draft import Draft, Kind, PieceRow, Room, Size, Values

SEAM_MM = 6.0  # mm: seams that close a square to a tube, common practice (1/4 in)
MOST_SQUARES = 12  # more lie in no layout that is worth the wait


def draw(size: Values, room: Room) -> Draft:
    """Squares whose area is the binding's: side = root of run times width, and their seams."""
    area = size["run"] * size["width"]
    squares = 1
    while squares < MOST_SQUARES and math.sqrt(area / squares) + 2 * SEAM_MM > room.usable_mm:
        squares += 1
    side = math.sqrt(area / squares) + 2 * SEAM_MM
    return Draft(
        (PieceRow("square", side, side, squares),),
        findings=(finding("binding-squares", squares=squares, side_mm=side),),
    )


KIND = Kind(
    "binding",
    "Bias binding",
    "Continuous bias binding: a square slit on its diagonal, closed to a tube and cut round and round.",
    {
        "run": Size("5 m", "length of binding", least=100, most=100_000),
        "width": Size("4 cm", "width of the strip as cut", least=10, most=200),
    },
    draw,
    group="small things",
    also=("bias-binding", "bias-tape", "bias"),
    unmatched="everything: the print runs at a slant",
)
