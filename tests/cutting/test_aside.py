"""The search in a process of its own: what it finds is known here, and it never outlives its use."""

from __future__ import annotations

import threading
import time

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Print
from printcheck.cutting.demand.demands import Demand, demands_of
from printcheck.cutting.exact.positions import keeps_ties
from printcheck.cutting.search.matched_outlines import Matching, lay_boxes
from printcheck.cutting.search.overlap_removal import improve
from printcheck.cutting.search.process import Aside
from tests.cutting import garments

SOON_S = 15.0  # on a busy machine; by itself it takes a tenth of a second


def swim(seconds: float) -> Matching:
    print_ = Print(Lattice.of_steps(100, 100), "straight", "one-way", "test")
    demand: Demand | None = demands_of(garments.garment("swim"), print_).matched
    assert demand is not None
    search = Matching(demand, time.monotonic() + seconds)
    lay_boxes(search)
    return search


def test_a_layout_found_there_is_known_here():
    search = swim(6)
    first = search.best.length_mm
    with Aside(60) as aside:
        aside.run(improve, search, 1)
    assert search.best.length_mm < first
    assert search.best.sound and keeps_ties(search.demand, search.best.spots)
    assert search.told is None


def test_one_process_does_one_task_after_another():
    with Aside(60) as aside:
        for _ in range(2):
            search = swim(4)
            first = search.best.length_mm
            aside.run(improve, search, 1)
            assert search.best.length_mm < first


def test_a_layout_found_here_is_known_there():
    """The process would go on for a minute; a layout as short as the bound, wherever found, ends both."""
    search = swim(60)
    search.bound_mm = search.best.length_mm - 80  # a few seconds' work
    with Aside(60) as aside:
        task = threading.Thread(target=aside.run, args=(improve, search, 1))
        task.start()
        improve(search, 2)
        task.join(SOON_S)
        assert not task.is_alive()
    assert search.left == 0


def test_a_process_that_breaks_down_leaves_the_search_as_it_was():
    search = swim(60)
    first = search.best
    with Aside(60) as aside:
        aside.end()
        began = time.monotonic()
        aside.run(improve, search, 1)
        assert time.monotonic() - began < SOON_S
    assert search.best is first


def test_in_a_short_time_there_is_no_process():
    search = swim(1)
    first = search.best.length_mm
    with Aside(1) as aside:
        aside.run(improve, search, 1)
    assert search.best.length_mm < first
