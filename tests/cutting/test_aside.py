"""The search in a process of its own: what it finds is known here, and it never outlives its use."""

from __future__ import annotations

import threading
import time

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Print
from printcheck.cutting.demand.demands import Demand, demands_of
from printcheck.cutting.exact.positions import keeps_ties
from printcheck.cutting.search.matched_outlines import Matching, lay_first
from printcheck.cutting.search.overlap_removal import improve
from printcheck.cutting.search.process import Aside
from tests.cutting import garments

LONG_S = 1000.0  # s: longer than any test may take, so that only what is looked at can end a search

pytestmark = pytest.mark.timeout(200)  # a search that does not end is ended here, and has failed


def swim(seconds: float = LONG_S, *, shorter_mm: float = 0.0) -> Matching:
    """A search that ends as soon as its first layout is bettered by so much."""
    print_ = Print(Lattice.of_steps(100, 100), "straight", "one-way", "test")
    demand: Demand | None = demands_of(garments.garment("swim"), print_).matched
    assert demand is not None
    search = Matching(demand, time.monotonic() + seconds)
    lay_first(search)
    if shorter_mm:
        search.bound_mm = search.best.length_mm - shorter_mm
    return search


def test_a_layout_found_there_is_known_here():
    search = swim(shorter_mm=1.0)
    first = search.best.length_mm
    with Aside(LONG_S) as aside:
        aside.run(improve, search, 1)
    assert search.best.length_mm < first
    assert search.best.sound and keeps_ties(search.demand, search.best.spots)
    assert search.told is None


def test_one_process_does_one_task_after_another():
    with Aside(LONG_S) as aside:
        for _ in range(2):
            search = swim(shorter_mm=1.0)
            first = search.best.length_mm
            aside.run(improve, search, 1)
            assert search.best.length_mm < first


def test_a_layout_found_here_is_known_there():
    """A layout as short as the bound, wherever found, ends both."""
    search = swim(shorter_mm=80)  # a few seconds' work
    with Aside(LONG_S) as aside:
        task = threading.Thread(target=aside.run, args=(improve, search, 1))
        task.start()
        improve(search, 2)
        task.join()
    assert search.left == 0


def test_a_process_that_breaks_down_leaves_the_search_as_it_was():
    search = swim()
    first = search.best
    with Aside(LONG_S) as aside:
        aside.end()
        aside.run(improve, search, 1)
    assert search.best is first


def test_in_a_short_time_there_is_no_process():
    search = swim(shorter_mm=1.0)
    first = search.best.length_mm
    with Aside(1) as aside:
        aside.run(improve, search, 1)
    assert search.best.length_mm < first
