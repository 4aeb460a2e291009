"""Way of a packed print without separate motifs: how its details are turned against their likes."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.cell.tiling import cloth_patch
from printcheck.motif.cv_types import Bools

PATCH_DIAGONALS = 1.9  # of the cell: every detail is seen whole once at least
PATCH_SIDE = 700  # samples at most; the descriptors need no more
MOST_POINTS = 1500  # strongest keypoints compared
OWN_COPY_SIZES = 2.0  # a like within this many keypoint sizes of a lattice copy is the point itself
SIZE_RATIO = 1.7
COSINE = 0.93  # of root-SIFT descriptors taken as likes
NEAR_DEG = 15.0  # turned by less than this counts as not turned


@dataclass(frozen=True)
class Turns:
    """Share of details whose best like lies unturned (``near``) or aslant (``oblique``).

    ``count`` is how many of them one cell holds.
    """

    count: float
    near: float
    oblique: float


def detail_turns(cell: MeanCell) -> Turns:
    """Match the details of a patch of the print against one another at every angle."""
    diagonal = float(max(np.hypot(*(cell.basis_mm[0] + s * cell.basis_mm[1])) for s in (-1, 1)))
    side_mm = PATCH_DIAGONALS * diagonal
    finest = float(np.hypot(*cell.basis_mm[0])) / cell.lab.shape[1]
    mm = max(finest, side_mm / PATCH_SIDE)
    patch = cloth_patch(cell, (round(side_mm / mm), round(side_mm / mm)), mm)
    points, descriptors = cv2.SIFT.create(MOST_POINTS).detectAndCompute(_grey(patch), None)
    if descriptors is None or len(points) < 2:
        return Turns(0.0, 0.0, 0.0)
    root = np.sqrt(descriptors / np.maximum(np.abs(descriptors).sum(axis=1, keepdims=True), 1e-9))
    place = np.array([p.pt for p in points]) * mm
    size = np.array([p.size for p in points]) * mm
    angle = np.array([p.angle for p in points])
    score = root @ root.T
    score[_same_detail(place, size, cell.basis_mm)] = -1
    ratio = size[:, None] / size[None]
    score[(ratio > SIZE_RATIO) | (ratio < 1 / SIZE_RATIO)] = -1
    best = score.argmax(axis=1)
    like = score[np.arange(len(best)), best] > COSINE
    turn = (angle[best] - angle)[like] % 360
    if not len(turn):
        return Turns(0.0, 0.0, 0.0)
    near = np.minimum(turn, 360 - turn) <= NEAR_DEG
    quarter = turn % 90
    oblique = np.minimum(quarter, 90 - quarter) > NEAR_DEG
    copies = side_mm**2 / abs(float(np.linalg.det(cell.basis_mm)))
    return Turns(len(turn) / copies, float(near.mean()), float(oblique.mean()))


def _grey(patch: Array) -> Array:
    """First principal component of the colour, stretched to 8 bits."""
    flat = (patch - patch.mean(axis=(0, 1))).reshape(-1, 3)
    _, vectors = np.linalg.eigh(flat.T @ flat)
    value = (flat @ vectors[:, -1]).reshape(patch.shape[:2])
    low, high = np.percentile(value, [1, 99])
    grey: Array = (np.clip((value - low) / max(high - low, 1e-6), 0, 1) * 255).astype(np.uint8)
    return grey


def _same_detail(place: Array, size: Array, basis: Array) -> Bools:
    """Pairs that are one detail and its lattice copy."""
    apart = (place[:, None] - place[None]) @ np.linalg.inv(basis)
    apart = (apart - np.round(apart)) @ basis
    same: Bools = np.hypot(apart[..., 0], apart[..., 1]) < OWN_COPY_SIZES * size[:, None]
    return same
