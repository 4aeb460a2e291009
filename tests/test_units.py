"""Lengths as people write them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcheck.core.errors import InputError
from printcheck.core.units import (
    YARD_MM,
    format_buy,
    format_length,
    parse_fraction,
    parse_length,
    parse_positive_length,
    parse_share,
    parse_size,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [  # source: the contract's own examples; inch and yard exact (international agreement, 1959)
        ("64mm", 64),
        ("6.4 cm", 64),
        ("1.5 m", 1500),
        ("2 1/2 in", 63.5),
        ("0.75 yd", 685.8),
        ('3/8"', 9.525),
        ("64 MM", 64),
        ("1 inch", 25.4),
        (".5cm", 5),
    ],
)
def test_lengths_as_written(text: str, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    "text", ["64", "64 furlongs", "", "mm", "1/0 mm", "nan mm", "inf mm", 64, None, True, "1e3mm"]
)
def test_what_is_no_length_is_refused_with_the_units(text: object) -> None:
    with pytest.raises(InputError) as caught:
        parse_length(text, place="piece.width")
    assert "piece.width" in caught.value.message
    assert caught.value.remedy


def test_a_length_that_must_be_positive() -> None:
    for text in ("0 mm", "-3 cm"):
        with pytest.raises(InputError, match="more than zero"):
            parse_positive_length(text)


@given(st.floats(0.001, 1e6, allow_nan=False), st.sampled_from(["mm", "cm", "m", "in", "yd"]))
def test_units_only_scale(value: float, unit: str) -> None:
    text = f"{value:.6f}"
    ratio = (
        parse_length(f"{text} {unit}") / parse_length(f"{text} mm")
        if float(text) and value * 1000 < 1e7
        else 1
    )
    assert ratio in (1,) or math.isclose(ratio, parse_length(f"1 {unit}"), rel_tol=1e-9)


def test_sizes() -> None:
    assert parse_size("105x148mm") == (105, 148)
    assert parse_size("2 1/2 in x 3 in") == (63.5, pytest.approx(76.2))
    for bad in ("105x148", "105mm", "x", "0x5mm", 3):
        with pytest.raises(InputError):
            parse_size(bad)


def test_shares() -> None:
    assert parse_share("4 %") == 0.04
    for bad in ("4", "-1 %", "60 %", 0.04):
        with pytest.raises(InputError):
            parse_share(bad)


def test_fractions() -> None:
    assert parse_fraction("1/3") == pytest.approx(1 / 3)
    assert parse_fraction(0.25) == 0.25
    for bad in ("a third", "1/0", True, None):
        with pytest.raises(InputError):
            parse_fraction(bad)


def test_text_of_lengths_follows_the_contract() -> None:
    assert format_length(99.94) == "99.9 mm"  # mm below 10 cm
    assert format_length(100) == "10.0 cm"  # cm above
    assert format_length(63.5, "imperial") == "2 1/2 in"
    assert format_length(3, "imperial") == "1/8 in"
    assert format_buy(1 * YARD_MM + 1, "imperial") == "1 1/8 yd"  # a length to buy never rounds down
    assert format_buy(YARD_MM, "imperial") == "1 yd"
