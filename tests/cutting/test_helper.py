"""The search in a process of its own: what it finds is handed back here, and it never outlives its use."""

from __future__ import annotations

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Print
from printcheck.cutting.demand.demands import Demand, demands_of
from printcheck.cutting.demand.ties import keeps_ties
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.helper import Helper
from printcheck.cutting.search.overlap_removal import improve
from printcheck.cutting.search.shortest import shortest
from printcheck.cutting.search.state import Search
from tests.cutting import garments

LONG_S = 1000.0  # s: longer than any test may take, so that only what is looked at can end a search

pytestmark = pytest.mark.timeout(200)  # a search that does not end is ended here, and has failed


def swim(*, shorter_mm: float = 0.0) -> Search:
    """A search that ends as soon as its first layout is bettered by so much."""
    print_ = Print(Lattice.of_steps(100, 100), "straight", "one-way", "test")
    demand: Demand | None = demands_of(garments.garment("swim"), print_).matched
    assert demand is not None
    search = shortest(Search(demand, Effort(0.0)))
    search.effort = Effort(LONG_S)
    search.bound_mm = search.length_mm - shorter_mm
    return search


def test_a_layout_found_there_is_the_one_found_here():
    search = swim(shorter_mm=20.0)
    with Helper(LONG_S) as helper:
        there = helper.start(improve, search, 1)()
    assert there is not None and there.length_mm < search.length_mm
    assert there.sound and keeps_ties(search.demand, there.spots)
    assert improve(search, 1) == there


def test_one_process_does_one_task_after_another():
    with Helper(LONG_S) as helper:
        answers = [helper.start(improve, swim(shorter_mm=1.0), seed) for seed in (1, 2)]
        lengths = [found.length_mm for answer in answers if (found := answer()) is not None]
    assert len(lengths) == 2 and max(lengths) < swim().length_mm


def test_the_task_of_a_process_that_breaks_down_is_done_here():
    with Helper(LONG_S) as helper:
        answer = helper.start(improve, swim(shorter_mm=20.0), 1)
        helper.end()
        found = answer()
    assert found is not None and found.length_mm < swim().length_mm
