"""Cushion covers with an envelope back."""

from __future__ import annotations

from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, PlaceRow, Room, Size, Values

OVERLAP_MM = 100.0  # mm: by which the two backs of an envelope cover lap, common practice
BACK_HEM_MM = 30.0  # mm: hem at the opening of each back, common practice


def draw(size: Values, room: Room) -> Draft:
    """Fronts with a motif in the middle; two backs that lap over each other."""
    side, count = size["size"] + 2 * SEAM_MM, int(size["count"])
    back = size["size"] / 2 + OVERLAP_MM / 2 + SEAM_MM + BACK_HEM_MM
    places = tuple(PlaceRow(f"front#{n}", (side / 2, side / 2)) for n in range(1, count + 1))
    return Draft(
        (
            PieceRow("front", side, side, count, on_fold=True),
            PieceRow("back", side, back, 2 * count, on_border=False),
        ),
        places=places,
    )


KIND = Kind(
    "cushion",
    "Cushion covers",
    "Covers with an envelope back and a motif in the middle of each front; cut sizes, 1.5 cm of allowance.",
    {
        "size": Size("45 cm", "side of the finished cover", least=100, most=1200),
        "count": Size("2", "how many covers", kind="count", most=20),
    },
    draw,
    group="home",
    also=("cushion-cover", "pillow-cover", "throw-pillow"),
    unmatched="the seams round the edge and the opening at the back",
)
