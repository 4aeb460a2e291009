"""Where one colour gathers at the scale of a garment: the bunches that make a patch if two meet."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.cloth import MeanCell
from printcheck.model import Clump
from printcheck.motif.arrays import Array, resized
from printcheck.motif.bars import hex_of

COLOURS = 6
HAND_SIGMA_MM = 25.0  # a hand's breadth: 60 mm at half height
GROUND_DELTA_E = 10.0  # colours this near the ground do not gather, they are the ground
STRENGTH = 2.0  # Delta E at a hand's breadth, from which it is seen as a bunch
CROWDING = 1.6  # times the colour's mean share
SIDE = 128  # samples a side: the field is 25 mm smooth


def clump_of(cell: MeanCell, ground: Array) -> Clump | None:
    """Strongest gathering of one colour; None where nothing gathers."""
    lab = resized(cell.lab, SIDE, SIDE)
    names, centres = _colours(lab)
    blur = _garment_blur(cell.basis_mm)
    best: Clump | None = None
    for index, centre in enumerate(centres):
        apart = float(np.linalg.norm(centre - ground))
        share = (names == index).astype(float)
        if apart < GROUND_DELTA_E or not share.any():
            continue
        field = np.fft.irfft2(np.fft.rfft2(share) * blur, s=share.shape)
        strength, crowding = float(field.std()) * apart, float(field.max() / share.mean())
        if strength >= STRENGTH and crowding >= CROWDING and (best is None or strength > best.strength):
            best = _clump(field, cell.basis_mm, hex_of(centre), strength)
    return best


def _colours(lab: Array) -> tuple[Array, Array]:
    """Colour index of every sample, and the colours."""
    flat = lab.reshape(-1, 3)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 12, 0.5)
    cv2.setRNGSeed(1)  # the same photo gives the same answer
    names = np.zeros((len(flat), 1), np.int32)
    _, labels, centres = cv2.kmeans(flat, COLOURS, names, stop, 1, cv2.KMEANS_PP_CENTERS)
    return np.asarray(labels).reshape(lab.shape[:2]), np.asarray(centres)


def _garment_blur(basis: Array) -> Array:
    """Gaussian of a hand's breadth as a factor on the half spectrum of a square grid."""
    reciprocal = np.linalg.inv(basis).T  # rows in cycles per mm
    n, m = np.arange(SIDE // 2 + 1), np.fft.fftfreq(SIDE, 1 / SIDE)
    k = n[None, :, None] * reciprocal[0] + m[:, None, None] * reciprocal[1]
    factor: Array = np.exp(-2 * (np.pi * HAND_SIGMA_MM) ** 2 * (k**2).sum(axis=2))
    return factor


def _clump(field: Array, basis: Array, colour: str, strength: float) -> Clump:
    row, column = np.unravel_index(int(field.argmax()), field.shape)
    at = (np.array([column, row]) + 0.5) / SIDE @ basis
    level = field.mean() + 0.5 * (field.max() - field.mean())
    area = float((field > level).mean()) * abs(float(np.linalg.det(basis)))
    spacing = float(min(np.hypot(*basis[0]), np.hypot(*basis[1])))
    size = min(2 * float(np.sqrt(area / np.pi)), spacing)
    return Clump(colour, size, spacing, strength, (float(at[0]), float(at[1])))
