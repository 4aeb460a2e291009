"""Large matched outlines laid by the constraint solver, against lengths worked out by hand."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from printcheck.core.lattice import Lattice
from printcheck.core.plan import EPS_MM, Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting.demand.demands import PROOF_MM, Demand, Part, Spot, demands_of
from printcheck.cutting.exact.beside import beside_step
from printcheck.cutting.search.compact import pressed
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.shortest import shortest
from printcheck.cutting.search.state import Search
from printcheck.cutting.shape.simplify import true_shapes
from printcheck.project import built_in

# 600 wide in the upper 300, 200 below, 1000 long: on 950 two lie beside each other from 300 down, where 200
# and 600 leave room for a band of 150
BOOT = ((0.0, 0.0), (600.0, 0.0), (600.0, 300.0), (200.0, 300.0), (200.0, 1000.0), (0.0, 1000.0))


# one seam point is so much lower than the other, rows are 450: the second boot begins 450 - lower below the
# first where that is 300 at least, else 450 + lower above it
@pytest.mark.parametrize(("lower", "length"), [(0, 1450), (100, 1350), (200, 1650)])
def test_boots_and_a_band_by_hand(lower: float, length: float) -> None:
    pieces = (
        *(Piece(f"boot#{n}", 600.0, 1000.0, BOOT) for n in (1, 2)),
        Piece("band", 150.0, 1300.0),
    )
    seam = Seam((SeamEnd("boot#1", (100.0, 500.0)), SeamEnd("boot#2", (100.0, 500.0 + lower))), "level")
    print_ = Print(Lattice.of_steps(50.0, 450.0), "straight", "one-way", "project")
    demand = demands_of(Project("boots", Cloth(950.0), pieces, (seam,)), print_).matched
    assert demand is not None
    search = Search(demand, Effort(20.0))
    apart = 1350.0 - lower
    assert search.note(pressed(demand, (Spot(0, 0), Spot(0, apart), Spot(800, 0)), rounds=1))
    before = search.length_mm
    beside_step(search)
    assert before > search.length_mm == pytest.approx(length, abs=0.2)
    assert length - 0.2 <= search.bound_mm <= length  # and none is shorter


def tied(cloth_mm: float, row_mm: float, *pieces: Piece) -> Demand:
    """Level seams from the first piece to all others but those called "free", at their left upper corners."""
    first = SeamEnd(pieces[0].name, (0.0, 0.0))
    seams = [Seam((first, SeamEnd(p.name, (0.0, 0.0))), "level") for p in pieces[1:] if "free" not in p.name]
    print_ = Print(Lattice.of_steps(10.0, row_mm), "straight", "one-way", "project")
    demand = demands_of(Project("tied", Cloth(cloth_mm), pieces, tuple(seams)), print_).matched
    assert demand is not None
    return demand


def bound_mm(demand: Demand) -> tuple[float, float]:
    """Bound by the large parts alone, with cloth to spare, and the best length found."""
    found = shortest(Search(demand, Effort(1.5)))
    assert found.best is not None
    search = Search(demand, Effort(10.0), best=replace(found.best, length_mm=found.length_mm + 300.0))
    beside_step(search)
    return search.bound_mm, min(found.length_mm, search.length_mm)


@pytest.mark.parametrize("name", ["tied", "free"])
def test_what_lies_between_two_arms_is_counted_as_it_lies(name: str) -> None:
    """A strip of 80 stands between arms of 100 that leave 100, on no more cloth than the arms take."""
    arms = (
        *((0.0, 0.0), (100.0, 0.0), (100.0, 400.0), (200.0, 400.0), (200.0, 0.0), (300.0, 0.0)),
        *((300.0, 500.0), (0.0, 500.0)),
    )
    pieces = Piece("arms#1", 300.0, 500.0, arms), Piece("arms#2", 300.0, 500.0, arms)
    bound, _ = bound_mm(tied(610.0, 100.0, *pieces, *(Piece(f"{name}#{k}", 80.0, 400.0) for k in (1, 2))))
    assert bound <= 500.0


def test_a_free_part_that_fits_at_a_few_heights_alone() -> None:
    """Between jaws 680 apart a strip of 675 goes in 310 to 315 down, and nowhere else."""
    jaws = (
        *((0.0, 0.0), (600.0, 0.0), (600.0, 310.0), (200.0, 310.0), (200.0, 990.0), (600.0, 990.0)),
        *((600.0, 1300.0), (0.0, 1300.0)),
    )
    pieces = (
        *(Piece(f"jaws#{k}", 600.0, 1300.0, jaws) for k in (1, 2)),
        *(Piece(f"free#{k}", 390.0, 675.0) for k in (1, 2)),
    )
    bound, _ = bound_mm(tied(1200.0, 100.0, *pieces))
    assert 1299.9 < bound <= 1300.0


def test_a_bound_takes_no_outline_for_larger_than_it_is() -> None:
    ring = tuple(
        (200 + 200 * math.cos(t), 200 + 200 * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 80)[:-1]
    )
    demand = Demand((Part("round", 400.0, 400.0, ring), Part("back", 400.0, 400.0, ring[::-1])), 900.0)
    for shape in true_shapes(demand):
        assert sum(Polygon(part).area for part in shape.parts) == pytest.approx(Polygon(ring).area)
        assert all(Polygon(part).exterior.is_ccw for part in shape.parts)


@pytest.mark.parametrize("seed", range(8))
def test_no_layout_is_shorter_than_the_bound(seed: int) -> None:
    rng = random.Random(seed)
    pieces = []
    for n in range(4):
        wide, high = rng.uniform(150.0, 350.0), rng.uniform(300.0, 700.0)
        left, right, waist = (rng.uniform(0.0, 0.4) * wide for _ in range(3))
        ring = (
            *((left, 0.0), (wide - right, 0.0), (wide, rng.uniform(0.3, 1.0) * high), (wide, high)),
            *((0.0, high), (waist, rng.uniform(0.3, 0.7) * high)),
        )
        pieces.append(Piece(f"p#{n}", wide, high, ring))
    pieces.append(Piece("free", rng.uniform(60.0, 120.0), rng.uniform(200.0, 600.0)))
    bound, length = bound_mm(tied(rng.uniform(500.0, 800.0), rng.choice([30.0, 90.0, 250.0]), *pieces))
    assert 0 < bound <= length + EPS_MM


def test_a_skirt_on_a_large_repeat() -> None:
    """Front 720, backs 375 each and a band of 100 on 1352 of cloth: rows of 192 leave 1423.0, as found."""
    print_ = Print(Lattice.of_steps(200.0, 200.0), "straight", "one-way", "project")
    demand = demands_of(built_in("a-line-skirt", {}), print_).matched
    assert demand is not None
    bound, length = bound_mm(demand)
    assert length - PROOF_MM <= bound <= length == pytest.approx(1423.0, abs=0.1)
