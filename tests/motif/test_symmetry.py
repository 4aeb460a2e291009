"""Half and quarter turns against the seventeen plane groups.

Which groups hold a half turn and which a quarter turn: International Tables for Crystallography A.
"""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.core.handover import MeanCell
from printcheck.motif.bars.bar_sequence import bars_of
from printcheck.motif.way.symmetry import Symmetry, ceiling_of, symmetry_of

SIDE = 96
HALF_TURN = {"p2", "pmm", "pmg", "pgg", "cmm", "p4", "p4m", "p4g", "p6", "p6m"}
QUARTER_TURN = {"p4", "p4m", "p4g"}
SQUARE = ((40.0, 0.0), (0.0, 40.0))
OBLONG = ((40.0, 0.0), (0.0, 56.0))
OBLIQUE = ((40.0, 0.0), (11.0, 47.0))
RHOMBIC = ((24.0, 30.0), (-24.0, 30.0))
HEXAGONAL = ((40.0, 0.0), (20.0, 20.0 * 3**0.5))
# general positions of each group in lattice coordinates: (matrix rows, shift in halves)
X = ((1, 0), (0, 1))
TURN = ((-1, 0), (0, -1))
MX, MY = ((-1, 0), (0, 1)), ((1, 0), (0, -1))  # u and v negated
SWAP, ANTI = ((0, 1), (1, 0)), ((0, -1), (-1, 0))
Q1, Q3 = ((0, -1), (1, 0)), ((0, 1), (-1, 0))
T1, T2 = ((0, -1), (1, -1)), ((-1, 1), (-1, 0))  # third turns on a hexagonal basis
S1, S2 = ((1, -1), (1, 0)), ((0, 1), (-1, 1))  # sixth turns
# mirror lines of the hexagonal groups: through the third-turn centres or between them
M1 = (((0, -1), (-1, 0)), ((-1, 1), (0, 1)), ((1, 0), (1, -1)))
M2 = (((0, 1), (1, 0)), ((1, -1), (0, -1)), ((-1, 0), (-1, 1)))
O = (0, 0)  # noqa: E741
GROUPS = {
    "p1": (OBLIQUE, [(X, O)]),
    "p2": (OBLIQUE, [(X, O), (TURN, O)]),
    "pm": (OBLONG, [(X, O), (MX, O)]),
    "pg": (OBLONG, [(X, O), (MX, (0, 1))]),
    "cm": (RHOMBIC, [(X, O), (SWAP, O)]),
    "pmm": (OBLONG, [(X, O), (TURN, O), (MX, O), (MY, O)]),
    "pmg": (OBLONG, [(X, O), (TURN, O), (MX, (1, 0)), (MY, (1, 0))]),
    "pgg": (OBLONG, [(X, O), (TURN, O), (MX, (1, 1)), (MY, (1, 1))]),
    "cmm": (RHOMBIC, [(X, O), (TURN, O), (SWAP, O), (ANTI, O)]),
    "p4": (SQUARE, [(X, O), (TURN, O), (Q1, O), (Q3, O)]),
    "p4m": (SQUARE, [(m, O) for m in (X, TURN, Q1, Q3, MX, MY, SWAP, ANTI)]),
    "p4g": (SQUARE, [*((m, O) for m in (X, TURN, Q1, Q3)), *((m, (1, 1)) for m in (MX, MY, SWAP, ANTI))]),
    "p3": (HEXAGONAL, [(m, O) for m in (X, T1, T2)]),
    "p3m1": (HEXAGONAL, [(m, O) for m in (X, T1, T2, *M1)]),
    "p31m": (HEXAGONAL, [(m, O) for m in (X, T1, T2, *M2)]),
    "p6": (HEXAGONAL, [(m, O) for m in (X, T1, T2, TURN, S1, S2)]),
    "p6m": (HEXAGONAL, [(m, O) for m in (X, T1, T2, TURN, S1, S2, *M1, *M2)]),
}


def drawn(group: str) -> MeanCell:
    """A smooth random cell made symmetric by adding up its images under the group."""
    basis, positions = GROUPS[group]
    rng = np.random.default_rng(len(group) + sum(map(ord, group)))
    v, u = (np.mgrid[:SIDE, :SIDE] + 0.5) / SIDE
    picture = np.zeros((SIDE, SIDE, 3))
    waves = [
        (rng.integers(-4, 5), rng.integers(-4, 5), rng.uniform(0, 6.28, 3), rng.uniform(2, 9, 3))
        for _ in range(9)
    ]
    for matrix, shift in positions:
        x = matrix[0][0] * u + matrix[0][1] * v + shift[0] / 2
        y = matrix[1][0] * u + matrix[1][1] * v + shift[1] / 2
        for m, n, phase, size in waves:
            picture += size * np.cos(2 * np.pi * (m * x + n * y)[..., None] + phase)
    return MeanCell((picture + np.array([60, 0, 0])).astype(np.float32), np.array(basis), 1.0, 9.0)


def test_there_are_seventeen() -> None:
    assert len(GROUPS) == 17


@pytest.mark.parametrize("group", GROUPS)
def test_half_turn(group: str) -> None:
    half = symmetry_of(drawn(group)).half
    assert (half > 0.99) == (group in HALF_TURN)
    assert half > 0.99 or half < 0.9


@pytest.mark.parametrize("group", GROUPS)
def test_quarter_turn(group: str) -> None:
    quarter = symmetry_of(drawn(group)).quarter
    assert (quarter > 0.99) == (group in QUARTER_TURN)
    assert quarter > 0.99 or quarter < 0.9


@pytest.mark.parametrize("group", GROUPS)
def test_a_picture_of_half_the_resolution_says_the_same(group: str) -> None:
    cell = drawn(group)
    coarse = MeanCell(cell.lab[::2, ::2], cell.basis_mm, 1.0, 9.0)
    assert symmetry_of(coarse).half == pytest.approx(symmetry_of(cell).half, abs=0.03)


def test_ceiling_is_the_formula_of_spearman_and_brown() -> None:
    assert ceiling_of(0.6) == pytest.approx(0.75)  # 2 r / (1 + r)
    assert ceiling_of(float("nan")) == 1.0


@pytest.mark.parametrize(("alike", "even"), [(0.97, False), (0.6, True)])
def test_bars_are_uneven_only_where_a_turn_changes_more_than_cells_differ(alike: float, even: bool) -> None:
    """Three bars of unlike width and colour; of cells that differ as much unturned nothing can be said."""
    lightness = np.repeat([30.0, 90.0, 60.0], (48, 24, 24))[None].repeat(64, axis=0)
    lab = np.stack([lightness, 0 * lightness, 0 * lightness], axis=-1).astype(np.float32)
    cell = MeanCell(lab, np.diag([40.0, 27.0]), 0.9, 9.0, 0.2, alike=alike)
    bars = bars_of(cell, Symmetry(0.8, 0.0, 0.0, 0.0, 0.0), stripe=True)
    assert bars is not None and bars.even is even
