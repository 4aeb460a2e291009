"""Whether the marks of a print without a known repeat are those of an animal's hide."""

from __future__ import annotations

import math

import cv2
import numpy as np

from printcheck.core.handover import Array
from printcheck.motif.build.build import weights
from printcheck.motif.build.evidence import Evidence
from printcheck.motif.cv_types import resized

LOOKED_AT = 96  # samples a side: tones need no finer
TONES = 3  # a hide's ground, its marks and their middles
ROUNDS, SETTLED = 20, 0.5  # of the clustering (Lloyd 1982); CIELAB by which tones may still move
TAWNY_DEG = 70.0  # CIELAB hue of sand, fur and leather (ISCC-NBS centroids about there, from memory)
FARTHEST = 30.0  # CIELAB from grey through tawny: what lies further is as far from a hide as can be
TOLD = 0.95  # probability from which a hide is named: one in a hundred other prints reaches it, left out
INPUTS = (
    "one", "edges two ways", "bars both ways", "inverse", "shifted", "three tones", "colour of no hide",
    "tawny",
)  # fmt: skip
HIDE = weights("HIDE")[:, 0]


def inputs_of(evidence: Evidence, lab: Array) -> Array:
    """Row of numbers the score is linear in."""
    e = evidence
    return np.array([1.0, e.two_way_edges, e.both_bars, e.inverse, e.shifted, *tones_of(lab)])


def is_hide(evidence: Evidence, lab: Array) -> bool:
    """Whether the marks of a picture (H, W, 3), CIELAB, are surely those of a hide."""
    return 1 / (1 + math.exp(-float(inputs_of(evidence, lab) @ HIDE))) >= TOLD


def tones_of(lab: Array) -> tuple[float, float, float]:
    """Share of the variance that three tones explain, how far those are from hides, how tawny: 0 to 1.

    Parameters
    ----------
    lab : (H, W, 3) float32
        Picture in CIELAB.
    """
    samples = resized(lab, LOOKED_AT, LOOKED_AT).reshape(-1, 3).astype(np.float32)
    total = float(np.square(samples - samples.mean(axis=0)).sum())
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, ROUNDS, SETTLED)
    thirds = np.percentile(samples[:, 0], [100 / TONES, 200 / TONES])
    first = np.digitize(samples[:, 0], thirds).astype(np.int32)[:, None]
    # begun by lightness, not by chance: the same picture gives the same tones
    left, which, tones = cv2.kmeans(samples, TONES, first, stop, 1, cv2.KMEANS_USE_INITIAL_LABELS)
    turn = np.deg2rad(TAWNY_DEG)
    tawny = tones[:, 1:] @ [np.cos(turn), np.sin(turn)]
    off = np.hypot(tones[:, 1:] @ [-np.sin(turn), np.cos(turn)], np.minimum(tawny, 0))
    shares = np.bincount(which.ravel(), minlength=TONES) / len(samples)
    few = 1 - left / total if total > 0 else 0.0
    far, brown = (float(shares @ np.clip(part / FARTHEST, 0, 1)) for part in (off, tawny))
    return float(few), far, brown
