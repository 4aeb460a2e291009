"""Large matched outlines laid by the constraint solver, against lengths worked out by hand."""

from __future__ import annotations

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting.demand.demands import Spot, demands_of
from printcheck.cutting.exact.beside import beside_step
from printcheck.cutting.search.compact import pressed
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.state import Search

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
