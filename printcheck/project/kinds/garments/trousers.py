"""Fronts and backs of trousers, drafted from the hip (common practice).

The crotch lies a quarter of the hip and 3 cm below the waist. Its curve leaves the centre seam a third of
that above and reaches past it by the fork. Below, the leg narrows to the knee about its middle and falls
straight.
"""

from __future__ import annotations

from dataclasses import dataclass

from printcheck.project.kinds.body import WOMEN
from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    Kind,
    PieceRow,
    Room,
    SeamRow,
    Size,
    Values,
    centre_seam,
    seams_at_both_sides,
)

FRONT_FORK_SHARE, BACK_FORK_SHARE = 1 / 16, 1 / 8  # of the hip: how far the crotch reaches past the centre
RISE_SHARE, RISE_MM = 0.25, 30.0  # body rise: a quarter of the hip and 3 cm
CURVE_SHARE = 2 / 3  # of the rise: the centre seam is straight so far down
BACK_RISE_MM = 30.0  # mm: a back is cut higher than a front at its centre
KNEE_SHARE = 0.8  # of a quarter of hip and ease: width of half a leg from the knee down
HIP_BELOW_MM = 180.0  # mm: below the waist, above the crotch curve; there the seams are matched
LEG_SHARE = 0.62  # outer leg, waist to ankle, of the height
SHORTEST_SHARE = 1 / 3  # of a leg: below it no point is put on legs shorter than usual


@dataclass(frozen=True)
class Legs:
    """Front and back, and the seams that are matched.

    As drawn, the side seam of a front and of a back lies on the left and the centre on the right.
    """

    front: PieceRow
    back: PieceRow
    seams: tuple[SeamRow, ...]


def legs(hip: float, ease: float, leg: float, *, top: float, hem: float, prefix: str = "") -> Legs:
    """Legs of this hip girth and outer length; ``top`` and ``hem`` are turned in at waist and ankle."""
    quarter, length = (hip + ease) / 4, leg + top + hem
    rise = top + min(RISE_SHARE * hip + RISE_MM, (1 - SHORTEST_SHARE) * leg)
    front = _leg(f"{prefix}front", quarter, FRONT_FORK_SHARE * hip, rise, length)
    back = _leg(f"{prefix}back", quarter, BACK_FORK_SHARE * hip, rise, length, higher=BACK_RISE_MM)
    low = min(top + HIP_BELOW_MM, SHORTEST_SHARE * length)
    seams = [
        centre_seam(f"centre {name}", piece, (quarter + SEAM_MM, at))
        for name, piece, at in (("front", front, low), ("back", back, low + BACK_RISE_MM))
    ]
    sides = seams_at_both_sides(
        "side", (front, (SEAM_MM, low)), (back, (SEAM_MM, low + BACK_RISE_MM)), crossed=True
    )
    return Legs(front, back, (*seams, *sides))


def _leg(
    name: str, quarter: float, fork: float, rise: float, length: float, *, higher: float = 0.0
) -> PieceRow:
    """Half a leg; ``higher`` is added above the waist at the centre."""
    width, centre = quarter + fork + 2 * SEAM_MM, quarter + 2 * SEAM_MM
    crotch, foot = rise + higher, length + higher
    bend, knee = CURVE_SHARE * crotch, (crotch + foot) / 2
    in_mm = (width - KNEE_SHARE * quarter - 2 * SEAM_MM) / 2
    ring = (
        (0.0, higher), (centre, 0.0), (centre, bend),
        (centre + fork / 4, (bend + 3 * crotch) / 4), (width, crotch),  # the curve, as two straight lines
        (width - in_mm, knee), (width - in_mm, foot), (in_mm, foot), (in_mm, knee), (0.0, crotch),
    )  # fmt: skip
    return PieceRow(name, width, foot, 2, mirrored=True, outline=ring)


def leg_of_height(values: Values) -> float:
    """Outer leg of a person of this height."""
    return LEG_SHARE * values["height"]


EASE_MM = 50.0  # mm: room round the hip of straight trousers, common practice (4 to 6 cm)
HEM_MM = 40.0  # mm: common practice
BAND_MM, BAND_EASE_MM = 40.0, 40.0  # mm: finished height of the waistband and its overlap, common practice
FLY_MM, POCKET_MM = (80.0, 210.0), (160.0, 200.0)  # mm: fly and pocket facing as cut, from memory


def draw_trousers(size: Values, room: Room) -> Draft:
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


TROUSERS = Kind(
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
    draw_trousers,
    group="clothes",
    also=("trouser", "pants"),
    body=WOMEN,
    unmatched="inside legs, waistband and darts",
)

KINDS = (TROUSERS,)
