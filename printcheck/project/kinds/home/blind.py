"""A roman blind: flat, a full width in the middle and two equal sides where it is wider than the cloth."""

from __future__ import annotations

from printcheck.project.kinds.breadth import panel_rows
from printcheck.project.kinds.draft import CURTAINING, Draft, Kind, Room, Size, Values


def draw(size: Values, room: Room) -> Draft:
    """One flat panel, joined where it must be."""
    wide = size["width"] + 2 * size["side_hem"]
    rows, seams = panel_rows("blind", wide, size["drop"] + size["top"] + size["hem"], room)
    return Draft(rows, seams)


KIND = Kind(
    "blind",
    "Roman blind",
    "A flat blind, hems in the cut size; joins, where it is wider than the cloth, are matched both ways.",
    {
        "width": Size("120 cm", "finished width", least=100, most=6000),
        "drop": Size("150 cm", "finished drop", least=100, most=6000),
        "side_hem": Size("4 cm", "turned in at each side", least=0, most=300),
        "top": Size("4 cm", "turned over at the top", least=0, most=500),
        "hem": Size("10 cm", "turned up at the foot, the bar's casing included", least=0, most=500),
    },
    draw,
    group="home",
    also=("roman-blind", "roman-shade"),
    cloth=CURTAINING,
)
