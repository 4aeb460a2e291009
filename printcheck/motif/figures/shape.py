"""Shape of separate figures: whether they are round and of one colour."""

from __future__ import annotations

import math

import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.figures.segmentation import Motif, Separation

ROUNDISH = 0.85  # short over long axis: cloth pulled out of true makes ovals of discs
COMPACT = 0.985  # of a disc's area at that spread: a square has 0.955, a five-petalled flower less
FEWEST_SAMPLES = 12  # of a figure, below which its shape is not seen: taken for a dot


def is_round(motif: Motif, step: Array) -> bool:
    """Whether the figure fills the ellipse of its own spread, and that ellipse is a circle.

    A disc of radius r has a variance of r squared over four along every axis and an area of pi r squared; no
    other outline of that area spreads so little.
    """
    if motif.piece.area < FEWEST_SAMPLES:
        return True
    places = motif.piece.places @ step
    spread = np.cov(places.T, bias=True)  # of these very samples: of a small dot one less is much
    sample_mm2 = abs(float(np.linalg.det(step)))
    spread += np.eye(2) * sample_mm2 / 12  # each sample is itself a little square
    long, short = np.sqrt(np.linalg.eigvalsh(spread)[::-1])
    compact = motif.piece.area * sample_mm2 / (4 * math.pi * long * short)
    return bool(short / long > ROUNDISH and compact > COMPACT)


def rounded_share(separation: Separation, cell: MeanCell) -> float:
    """Share of the figures' area in round ones; 0 where nothing stands apart."""
    if not separation.motifs:
        return 0.0
    rounds = sum(motif.area_mm2 for motif in separation.motifs if is_round(motif, cell.step_mm))
    return rounds / sum(motif.area_mm2 for motif in separation.motifs)


def of_one_colour(separation: Separation) -> float:
    """Share of the largest figure's own area whose contrast is near its strongest: 1 for a plain disc."""
    motif = separation.motifs[0]
    height, width = separation.mask.shape
    contrast = separation.contrast[motif.piece.rows % height, motif.piece.columns % width]
    return float((contrast > 0.5 * np.percentile(contrast, 90)).mean())
