"""Whether figures that are all unlike stand upright, from how each one's own outline lies on the cloth."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.figures.segmentation import Separation
from printcheck.motif.way.headings import FILLING

BOX_DEG = 6.0  # turn of the smallest box from the cloth's axes: half of upright figures, 13 % by chance
LEAN_DEG = 12.0  # turn of the long axis: half of upright figures, 27 % by chance
STEP_DEG = 2.0  # between the boxes tried
ROUND = 0.9  # smallest box against the largest: rounder figures lie no way
# Odds of upright against tossed that one figure gives, shares counted on 560 open icons, as drawn and turned
# at random: its box stands square, its axis only, neither.
SQUARE_ODDS, AXIS_ODDS, NEITHER_ODDS = 4.0, 1.0, 0.4


def standing_odds(cell: MeanCell, separation: Separation) -> float:
    """Odds that the separate figures of the cell stand upright, against strewn at any angle.

    Notes
    -----
    A figure drawn upright has a flat foot, a mirror line or a body along an axis, so its smallest box is
    often square to the cloth. One figure proves little; odds multiply, since tossed figures are turned
    each for itself.
    """
    motifs = separation.motifs
    least = FILLING * max((m.area_mm2 for m in motifs), default=0.0)
    odds = 1.0
    for motif in motifs:
        if motif.area_mm2 >= least:
            odds *= _odds(motif.piece.places @ cell.step_mm)
    return odds


def _odds(points: Array) -> float:
    """Odds of one figure, of whose samples these are the places in mm, (n, 2), along the cloth's axes."""
    box, lean = _box_turn(points), _lean(points)
    if box is None:
        return 1.0
    if box <= BOX_DEG:
        return SQUARE_ODDS
    return AXIS_ODDS if lean <= LEAN_DEG else NEITHER_ODDS


def _box_turn(points: Array) -> float | None:
    """Degrees from the smallest box to the nearest axis; None for a round figure."""
    hull = np.asarray(cv2.convexHull(points.astype(np.float32)), float)[:, 0]
    degrees = np.arange(0, 90, STEP_DEG)
    angle = np.deg2rad(degrees)
    axes = np.stack([np.cos(angle), np.sin(angle)]), np.stack([-np.sin(angle), np.cos(angle)])
    area = np.ptp(hull @ axes[0], axis=0) * np.ptp(hull @ axes[1], axis=0)
    if area.min() > ROUND * area.max():
        return None
    least = float(degrees[area.argmin()])
    return min(least, 90 - least)


def _lean(points: Array) -> float:
    """Degrees from the long axis to the nearest of the cloth's axes."""
    spread = np.cov((points - points.mean(axis=0)).T)
    turn = float(np.rad2deg(np.arctan2(2 * spread[0, 1], spread[0, 0] - spread[1, 1]) / 2)) % 90
    return min(turn, 90 - turn)
