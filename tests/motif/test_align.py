"""What strain the lattice left is found as one bend of the view, curved where enough cells are seen."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.motif.cell.align import bend_of
from printcheck.motif.cell.shading import Coarse
from printcheck.motif.cell.unroll import Frame

SAMPLES = 24  # coarse samples a side of a cell
BOW = 0.04  # cells: the shift across bows by that from the view's middle to its sides


def waves(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """A smooth print of period 1."""
    turns = 2 * np.pi
    parts = (np.sin(turns * u), np.cos(turns * (u + v)), np.sin(turns * (2 * u - v)))
    return 120 + 40 * np.stack([parts[0] + parts[1], parts[1], parts[2]], axis=-1)


@pytest.mark.parametrize("cells", [2, 4])
def test_a_bow_across_the_view_is_followed(cells: int) -> None:
    place = (np.arange(cells * SAMPLES) + 0.5) / SAMPLES
    u, v = np.meshgrid(place, place)
    bowed = BOW * ((u / (cells / 2) - 1) ** 2)
    shape = (cells, SAMPLES, cells, SAMPLES)
    coarse = Coarse(
        waves(u - bowed, v).reshape(*shape, 3).astype(np.float32),
        np.ones(shape, np.float32),
        np.ones((cells * SAMPLES,) * 2, np.float32),
        np.ones((cells, cells), bool),
    )
    frame = Frame(np.eye(2) * 40, np.eye(2) * 96, np.zeros(2), 96, 96, stripe=False)
    bend = bend_of(coarse, frame, np.zeros(2))
    assert bend is not None
    across = bend.at(np.array([0.0, cells / 2, cells]), np.array([cells / 2]))[0, :, 0]
    assert abs(across[0] - across[1]) == pytest.approx(BOW, rel=0.4)
    assert abs(across[2] - across[1]) == pytest.approx(BOW, rel=0.4)
    assert np.sign(across[0] - across[1]) == np.sign(across[2] - across[1])
