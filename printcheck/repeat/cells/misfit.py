"""How well a mean cell shows what the picture shows: as a whole, in its detail, in its colour."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, cut_up, laid_out, masked, summed, wrapped

if TYPE_CHECKING:
    from printcheck.repeat.cells.refine import Fit

FINE = 0.08  # of the cell's side, sigma: what is finer is detail, which folds and light do not bring forth
FLAT = 1e-6  # CIELAB squared: nothing at all is seen


def share_explained(left: Image, mean: Image, count: Image) -> float:
    """Share of variance explained, from the pixels of the cell that are seen at least twice.

    Parameters
    ----------
    left : (nj, ni, ch, cw, C) float32
        Cells less the mean cell, 0 where not seen.
    mean : (ch, cw, C) float32
    count : (ch, cw) float32
        How many cells show each place.
    """
    twice = count > 1.5
    if not twice.any():
        return 0.0
    errors = summed(np.square(left).sum(axis=(0, 1)))
    within = float((errors * count / np.maximum(count - 1, 0.5))[twice].sum())
    level = np.einsum("rc,rck->k", count * twice, mean) / float(count[twice].sum())
    between = float((np.square(mean - level).sum(axis=-1) * count)[twice].sum())
    return 1.0 - within / max(float(errors[twice].sum()) + between, 1e-9)


def fine_share(fit: Fit) -> float:
    """Share explained of what is finer than slow light and folds."""
    ch, cw = fit.mean.shape[:2]
    sigmas = FINE * cw, FINE * ch
    left = laid_out(fit.left)
    fine = masked(left - _blurred(left, sigmas), laid_out(fit.weight))
    pad = min(ch, cw, math.ceil(3 * max(sigmas)))
    mean = fit.mean - _blurred(wrapped(fit.mean, pad), sigmas)[pad:-pad, pad:-pad]
    return share_explained(cut_up(fine, (ch, cw)), mean, fit.count)


def colour_left(fit: Fit) -> float:
    """Share of the colour that is not explained, by the share that colour has in all that is seen."""
    cells, seen = fit.cells.reshape(-1, 3), fit.weight.ravel()
    number = max(float(seen.sum()), 1.0)
    variance = seen @ np.square(cells) / number - np.square(seen @ cells / number)
    lightness, chroma = math.sqrt(max(variance[0], 0.0)), math.sqrt(max(variance[1] + variance[2], 0.0))
    explained = share_explained(fit.left[..., 1:], fit.mean[..., 1:], fit.count)
    return (1 - explained) * chroma / max(chroma + lightness, FLAT)


def _blurred(picture: Image, sigmas: tuple[float, float]) -> Image:
    across, down = (max(sigma, 0.01) for sigma in sigmas)
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), across, sigmaY=down), dtype=np.float32)
