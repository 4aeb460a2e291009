"""Turning upright and naming; the values are those of trade arithmetic (lattices L)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from printcheck.core.lattice import Lattice
from printcheck.repeat.layout import upright_lattice, upright_stripe


def upright(basis: list[list[float]], turn_deg: float = 0.0):
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    turned = np.array(basis) @ np.array([[c, s], [-s, c]])
    return upright_lattice(turned, sigma_deg=0.1)


@pytest.mark.parametrize(
    ("basis", "layout", "drop", "across", "along"),
    [  # derived: arithmetic from the definition of a drop
        ([[60, 0], [0, 80]], "straight", 0.0, 60, 80),
        ([[60, 40], [0, 80]], "half-drop", 0.5, 120, 80),  # the same lattice as a brick 120 x 40
        ([[120, 0], [60, 40]], "half-drop", 0.5, 120, 80),
        ([[60, 20], [0, 80]], "drop", 0.25, 240, 80),
        ([[60, 100], [0, 80]], "drop", 0.25, 240, 80),  # and (60, 20), (0, 80) are one lattice
        ([[30, 20], [0, 60]], "drop", 1 / 3, 90, 60),
    ],
)
@pytest.mark.parametrize("turn_deg", [0.0, -6.0, 7.0])
def test_known_lattices(
    basis: list[list[float]], layout: str, drop: float, across: float, along: float, turn_deg: float
) -> None:
    found = upright(basis, turn_deg)
    assert (found.layout, found.drop) == (layout, pytest.approx(drop))
    assert (found.across_mm, found.along_mm) == pytest.approx((across, along))
    assert found.turn_deg == pytest.approx(turn_deg, abs=1e-6)


def test_skew_is_measured_from_the_warp() -> None:
    found = upright([[60, 60 * math.tan(math.radians(1.5))], [0, 80]], 5.0)
    assert (found.layout, found.across_mm, found.along_mm) == (
        "straight",
        pytest.approx(60),
        pytest.approx(80),
    )
    assert found.skew_deg == pytest.approx(1.5)
    assert found.turn_deg == pytest.approx(5.0)


def test_a_gingham_cut_on_the_bias_is_not_turned_by_half_a_right_angle() -> None:
    assert abs(upright([[20, 20], [-20, 20]], 3.0).turn_deg) == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("basis", "layout", "along"),
    [  # common practice: cloth pulled askew shows the print it shows when straight
        ([[16.0, -1.9], [0.0, 15.3]], "straight", 15.3),  # not a fifth of a drop, repeating every 77 mm
        ([[10.8, 10.4], [-11.3, 12.8]], "half-drop", 23.2),  # a check on the bias, not two fifths
        ([[10.5, -10.7], [10.7, 11.6]], "half-drop", 22.3),
    ],
)
def test_cloth_pulled_askew_is_read_plainly(basis: list[list[float]], layout: str, along: float) -> None:
    found = upright(basis)
    assert (found.layout, found.along_mm) == (layout, pytest.approx(along, abs=0.1))
    assert 2.5 < abs(found.skew_deg) < 8


def test_a_check_at_an_angle_is_left_as_it_lies() -> None:
    found = upright([[11.0, -10.2], [16.6, 17.9]])  # 15 x 24 mm, at 43 degrees
    assert (found.layout, found.drop, found.turn_deg) == ("drop", None, 0.0)


@settings(deadline=None, max_examples=60)
@given(
    across=st.floats(10, 200),
    ratio=st.floats(0.6, 1.6),
    turn=st.floats(-8, 8),
    drop=st.sampled_from([0.0, 0.5]),
)
def test_turning_the_photo_leaves_the_lattice(across: float, ratio: float, turn: float, drop: float) -> None:
    along = across * ratio
    basis = [[across, drop * along], [0, along]]
    found = upright(basis, turn)
    area = Lattice(found.basis_mm).area_mm2
    assert area == pytest.approx(across * along, rel=1e-6)  # the determinant never changes with the basis


@pytest.mark.parametrize(
    ("angle", "across", "along"), [(5, 30, None), (-95, None, 30), (30, 30 / math.cos(math.pi / 6), 60)]
)
def test_stripes_are_read_along_across_and_slanting(
    angle: float, across: float | None, along: float | None
) -> None:
    period = 30 * np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    found = upright_stripe(period)
    for have, want in ((found.across_mm, across), (found.along_mm, along)):
        assert have is None if want is None else have == pytest.approx(want)
