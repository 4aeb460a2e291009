"""Measures that all upper garments are drafted by (common practice, from memory)."""

from __future__ import annotations

from printcheck.project.kinds.draft import SEAM_MM, PieceRow, SeamRow, seams_at_both_sides

ARMHOLE_SHARE, ARMHOLE_MM = 0.1, 120.0  # depth below the shoulder: a tenth of the bust and 12 cm
BICEPS_SHARE, BICEPS_MM = 0.25, 80.0  # sleeve with its ease: a quarter of the bust, 8 cm, and half the ease
NECK_SHARE, NECK_MM = 0.25, 140.0  # neck girth: a quarter of the bust and 14 cm (37 cm for a bust of 92)
CAP_SHARE = 0.55  # height of the sleeve's cap, of the armhole's depth
BELOW_ARMHOLE_MM = 60.0  # mm: side seams are matched here, clear of the curve
NOTCH_ABOVE_MM = 60.0  # mm: the front notch lies about 8 cm along the curve from the underarm, so much higher
NOTCH_IN_MM = 50.0  # mm: and so far in from the side seam
SHORTEST_SHARE = 0.8  # of a piece's length: below it no point is put on pieces shorter than usual


def armhole_mm(bust: float, ease: float = 0.0) -> float:
    """Depth of the armhole below the shoulder, deeper by a tenth of the ease."""
    return ARMHOLE_SHARE * (bust + ease) + ARMHOLE_MM


def neck_mm(bust: float) -> float:
    """Girth of the neck."""
    return NECK_SHARE * bust + NECK_MM


def side_point_mm(armhole: float, length: float) -> float:
    """Where a side seam is matched, below the cut top edge."""
    return min(SEAM_MM + armhole + BELOW_ARMHOLE_MM, SHORTEST_SHARE * length)


def sleeve_row(bust: float, ease: float, length: float, hem: float) -> PieceRow:
    """Pair of sleeves by their boxes: the cap is a part of the length."""
    wide = BICEPS_SHARE * bust + BICEPS_MM + ease / 2
    return PieceRow("sleeve", wide + 2 * SEAM_MM, SEAM_MM + length + hem, 2, mirrored=True, on_border=False)


def sleeve_seams(sleeve: PieceRow, front: PieceRow, armhole: float) -> tuple[SeamRow, ...]:
    """Front notches of both armholes: the rows of the sleeve run on into the front.

    The first sleeve is the right one: its front edge lies on the right as the sleeve is seen from outside.
    The first front, or the left half of a whole front as it is looked at, is the wearer's right.
    """
    on_front = (SEAM_MM + NOTCH_IN_MM, min(SEAM_MM + armhole - NOTCH_ABOVE_MM, front.length_mm / 2))
    cap = max(0.0, min(CAP_SHARE * armhole - NOTCH_ABOVE_MM, sleeve.length_mm / 2))
    on_sleeve = (sleeve.width_mm - SEAM_MM - NOTCH_IN_MM, SEAM_MM + cap)
    return seams_at_both_sides("sleeve", (sleeve, on_sleeve), (front, on_front))
