"""Bounds must stay bounds: against every set that fits, and against every layout found."""

from __future__ import annotations

import itertools
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from printcheck.core.lattice import Lattice
from printcheck.cutting.demand.demands import Demand, Part, Spot, Tie
from printcheck.cutting.demand.families import classes_of, least_step
from printcheck.cutting.demand.lattice_steps import steps_of
from printcheck.cutting.exact.bounds import best_reach, cheap_bound_mm, grid_for, scaled_bound_mm, scales_of
from printcheck.cutting.exact.cp_model import build
from printcheck.cutting.search.compact import pressed
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.greedy import greedy
from printcheck.cutting.search.shortest import shortest
from printcheck.cutting.search.state import Search

CALM = {"deadline": None, "suppress_health_check": list(HealthCheck), "derandomize": True}


def test_parts_of_the_model_lie_beside_or_above_one_another() -> None:
    """However near to the corner they are asked to lie: on a metre nothing else keeps them apart."""
    demand = plain([(60, 70), (30, 70)], 100)
    grid = grid_for(demand)
    model = build(demand, grid, grid.size(1000.0))
    model.cp.minimize(sum(model.x) + sum(model.y))
    solver = cp_model.CpSolver()
    assert solver.solve(model.cp) == cp_model.OPTIMAL
    x, y = ([grid.unit_mm * solver.value(place) for place in places] for places in (model.x, model.y))
    beside = x[0] + 60 <= x[1] or x[1] + 30 <= x[0]
    assert beside or abs(y[0] - y[1]) >= 70


@given(
    st.integers(5, 60).flatmap(
        lambda w: st.tuples(st.just(w), st.lists(st.integers(1, w), min_size=1, max_size=7))
    )
)
@settings(max_examples=300, **CALM)
def test_a_scale_keeps_every_set_that_fits(case: tuple[int, list[int]]) -> None:
    """The definition of a conservative scale, tried on every subset."""
    room, sizes = case
    for scale in scales_of(sizes, [1] * len(sizes), room):
        for count in range(1, len(sizes) + 1):
            for chosen in itertools.combinations(range(len(sizes)), count):
                if sum(sizes[n] for n in chosen) <= room:
                    assert sum(scale.sizes[n] for n in chosen) <= scale.capacity


@pytest.mark.parametrize(("sizes", "room", "reach"), [([440] * 4, 1370, 1320), ([3, 5], 7, 5), ([9], 7, 0)])
def test_reach_by_hand(sizes: list[int], room: int, reach: int) -> None:
    assert best_reach(sizes, room) == reach


def plain(sizes: list[tuple[float, float]], width: float) -> Demand:
    return Demand(tuple(Part(f"p{n}", w, h, group=n) for n, (w, h) in enumerate(sizes)), width)


def test_four_wide_columns_count_as_three() -> None:
    """Twelve cushions of 440 on 1370: three columns at most, so 3880 / 3 = 1293.3 at least (by hand)."""
    demand = plain([(440, 440)] * 4 + [(440, 300)] * 4 + [(440, 230)] * 4, 1370)
    assert cheap_bound_mm(demand) == pytest.approx(3880 * 440 / 1370, abs=0.1)
    assert scaled_bound_mm(demand, grid_for(demand), 0.0) >= 3880 / 3


@given(
    st.lists(st.tuples(st.integers(5, 100), st.integers(5, 60)), min_size=2, max_size=9),
    st.floats(0.1, 1.0),
)
@settings(max_examples=30, **CALM)
def test_no_bound_above_a_layout(sizes: list[tuple[int, int]], unit: float) -> None:
    demand = plain([(w * unit, h * unit) for w, h in sizes], 100 * unit)
    laid = greedy(demand, Effort(0.02))
    assert laid is not None
    assert scaled_bound_mm(demand, grid_for(demand), cheap_bound_mm(demand)) <= laid[0] + 1e-6
    assert shortest(Search(demand, Effort(0.2))).bound_mm <= laid[0] + 1e-6


def test_rounding_down_keeps_thirds() -> None:
    """Six pieces 1400/3 wide on 1400: two rows of three, which rounding up would deny."""
    demand = plain([(1400 / 3, 500.0)] * 6, 1400)
    found = shortest(Search(demand, Effort(5)))
    assert found.length_mm == pytest.approx(1000.0, abs=0.1) and found.proved


def tied(drop: float, offset: tuple[float, float] = (0.0, 0.0), width: float = 1400.0) -> Demand:
    parts = (Part("a", 1400.0, 2440.0, group=0), Part("b", 1400.0, 2440.0, group=0))
    tie = Tie(0, 1, (1400.0, 0.0), (0.0, 0.0), "both", offset, seam=0)
    return Demand(parts, width, steps_of(Lattice.of_steps(1400.0, 640.0, drop)), (tie,))


# a panel of 2440 on rows of 640: 2560 to the next level start, 2880 to the next dropped one (arithmetic)
@pytest.mark.parametrize(("drop", "step"), [(0.0, 2560.0), (0.5, 2880.0)])
def test_rounded_steps_by_hand(drop: float, step: float) -> None:
    demand = tied(drop)
    assert least_step(demand, classes_of(demand), 0, 1) == pytest.approx(step)


def test_pressing_meets_seams_exactly() -> None:
    """A repeat of 466.6... is no whole tenth; positions rounded to tenths come back exact."""
    parts = tuple(Part(f"p{n}", 300.0, 400.0, group=0) for n in range(3))
    lattice = Lattice.of_steps(1400 / 3, 1000 / 7)
    ties = tuple(Tie(n, n + 1, (285.0, 50.0), (15.0, 50.0), "both", seam=n) for n in range(2))
    demand = Demand(parts, 1400.0, steps_of(lattice), ties)
    found = shortest(Search(demand, Effort(3)))
    assert found.best is not None
    rounded = [Spot(round(s.x_mm, 1), round(s.y_mm, 1)) for s in found.best.spots]
    again = pressed(demand, rounded)
    assert again is not None and again.sound and again.length_mm <= found.length_mm + 1e-6
    for tie in ties:
        one, two = again.spots[tie.first], again.spots[tie.second]
        gap = (one.x_mm - two.x_mm + 270.0, one.y_mm - two.y_mm)
        assert lattice.residual_mm(gap) < 1e-4


def test_lattices_in_column_form() -> None:
    """Any basis of one lattice gives the same steps; a stripe has one, a lattice askew none."""
    rng = random.Random(1)
    for _ in range(50):
        a, b, share = rng.randrange(20, 200), rng.randrange(20, 200), rng.choice((0.0, 0.5, 1 / 3, 0.25))
        (p, q), (r, s) = Lattice.of_steps(a, b, share).basis_mm
        i, j = rng.randrange(-2, 3), rng.randrange(-2, 3)
        steps = steps_of(Lattice(((p + i * r, q + i * s), (r + j * (p + i * r), s + j * (q + i * s)))))
        assert steps.row_mm == pytest.approx(b) and steps.column_mm == pytest.approx(a)
        assert min(abs(steps.drop_mm - share * b), abs(steps.drop_mm - share * b + b)) < 1e-6
    assert steps_of(Lattice(((50.0, 0.0),))).row_mm is None
    assert steps_of(Lattice(((0.0, 50.0),))).column_mm is None
    assert steps_of(Lattice(((60.0, 7.123), (-7.123, 60.0)))).askew
