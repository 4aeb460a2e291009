"""A first guess at the cloth's outline by colour: what is like the middle and unlike the photo's frame.

Only a guess: prints share colours with tables, and a cloth that fills the photo has no outline at all. It
says where to search; whether there is a lattice, and how far it reaches, is decided by the lattice.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.cloth import FlatCloth
from printcheck.repeat.arrays import Image, Mask

LONGEST_PX = 240  # working pixels along the longer side
MIDDLE = 0.35  # of each side: taken for cloth
FRAME = 0.06  # of each side: taken for what lies around
BINS = 12  # of each channel of CIELAB, over the ranges of eight bits
SMOOTH_BINS = 1.0  # sigma: light changes a colour by about a bin
PATCH = 0.05  # of the longer side: a place is judged with its neighbourhood, motifs and all
HEM_PX = 2  # working pixels taken off along the edge: rather a little less cloth than table with it
APART = 0.25  # least difference of the mean share of cloth between middle and frame
LEAST, MOST = 0.08, 0.92  # of the picture: less is a motif, more is the whole


def apart_by_colour(cloth: FlatCloth) -> Mask | None:
    """Part of the mask that looks like the middle and not like the frame; None where they look alike.

    Parameters
    ----------
    cloth : FlatCloth

    Returns
    -------
    (H, W) bool or None
    """
    height, width = cloth.mask.shape
    bins, seen = _bins(cloth)
    size = seen.shape[1], seen.shape[0]
    middle = _box(seen, (1 - MIDDLE) / 2)
    frame = seen & ~_box(seen, FRAME)
    if not middle.any() or not frame.any():
        return None
    like = _share(bins, middle, frame)
    if like[middle].mean() - like[frame].mean() < APART:
        return None
    side = 2 * round(PATCH * max(size) / 2) + 1
    known = cv2.blur(seen.astype(np.float32), (side, side))
    smooth = cv2.blur(like * seen, (side, side)) / np.maximum(known, 1e-3)
    on = _around_middle((smooth > 0.5) & (known > 0.1), middle)
    if not LEAST < on.mean() < MOST:
        return None
    on_px = cv2.erode(on.astype(np.uint8), np.ones((2 * HEM_PX + 1, 2 * HEM_PX + 1), np.uint8))
    whole = cv2.resize(on_px, (width, height), interpolation=cv2.INTER_NEAREST)
    return np.asarray(cloth.mask & (whole > 0))


def unlikeness(cloth: FlatCloth, part: Mask) -> float:
    """How unlike in colour a part of the mask is to the rest of it: 0 alike, 1 no colour in common."""
    bins, seen = _bins(cloth)
    on = cv2.resize(part.astype(np.uint8), seen.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0
    inside, outside = seen & on, seen & ~on
    if not inside.any() or not outside.any():
        return 0.0
    like = _share(bins, inside, outside)
    return float(like[inside].mean() - like[outside].mean())


def _bins(cloth: FlatCloth) -> tuple[NDArray[np.int64], Mask]:
    """Number of each place's colour on a small picture, and where the cloth's mask is."""
    height, width = cloth.mask.shape
    k = min(1.0, LONGEST_PX / max(height, width))
    size = max(16, round(width * k)), max(16, round(height * k))
    lab = cv2.cvtColor(cv2.resize(cloth.bgr, size, interpolation=cv2.INTER_AREA), cv2.COLOR_BGR2LAB)
    seen = cv2.resize(cloth.mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
    return (np.asarray(lab, np.int64) * BINS // 256) @ np.array([BINS * BINS, BINS, 1]), seen


def _box(seen: Mask, margin: float) -> Mask:
    """What is seen, less a margin (share of each side) round the picture."""
    inner = np.zeros_like(seen)
    top, left = (round(margin * n) for n in seen.shape)
    part = np.s_[top : seen.shape[0] - top, left : seen.shape[1] - left]
    inner[part] = seen[part]
    return inner


def _share(bins: NDArray[np.int64], middle: Mask, frame: Mask) -> Image:
    """For each place, how much more its colour belongs to the middle than to the frame, 0 to 1."""
    laws = []
    for part in (middle, frame):
        counts = np.bincount(bins[part], minlength=BINS**3).reshape(BINS, BINS, BINS).astype(np.float32)
        for axis in range(3):
            turned = np.ascontiguousarray(np.moveaxis(counts, axis, 0).reshape(BINS, -1))
            soft = cv2.GaussianBlur(turned, (1, 5), 0.01, sigmaY=SMOOTH_BINS)
            counts = np.moveaxis(np.asarray(soft, np.float32).reshape(BINS, BINS, BINS), 0, axis)
        laws.append(counts.ravel() / counts.sum() + 1e-5)
    return np.asarray((laws[0] / (laws[0] + laws[1]))[bins], dtype=np.float32)


def _around_middle(on: Mask, middle: Mask) -> Mask:
    """The piece with most of the middle in it, its holes filled."""
    _, labels = cv2.connectedComponents(on.astype(np.uint8), connectivity=4)
    counts = np.bincount(labels[middle & on], minlength=1)
    if not counts[1:].any():
        return np.zeros_like(on)
    piece = (labels == 1 + int(np.argmax(counts[1:]))).astype(np.uint8)
    outlines, _ = cv2.findContours(piece, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return np.asarray(cv2.drawContours(np.zeros_like(piece), outlines, -1, 1, cv2.FILLED) > 0)
