"""A tablecloth: a full width in the middle and two equal sides where it is wider than the cloth."""

from __future__ import annotations

from printcheck.project.kinds.breadth import panel_rows
from printcheck.project.kinds.draft import Draft, Kind, Room, Size, Values


def draw(size: Values, room: Room) -> Draft:
    """One rectangle with a double hem all round."""
    hems = 4 * size["hem"]
    rows, seams = panel_rows("cloth", size["width"] + hems, size["length"] + hems, room)
    return Draft(rows, seams)


KIND = Kind(
    "tablecloth",
    "Tablecloth",
    "A rectangle with a double hem; joins, where it is wider than the cloth, are matched both ways.",
    {
        "width": Size("130 cm", "finished width", least=100, most=5000),
        "length": Size("180 cm", "finished length", least=100, most=10_000),
        "hem": Size("1 cm", "finished depth of the double hem", least=0, most=200),
    },
    draw,
    group="home",
    also=("table-cloth",),
)
