"""Square napkins."""

from __future__ import annotations

from printcheck.project.kinds.draft import Draft, Kind, PieceRow, Room, Size, Values


def draw(size: Values, room: Room) -> Draft:
    """Squares with a double hem all round; nothing is matched."""
    side = size["size"] + 4 * size["hem"]
    return Draft((PieceRow("napkin", side, side, int(size["count"])),))


KIND = Kind(
    "napkin",
    "Napkins",
    "Square napkins with a double hem all round.",
    {
        "size": Size("40 cm", "side of the finished napkin", least=50, most=1000),
        "count": Size("6", "how many napkins", kind="count", most=60),
        "hem": Size("1 cm", "finished depth of the double hem", least=0, most=100),
    },
    draw,
    group="home",
    also=("serviette",),
)
