"""The cell against itself: turned by a half, by a quarter, mirrored, each at its best shift."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.cv_types import blurred, resized

TURN_SHOWS_NOTHING = 0.96  # half-turn score: two-way prints reach 0.986, one-way at most 0.90 (180 scenes)
SIDE = 160  # samples a side of the square grid on which every symmetry is exact array arithmetic
WHOLE = 0.07  # a symmetry's matrix may be this far from whole numbers: the lattice then has it too
WITNESS_BLUR = 0.02  # of the cell: the second witness looks for one small part that changes
WITNESS_QUANTILE = 99.5  # per cent: a part of a two-hundredth of the cell counts
LEAST_RELIABLE = 0.5  # below this the cell is noise and dividing by it would invent symmetry

QUARTER = np.array([[0.0, 1.0], [-1.0, 0.0]])
MIRROR_ACROSS = np.array([[-1.0, 0.0], [0.0, 1.0]])  # left and right change places
MIRROR_ALONG = np.array([[1.0, 0.0], [0.0, -1.0]])


@dataclass(frozen=True)
class Symmetry:
    """How far the print falls on itself, 1 for as well as two of its own cells do.

    ``witness`` is the strongest local change under the half turn, in variances of the print: large where
    a small part shows the turn although the whole does not.
    """

    half: float
    quarter: float
    mirror_across: float
    mirror_along: float
    witness: float


def symmetry_of(cell: MeanCell, *, stripe: bool = False) -> Symmetry:
    """Measure the symmetries of the cell on the cloth's axes."""
    grid = _grid(cell.lab)
    power = float((grid**2).sum())
    if power <= 0:
        return Symmetry(1.0, 1.0, 1.0, 1.0, 0.0)
    ceiling = ceiling_of(cell.reliability)
    spectrum = np.fft.rfft2(grid, axes=(0, 1))

    def score(turned: Array) -> tuple[float, tuple[int, int]]:
        other = np.fft.rfft2(turned, axes=(0, 1))
        surface = np.fft.irfft2((spectrum * other.conj()).sum(axis=2), s=grid.shape[:2])
        at = np.unravel_index(int(surface.argmax()), surface.shape)
        return min(1.0, float(surface[at]) / power / ceiling), (int(at[0]), int(at[1]))

    turned = _mapped(grid, -np.eye(2))
    half, shift = score(turned)
    others = {}
    for name, operation in (
        ("quarter", QUARTER),
        ("mirror_across", MIRROR_ACROSS),
        ("mirror_along", MIRROR_ALONG),
    ):
        steps = None if stripe else _whole_steps(cell.basis_mm, operation)
        others[name] = 0.0 if steps is None else score(_mapped(grid, steps))[0]
    return Symmetry(half, witness=_witness(grid, np.roll(turned, shift, axis=(0, 1))), **others)


def turn_shows(symmetry: Symmetry, cell: MeanCell) -> bool:
    """Whether a piece turned end for end shows, by more again than one cell differs from the next."""
    lost = 1 - symmetry.half
    return symmetry.half < TURN_SHOWS_NOTHING and lost > 2 * (1 - cell.alike)


def ceiling_of(reliability: float) -> float:
    """Correlation the mean cell would reach with its own repetition (Spearman and Brown)."""
    if not math.isfinite(reliability):
        return 1.0
    r = max(reliability, LEAST_RELIABLE)
    return 2 * r / (1 + r)


def _grid(lab: Array) -> Array:
    grid = resized(lab, SIDE, SIDE).astype(np.float64)
    centred: Array = grid - grid.mean(axis=(0, 1))
    return centred


def _whole_steps(basis: Array, operation: Array) -> Array | None:
    """Lattice coordinates' matrix of an operation on the cloth; None where the lattice lacks the symmetry."""
    steps = basis @ operation @ np.linalg.inv(basis)
    whole = np.round(steps)
    return whole if np.abs(steps - whole).max() <= WHOLE else None


def _mapped(grid: Array, steps: Array) -> Array:
    """Grid taken at the mapped lattice coordinates, exact on a square grid."""
    v, u = np.mgrid[:SIDE, :SIDE]
    # sample k stands at k + 1/2: map the coordinate, then step back to the sample that holds it
    at = np.stack([u + 0.5, v + 0.5], axis=-1) @ steps
    columns, rows = (np.floor(at[..., k] + 1e-6).astype(int) % SIDE for k in (0, 1))
    mapped: Array = grid[rows, columns]
    return mapped


def _witness(grid: Array, turned: Array) -> float:
    change = ((grid - turned) ** 2).sum(axis=2)
    sigma = WITNESS_BLUR * SIDE
    pad = int(4 * sigma)
    wide = np.pad(change, pad, mode="wrap").astype(np.float32)
    local = blurred(wide, sigma)[pad:-pad, pad:-pad]
    variance = float((grid**2).sum(axis=2).mean())
    return float(np.percentile(local, WITNESS_QUANTILE)) / variance
