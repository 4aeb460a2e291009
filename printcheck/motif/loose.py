"""What can be said of a picture without a known repeat: plain cloth, or a print seen in part."""

from __future__ import annotations

import math

import cv2
import numpy as np

from printcheck.cloth import FlatCloth
from printcheck.findings import finding
from printcheck.model import Direction, Motif, PrintFacts, Repeat
from printcheck.motif.arrays import Array, Bools, blurred, lab_of, resized

WORKING_SIDE = 400  # pixels: enough to tell print from plain
WEAVE_MM = 1.5  # finer structure is weave, never print
SHADE_MM = 40.0  # slower changes of lightness are light and folds
PRINT_DELTA_E = 4.0  # twice the just noticeable: stray shades of wrinkles stay below, prints are above
CHROMA_DELTA_E = 2.5  # a change of hue is never a shadow
SPREAD = (2.0, 98.0)  # per cent of the picture left out at each end
UNKNOWN_MARGIN = 0.1
PLAIN_MARGIN = 1.0


def loose_facts(cloth: FlatCloth, repeat: Repeat) -> PrintFacts:
    """Facts without a cell; the way is the safe answer, one-way, unless the cloth is plain."""
    if is_plain(cloth):
        return PrintFacts(Motif(), Direction("two-way", PLAIN_MARGIN, "plain"))
    direction = Direction("one-way", UNKNOWN_MARGIN, "repeat not known")
    return PrintFacts(Motif(), direction, findings=(finding("way-unknown"),))


def is_plain(cloth: FlatCloth) -> bool:
    """Whether the cloth shows no print: nothing between weave and slow shading stands out."""
    lab, seen, mm = _small(cloth)
    if not seen.any():
        return True
    fine, slow = (_smooth(lab, seen, size / mm / 2) for size in (WEAVE_MM, SHADE_MM))
    tone = (fine - slow)[..., 0][seen]
    hue = fine[..., 1:][seen]
    light, red, yellow = (float(np.ptp(np.percentile(v, SPREAD))) for v in (tone, hue[:, 0], hue[:, 1]))
    return light < PRINT_DELTA_E and math.hypot(red, yellow) < CHROMA_DELTA_E


def _small(cloth: FlatCloth) -> tuple[Array, Bools, float]:
    height, width = cloth.mask.shape
    times = max(1.0, max(height, width) / WORKING_SIDE)
    size = (max(1, round(width / times)), max(1, round(height / times)))
    bgr = resized(cloth.bgr, *size)
    mask = resized(cloth.mask.astype(np.uint8) * 255, *size)
    seen = np.asarray(cv2.erode(mask, np.ones((5, 5), np.uint8))) > 200
    return lab_of(bgr), seen, cloth.mm_per_px * times


def _smooth(lab: Array, seen: Bools, sigma: float) -> Array:
    weight = seen.astype(np.float32)
    sigma = min(max(sigma, 0.5), WORKING_SIDE / 4)

    smooth: Array = (
        blurred(lab * weight[..., None], sigma) / np.maximum(blurred(weight, sigma), 1e-3)[..., None]
    )
    return smooth
