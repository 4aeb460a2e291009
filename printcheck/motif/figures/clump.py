"""Where a print gathers at the scale of a garment: bunches of figures, or one heavy figure."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from printcheck.core.colour import JUST_NOTICEABLE
from printcheck.core.handover import Array, MeanCell
from printcheck.core.measurement import Clump
from printcheck.motif.bars.bar_sequence import hex_of
from printcheck.motif.cv_types import resized
from printcheck.motif.figures.segmentation import Separation
from printcheck.motif.figures.torus import Piece, pieces_of

HAND_SIGMA_MM = 25.0  # a hand's breadth: 60 mm at half height
SIDE = 128  # samples a side: the field is 25 mm smooth
LEVELS = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
"""Shares of the field's rise: the lowest at which the highest place is cut off from its copies bounds it."""
STRONG = 0.5  # of the strongest contrast: what colours the bunch, its pale parts left out


def clump_of(
    cell: MeanCell, separation: Separation, size: float = 1.0, *, periodic: bool = True
) -> Clump | None:
    """The place where the print gathers most; None where it lies evenly at garment scale.

    Notes
    -----
    The difference of the print from its ground, a vector of CIELAB, is blurred to a hand's breadth: what is
    left is what the eye has of it from across a room. Strength is the spread of that field. A bunch is
    where the field's length is above half of its rise over the usual; its size is that of the figures in
    there. Figures are counted by their middles: one alone is a heavy figure and no bunch. Bands that run
    on without end are no bunches. A picture without a known repeat (``periodic`` False) is mirrored at its
    sides. The print is taken as ``size`` times as large as the cell has it.
    """
    cell = replace(cell, basis_mm=size * cell.basis_mm)
    if not periodic:
        cell, separation = _mirrored(cell, separation)
    drift = resized((cell.lab - separation.ground_lab).astype(np.float32), SIDE, SIDE)
    waves = np.fft.rfft2(drift, axes=(0, 1)) * _garment_blur(cell.basis_mm)[..., None]
    field = np.fft.irfft2(waves, s=(SIDE, SIDE), axes=(0, 1))
    strength = float(np.sqrt(((field - field.mean(axis=(0, 1))) ** 2).sum(axis=2).mean()))
    if strength < JUST_NOTICEABLE:
        return None
    return _clump(np.linalg.norm(field, axis=2), cell, separation, strength, periodic=periodic)


def _mirrored(cell: MeanCell, separation: Separation) -> tuple[MeanCell, Separation]:
    def twice(values: Array) -> Array:
        half = np.concatenate([values, values[:, ::-1]], axis=1)
        return np.concatenate([half, half[::-1]])

    doubled = replace(separation, mask=twice(separation.mask), contrast=twice(separation.contrast))
    return replace(cell, lab=twice(cell.lab), basis_mm=2 * cell.basis_mm), doubled


