"""Fronts and backs of trousers, drafted from the hip (common practice).

The crotch lies a quarter of the hip and 3 cm below the waist. Its curve leaves the centre seam a third of
that above and reaches past it by the fork. Below, the leg narrows to the knee about its middle and falls
straight.
"""

from __future__ import annotations

from dataclasses import dataclass

from printcheck.core.plan import Place, Seam
from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    PieceRow,
    Room,
    Values,
    centre_seam,
    seam_between,
    seams_at_both_sides,
)
from printcheck.project.kinds.rows import kind

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
    seams: tuple[Seam, ...]


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


def draw_trousers(size: Values, room: Room) -> Draft:
    """Fronts and backs; the waistband is cut along the cloth, where it gives least."""
    cut = legs(size["hip"], size["ease"], size["leg"], top=SEAM_MM, hem=size["hem"])
    band = size["waist"] + size["band_ease"] + 2 * SEAM_MM
    wide, high = size["pocket_width"], size["pocket_height"]
    return Draft(
        (
            cut.front,
            cut.back,
            PieceRow("waistband", 2 * size["band"] + 2 * SEAM_MM, band, on_border=False),
            PieceRow("fly", size["fly_width"], size["fly_height"], 2, on_border=False),
            PieceRow("pocket facing", wide, high, 2, mirrored=True, on_border=False),
        ),
        cut.seams,
    )


def draw_dungarees(size: Values, room: Room) -> Draft:
    """Two fronts, two backs, two bibs, two straps, a pocket; the bib's middle lies on a motif."""
    tall = size["height"]
    hip, ease = size["hip_share"] * tall, size["ease_share"] * tall
    cut = legs(hip, ease, leg_of_height(size), top=SEAM_MM, hem=size["hem"])
    wide, high = (size[f"bib_{side}_share"] * tall + 2 * SEAM_MM for side in ("width", "height"))
    bib = PieceRow("bib", wide, high, 2, on_border=False)
    pocket = PieceRow("pocket", size["pocket"], size["pocket"], on_border=False)
    on_bib = (bib.width_mm / 2 - size["pocket"] / 2 + SEAM_MM, bib.length_mm / 2)
    return Draft(
        (
            cut.front,
            cut.back,
            bib,
            PieceRow("strap", size["strap"], size["strap_share"] * tall, 2, on_border=False),
            pocket,
        ),
        (
            *cut.seams,
            seam_between("pocket", (bib, on_bib), (pocket, (SEAM_MM, SEAM_MM + size["pocket_hem"])), "both"),
        ),
        (Place("bib#1", (bib.width_mm / 2, bib.length_mm / 2)),),
    )


KINDS = (
    kind("trousers", draw_trousers, leg=leg_of_height),
    kind("dungarees", draw_dungarees),
)
