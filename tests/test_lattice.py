"""Arithmetic of lattices against the facts of crystallography."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from printcheck.core.lattice import Lattice, drop_of

STEP = st.integers(-40, 40).map(lambda n: n / 2)


@pytest.mark.parametrize(
    ("basis", "across", "along", "drop"),
    [  # source: values L of the trade's facts, derived from the Bravais lattices of the International Tables
        (((60.0, 0.0), (0.0, 80.0)), 60, 80, Fraction(0)),
        (((60.0, 40.0), (0.0, 80.0)), 120, 80, Fraction(1, 2)),
        (((60.0, 20.0), (0.0, 80.0)), 240, 80, Fraction(1, 4)),
        (((60.0, 100.0), (0.0, 80.0)), 240, 80, Fraction(1, 4)),
    ],
)
def test_axes_and_drop(
    basis: tuple[tuple[float, float], ...], across: float, along: float, drop: Fraction
) -> None:
    lattice = Lattice(basis)
    assert lattice.shortest_along_axis(0) == pytest.approx(across)
    assert lattice.shortest_along_axis(1) == pytest.approx(along)
    assert drop_of(lattice) == drop


@given(STEP, STEP, STEP, STEP, st.integers(-4, 4), st.integers(-4, 4))
def test_the_cell_s_area_never_changes_with_the_basis(
    a: float, b: float, c: float, d: float, m: int, n: int
) -> None:
    assume(abs(a * d - b * c) > 1)
    lattice = Lattice(((a, b), (c, d)))
    other = Lattice(((a + m * c, b + m * d), (c, d)))
    assert other.area_mm2 == pytest.approx(lattice.area_mm2)
    assert other.reduced().area_mm2 == pytest.approx(lattice.area_mm2)
    v = (a * m + c * n, b * m + d * n)
    assert lattice.residual_mm(v) == pytest.approx(0, abs=1e-6)
    assert other.residual_mm(v) == pytest.approx(0, abs=1e-6)


@given(STEP, STEP, STEP, STEP)
def test_reduced_vectors_are_the_shortest(a: float, b: float, c: float, d: float) -> None:
    assume(abs(a * d - b * c) > 1)
    p, q = Lattice(((a, b), (c, d))).reduced().basis_mm
    assert math.hypot(*p) <= math.hypot(*q) + 1e-9
    assert abs(p[0] * q[0] + p[1] * q[1]) <= (p[0] ** 2 + p[1] ** 2) / 2 + 1e-6


def test_residual_is_the_distance_to_the_nearest_node() -> None:
    lattice = Lattice.of_steps(60, 80, 0.5)
    assert lattice.residual_mm((60, 40)) == pytest.approx(0)
    assert lattice.residual_mm((63, 44)) == pytest.approx(5)
    assert lattice.residual_mm((30, 20)) == pytest.approx(math.hypot(30, 20))


def test_a_stripe_has_one_period_and_every_translation_along_it() -> None:
    stripe = Lattice(((12.0, 0.0),))
    assert stripe.residual_mm((24.0, 17.3)) == pytest.approx(0)
    assert stripe.residual_mm((25.0, 99.0)) == pytest.approx(1)
    assert stripe.shortest_along_axis(0) == pytest.approx(12)
    assert stripe.shortest_along_axis(1) is None


def test_shrinking_cloth_shrinks_the_lattice() -> None:
    # source: R 64 at 3 % -> 62.08, values S of the trade's facts
    assert Lattice.of_steps(64, 64).scaled(1.0, 0.97).shortest_along_axis(1) == pytest.approx(62.08)


def test_parallel_vectors_are_refused() -> None:
    with pytest.raises(ValueError, match="parallel"):
        Lattice(((1.0, 2.0), (2.0, 4.0)))
    with pytest.raises(ValueError, match="two basis vectors"):
        Lattice(())


def test_points_in_a_box_are_all_there_and_lie_on_the_lattice() -> None:
    lattice, start = Lattice(((30.0, 10.0), (-5.0, 40.0))), (3.0, 4.0)
    low, high = (-100.0, -50.0), (200.0, 300.0)
    found = list(lattice.points_in(low, high, start))
    assert len(set(found)) == len(found)
    assert all(lattice.residual_mm((x - start[0], y - start[1])) < 1e-9 for x, y in found)
    each = {
        (start[0] + 30 * i - 5 * j, start[1] + 10 * i + 40 * j)
        for i in range(-20, 21)
        for j in range(-20, 21)
    }
    assert set(found) == {p for p in each if low[0] <= p[0] <= high[0] and low[1] <= p[1] <= high[1]}
    assert len(list(lattice.points_in(low, high, start, most=30))) < len(found) / 2
