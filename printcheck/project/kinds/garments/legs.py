"""Fronts and backs of trousers, drafted from the hip (common practice)."""

from __future__ import annotations

from dataclasses import dataclass

from printcheck.project.kinds.draft import (
    SEAM_MM,
    PieceRow,
    SeamRow,
    Values,
    centre_seam,
    seams_at_both_sides,
)

FRONT_FORK_SHARE, BACK_FORK_SHARE = 1 / 16, 1 / 8  # of the hip: how far the crotch reaches past the centre
BACK_RISE_MM = 30.0  # mm: a back is cut higher than a front at its centre
HIP_BELOW_MM = 180.0  # mm: below the waist, above the crotch curve; there the seams are matched
LEG_SHARE = 0.62  # outer leg, waist to ankle, of the height
SHORTEST_SHARE = 1 / 3  # of a leg: below it no point is put on legs shorter than usual


@dataclass(frozen=True)
class Legs:
    """Front and back by their boxes, and the seams that are matched.

    As drawn, the side seam of a front and of a back lies on the left and the centre on the right.
    """

    front: PieceRow
    back: PieceRow
    seams: tuple[SeamRow, ...]


def legs(hip: float, ease: float, leg: float, *, top: float, hem: float, prefix: str = "") -> Legs:
    """Legs of this hip girth and outer length; ``top`` and ``hem`` are turned in at waist and ankle."""
    quarter, length = (hip + ease) / 4, leg + top + hem
    front = PieceRow(
        f"{prefix}front", quarter + FRONT_FORK_SHARE * hip + 2 * SEAM_MM, length, 2, mirrored=True
    )
    back = PieceRow(
        f"{prefix}back",
        quarter + BACK_FORK_SHARE * hip + 2 * SEAM_MM,
        length + BACK_RISE_MM,
        2,
        mirrored=True,
    )
    low = min(top + HIP_BELOW_MM, SHORTEST_SHARE * length)
    seams = [
        centre_seam(f"centre {name}", piece, (quarter + SEAM_MM, at))
        for name, piece, at in (("front", front, low), ("back", back, low + BACK_RISE_MM))
    ]
    sides = seams_at_both_sides(
        "side", (front, (SEAM_MM, low)), (back, (SEAM_MM, low + BACK_RISE_MM)), crossed=True
    )
    return Legs(front, back, (*seams, *sides))


def leg_of_height(values: Values) -> float:
    """Outer leg of a person of this height."""
    return LEG_SHARE * values["height"]
