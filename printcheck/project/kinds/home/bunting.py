"""Bunting: pennants of two triangles each."""

from __future__ import annotations

import math

from printcheck.project.kinds.draft import Draft, Kind, PieceRow, Room, Size, Values

SEAM_MM = 6.0  # mm: seam of small things, common practice (1/4 in)


def draw(size: Values, room: Room) -> Draft:
    """Triangles with their point down; nothing is matched, and each has its own bit of the print."""
    half, high = size["width"] / 2, size["height"]
    slant = math.hypot(half, high)
    # a seam of equal depth round the triangle: the same shape, larger by the share of its inner circle
    share = 1 + SEAM_MM * (half + slant) / (half * high)
    wide, long = 2 * half * share, high * share
    flag = PieceRow(
        "flag", wide, long, 2 * int(size["count"]), outline=((0.0, 0.0), (wide, 0.0), (wide / 2, long))
    )
    return Draft((flag,))


KIND = Kind(
    "bunting",
    "Bunting",
    "Pennants of two triangles each, 6 mm of seam; the tape is not reckoned.",
    {
        "width": Size("18 cm", "finished width of a pennant", least=30, most=600),
        "height": Size("22 cm", "finished height of a pennant", least=30, most=600),
        "count": Size("10", "how many pennants", kind="count", most=30),
    },
    draw,
    group="small things",
    also=("pennants", "flags"),
    unmatched="everything: each pennant stands for itself",
)
