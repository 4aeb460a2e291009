"""Distances within a print: the gap between motifs, and where a packed print forgets itself."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.cv_types import resized
from printcheck.motif.figures.segmentation import Motif, Separation

RIM_POINTS = 48  # points of a motif's outline that stand for it
MOST_MOTIFS = 60  # largest motifs looked at
NEIGHBOURS = 6  # nearest centres tried
FORGOTTEN = float(np.exp(-1))  # correlation at which a pattern counts as forgotten
SIDE = 128  # samples a side for the correlation


def typical_gap(cell: MeanCell, separation: Separation) -> float:
    """Median over the motifs of the free distance to the nearest other motif or copy, in mm."""
    motifs = separation.motifs[:MOST_MOTIFS]
    rims = [_rim(motif, cell.step_mm) for motif in motifs]
    centres = np.array([rim.mean(axis=0) for rim in rims])
    around = np.array([[i, j] for i in (-1, 0, 1) for j in (-1, 0, 1)]) @ cell.basis_mm
    reach = np.array([np.hypot(*(rim - centre).T).max() for rim, centre in zip(rims, centres, strict=True)])
    gaps = []
    for index, centre in enumerate(centres):
        away = centres[:, None] + around[None] - centre
        bound = np.hypot(away[..., 0], away[..., 1]) - reach[:, None]
        gaps.append(_nearest(index, rims, bound, around))
    return float(np.median(gaps))


def _nearest(index: int, rims: list[Array], bound: Array, around: Array) -> float:
    """Distance from this motif's outline to the nearest other outline.

    ``bound`` (motifs, copies) says how near the others' outlines may come to this one's middle.
    """
    bound[index, np.hypot(*around.T) < 1e-9] = np.inf
    best = np.inf
    for place in np.argsort(bound, axis=None)[:NEIGHBOURS]:
        other, shift = np.unravel_index(int(place), bound.shape)
        if not np.isfinite(bound[other, shift]):
            break
        apart = rims[index][:, None] - (rims[int(other)] + around[int(shift)])[None]
        best = min(best, float(np.hypot(apart[..., 0], apart[..., 1]).min()))
    return best


def _rim(motif: Motif, step: Array) -> Array:
    """Outline points of the motif in mm, the farthest in every direction from its middle."""
    samples = motif.piece.places
    low = samples.min(axis=0) - 1
    size = samples.max(axis=0) - low + 2
    mask = np.zeros((int(size[1]), int(size[0])), np.uint8)
    mask[motif.piece.rows - low[1], motif.piece.columns - low[0]] = 1
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    points = np.concatenate([c[:, 0] for c in contours])
    points = points[:: max(1, len(points) // RIM_POINTS)]
    rim: Array = (points + low + 0.5) @ step
    return rim


def correlation_length(cell: MeanCell) -> float:
    """Distance in mm at which the print's autocorrelation, averaged over directions, has fallen to 1/e."""
    lab = resized(cell.lab, SIDE, SIDE).astype(float)
    lab -= lab.mean(axis=(0, 1))
    power = (np.abs(np.fft.rfft2(lab, axes=(0, 1))) ** 2).sum(axis=2)
    surface = np.fft.irfft2(power, s=(SIDE, SIDE))
    if surface[0, 0] <= 0:
        return float("nan")
    step = np.fft.fftfreq(SIDE)
    place = step[None, :, None] * cell.basis_mm[0] + step[:, None, None] * cell.basis_mm[1]
    far = np.hypot(place[..., 0], place[..., 1]).ravel()
    order = np.argsort(far)
    rings = np.array_split(order, SIDE)
    mean = np.array([surface.ravel()[ring].mean() for ring in rings]) / surface[0, 0]
    radius = np.array([far[ring].mean() for ring in rings])
    below = np.nonzero(mean < FORGOTTEN)[0]
    return float(radius[below[0]]) if len(below) else float(radius[-1])
