"""How a print is built, on drawings the weights were not fitted to, and at any slant."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from printcheck.core.handover import FlatCloth, MeanCell, PrintLattice
from printcheck.motif import mean_cell, read_print
from printcheck.motif.build.build import BUILDS, CELL, PICTURE
from printcheck.motif.build.evidence import evidence_of
from tests.drawn import geometric, prints
from tests.drawn.art import Art

Draw = Callable[..., tuple[FlatCloth, PrintLattice]]


def rng(seed: int = 911) -> np.random.Generator:
    return np.random.default_rng(seed)


DRAWN: list[tuple[str, Art, str]] = [
    ("gingham", prints.gingham(rng(), 24), "crossed"),
    ("window", prints.window_check(rng(), 40), "crossed"),
    ("plaid", prints.plaid(rng(), 40, even=False), "crossed"),
    ("chequers", geometric.chequers(rng(), 20), "squares"),
    ("zigzag", geometric.zigzag(rng(), 30), "zigzag"),
    ("stripe", prints.stripe(rng(), 30, even=True), "stripe"),
    ("slanting stripe", prints.stripe(rng(), 30, even=True, angle_deg=40), "stripe"),
    ("dots", prints.dots(rng(), 22, share=0.5), "figures"),
    ("dots that nearly touch", prints.dots(rng(), 22, share=0.75), "figures"),
    ("honeycomb", geometric.honeycomb(rng(), 20), "figures"),
]


@pytest.mark.parametrize(("name", "art", "build"), DRAWN, ids=[d[0] for d in DRAWN])
def test_build_of_drawings(draw: Draw, name: str, art: Art, build: str) -> None:
    cloth, lattice = draw(art, view_mm=180)
    structure = read_print(cloth, lattice, mean_cell(cloth, lattice)).structure
    assert structure is not None
    assert structure.build == build


@pytest.mark.parametrize("turn_deg", [30.0, 45.0])
def test_a_gingham_on_the_bias_is_a_gingham_still(draw: Draw, turn_deg: float) -> None:
    """The bars' widths are those of the cloth, and the slant is told."""
    cloth, lattice = draw(prints.gingham(rng(), 24), view_mm=180, turn_deg=turn_deg)
    facts = read_print(cloth, lattice, mean_cell(cloth, lattice))
    found = facts.stripe_or_check
    assert found is not None and found.family == "check"
    for bar in (*found.bars, *found.bars_along):
        assert bar.width_mm == pytest.approx(12, abs=0.4)


def test_a_trellis_has_its_lines_measured_on_the_slant(draw: Draw) -> None:
    art = geometric.trellis(rng(2), 40)
    cloth, lattice = draw(art, view_mm=200)
    found = read_print(cloth, lattice, mean_cell(cloth, lattice)).stripe_or_check
    assert found is not None
    assert found.angle_deg > 25
    assert len(found.bars) == len(found.bars_along) == 2


@pytest.mark.parametrize(
    ("kind", "two_sided", "slanting"),
    [("argyle", True, True), ("trellis", True, True), ("honeycomb", False, False), ("bricks", True, False)],
)
def test_edges_of_diamonds_run_two_ways_on_the_slant(
    draw: Draw, kind: str, two_sided: bool, slanting: bool
) -> None:
    """Hexagons have a third way (geometry), and bricks lie level."""
    cloth, lattice = draw(geometric.KINDS[kind](rng(3), 30), view_mm=180)
    structure = read_print(cloth, lattice, mean_cell(cloth, lattice)).structure
    assert structure is not None
    assert (structure.two_sided > 0.75) == two_sided
    assert (structure.side_deg > 15) == slanting


def test_weights_fit_the_builds() -> None:
    for weights in (CELL, PICTURE):
        assert all(len(row) == len(BUILDS) for row in weights)


@pytest.mark.parametrize("bend", [0.0, 0.25])
@pytest.mark.parametrize(("along", "second"), [(0.0, 0.0), (1.0, 0.5)])
def test_a_picture_has_bars_of_a_second_direction_only_where_bars_cross(
    bend: float, along: float, second: float
) -> None:
    """A two-way layout without interaction: rows and columns explain all, each its share (Fisher 1925)."""
    y, x = np.mgrid[0:300, 0:300] / 60.0
    slope = bend * np.sin(2 * np.pi * y / 10)  # bars that a fold bends
    tone = np.sin(2 * np.pi * (x + slope)) + along * np.sin(2 * np.pi * y)
    picture = np.dstack([50 + 10 * tone, 0 * x, 0 * x]).astype(np.float32)
    found = evidence_of(MeanCell(picture, np.diag([100.0, 100.0]), float("nan"), 1.0, 1 / 3), periodic=False)
    assert found.both_bars > 0.85
    assert found.both_bars - found.first_bars == pytest.approx(second, abs=0.1)
