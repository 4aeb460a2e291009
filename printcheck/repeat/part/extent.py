"""How far the cloth reaches: where the picture still falls on itself by the lattice's own steps.

A swatch seldom fills the photo: a table, a shelf or a hand shows beside it. No colour or texture tells
cloth from table for certain, but the lattice does: a window of cloth looks like the window one step on,
and a window of table does not. From places that agree with most of their neighbours the cloth is grown
step by step, over bare ground too where its colour is the same.
"""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np

from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.repeat.arrays import Image, Mask, Vectors, masked, summed
from printcheck.repeat.surface.illumination import blurred

LONGEST_PX = 320  # working pixels along the longer side: the edge is wanted to a few millimetres
LONGEST_FINE_PX = 640  # the same where the cells are small
WANTED_CELL_PX = 7.0  # working pixels of the cell's shorter side
LEAST_CELL_PX = 4.0  # smaller cells are blurred away, and nothing can be told
BLUR_PX = 0.8  # sigma, working pixels: noise and aliasing
WINDOW_CELLS = 0.6  # of the cell's side: a window holds a part of a motif at least
LEAST_WINDOW_PX, LARGEST_WINDOW_PX = 15.0, 25.0  # working pixels: the edge is found to a third of a window
AGREES = 0.5  # correlation of a window with its like: half way from chance to a true repeat
BARE_LAB = 2.5  # root mean square in a window, CIELAB: below it there is only ground to compare
SAME_LAB = 7.0  # CIELAB between two windows of one ground in uneven light
MOST = 0.5  # of a window's neighbours on the cloth must agree with it
ROUNDS = 40  # steps of growth: more cells than that lie between middle and rim of no photo of use
STRAY_CELLS = 1.0  # of a cell's area: smaller gaps are wear or a crease, smaller islands chance
STRAY_SHARE = 0.15  # of the largest piece: smaller ones lie off the cloth
LEAST_OFF = 0.04  # of the picture: less than that off the cloth spoils nothing
LEAST_SEED = 0.7  # of the seed must stay: a lattice that does not hold where it was found is none
HEM = 0.35  # of a window: taken off along the edge found, whose windows are half table
STEPS = ((1, 0), (0, 1), (1, 1), (1, -1))
NUDGES_PX = ((0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))  # working pixels: strain in a step
UNSTRAINED_PX = 20.0  # working pixels: strain moves the end of a shorter step by less than half a pixel


