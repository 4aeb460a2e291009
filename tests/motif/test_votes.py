"""How many like motifs must head alike before a print is said to have an up."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.motif import mean_cell, read_print
from printcheck.motif.figures.segmentation import Separation
from printcheck.motif.way import direction
from printcheck.motif.way.headings import Headings
from printcheck.motif.way.keypoints import Turns
from printcheck.motif.way.symmetry import Symmetry
from tests.drawn import Cell, prints

Draw = Callable[..., tuple[FlatCloth, PrintLattice]]


def evidence(headed: int, voters: int, agree: int) -> direction.Evidence:
    """Evidence of a print with this many headed motifs, of which some have a like and some of those agree."""
    headings = Headings((0.1,) * headed, voters, agree, 0, 0, (), 0, 0, 0.5, 0.0)
    nothing = Separation(np.zeros(3), np.zeros((2, 2)), np.zeros((2, 2), bool), (), 1.0, 0.0)
    symmetry = Symmetry(0.0, 0.0, 0.0, 0.0, 0.0)
    return direction.Evidence(symmetry, None, nothing, headings, lambda: Turns(0.0, 0.0, 0.0), lambda: 1.0)


# figures in a cell, of them with a like, of those heading alike; what that shows. Upright prints of two kinds
# reach two votes of five; of many blots two or three are alike by chance (both counted on drawn prints)
VOTES = [
    (2, 2, 2, "one-way"), (5, 2, 2, "one-way"), (12, 12, 12, "one-way"), (8, 2, 2, None), (18, 5, 3, None),
    (8, 8, 0, "tossed"), (8, 8, 4, None), (5, 4, 2, None), (4, 1, 1, None),
]  # fmt: skip


@pytest.mark.parametrize(("headed", "voters", "agree", "way"), VOTES)
def test_votes(headed: int, voters: int, agree: int, way: str | None) -> None:
    answer = direction._likes(evidence(headed, voters, agree))
    assert (answer and answer.way) == way


@pytest.mark.parametrize("seed", range(4))
def test_blots_have_no_up(draw: Draw, seed: int) -> None:
    art = prints.skin(np.random.default_rng(seed), Cell(60, 66), spot_mm=8)
    cloth, lattice = draw(art, view_mm=270)
    assert read_print(cloth, lattice, mean_cell(cloth, lattice)).direction.way == "tossed"
