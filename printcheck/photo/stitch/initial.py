"""First guesses of how a picture lies on another, by sliding it over the other at many turns and sizes."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft2, next_fast_len, rfft2

from printcheck.photo.stitch.similarity import Copy, Lab, Matrix, Motion, Shown, corners_of, moved, resizing

TURNS_DEG = np.arange(-12.0, 12.1, 3.0)  # a hand-held phone; half a step off still correlates
SLID_PX = 110  # longest side of the pictures that are slid
LEAST_SLID_OVERLAP = 0.15  # of the smaller picture
SLID_GUESSES = 8
SHIFTS, APART_PX = 3, 8  # taken at one turn and size: a repeating print fits at several
SAME_PLACE = 0.06  # of the longest side: guesses nearer than this at every corner are one


@dataclass(frozen=True)
class _Spectra:
    """Transforms of a picture and of where it shows cloth, for correlations over the overlap alone."""

    lab: NDArray[np.complex64]  # (3, n, n // 2 + 1)
    power: NDArray[np.complex64]
    seen: NDArray[np.complex64]


def guesses(new: Shown, old: Shown, motion: Motion) -> list[Matrix]:
    """Movements at which the picture, turned and sized in steps, is most like the other where they overlap.

    Normalised correlation over the overlap, all shifts at once by transforms (Padfield 2012).
    """
    still, moving = _smaller(old.coarse), _smaller(new.coarse)
    diagonal = float(np.hypot(*moving.size)) * max(motion.zooms)
    side = next_fast_len(int(max(still.size) + diagonal), real=True)
    ground = _spectra(still.lab, still.seen, side)
    base = max(still.size) / max(moving.size) if len(motion.zooms) > 1 else _scale(still) / _scale(moving)
    found: list[tuple[float, Matrix]] = []
    for zoom in motion.zooms:
        for turn in TURNS_DEG:
            pose = _posed(moving.size, base * zoom, turn)
            for score, x, y in _best_shifts(moving, ground, pose, side):
                move = np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]]) @ pose
                found.append((score, np.linalg.inv(still.from_whole) @ move @ moving.from_whole))
    found.sort(key=lambda one: -one[0])
    return _apart([move for _, move in found if motion.allowed(move, new.size, old.size)], new, old)


def _scale(copy: Copy) -> float:
    return float(copy.from_whole[0, 0])


def _smaller(copy: Copy) -> Copy:
    factor = SLID_PX / max(copy.size)
    size = round(copy.size[0] * factor), round(copy.size[1] * factor)
    lab = np.asarray(cv2.resize(copy.lab, size, interpolation=cv2.INTER_AREA), np.float32)
    seen = np.asarray(cv2.resize(copy.seen.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0)
    return Copy(lab, seen, resizing(factor, factor) @ copy.from_whole)


def _posed(size: tuple[int, int], scale: float, turn_deg: float) -> Matrix:
    """Turned and sized about the middle, then moved so that nothing lies left of or above the frame."""
    turned = cv2.getRotationMatrix2D((size[0] / 2, size[1] / 2), turn_deg, scale)
    corners = np.array([[0, 0, 1], [size[0], 0, 1], [0, size[1], 1], [size[0], size[1], 1.0]]) @ turned.T
    turned[:, 2] -= corners.min(0)
    return np.vstack([turned, [0.0, 0.0, 1.0]])


def _spectra(lab: Lab, seen: NDArray[np.bool_], side: int) -> _Spectra:
    weight = seen.astype(np.float32)
    layers = [*np.moveaxis(lab, 2, 0), np.square(lab).sum(2), weight]
    spectra = rfft2(np.stack(layers), (side, side))
    return _Spectra(spectra[:3], spectra[3], spectra[4])


def _best_shifts(moving: Copy, ground: _Spectra, pose: Matrix, side: int) -> list[tuple[float, float, float]]:
    corners = np.array([[0, 0, 1], [*moving.size, 1], [moving.size[0], 0, 1], [0, moving.size[1], 1.0]])
    width, height = (min(side, int(np.ceil(v))) for v in (corners @ pose[:2].T).max(0))
    lab = cv2.warpAffine(moving.lab, pose[:2], (width, height), flags=cv2.INTER_LINEAR)
    seen = cv2.warpAffine(moving.seen.astype(np.uint8), pose[:2], (width, height), flags=0) > 0
    other = _spectra(np.asarray(lab * seen[..., None], np.float32), np.asarray(seen), side)
    spectra = (
        (ground.lab * other.lab.conj()).sum(0),
        ground.power * other.seen.conj(),
        ground.seen * other.power.conj(),
        ground.seen * other.seen.conj(),
    )
    product, mine, theirs, both = irfft2(np.stack(spectra), (side, side))
    smaller = min(float(seen.sum()), float(both.max()))
    enough = both > LEAST_SLID_OVERLAP * smaller
    alike = np.where(enough, product / np.sqrt(np.maximum(mine * theirs, 1e-6)), 0.0)
    score = alike * np.sqrt(np.sqrt(np.clip(both / smaller, 0, 1)))  # chance likes a small overlap
    best = []
    for _ in range(SHIFTS):
        y, x = np.unravel_index(int(score.argmax()), score.shape)
        across, along = (float(v - side if v > side / 2 else v) for v in (x, y))
        best.append((float(score[y, x]), across, along))
        near = np.arange(-APART_PX, APART_PX + 1)
        score[np.ix_((y + near) % side, (x + near) % side)] = 0.0
    return best


def _apart(moves: list[Matrix], new: Shown, old: Shown) -> list[Matrix]:
    """The first few guesses that differ."""
    corners, reach = corners_of(new.size), SAME_PLACE * max(old.size)
    kept: list[tuple[Matrix, Matrix]] = []
    for move in moves:
        there = moved(corners, move)
        if all(np.abs(there - other).max() > reach for _, other in kept):
            kept.append((move, there))
        if len(kept) == SLID_GUESSES:
            break
    return [move for move, _ in kept]
