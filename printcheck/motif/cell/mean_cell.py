"""The print's average cell: the whole picture unrolled on its lattice, freed of light, folded into one."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np

from printcheck.core.handover import Array, FlatCloth, MeanCell, PrintLattice
from printcheck.motif.cell.align import Bend, bend_of
from printcheck.motif.cell.shading import COARSE_SAMPLES, Coarse, coarse_of
from printcheck.motif.cell.unroll import Frame, Unrolled, frame_of, unroll
from printcheck.motif.cv_types import lab_of, mean_colour, resized

ALIGNED_TIMES = 3  # the later ones take what the first left of a large bend
ALIGNED_SAMPLES = 1.5e5  # budget of the coarse picture: hundreds of cells say enough about a smooth bend
# halves of the four kinds of cell: by row, by column, chequerwise; a print whose true repeat is twice the
# lattice differs between the halves of one split at least
SPLITS = (((0, 1), (2, 3)), ((0, 2), (1, 3)), ((0, 3), (1, 2)))
OVERLAP = 0.3  # share of the cell that odd and even cells must both show to be compared
SEEN_AT_LEAST = 0.5  # share of a cell's samples that must have been seen once at least


def mean_cell(cloth: FlatCloth, lattice: PrintLattice) -> MeanCell | None:
    """Average cell of the print in CIELAB, light removed; None where there is no lattice.

    Parameters
    ----------
    cloth : FlatCloth
        The flat picture and where cloth is seen.
    lattice : PrintLattice
        As found; ``strain_px`` is followed where it was fitted.

    Returns
    -------
    MeanCell or None
        Its basis is the reduced one. Sample ``[j, i]`` stands at ``(i + 0.5) / W`` and ``(j + 0.5) / H`` of
        the two vectors. None also where less than half of a cell was ever seen.

    Notes
    -----
    The picture is unrolled once into lattice coordinates, partial cells included. The light, one smooth
    gain for all colours, is what is left when the average cell is taken out; the two are estimated in
    turn. Cells that differ far more than the others (a fold, a hand) are left out. Averages are taken of
    the gain-corrected sRGB values and turned into CIELAB at the end, so the colour stays that of the photo
    in its average light.
    """
    frame = frame_of(lattice)
    if frame is None:
        return None
    unrolled = unroll(cloth, lattice, frame, bend=_bend(cloth, lattice, frame))
    if not unrolled.seen.any():
        return None
    sums, counts = _fold(unrolled, coarse_of(unrolled, frame), frame)
    whole = float(counts.sum()) / (frame.period * frame.run)
    if frame.stripe:
        sums, counts = sums.sum(axis=1, keepdims=True), counts.sum(axis=1, keepdims=True)
    if (counts.sum(axis=0) > 0).mean() < SEEN_AT_LEAST:
        return None
    lab = _lab(sums.sum(axis=0), counts.sum(axis=0))
    if frame.stripe:
        lab = np.repeat(lab, frame.run, axis=0)
    scores = [_reliability(sums, counts, split) for split in SPLITS]
    known = [score for score in scores if math.isfinite(score)]
    alike = min(known) / max(max(known), 1e-6) if known else 1.0
    reliability = max(known) if known else float("nan")
    return MeanCell(lab, frame.basis_mm, reliability, whole, cloth.mm_per_px, alike)


def _bend(cloth: FlatCloth, lattice: PrintLattice, frame: Frame) -> Bend | None:
    """Bend that lays the cells on one another, found on a coarse picture; None where none is needed."""
    small = replace(
        frame,
        period=min(frame.period, COARSE_SAMPLES),
        run=min(frame.run, COARSE_SAMPLES),
        budget=ALIGNED_SAMPLES,
    )
    bend = None
    for _ in range(ALIGNED_TIMES):
        unrolled = unroll(cloth, lattice, small, bend=bend)
        if not unrolled.seen.any():
            return None
        further = bend_of(coarse_of(unrolled, small), frame, unrolled.low)
        if further is None:
            break
        bend = further if bend is None else bend.plus(further)
    return bend


def _fold(unrolled: Unrolled, coarse: Coarse, frame: Frame) -> tuple[Array, Array]:
    """Sums of the corrected picture over the four kinds of cell (even or odd row, column), and counts."""
    run, period = frame.run, frame.period
    size = (unrolled.columns * period, unrolled.rows * run)
    gain = resized(coarse.gain, *size, smooth=True)
    sums = np.zeros((4, run, period, 3), np.float32)
    counts = np.zeros((4, run, period), np.float32)
    for row, column in zip(*np.nonzero(coarse.keep), strict=True):
        part = (slice(row * run, (row + 1) * run), slice(column * period, (column + 1) * period))
        seen = unrolled.seen[part] > 0
        factor = gain[part] * seen
        kind = row % 2 * 2 + column % 2
        sums[kind] += unrolled.bgr[part] * cv2.merge((factor, factor, factor))
        counts[kind] += seen
    return sums, counts


def _lab(sums: Array, counts: Array) -> Array:
    """CIELAB of the mean; what was never seen takes the mean colour."""
    mean = sums / np.maximum(counts, 1)[..., None]
    unseen = counts == 0
    if unseen.any():
        mean[unseen] = mean_colour(mean, ~unseen)
    return lab_of(mean)


def _reliability(sums: Array, counts: Array, split: tuple[tuple[int, int], tuple[int, int]]) -> float:
    """Correlation of the mean of one half of the cells with the other half's, over what both show."""
    halves = [(sums[a] + sums[b], counts[a] + counts[b]) for a, b in split]
    both = (halves[0][1] > 0) & (halves[1][1] > 0)
    if both.mean() < OVERLAP:
        return float("nan")
    first, second = (_lab(total, count) for total, count in halves)
    first, second = ((lab - mean_colour(lab, both)) * both[..., None] for lab in (first, second))
    power = cv2.norm(first) * cv2.norm(second)
    return float(np.clip((first * second).sum() / power, 0, 1)) if power > 0 else 0.0
