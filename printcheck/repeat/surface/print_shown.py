"""Whether cloth shows a print at all, or only its weave, folds and light: one fitted score.

A print lies everywhere and has colours of its own; a fold or a seam lies in one place, and light changes
all three colours alike. In a picture of greys, lace laid on black say, colour is no evidence either way:
there lightness alone decides, less surely.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Bgr, Mask
from printcheck.repeat.odds import PRINT, PRINT_IN_GREY, probability_of

if TYPE_CHECKING:
    from printcheck.repeat.arrays import Image

COPY_PX = 400  # of the longer side of the copy that is judged
RIM = 0.03  # of the copy's shorter side, left out: a frame or the table shows there
SLOW = 8  # of the copy's shorter side to one sigma of what counts as light
FORM = 133  # of the longer side to one sigma: what is finer is weave and noise
BLOCKS = 6  # each way
STRONG = 3  # blocks that a small print fills at the least
LEAST_SEEN = 0.5  # of a block that must be cloth
BLACK = 0.005  # of full light: darker is the camera's own noise
FAINT = 0.02  # ln units: a contrast of colour of about one CIELAB unit; below it none is seen
LEAST_SHARE = 1e-3  # of a blur's weight that must lie on cloth; against division by none


def print_probability(bgr: Bgr, mask: Mask) -> float:
    """How likely it is that the cloth shows a print, 0 to 1; 0 where no cloth is seen."""
    features = print_features(bgr, mask)
    if features is None:
        return 0.0
    return probability_of(PRINT if features["colour"] > FAINT else PRINT_IN_GREY, features)


def print_features(bgr: Bgr, mask: Mask) -> dict[str, float] | None:
    """Contrast of lightness and of colour; None where too little cloth is seen.

    Both are standard deviations of logarithms, in the third strongest block; ``usual colour`` is the
    logarithm of that in the middle one.

    Parameters
    ----------
    bgr : (H, W, 3) uint8
    mask : (H, W) bool
        Where cloth is seen.
    """
    colours, seen = _copy(bgr, mask)
    forms = _blurred(colours, seen, max(seen.shape) / FORM) - _blurred(colours, seen, min(seen.shape) / SLOW)
    blocks = _contrasts(forms, seen)
    if not len(blocks):
        return None
    strong = np.sort(blocks, axis=0)[-min(STRONG, len(blocks))]
    usual = math.log(FAINT + float(np.median(blocks[:, 1])))
    return {"one": 1.0, "lightness": float(strong[0]), "colour": float(strong[1]), "usual colour": usual}


def _copy(bgr: Bgr, mask: Mask) -> tuple[Image, Image]:
    """Logarithms of light, and of red and blue to green (h, w, 3), and 1 where cloth is seen (h, w)."""
    height, width = mask.shape
    times = max(1.0, max(height, width) / COPY_PX)
    size = max(1, round(width / times)), max(1, round(height / times))
    light = cv2.LUT(cv2.resize(bgr, size, interpolation=cv2.INTER_AREA), _linear())
    blue, green, red = np.moveaxis(np.log(light + BLACK), 2, 0)
    seen = cv2.resize(mask.astype(np.float32), size, interpolation=cv2.INTER_AREA) > 1 - BLACK
    rim = math.ceil(RIM * min(size))
    inner = np.zeros_like(seen)
    inner[rim : size[1] - rim, rim : size[0] - rim] = True
    colours = np.stack([(blue + green + red) / 3, red - green, blue - green], 2)
    return np.asarray(colours, np.float32), np.asarray(seen & inner, np.float32)


def _linear() -> Image:
    """Light of each level, 0 to 1 (IEC 61966-2-1)."""
    level = np.arange(256) / 255
    return np.where(level <= 0.04045, level / 12.92, ((level + 0.055) / 1.055) ** 2.4).astype(np.float32)


def _blurred(colours: Image, seen: Image, sigma: float) -> Image:
    share = np.maximum(cv2.GaussianBlur(seen, (0, 0), sigma), LEAST_SHARE)[..., None]
    return np.asarray(cv2.GaussianBlur(colours * seen[..., None], (0, 0), sigma) / share, np.float32)


def _contrasts(forms: Image, seen: Image) -> Image:
    """Standard deviation of lightness and of colour in each block that shows cloth, (n, 2)."""
    found = []
    for rows in np.array_split(np.arange(seen.shape[0]), BLOCKS):
        for columns in np.array_split(np.arange(seen.shape[1]), BLOCKS):
            block = np.ix_(rows, columns)
            shown = seen[block] > 0
            if shown.size and shown.mean() >= LEAST_SEEN:
                lightness, *colour = forms[block][shown].std(0)
                found.append((lightness, math.hypot(*colour)))
    return np.array(found, np.float32).reshape(-1, 2)