def extent_of(cloth: FlatCloth, lattice: PrintLattice, seed: Mask) -> Mask | None:
    """Where the lattice's print is seen, of the cloth's mask.

    Parameters
    ----------
    cloth : FlatCloth
    lattice : PrintLattice
        Of kind ``lattice`` or ``stripe``; only its steps are used, not its origin.
    seed : (H, W) bool
        Where the lattice was found: the cloth is grown from there.

    Returns
    -------
    (H, W) bool or None
        None where next to nothing lies off the cloth, and where the lattice cannot be followed: its cells
        are too small, or it does not even hold over the seed.
    """
    steps = steps_of(lattice)
    side = float(np.hypot(*steps.T).min())
    longest = max(cloth.mask.shape)
    reduction = max(1.0, longest / LONGEST_FINE_PX, min(longest / LONGEST_PX, side / WANTED_CELL_PX))
    if side / reduction < LEAST_CELL_PX:
        return None
    lab, weight = _small(cloth, reduction)
    wide = float(np.clip(WINDOW_CELLS * side / reduction, LEAST_WINDOW_PX, LARGEST_WINDOW_PX))
    window = 2 * round(wide / 2) + 1
    start = cv2.resize(seed.astype(np.uint8), weight.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0
    start &= weight > 0
    on = _grown(lab, weight, steps / reduction, window, start)
    if (on & start).sum() < LEAST_SEED * start.sum():
        return None
    on = _tidied(on, weight > 0, area=STRAY_CELLS * (side / reduction) ** 2)
    off = ((weight > 0) & ~on).astype(np.uint8)
    if off.sum() < LEAST_OFF * (weight > 0).sum():
        return None
    hem = 2 * round(HEM * window) + 1
    beside = cv2.dilate(off, np.ones((hem, hem), np.uint8))
    whole = cv2.resize(beside, cloth.mask.shape[::-1], interpolation=cv2.INTER_NEAREST)
    return np.asarray(cloth.mask & (whole == 0))


def steps_of(lattice: PrintLattice) -> Vectors:
    """Two steps in flat pixels, (2, 2); the second of a stripe runs along it, as long as the first."""
    basis = np.asarray(lattice.basis_px, dtype=np.float64)
    return np.array([basis[0], [-basis[0, 1], basis[0, 0]]]) if len(basis) == 1 else basis


def _small(cloth: FlatCloth, reduction: float) -> tuple[Image, Image]:
    height, width = cloth.mask.shape
    size = max(8, round(width / reduction)), max(8, round(height / reduction))
    small = cv2.resize(cloth.bgr, size, interpolation=cv2.INTER_AREA).astype(np.float32) / np.float32(255)
    lab = np.asarray(cv2.cvtColor(small, cv2.COLOR_BGR2LAB), dtype=np.float32)
    cover = cv2.resize(cloth.mask.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    weight = np.asarray(cover > 0.99, dtype=np.float32)
    return blurred(lab, weight, BLUR_PX), weight


def _grown(lab: Image, weight: Image, steps: Vectors, window: int, start: Mask) -> Mask:
    """Cloth, from the start outwards: each window asks those neighbours that are cloth by now."""
    agreements = list(_agreements(lab, weight, steps, window))
    on = start
    for _ in range(ROUNDS):
        asked = np.zeros(weight.shape, np.float32)
        votes = np.zeros(weight.shape, np.float32)
        for step, agree, shared in agreements:
            beside = (_moved(on.astype(np.float32), step) > 0.5) & shared
            asked += beside
            votes += beside & agree
        grown = (asked > 0) & (votes >= MOST * asked)
        if (grown == on).all():
            break
        on = grown
    return on


def _agreements(
    lab: Image, weight: Image, steps: Vectors, window: int
) -> Iterator[tuple[Vectors, Mask, Mask]]:
    """Each step, there and back: where a window agrees with the one a step on, and where both are seen."""
    own = np.maximum(_box(weight, window), 1e-6)
    mean = masked(_box(masked(lab, weight), window), 1 / own)
    power = _box(summed(np.square(lab)) * weight, window) / own - summed(np.square(mean))
    bare = (power < BARE_LAB**2).astype(np.float32)
    for i, j in STEPS:
        step = i * steps[0] + j * steps[1]
        shared = (weight > 0) & (_moved(weight, step) > 0.5)
        nudges = NUDGES_PX if np.hypot(*step) > UNSTRAINED_PX else NUDGES_PX[:1]
        like = np.max([_correlation(lab, weight, step + nudge, window) for nudge in nudges], axis=0)
        apart = np.sqrt(summed(np.square(_moved(mean, step) - mean)))
        both_bare = (bare > 0) & (_moved(bare, step) > 0.5)
        agree = shared & np.where(both_bare, apart < SAME_LAB, like >= AGREES)
        yield step, agree, shared
        yield -step, *(_moved(part.astype(np.float32), -step) > 0.5 for part in (agree, shared))


def _correlation(lab: Image, weight: Image, step: Vectors, window: int) -> Image:
    """Correlation coefficient of each window with the one a step on, over the pixels seen in both."""
    other, both = _moved(lab, step), weight * (_moved(weight, step) > 0.99)
    count = np.maximum(_box(both, window), 1e-6)
    a, b = masked(lab, both), masked(other, both)
    mean_a, mean_b = (masked(_box(part, window), 1 / count) for part in (a, b))
    pairs = ((a, mean_a, b, mean_b), (a, mean_a, a, mean_a), (b, mean_b, b, mean_b))
    cross, var_a, var_b = (
        _box(summed(p * q), window) / count - summed(mean_p * mean_q) for p, mean_p, q, mean_q in pairs
    )
    value = cross / np.sqrt(np.maximum(var_a * var_b, 1e-6))
    return np.asarray(np.where(count > 0.3, value, -1.0), dtype=np.float32)


def _moved(picture: Image, step: Vectors) -> Image:
    """What lies a step on from each pixel; outside the picture 0."""
    height, width = picture.shape[:2]
    matrix = np.array([[1.0, 0.0, step[0]], [0.0, 1.0, step[1]]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpAffine(picture, matrix, (width, height), flags=flags))


def _box(picture: Image, window: int) -> Image:
    return np.asarray(cv2.blur(picture, (window, window), borderType=cv2.BORDER_CONSTANT))


def _tidied(on: Mask, seen: Mask, *, area: float) -> Mask:
    """The pieces without small gaps and islands; an object on the cloth may part it in two."""
    filled = on.copy()
    count, labels, stats, _ = cv2.connectedComponentsWithStats((seen & ~on).astype(np.uint8), connectivity=4)
    for n in range(1, count):
        if stats[n, cv2.CC_STAT_AREA] < area:
            filled[labels == n] = True
    count, labels, stats, _ = cv2.connectedComponentsWithStats(filled.astype(np.uint8), connectivity=4)
    areas = stats[:, cv2.CC_STAT_AREA]
    kept = areas >= max(area, STRAY_SHARE * float(areas[1:].max(initial=0)))
    kept[0] = False
    return np.asarray(kept[labels])