def _garment_blur(basis: Array) -> Array:
    """Gaussian of a hand's breadth as a factor on the half spectrum of a square grid."""
    reciprocal = np.linalg.inv(basis).T  # rows in cycles per mm
    n, m = np.arange(SIDE // 2 + 1), np.fft.fftfreq(SIDE, 1 / SIDE)
    k = n[None, :, None] * reciprocal[0] + m[:, None, None] * reciprocal[1]
    factor: Array = np.exp(-2 * (np.pi * HAND_SIGMA_MM) ** 2 * (k**2).sum(axis=2))
    return factor


def _clump(
    field: Array, cell: MeanCell, separation: Separation, strength: float, *, periodic: bool
) -> Clump | None:
    """The bunch at the field's highest place; None where that place is part of an endless band."""
    row, column = (int(n) for n in np.unravel_index(int(field.argmax()), field.shape))
    for level in LEVELS:
        bunches = pieces_of(field > np.median(field) + level * (field.max() - np.median(field))).ending
        highest = next((bunch for bunch in bunches if _holds(bunch, row, column)), None)
        if highest is not None:
            break
    else:
        return None
    colour, count = _colour(highest, cell, separation), _figures(highest, cell, separation)
    basis = cell.basis_mm
    others = [bunch for bunch in bunches if bunch is not highest]
    if not periodic:
        highest, *others = (_in_picture(bunch, row, column) for bunch in (highest, *others))
        others = [bunch for bunch in others if len(bunch.rows)]
    spacing = _spacing(highest, others, basis, periodic=periodic)
    ink = resized(separation.mask.astype(np.float32), SIDE, SIDE)
    size = min(_size_mm(highest, ink, basis), spacing)
    at = (np.array([column, row]) + 0.5) / SIDE @ basis
    far = spacing if math.isfinite(spacing) else None
    return Clump(colour, size, far, strength, (float(at[0]), float(at[1])), count)


def _in_picture(bunch: Piece, row: int, column: int) -> Piece:
    """The part of a bunch of the mirrored picture that lies in the same copy of it as this place."""
    rows, columns = bunch.rows % SIDE, bunch.columns % SIDE
    here = (rows * 2 // SIDE == row * 2 // SIDE) & (columns * 2 // SIDE == column * 2 // SIDE)
    return Piece(rows[here], columns[here])


def _holds(piece: Piece, row: int, column: int) -> bool:
    return bool(((piece.rows % SIDE == row) & (piece.columns % SIDE == column)).any())


def _spacing(own: Piece, others: list[Piece], basis: Array, *, periodic: bool) -> float:
    """Distance from one bunch to the nearest other one or copy of it; infinite where there is none."""
    centres = np.array([[p.columns.mean() + 0.5, p.rows.mean() + 0.5] for p in (own, *others)]) / SIDE @ basis
    copies = [[i, j] for i in (-1, 0, 1) for j in (-1, 0, 1)] if periodic else [[0, 0]]
    away = np.hypot(*np.moveaxis(centres[:, None] + np.array(copies) @ basis - centres[0], -1, 0))
    away[0, len(copies) // 2] = np.inf
    return float(away.min())


def _size_mm(bunch: Piece, ink: Array, basis: Array) -> float:
    """Diameter of the disc over which the ink would lie as widely spread as it does in the bunch."""
    weight = ink[bunch.rows % SIDE, bunch.columns % SIDE] + 1e-6
    places = np.stack([bunch.columns, bunch.rows], axis=1) / SIDE @ basis
    away = places - np.average(places, axis=0, weights=weight)
    return 2 * math.sqrt(2 * float(np.average((away**2).sum(axis=1), weights=weight)))


def _inside(bunch: Piece, shape: tuple[int, ...]) -> Array:
    """Mask (rows, columns) of the bunch at the cell's own samples."""
    small = np.zeros((SIDE, SIDE), np.uint8)
    small[bunch.rows % SIDE, bunch.columns % SIDE] = 1
    rows, columns = (np.arange(n) * SIDE // n for n in shape[:2])
    inside: Array = small[np.ix_(rows, columns)] > 0
    return inside


def _colour(bunch: Piece, cell: MeanCell, separation: Separation) -> str:
    """Middle colour of what stands out most in the bunch."""
    contrast = np.where(_inside(bunch, separation.mask.shape), separation.contrast, 0)
    strong = contrast > STRONG * contrast.max()
    return hex_of(np.median(cell.lab[strong], axis=0))


def _figures(bunch: Piece, cell: MeanCell, separation: Separation) -> int | None:
    """Separate figures whose middle lies in the bunch; None where none stand apart."""
    if not separation.motifs:
        return None
    inside = _inside(bunch, separation.mask.shape)
    height, width = inside.shape
    middles = [
        (int(m.piece.rows.mean()) % height, int(m.piece.columns.mean()) % width) for m in separation.motifs
    ]
    return max(1, sum(bool(inside[middle]) for middle in middles))
