"""The pictures of overlap that outlines are moved by, against the exact no-fit polygons."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Print
from printcheck.cutting.demand.demands import Demand, demands_of
from printcheck.cutting.demand.ties import keeps_ties
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.moves import move
from printcheck.cutting.search.overlap_removal import improve
from printcheck.cutting.search.shortest import shortest
from printcheck.cutting.search.state import Search
from printcheck.cutting.shape.no_fit import no_fit, stretches
from printcheck.cutting.shape.simplify import shape_of
from printcheck.cutting.shape.strip import CORNERS, Board
from tests.cutting import garments

LENGTH_MM = 700.0


def board(lattice: Lattice, *, variant: str = "matched", way: str = "one-way") -> Board:
    """All parts of the swimsuit in a heap: each at the nearest match to the middle."""
    demands = demands_of(garments.garment("swim"), Print(lattice, "straight", way, "test"))
    demand: Demand = getattr(demands, variant)
    shapes = [shape_of(p.width_mm, p.length_mm, p.outline) for p in demand.parts]
    at = np.full((len(shapes), 2), 150.0)
    for tie in demand.ties:  # each part is in one tie at most
        at[tie.first] = at[tie.second] + np.subtract(tie.at_second, tie.at_first)
    return Board(demand, shapes, [False] * len(shapes), at, LENGTH_MM)


def test_a_field_is_zero_only_where_a_part_runs_into_no_other():
    heap = board(Lattice.of_steps(100, 100), variant="one_way")
    rng = np.random.default_rng(1)
    heap.at = rng.uniform(0, 400, heap.at.shape)
    shape = heap.shapes[0]
    field = heap.field(0, shape)
    wrong = looked = 0
    for _ in range(300):
        row, column = (int(rng.integers(n)) for n in field.cells.shape)
        place = field.place(row, column)
        gaps = [
            no_fit(lies, shape).apart_mm((place - at)[None])[0]
            for lies, at in zip(heap.shapes[1:], heap.at[1:], strict=True)
        ]
        if min(gaps) >= heap.cell_mm:
            assert field.cells[row, column] == 0
        if min(gaps) < -3 * heap.cell_mm:  # the rim of a picture counts as apart
            looked += 1
            wrong += field.cells[row, column] == 0
    assert looked > 30 and wrong == 0


def test_the_least_place_of_a_field_is_the_least_of_all():
    heap = board(Lattice.of_steps(100, 100), variant="one_way")
    field = heap.field(3, heap.shapes[3])
    for corner in range(CORNERS):
        _, place = field.least(corner)
        assert field.values(place[None])[0] == field.cells.min()


@pytest.mark.parametrize(
    "lattice",
    [
        Lattice.of_steps(50, 50),
        Lattice.of_steps(60, 80, 0.5),
        Lattice.of_steps(130, 170, 1 / 3),
        Lattice(((30.0, 0.0),)),
        Lattice(((0.0, 45.0),)),
    ],
    ids=["straight", "half-drop", "third-drop", "lengthwise stripe", "crosswise stripe"],
)
def test_no_move_leaves_the_lattice_or_the_cloth(lattice):
    heap = board(lattice)
    rng = np.random.default_rng(2)
    assert keeps_ties(heap.demand, heap.spots())
    before = heap.depths.sum()
    for _ in range(6):
        for n in range(len(heap.shapes)):
            move(heap, n, rng)
    assert keeps_ties(heap.demand, heap.spots())
    sizes = np.array([(s.width_mm, s.length_mm) for s in heap.shapes])
    assert heap.at.min() >= -1e-6
    assert np.all(heap.at + sizes <= np.array([heap.demand.width_mm, LENGTH_MM]) + 1e-6)
    assert heap.depths.sum() < before / 3


def test_kin_that_overlap_by_a_hair_are_seen_to_overlap():
    """Pieces matched to each other cannot be pressed apart, so the board's word on them is exact."""
    heap = board(Lattice.of_steps(50, 50))
    assert heap.demand.ties
    for tie in heap.demand.ties:
        a, b = tie.first, tie.second
        touching = stretches(no_fit(heap.shapes[a], heap.shapes[b]), 0, np.zeros(1))[0, :, 1].max()
        for gap in (0.01, -0.01, -1.0):
            heap.put(b, heap.at[a] + (touching + gap, 0.0))
            assert (heap.depths[a, b] > 0) == (gap < 0)


def test_parts_turn_only_where_they_may():
    heap = board(Lattice.of_steps(100, 100), variant="plain")
    rng = np.random.default_rng(3)
    for _ in range(3):
        for n in range(len(heap.shapes)):
            move(heap, n, rng)
    assert any(heap.turned)
    tied = board(Lattice.of_steps(100, 100), way="two-way")
    for n in range(len(tied.shapes)):
        move(tied, n, rng)
    for n, turned in enumerate(tied.turned):
        assert turned == tied.turned[tied.kin[n][0]]  # kin turn together or not at all


def test_a_family_turned_end_for_end_stays_matched():
    heap = board(Lattice.of_steps(60, 80, 0.5), way="two-way")
    tie = heap.demand.ties[0]
    kin = heap.kin[tie.first]
    before = heap.at[list(kin)].copy()
    heap.turn_family(kin)
    assert all(heap.turned[n] for n in kin) and not np.allclose(before, heap.at[list(kin)])
    assert keeps_ties(heap.demand, heap.spots())


def test_moving_parts_makes_a_layout_shorter_and_keeps_every_tie():
    demand = demands_of(
        garments.garment("swim"), Print(Lattice.of_steps(100, 100), "straight", "one-way", "test")
    ).matched
    search = shortest(Search(demand, Effort(0.0)))
    search.effort = Effort(60.0)
    search.bound_mm = 0.97 * search.length_mm  # ends there: laying piece by piece wastes more than that
    improve(search, 1)
    assert search.best.sound and keeps_ties(demand, search.best.spots)
    assert search.best.length_mm <= search.bound_mm + 0.1
