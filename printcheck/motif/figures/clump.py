"""Where one colour gathers at the scale of a garment: the bunches that make a patch if two meet."""

from __future__ import annotations

import math

import cv2
import numpy as np

from printcheck.core.handover import MeanCell
from printcheck.core.measurement import Clump
from printcheck.motif.bars.bar_sequence import hex_of
from printcheck.motif.cv_types import Array, resized
from printcheck.motif.figures.torus import Piece, pieces_of

COLOURS = 6
HAND_SIGMA_MM = 25.0  # a hand's breadth: 60 mm at half height
GROUND_DELTA_E = 10.0  # colours this near the ground do not gather, they are the ground
STRENGTH = 2.0  # Delta E at a hand's breadth, from which it is seen as a bunch
CROWDING = 1.6  # times the colour's mean share
SIDE = 128  # samples a side: the field is 25 mm smooth


def clump_of(cell: MeanCell, ground: Array) -> Clump | None:
    """Strongest gathering of one colour; None where nothing gathers.

    Notes
    -----
    The share of every colour but the ground's is blurred to a hand's breadth. Strength is the spread of
    that field times the colour's Delta E from the ground. A bunch is where the field is above half of its
    rise over the usual, its size that of the colour itself in there: a disc spreads by its radius over the
    root of two. A colour whose high places run on without end makes bands, not bunches.
    """
    names, centres = _colours(cell.lab)
    blur = _garment_blur(cell.basis_mm)
    best: Clump | None = None
    for index, centre in enumerate(centres):
        apart = float(np.linalg.norm(centre - ground))
        share = resized((names == index).astype(np.float32), SIDE, SIDE)
        if apart < GROUND_DELTA_E or not share.any():
            continue
        field = np.fft.irfft2(np.fft.rfft2(share) * blur, s=share.shape)
        strength, crowding = float(field.std()) * apart, float(field.max() / share.mean())
        if strength >= STRENGTH and crowding >= CROWDING and (best is None or strength > best.strength):
            best = _clump(field, share, cell.basis_mm, hex_of(centre), strength) or best
    return best


def _colours(lab: Array) -> tuple[Array, Array]:
    """Colour index of every sample, and the colours.

    The colours are found on every third sample or so; every sample is named, since averaging first would
    name the edges of small motifs after no colour of theirs.
    """
    flat = np.ascontiguousarray(lab.reshape(-1, 3), np.float32)
    some = flat[:: max(1, len(flat) // SIDE**2)]
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 12, 0.5)
    cv2.setRNGSeed(1)  # the same photo gives the same answer
    names = np.zeros((len(some), 1), np.int32)
    centres = np.asarray(cv2.kmeans(some, COLOURS, names, stop, 1, cv2.KMEANS_PP_CENTERS)[2])
    away = (centres**2).sum(axis=1) - 2 * flat @ centres.T
    nearest: Array = away.argmin(axis=1).reshape(lab.shape[:2])
    return nearest, centres


def _garment_blur(basis: Array) -> Array:
    """Gaussian of a hand's breadth as a factor on the half spectrum of a square grid."""
    reciprocal = np.linalg.inv(basis).T  # rows in cycles per mm
    n, m = np.arange(SIDE // 2 + 1), np.fft.fftfreq(SIDE, 1 / SIDE)
    k = n[None, :, None] * reciprocal[0] + m[:, None, None] * reciprocal[1]
    factor: Array = np.exp(-2 * (np.pi * HAND_SIGMA_MM) ** 2 * (k**2).sum(axis=2))
    return factor


def _clump(field: Array, share: Array, basis: Array, colour: str, strength: float) -> Clump | None:
    """The bunch at the field's highest place; None where that place is part of an endless band."""
    bunches = pieces_of(field > (field.max() + np.median(field)) / 2).ending
    row, column = np.unravel_index(int(field.argmax()), field.shape)
    highest = next((k for k, piece in enumerate(bunches) if _holds(piece, int(row), int(column))), None)
    if highest is None:
        return None
    centres = np.array([[p.columns.mean() + 0.5, p.rows.mean() + 0.5] for p in bunches]) / SIDE @ basis
    spacing = _spacing(centres, highest, basis)
    size = min(_size_mm(bunches[highest], share, basis), spacing)
    at = (np.array([column, row]) + 0.5) / SIDE @ basis
    return Clump(colour, size, spacing, strength, (float(at[0]), float(at[1])))


def _holds(piece: Piece, row: int, column: int) -> bool:
    return bool(((piece.rows % SIDE == row) & (piece.columns % SIDE == column)).any())


def _spacing(centres: Array, own: int, basis: Array) -> float:
    """Distance from one bunch to the nearest other one or copy of it."""
    around = np.array([[i, j] for i in (-1, 0, 1) for j in (-1, 0, 1)]) @ basis
    away = np.hypot(*np.moveaxis(centres[:, None] + around - centres[own], -1, 0))
    away[own, len(around) // 2] = np.inf
    return float(away.min())


def _size_mm(bunch: Piece, share: Array, basis: Array) -> float:
    """Diameter of the disc over which the colour would lie as widely spread as it does in the bunch."""
    weight = share[bunch.rows % SIDE, bunch.columns % SIDE]
    places = np.stack([bunch.columns, bunch.rows], axis=1) / SIDE @ basis
    away = places - np.average(places, axis=0, weights=weight)
    return 2 * math.sqrt(2 * float(np.average((away**2).sum(axis=1), weights=weight)))
