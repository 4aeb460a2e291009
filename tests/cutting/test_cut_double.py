"""Cloth folded selvedge to selvedge: pairs cut at once, symmetrical pieces at the fold; all by hand."""

from __future__ import annotations

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project
from printcheck.cutting.what_if.cut_double import cut_double

PLAIN = Print(None, "none", "four-way", "project")


def project(*pieces: Piece, width: float = 1400.0, **cloth: float) -> Project:
    return Project("top", Cloth(width, sold_by_mm=100, price=10.0, currency="EUR", **cloth), pieces)


def test_pairs_are_cut_at_once_and_a_front_at_the_fold() -> None:
    """On 700 of folded cloth: half the front 300 wide, a pair of backs 350 beside it, sleeves below."""
    job = project(
        Piece("front", 600.0, 900.0, on_fold=True),
        Piece("back#1", 350.0, 900.0),
        Piece("back#2", 350.0, 900.0),
        Piece("sleeve#1", 400.0, 250.0),
        Piece("sleeve#2", 400.0, 250.0),
        shrink_along=0.04,
    )
    double = cut_double(job, PLAIN, seconds=1)
    assert double is not None and double.length_mm == pytest.approx(1150, abs=0.1)
    assert double.buy_mm == pytest.approx(1200) and double.cost == pytest.approx(12.0)  # 1150 / 0.96 = 1198
    at = {spot.piece: spot for spot in double.placements}
    assert set(at) == {"front on the fold", "back#1 and back#2", "sleeve#1 and sleeve#2"}
    assert at["front on the fold"].x_mm == 0.0


def test_what_is_no_pair_is_cut_once_and_what_is_too_wide_cannot_be_folded() -> None:
    single = cut_double(project(Piece("pocket", 300.0, 200.0), Piece("flap", 500.0, 300.0)), PLAIN, seconds=1)
    assert single is not None and single.length_mm == pytest.approx(500, abs=0.1)  # 300 + 500 > 700
    assert cut_double(project(Piece("wide", 800.0, 200.0)), PLAIN, seconds=1) is None
    fold = cut_double(project(Piece("wide", 800.0, 200.0, on_fold=True)), PLAIN, seconds=1)
    assert fold is not None and fold.length_mm == pytest.approx(200, abs=0.1)


def test_shapes_pair_with_their_mirror_images_and_keep_the_way() -> None:
    """Wedges 500 wide, 400 long on 600 of folded cloth; see the same ones in a single layer."""
    ring = ((0.0, 0.0), (100.0, 0.0), (500.0, 400.0), (0.0, 400.0))
    mirrored = tuple((500.0 - x, y) for x, y in reversed(ring))
    pairs = [Piece(f"w#{n}", 500.0, 400.0, mirrored if n % 2 else ring, bool(n % 2)) for n in range(4)]
    job = project(*pairs, width=1200.0)
    free = cut_double(job, PLAIN, seconds=2)
    assert free is not None and free.length_mm == pytest.approx(400, abs=0.1)  # one of the two is turned
    one_way = Print(Lattice.of_steps(50.0, 50.0), "straight", "one-way", "project")
    kept = cut_double(job, one_way, seconds=1)
    assert kept is not None and kept.length_mm == pytest.approx(800, abs=0.1)
    alike = [Piece(f"w#{n}", 500.0, 400.0, ring) for n in range(2)]  # two of one hand are no pair
    both = cut_double(project(*alike, width=1200.0), one_way, seconds=1)
    assert both is not None and len(both.placements) == 2


def test_the_half_of_a_shape_lies_at_the_fold() -> None:
    """A triangle 1000 wide by half at the fold: a corner at the fold, 500 wide."""
    shawl = Piece("shawl", 1000.0, 600.0, ((500.0, 0.0), (1000.0, 600.0), (0.0, 600.0)), on_fold=True)
    double = cut_double(project(shawl, width=1000.0), PLAIN, seconds=1)
    assert double is not None and double.length_mm == pytest.approx(600, abs=0.1)
