"""A duvet set: a cover and pillowcases."""

from __future__ import annotations

from printcheck.project.kinds.breadth import panel_rows
from printcheck.project.kinds.draft import BED_LINEN, SEAM_MM, Draft, Kind, PieceRow, Room, Size, Values

FOOT_HEM_MM = 50.0  # mm: hem at the opening at the foot, as cut; common practice
FLAP_MM = 200.0  # mm: flap that the pillow is tucked behind, common practice
FLAP_HEM_MM = 30.0  # mm: hem of the flap and of the opening, as cut; common practice


def draw(size: Values, room: Room) -> Draft:
    """Front and back of the cover; joins of the back are not seen on the made bed."""
    wide, high = size["width"] + 2 * SEAM_MM, size["length"] + SEAM_MM + FOOT_HEM_MM
    front, seams = panel_rows("front", wide, high, room)
    back, hidden = panel_rows("back", wide, high, room, visible=False)
    pillows = int(size["pillows"])
    across, down = size["pillow_width"] + 2 * SEAM_MM, size["pillow_length"] + SEAM_MM + FLAP_HEM_MM
    cases = (
        PieceRow("pillow front", across, down, pillows),
        PieceRow("pillow back", across, down + FLAP_MM, pillows),
    )
    return Draft((*front, *back, *(cases if pillows else ())), (*seams, *hidden))


KIND = Kind(
    "duvet",
    "Duvet set",
    "A duvet cover open at the foot and pillowcases with a flap; cut sizes, 1.5 cm of allowance.",
    {
        "width": Size("140 cm", "finished width of the cover", least=300, most=3000),
        "length": Size("200 cm", "finished length of the cover", least=300, most=3000),
        "pillows": Size("1", "how many pillowcases", kind="count", least=0, most=4),
        "pillow_width": Size("80 cm", "finished width of a pillowcase", least=200, most=1200),
        "pillow_length": Size("80 cm", "finished length of a pillowcase", least=200, most=1200),
    },
    draw,
    group="home",
    also=("duvet-set", "duvet-cover", "bedding", "bed-linen"),
    cloth=BED_LINEN,
    unmatched="the seams round the edge",
)
