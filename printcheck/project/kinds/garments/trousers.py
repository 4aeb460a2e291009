"""Trousers with a waistband, fly and side pockets."""

from __future__ import annotations

from printcheck.project.kinds.body import WOMEN
from printcheck.project.kinds.draft import SEAM_MM, Draft, Kind, PieceRow, Room, Size, Values
from printcheck.project.kinds.garments.legs import leg_of_height, legs

EASE_MM = 50.0  # mm: room round the hip of straight trousers, common practice (4 to 6 cm)
HEM_MM = 40.0  # mm: common practice
BAND_MM, BAND_EASE_MM = 40.0, 40.0  # mm: finished height of the waistband and its overlap, common practice
FLY_MM, POCKET_MM = (80.0, 210.0), (160.0, 200.0)  # mm: fly and pocket facing as cut, from memory


def draw(size: Values, room: Room) -> Draft:
    """Fronts and backs; the waistband is cut along the cloth, where it gives least."""
    cut = legs(size["hip"], EASE_MM, size["leg"], top=SEAM_MM, hem=HEM_MM)
    band = size["waist"] + BAND_EASE_MM + 2 * SEAM_MM
    return Draft(
        (
            cut.front,
            cut.back,
            PieceRow("waistband", 2 * BAND_MM + 2 * SEAM_MM, band, on_border=False),
            PieceRow("fly", *FLY_MM, 2, on_border=False),
            PieceRow("pocket facing", *POCKET_MM, 2, mirrored=True, on_border=False),
        ),
        cut.seams,
    )


KIND = Kind(
    "trousers",
    "Trousers",
    "Straight trousers with waistband, fly and side pockets; cut sizes, 1.5 cm of allowance.",
    {
        "size": WOMEN.letter(),
        "waist": WOMEN.measure("waist"),
        "hip": WOMEN.measure("hip"),
        "height": Size("168 cm", "height of the body", least=700, most=2300),
        "leg": Size("", "outer leg, waist to ankle", least=200, most=1500, derive=leg_of_height),
    },
    draw,
    group="clothes",
    also=("trouser", "pants"),
    body=WOMEN,
    unmatched="inside legs, waistband and darts",
)
