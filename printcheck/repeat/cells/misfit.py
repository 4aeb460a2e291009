"""How well a mean cell shows what the picture shows: as a whole, in its detail, and where it does not."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, cut_up, laid_out, masked, summed, wrapped

if TYPE_CHECKING:
    from printcheck.repeat.cells.refine import Fit

FINE = 0.08  # of the cell's side, sigma: what is finer is detail, which folds and light do not bring forth
PLACES = 12  # each way in a cell: bars, not yarns
LEAST_WEIGHT = 0.3  # of a place: less is not asked
LEAST_BESIDE = 0.08  # share of the misfit: less is no clearer
UNSEEN = 0.5  # CIELAB, root mean square: a fifth of the just noticeable difference (2.3, Mahy 1994)
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


def in_lines(fit: Fit) -> float:
    """How far the misfit in lightness runs in lines through whole rows and columns of cells.

    A cell shows what the weave, a hand or a fold did to it; but bars that another bar is unlike, or stripes
    that come in no order, show all along. Minus the logarithm of the misfit's share that no line holds.
    """
    nj, ni = fit.weight.shape[:2]
    size = ni * PLACES, nj * PLACES
    weight = cv2.resize(laid_out(fit.weight), size, interpolation=cv2.INTER_AREA)
    left = cv2.resize(laid_out(fit.residual[..., :1]), size, interpolation=cv2.INTER_AREA)
    left = np.where(weight > LEAST_WEIGHT, left / np.maximum(weight, LEAST_WEIGHT), 0)
    rest = left
    for axis in (0, 1):
        along = np.maximum(weight.sum(axis, keepdims=True), 1)
        rest = rest - (rest * weight).sum(axis, keepdims=True) / along
    power, beside = (float((np.square(part) * weight).sum()) for part in (left, rest))
    unseen = UNSEEN**2 * float(weight.sum())
    return -math.log(max((beside + unseen) / max(power + unseen, FLAT), LEAST_BESIDE))


def _blurred(picture: Image, sigmas: tuple[float, float]) -> Image:
    across, down = (max(sigma, 0.01) for sigma in sigmas)
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), across, sigmaY=down), dtype=np.float32)
