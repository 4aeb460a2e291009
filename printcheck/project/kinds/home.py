"""Small things for the house: cushion covers, a tote bag, napkins."""

from __future__ import annotations

from collections.abc import Mapping

from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, PlaceRow, Room, SeamRow, Size

OVERLAP_MM = 100.0  # mm: by which the two backs of an envelope cover lap, common practice
BACK_HEM_MM = 30.0  # mm: hem at the opening of each back, common practice
TOP_HEM_MM = 40.0  # mm: hem at the top of a bag, common practice


def _cushion(size: Mapping[str, float], room: Room) -> Draft:
    """Fronts with a motif in the middle; two backs that lap over each other."""
    side, count = size["size"] + 2 * SEAM_MM, int(size["count"])
    back = size["size"] / 2 + OVERLAP_MM / 2 + SEAM_MM + BACK_HEM_MM
    places = tuple(PlaceRow(f"front#{n}", (side / 2, side / 2)) for n in range(1, count + 1))
    return Draft(
        (PieceRow("front", side, side, count), PieceRow("back", side, back, 2 * count)), places=places
    )


def _bag(size: Mapping[str, float], room: Room) -> Draft:
    """Two sides with a motif in the middle of the front, two straps cut along the cloth."""
    wide, high = size["width"] + 2 * SEAM_MM, size["height"] + SEAM_MM + TOP_HEM_MM
    strap = 2 * size["strap"] + 2 * SEAM_MM
    middle = high / 2
    return Draft(
        (PieceRow("side", wide, high, 2), PieceRow("strap", strap, size["handle"] + 2 * SEAM_MM, 2)),
        (
            SeamRow("side#1", (wide - SEAM_MM, middle), "side#2", (SEAM_MM, middle), "level"),
            SeamRow("side#2", (wide - SEAM_MM, middle), "side#1", (SEAM_MM, middle), "level"),
        ),
        (PlaceRow("side#1", (wide / 2, middle)),),
    )


def _napkin(size: Mapping[str, float], room: Room) -> Draft:
    side = size["size"] + 2 * size["hem"]
    return Draft((PieceRow("napkin", side, side, int(size["count"])),))


CUSHION = Kind(
    "cushion",
    "Cushion covers",
    "Covers with an envelope back and a motif in the middle of each front; cut sizes, 1.5 cm of allowance.",
    {
        "size": Size("45 cm", "side of the finished cover", least=100, most=1200),
        "count": Size("2", "how many covers", kind="count", most=20),
    },
    _cushion,
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
    _bag,
)
NAPKIN = Kind(
    "napkin",
    "Napkins",
    "Square napkins with a hem all round.",
    {
        "size": Size("40 cm", "side of the finished napkin", least=50, most=1000),
        "count": Size("6", "how many napkins", kind="count", most=60),
        "hem": Size("2 cm", "double hem", least=0, most=100),
    },
    _napkin,
)
