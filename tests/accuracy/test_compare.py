"""The judge of the accuracy tables, against cases whose answer is known."""

from __future__ import annotations

import math
from types import ModuleType

import numpy as np
import pytest

STRAIGHT = [[60.0, 0.0], [0.0, 80.0]]
HALF_DROP = [[60.0, 40.0], [0.0, 80.0]]
QUARTER = [[60.0, 20.0], [0.0, 80.0]]


def turned(basis: list[list[float]], degrees: float) -> list[list[float]]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (np.array(basis) @ np.array([[c, s], [-s, c]])).tolist()


@pytest.mark.parametrize(
    ("true", "got", "verdict"),
    [
        # one lattice in two bases (International Tables for Crystallography A: |det| never changes)
        (QUARTER, [[60.0, 100.0], [0.0, 80.0]], "right"),
        (HALF_DROP, [[120.0, 0.0], [60.0, 40.0]], "right"),  # a half-drop is a brick
        (HALF_DROP, turned(HALF_DROP, 7.0), "right"),
        (STRAIGHT, [[61.5, 0.0], [0.0, 80.0]], "right"),
        (STRAIGHT, [[63.0, 0.0], [0.0, 80.0]], "wrong"),
        (STRAIGHT, [[60.0, 20.0], [0.0, 80.0]], "wrong"),
        (STRAIGHT, [[120.0, 0.0], [0.0, 80.0]], "multiple"),
        (HALF_DROP, [[120.0, 0.0], [0.0, 80.0]], "multiple"),
        (STRAIGHT, HALF_DROP, "wrong"),
        (STRAIGHT, [[20.0, 0.0], [0.0, 80.0]], "multiple"),
        (STRAIGHT, [[60.0, 0.0]], "missed"),
        (STRAIGHT, [], "missed"),
        ([], STRAIGHT, "spurious"),
        ([], [], "right"),
        ([[30.0, 0.0]], [[0.0, 30.2]], "right"),
        ([[30.0, 0.0]], [[60.0, 0.0]], "multiple"),
    ],
)
def test_verdicts(compare: ModuleType, true: list[list[float]], got: list[list[float]], verdict: str) -> None:
    assert compare.repeat_verdict(true, got)[0] == verdict


def test_straight_translations(compare: ModuleType) -> None:
    assert compare.straight(STRAIGHT) == [60.0, 80.0]
    assert compare.straight(HALF_DROP) == [120.0, 80.0]
    assert compare.straight(QUARTER) == [240.0, 80.0]
    assert compare.straight([[30.0, 0.0]]) == [30.0, None]


def test_a_skewed_stripe_keeps_its_axis(compare: ModuleType) -> None:
    lean = math.radians(2)
    across, along = compare.straight([[30 * math.cos(lean), 30 * math.sin(lean)]])
    assert across == pytest.approx(30 / math.cos(lean))
    assert along is None


def test_bars_are_compared_from_any_start_and_end(compare: ModuleType) -> None:
    true = [[4.0, "#000000"], [6.0, "#ffffff"], [3.0, "#ff0000"]]
    got = [{"width_mm": w} for w in (3.1, 6.0, 4.0)]  # backwards, and one a tenth too wide
    assert compare.bars_error_mm(true, got) == pytest.approx(0.1)
    assert compare.bars_error_mm(true, got[:2]) is None


def test_a_bar_may_be_off_by_twice_its_own_error(compare: ModuleType) -> None:
    true = [[80.0, "#000000"], [60.0, "#ffffff"]]
    got = [{"width_mm": 80.5, "error_mm": 0.3}, {"width_mm": 60.0}]
    assert compare.bars_as_stated(true, got, least_mm=0.2)
    assert not compare.bars_as_stated(true, [{**got[0], "error_mm": 0.2}, got[1]], least_mm=0.2)
    assert not compare.bars_as_stated(true, got[:1], least_mm=0.2)
