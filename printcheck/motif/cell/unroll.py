"""How the cell lies on the cloth and in the picture, and the picture unrolled on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import cv2
import numpy as np

from printcheck.core.handover import Array, FlatCloth, PrintLattice
from printcheck.core.lattice import shortest_vectors
from printcheck.motif.cv_types import Bools, resized, sampled

FEWEST_SAMPLES = 96  # samples along the longer side of a cell: small cells are seen often and bear it
MOST_SAMPLES = 400  # a motif of a tenth of the cell still spans 40 samples: its box is good to 2 %
UNROLLED_SAMPLES = 2.0e6  # budget for all cells together; beyond it only the middle of the picture is used
SHRINK_FROM = 1.5  # picture pixels per sample from which the picture is averaged down first
EDGE_PX = 2  # the rim of the cloth is blurred into what lies beyond it
EQUAL_SIDES = 0.03  # sides that differ less get the same number of samples, so quarter turns are exact
NODE_STEP = 16  # samples between the nodes where places are worked out exactly
SHORTEST_PX = 3.0  # below this a vector is finer than the picture can show


@dataclass(frozen=True)
class Frame:
    """How the cell lies: reduced vectors on the cloth (mm) and in the flat picture (px), same order.

    ``period`` and ``run`` are the samples along the first and the second vector. For a stripe the second
    vector runs along the bars and ``stripe`` is true.
    """

    basis_mm: Array
    basis_px: Array
    origin_px: Array
    period: int
    run: int
    stripe: bool
    budget: float = UNROLLED_SAMPLES


@dataclass(frozen=True)
class Unrolled:
    """The picture in lattice coordinates.

    Parameters
    ----------
    bgr : (rows * run, columns * period, 3) uint8
    seen : (rows * run, columns * period) uint8
        255 where cloth is seen.
    rows, columns : int
        Cells along the second and the first vector.
    low : (2,) float64
        First cell's coordinates along the first and the second vector.
    """

    bgr: Array
    seen: Array
    rows: int
    columns: int
    low: Array


class Bends(Protocol):
    """Anything that shifts places given in cells by so many cells."""

    def at(self, columns: Array, rows: Array) -> Array:
        """Shift in cells, (rows, columns, 2)."""


def frame_of(lattice: PrintLattice) -> Frame | None:
    """Reduced basis on the cloth and in the picture, with the samples to take; None without a lattice."""
    repeat = lattice.repeat
    if repeat.kind not in ("lattice", "stripe") or not repeat.basis_mm:
        return None
    mm = np.asarray(repeat.basis_mm, float)
    px = _in_step(mm, np.asarray(lattice.basis_px, float), lattice.turn_rad)
    stripe = len(mm) == 1
    if stripe:
        mm, px = np.vstack([mm, _square_to(mm[0])]), np.vstack([px[:1], _square_to(px[0])])
    else:
        steps = reducing_steps(mm)
        mm, px = steps @ mm, steps @ px
    sides = np.hypot(*px.T)
    if not np.all(np.isfinite(sides)) or sides.min() < SHORTEST_PX:
        return None
    longest = float(sides.max())
    density = min(max(longest, FEWEST_SAMPLES), MOST_SAMPLES) / longest
    if abs(sides[0] / sides[1] - 1) < EQUAL_SIDES:
        sides = np.full(2, sides.mean())
    period, run = (max(8, round(float(s) * density)) for s in sides)
    return Frame(mm, px, np.asarray(lattice.origin_px, float), period, run, stripe)


def _in_step(mm: Array, px: Array, turn_rad: float) -> Array:
    """Vectors in the picture put into the order and signs of those on the cloth.

    The cloth's basis is written for reading (columns and drop), the picture's as it was found.
    """
    c, s = np.cos(turn_rad), np.sin(turn_rad)
    upright = px @ np.array([[c, -s], [s, c]])
    if len(mm) == 1:
        return px if float((mm * upright).sum()) >= 0 else -px
    per_px = np.sqrt(abs(np.linalg.det(mm) / np.linalg.det(px)))
    steps = np.round(mm @ np.linalg.inv(upright * per_px))
    return steps @ px if abs(round(float(np.linalg.det(steps)))) == 1 else px


def reducing_steps(basis: Array) -> Array:
    """Whole-number matrix that turns the basis into its two shortest vectors.

    The more crosswise vector comes first and points right, the other points down.
    """
    now = np.array(shortest_vectors(*basis.tolist()))
    if abs(now[0, 1]) * np.hypot(*now[1]) > abs(now[1, 1]) * np.hypot(*now[0]):
        now = now[::-1]
    steps = np.round(now @ np.linalg.inv(basis))
    signs = np.where([now[0, 0] < 0, now[1, 1] < 0], -1.0, 1.0)
    return signs[:, None] * steps


def unroll(cloth: FlatCloth, lattice: PrintLattice, frame: Frame, *, bend: Bends | None = None) -> Unrolled:
    """Picture and mask in lattice coordinates, whole and partial cells, strain and a further bend undone."""
    bgr, seen = cloth.bgr, _inner(cloth.mask)
    low, high = _cells_in_view(seen, frame)
    columns, rows = (high - low).astype(int)
    size = (int(columns) * frame.period, int(rows) * frame.run)
    where = _places(lattice, frame, low, size, seen.shape, bend=bend)
    mask = sampled(seen, where, nearest=True)
    shrink = _shrink(frame)
    if shrink > 1:
        small = (max(1, bgr.shape[1] // shrink), max(1, bgr.shape[0] // shrink))
        bgr = resized(bgr[: small[1] * shrink, : small[0] * shrink], *small)
        where = (where + np.float32(0.5)) / np.float32(shrink) - np.float32(0.5)
    picture = sampled(bgr, where, outside=None)
    return Unrolled(picture, mask, int(rows), int(columns), low)


def _square_to(vector: Array) -> Array:
    return np.array([-vector[1], vector[0]])


def _shrink(frame: Frame) -> int:
    per_sample = float(np.hypot(*frame.basis_px[0])) / frame.period
    return int(per_sample) if per_sample >= SHRINK_FROM else 1


def _inner(mask: Bools) -> Array:
    """Mask without its rim, 255 where cloth is seen."""
    side = 2 * EDGE_PX + 1
    kernel = np.ones((side, side), np.uint8)
    seen = mask.astype(np.uint8) * np.uint8(255)
    return np.asarray(cv2.erode(seen, kernel, borderType=cv2.BORDER_CONSTANT, borderValue=0))


def _cells_in_view(seen: Array, frame: Frame) -> tuple[Array, Array]:
    """First and one-past-last cell along both vectors; the middle only where the budget is exceeded."""
    height, width = seen.shape
    corners = np.array([[0, 0], [width - 1, 0], [0, height - 1], [width - 1, height - 1]], float)
    inverse = np.linalg.inv(frame.basis_px)
    at = (corners - frame.origin_px) @ inverse
    low, high = np.floor(at.min(axis=0)), np.ceil(at.max(axis=0))
    samples = float(np.prod(high - low)) * frame.period * frame.run
    if samples > frame.budget:
        keep = np.maximum(2, np.floor((high - low) * np.sqrt(frame.budget / samples)))
        middle = (np.array([width, height]) / 2 - frame.origin_px) @ inverse
        low = np.maximum(low, np.round(middle - keep / 2))
        high = np.minimum(high, low + keep)
    return low, high


def _places(
    lattice: PrintLattice,
    frame: Frame,
    low: Array,
    size: tuple[int, int],
    shape: tuple[int, ...],
    *,
    bend: Bends | None,
) -> Array:
    """Picture place of every sample, (rows, columns, 2) as x, y.

    Worked out on every sixteenth sample, one node beyond each side, and interpolated: the lattice is
    straight and the strain smooth.
    """
    step = frame.basis_px / np.array([[frame.period], [frame.run]])  # picture pixels per sample
    nodes = [np.arange(-1, -(-n // NODE_STEP) + 1) for n in size]
    at = [(node + 0.5) * NODE_STEP for node in nodes]  # in samples from the first cell's corner
    first = frame.origin_px + low @ frame.basis_px
    where = (first + at[0][None, :, None] * step[0] + at[1][:, None, None] * step[1]).astype(np.float32)
    if bend is not None:
        where += (bend.at(low[0] + at[0] / frame.period, low[1] + at[1] / frame.run) @ frame.basis_px).astype(
            np.float32
        )
    if lattice.strain_px is not None:
        where += _strain_at(lattice.strain_px, where, shape)
    full = resized(where, NODE_STEP * len(nodes[0]), NODE_STEP * len(nodes[1]), smooth=True)
    inner: Array = full[NODE_STEP : NODE_STEP + size[1], NODE_STEP : NODE_STEP + size[0]]
    return inner


def _strain_at(strain: Array, where: Array, shape: tuple[int, ...]) -> Array:
    """Strain at every place, bilinear on its coarse grid."""
    per_px = [(strain.shape[1] - 1) / max(1, shape[1] - 1), (strain.shape[0] - 1) / max(1, shape[0] - 1)]
    grid = where * np.array(per_px, np.float32)
    return sampled(strain, grid, outside=None)
