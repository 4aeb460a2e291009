"""Figure from ground: which parts of the cell are motifs, and how large they are on the cloth's axes."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.cv_types import Bools, delta_e, mean_colour
from printcheck.motif.figures.grouping import joined_satellites, runs_together, split_touching
from printcheck.motif.figures.torus import Piece, pieces_of, without_holes

BIN = 4.0  # CIELAB units: histogram bins in which the ground's colour is looked for
NEAR = 7.0  # CIELAB units: what is this near a peak belongs to it
PEAKS = 4  # histogram peaks tried for the ground
SHARE_OF_STRONGEST = 0.2  # threshold as a share of the strongest contrast: pale parts of a figure stay in
MOST = 9.0  # Delta E: cap of the threshold, for pale figures beside strong ones
LEAST = 2.5  # Delta E: just noticeable (Mahy 1994: 2.3); below it nothing is figure
NOISES = 3.0  # times the spread of the ground itself
GROUND_SHARE = 0.4  # of the strongest contrast: what is nearer is ground, even in a print tone on tone
AT_MOST_SHARE = 0.6  # of the strongest contrast, where the noise is large
FILL_BELOW = 0.6  # inked share up to which enclosed ground belongs to its figure
RIM_PX = 2.0  # picture pixels at a piece's edge that the camera blurred outwards
HALF = 0.5  # the edge of a blurred figure lies where half of its contrast is left
SPECK_MM2 = 0.15  # a piece below this is noise or weave
SPECK_SHARE = 0.02  # as is one below this share of the largest piece
PACKED_BELOW = 0.6  # share of the inked area in pieces that end, below which nothing separates
GROUND_ABOVE = 0.35  # share of the cell that must be ground
TOGETHER_TIMES = 4.0  # times the median area: motifs run together, if nothing else contradicts
TOGETHER_SHARE = 0.15  # of the motifs' area in such pieces, from which the print has no separate motifs
OPEN_GROUND = 0.65  # share of the cell that is ground, above which motifs have room to stand apart
FULL_GROUND = 0.5  # below this even the usual pieces may be motifs run together


@dataclass(frozen=True)
class Motif:
    """One motif: its samples, and its box (left, top, width, height) in mm from the cell's origin."""

    piece: Piece
    box_mm: tuple[float, float, float, float]
    area_mm2: float

    @property
    def longest_mm(self) -> float:
        """Longer side of the box."""
        return max(self.box_mm[2:])


@dataclass(frozen=True)
class Separation:
    """What stands out of the ground.

    Parameters
    ----------
    contrast : (H, W) float32
        Delta E of every sample from the ground.
    mask : (H, W) bool
        Inked samples.
    motifs : tuple of Motif
        Separate motifs of one cell, largest box first; empty where nothing separates.
    ending_share : float
        Share of the inked area in pieces that end.
    """

    ground_lab: Array
    contrast: Array
    mask: Bools
    motifs: tuple[Motif, ...]
    ending_share: float
    strength: float

    @property
    def cover(self) -> float:
        """Inked share of the cell."""
        return float(self.mask.mean())

    @property
    def packed(self) -> bool:
        """Whether nothing stands apart: no piece ends, or the largest ones are motifs run together."""
        if not self.motifs or 1 - self.cover >= OPEN_GROUND:
            return not self.motifs
        areas = np.array([motif.piece.area for motif in self.motifs])
        times = 0.0 if 1 - self.cover < FULL_GROUND else TOGETHER_TIMES
        large = np.nonzero(areas >= times * np.median(areas))[0]
        together = sum(areas[k] for k in large if runs_together(self.motifs[k].piece))
        return bool(together >= TOGETHER_SHARE * areas.sum())


