"""How many like motifs must head alike before a print is said to have an up."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.core.measurement import Repeat
from printcheck.motif import mean_cell, read_print
from printcheck.motif.figures.segmentation import Separation
from printcheck.motif.way import direction, upright
from printcheck.motif.way.headings import Headings
from printcheck.motif.way.keypoints import Turns
from printcheck.motif.way.symmetry import Symmetry
from tests.drawn import Art, Cell, figures, prints
from tests.drawn.stamps import Stamp, stamped

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


def leaves(turns: list[float], sizes: list[float]) -> Art:
    """Leaves in a grid about a bunch of blooms that has no like, as in a large floral seen in part."""
    ground, ink, bloom = (236, 240, 238), (60, 110, 50), (90, 60, 200)
    stamps = [
        Stamp(figures.leaf(), (30 + 46 * (k % 4), 20 + 36 * (k // 4)), size, (ink, ink), turn)
        for k, (turn, size) in enumerate(zip(turns, sizes, strict=True))
    ]
    stamps += [Stamp(figures.petals(n), (16 * n, 165 - 3 * n), 60, (bloom, ink)) for n in (5, 7)]
    return stamped(("floral", "bunch"), Cell(220, 220), stamps, ground, way=None)


SIZES = [20, 34, 26, 30, 22, 36, 28, 32, 24, 33, 21, 27]
TURNS = {
    "strewn": ([12, 75, 140, 38, 100, 162, 55, 120, 5, 88, 28, 150], "tossed"),
    "one lean": ([30, 33, 28, 30, 31, 27, 30, 34, 29, 30, 32, 30], None),
    "mirrored leans": ([25, -25, 27, -24, 25, -26, 24, -25, 26, -27, 25, -23], None),
}


@pytest.mark.parametrize("lie", TURNS)
def test_leaves_at_many_angles_show_a_tossed_print_without_its_repeat(draw: Draw, lie: str) -> None:
    turns, way = TURNS[lie]
    cloth, _ = draw(leaves([float(t) for t in turns], [float(s) for s in SIZES]), view_mm=230)
    nowhere = PrintLattice(Repeat("beyond-photo"), np.zeros((0, 2)), np.zeros(2))
    found = read_print(cloth, nowhere, None).direction
    assert found.way == way and found.margin <= 0.3


def test_the_odds_of_a_standing_figure_are_a_ratio_of_probabilities() -> None:
    """Weighed by how often a figure turned at random looks so, such odds come to one: the other shares do."""
    square, axis = 2 * upright.BOX_DEG / 90, 2 * upright.LEAN_DEG / 90
    weighed = (
        square * upright.SQUARE_ODDS
        + (1 - square) * axis * upright.AXIS_ODDS
        + (1 - square) * (1 - axis) * upright.NEITHER_ODDS
    )
    assert weighed == pytest.approx(1, abs=0.05)
