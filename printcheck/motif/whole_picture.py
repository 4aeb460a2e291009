"""The picture itself as if it were a cell, where no repeat is known, its slow light taken out."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.handover import Array, FlatCloth, MeanCell
from printcheck.motif.cell.shading import FLOOR
from printcheck.motif.cv_types import Bools, lab_of, resized, summed

WORKING_SIDE = 400  # pixels: enough to see motifs
STEP = WORKING_SIDE // 12  # pixels between the samples compared: light adds up over them, the weave does not
EVERY = 7  # samples to one that the light, five factors, is fitted to
ROUNDS = 12  # of reweighting; the light moves by less than a grey level after ten
SMALLEST_REST = 0.2  # of the median residual: nearer ones weigh no more, so that no sample decides alone


def swatch_of(cloth: FlatCloth, *, even: bool = True) -> tuple[MeanCell, Bools]:
    """The picture as a cell, its light ``even`` or as it is, and where cloth is seen.

    What is no cloth has the middle colour.
    """
    height, width = cloth.mask.shape
    times = max(1.0, max(height, width) / WORKING_SIDE)
    size = (max(1, round(width / times)), max(1, round(height / times)))
    seen = np.asarray(cv2.erode(resized(cloth.mask.astype(np.uint8) * 255, *size), np.ones((3, 3)))) > 200
    bgr = resized(cloth.bgr, *size).astype(np.float32)
    lab = lab_of(evened(bgr, seen) if even else bgr)
    if seen.any():
        lab[~seen] = np.median(lab[seen], axis=0)
    mm = cloth.mm_per_px * times
    return MeanCell(lab, np.diag([size[0] * mm, size[1] * mm]), float("nan"), 1.0, mm), seen


def evened(bgr: Array, seen: Bools) -> Array:
    """Picture (H, W, 3) float32 of cloth with its slow light divided out.

    Notes
    -----
    Small steps of the logarithm are light and large ones are print (Horn 1974, Determining lightness from
    an image): a quadratic surface is fitted to the steps from pixel to pixel by least absolute deviations,
    so that the edges of a figure, however large it is, do not bend it.
    """
    tone = np.log(summed(bgr) / 3 + FLOOR)
    places = np.meshgrid(*(np.linspace(-1, 1, side) for side in tone.shape[::-1]))
    terms = np.stack([*places, places[0] ** 2, places[0] * places[1], places[1] ** 2], axis=-1)
    steps = [_steps(np.dstack([terms, tone]), seen, axis) for axis in (0, 1)]
    light = terms @ _least_absolute(np.concatenate(steps))
    light -= light[seen].mean() if seen.any() else 0.0
    even: Array = (bgr * np.exp(-light)[..., None]).astype(np.float32)
    return even


def _steps(values: Array, seen: Bools, axis: int) -> Array:
    """Differences (N, C) of the values a few pixels apart, where both ends are cloth."""
    ahead, behind = (np.moveaxis(values, axis, 0)[part] for part in (np.s_[STEP:], np.s_[:-STEP]))
    on = np.moveaxis(seen, axis, 0)
    steps: Array = (ahead - behind)[on[STEP:] & on[:-STEP]][::EVERY]
    return steps


def _least_absolute(steps: Array) -> Array:
    """Factors of the terms whose sum comes nearest to the last column, by reweighted least squares."""
    terms, wanted = steps[:, :-1], steps[:, -1]
    factors, weight = np.zeros(terms.shape[1]), np.ones(len(terms))
    for _ in range(ROUNDS if len(terms) else 0):
        weighted = terms * weight[:, None]
        normal = weighted.T @ terms
        factors = np.linalg.lstsq(normal, weighted.T @ wanted, rcond=None)[0]
        rest = np.abs(wanted - terms @ factors)
        weight = 1 / np.maximum(rest, SMALLEST_REST * float(np.median(rest)) + 1e-6)
    return factors