def separate(cell: MeanCell) -> Separation:
    """Separate motifs of the cell from its ground.

    Notes
    -----
    The ground is the densest colour. Ink is what differs from it by more than a fifth of the strongest
    contrast, the ground's own noise and the just noticeable; enclosed ground is filled. Pieces are taken
    on the torus, so nothing is cut by the cell's sides; small pieces close to a large one join it, and
    touching motifs are split where the pieces' sizes say so.
    """
    ground = _ground(cell.lab)
    contrast = delta_e(cell.lab, ground)
    strongest = float(np.percentile(contrast, 99))
    mask = contrast > _threshold(contrast, strongest)
    if 0 < mask.mean() < FILL_BELOW:
        mask = without_holes(mask)
    pieces = pieces_of(mask)
    inked = max(1, int(mask.sum()))
    ending = sum(piece.area for piece in pieces.ending) / inked
    motifs: tuple[Motif, ...] = ()
    if ending >= PACKED_BELOW and 1 - mask.mean() >= GROUND_ABOVE and strongest > LEAST:
        motifs = _motifs(pieces.ending, cell, contrast, strongest)
    return Separation(ground, contrast, mask, motifs, ending, strongest)


def _ground(lab: Array) -> Array:
    """Densest colour of the cell."""
    bins = np.floor(lab / BIN).astype(np.int64) + 64
    key = (bins[..., 0] * 128 + bins[..., 1]) * 128 + bins[..., 2]
    found, counts = np.unique(key, return_counts=True)
    best, most = mean_colour(lab), -1.0
    for peak in found[np.argsort(-counts)[:PEAKS]]:
        centre = mean_colour(lab, key == peak)
        for _ in range(2):
            near = delta_e(lab, centre) < NEAR
            if near.any():
                centre = mean_colour(lab, near)
        if near.mean() > most:
            best, most = centre, float(near.mean())
    return best


def _threshold(contrast: Array, strongest: float) -> float:
    ground = contrast[contrast < min(NEAR, GROUND_SHARE * strongest)]
    noise = float(np.median(ground)) if ground.size else 0.0
    wanted = max(min(SHARE_OF_STRONGEST * strongest, MOST), NOISES * noise, LEAST)
    return min(wanted, max(AT_MOST_SHARE * strongest, LEAST))


def _motifs(pieces: list[Piece], cell: MeanCell, contrast: Array, strongest: float) -> tuple[Motif, ...]:
    step = cell.step_mm
    sample_mm2 = float(abs(np.linalg.det(step)))
    smallest = max(SPECK_MM2 / sample_mm2, 4.0)
    pieces = joined_satellites([p for p in pieces if p.area >= smallest], step, contrast.shape)
    pieces = split_touching(pieces)
    if not pieces:
        return ()
    largest = max(piece.area for piece in pieces)
    pieces = [piece for piece in pieces if piece.area >= SPECK_SHARE * largest]
    rim = max(2, round(RIM_PX * cell.px_mm / np.sqrt(sample_mm2)))
    found = []
    for piece in pieces:
        box = _box(_sharpened(piece, contrast, strongest, rim), step)
        found.append(Motif(piece, box, piece.area * sample_mm2))
    return tuple(sorted(found, key=lambda motif: -motif.box_mm[2] * motif.box_mm[3]))


def _sharpened(piece: Piece, contrast: Array, strongest: float, rim: int) -> Piece:
    """Piece without the rim that the camera's blur added: less than half of the contrast beside it."""
    height, width = contrast.shape
    top, left = piece.rows.min() - rim - 1, piece.columns.min() - rim - 1
    shape = (int(piece.rows.max() - top) + rim + 2, int(piece.columns.max() - left) + rim + 2)
    rows, columns = (np.arange(shape[0]) + top) % height, (np.arange(shape[1]) + left) % width
    near = contrast[np.ix_(rows, columns)]
    inside = np.zeros(shape, np.uint8)
    at = (piece.rows - top, piece.columns - left)
    inside[at] = 1
    kernel = np.ones((2 * rim + 1, 2 * rim + 1), np.uint8)
    core = cv2.erode(inside, kernel)[at] > 0
    peak = cv2.dilate(near, kernel)[at]
    weak = (near[at] < HALF * peak) & (near[at] < HALF * strongest)
    kept = core | ~weak
    return piece.part(kept) if kept.any() else piece


def _box(piece: Piece, step: Array) -> tuple[float, float, float, float]:
    """Box in mm on the cloth's axes, sample areas included."""
    places = np.stack([piece.columns + 0.5, piece.rows + 0.5], axis=1) @ step
    reach = 0.5 * np.abs(step).sum(axis=0)
    low, high = places.min(axis=0) - reach, places.max(axis=0) + reach
    return float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1])
