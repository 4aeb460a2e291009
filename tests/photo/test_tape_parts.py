"""Parts of reading a tape: where its band of strokes lies, and how far it reaches."""

from __future__ import annotations

import math
from types import SimpleNamespace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from printcheck.photo.scale.rule import reach
from printcheck.photo.scale.rule.bands import find_bands

SIDE = 600
STROKE_PX, PITCH_PX = 24, 8
Grey = NDArray[np.uint8]


def tape(angle_deg: float, offset: float, *, pitch: float = PITCH_PX) -> Grey:
    """Dark strokes in a row along a line at this angle from x towards y, so far from the middle."""
    fine = np.full((SIDE, SIDE), 220, np.uint8)
    middle = (SIDE - 1) / 2
    for x in np.arange(60, SIDE - 60, pitch):
        fine[int(middle - STROKE_PX / 2) : int(middle + STROKE_PX / 2), round(x) : round(x) + 3] = 40
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    to = np.array([middle - s * offset, middle + c * offset])
    turn = np.array([[c, -s], [s, c]])
    matrix = np.column_stack([turn, to - turn @ [middle, middle]])
    return np.asarray(cv2.warpAffine(fine, matrix, (SIDE, SIDE), borderValue=220), np.uint8)


@pytest.mark.parametrize("angle_deg", [0.0, 7.3, 45.0, 88.0, 120.0, 171.0])
@pytest.mark.parametrize("offset", [0.0, 80.0, -60.0])
def test_a_row_of_strokes_is_found_wherever_it_lies(angle_deg: float, offset: float) -> None:
    best = find_bands(tape(angle_deg, offset))[0]
    off = (math.degrees(best.angle) - angle_deg + 90) % 180 - 90
    side = 1 if abs(math.degrees(best.angle) - angle_deg) < 90 else -1  # the other end is the same line
    assert abs(off) < 1.0
    assert best.offset * side == pytest.approx(offset, abs=STROKE_PX / 2 + 3)  # it runs over the strokes


def test_every_tape_has_a_band_and_nothing_else_has() -> None:
    for offsets in ([-100.0], [-100.0, 120.0]):
        bands = find_bands(np.minimum.reduce([tape(20.0, offset) for offset in offsets]))
        found = [min(offsets, key=lambda offset: abs(offset - band.offset)) for band in bands]
        assert [band.offset for band in bands] == pytest.approx(found, abs=STROKE_PX / 2 + 3)
        assert set(found) == set(offsets)


def test_neither_plain_cloth_nor_stripes_from_edge_to_edge_hold_a_tape() -> None:
    """Stripes vote for every line across them alike."""
    noise = np.random.default_rng(3).normal(150, 3, (SIDE, SIDE))
    assert find_bands(noise.astype(np.uint8)) == []
    stripes = noise + np.where(np.arange(SIDE) // PITCH_PX % 2, 60, 0)
    assert find_bands(stripes.astype(np.uint8)) == []
    assert find_bands(np.full((SIDE, SIDE), 128, np.uint8)) == []


def laid(ground_rows: tuple[int, int], numbers: tuple[int, int] | None = None) -> SimpleNamespace:
    """A strip 200 px high of dark cloth with a pale tape on some rows, perhaps with a line of print on it."""
    grey = np.full((200, 400), 70.0)
    grey[ground_rows[0] : ground_rows[1]] = 210.0
    if numbers is not None:
        grey[numbers[0] : numbers[1]] = 90.0

    def place(along: NDArray[np.float64], row: float) -> NDArray[np.float64]:
        return np.stack([along, np.full(len(along), row)], axis=1)

    return SimpleNamespace(grey=grey, place=place)


COMB = SimpleNamespace(period_px=5.0, middle=200.0, half=150.0)  # ticks a millimetre apart: 5 px to the mm


@pytest.mark.parametrize(
    ("edge", "deep", "rows", "numbers", "far"),
    [
        (100.0, 115.0, (98, 160), None, 159.0),  # to the edge of the pale tape, upwards and downwards alike
        (100.0, 85.0, (40, 102), None, 40.0),
        (100.0, 115.0, (98, 160), (130, 138), 159.0),  # 1.6 mm of numbers are passed over
        (100.0, 115.0, (98, 160), (130, 146), 129.0),  # 3.2 mm are no line of numbers
    ],
)
def test_a_tape_ends_where_its_ground_does(
    edge: float, deep: float, rows: tuple[int, int], numbers: tuple[int, int] | None, far: float
) -> None:
    marks = SimpleNamespace(pitch_mm=1.0, edge_row=edge, deep_row=deep)
    corners = reach.extent(laid(rows, numbers), COMB, marks)  # type: ignore[arg-type]
    past = reach.PAST_EDGE_MM * 5.0 * (1 if deep > edge else -1)
    assert corners.tolist() == [[50.0, edge - past], [350.0, edge - past], [350.0, far], [50.0, far]]


def test_no_tape_is_wider_than_tapes_are_and_a_second_edge_that_was_read_ends_it() -> None:
    marks = SimpleNamespace(pitch_mm=1.0, edge_row=10.0, deep_row=25.0)
    pale = laid((0, 200))
    far = reach.extent(pale, COMB, marks)[2, 1]  # type: ignore[arg-type]
    assert far == pytest.approx(10 + reach.WIDEST_MM * 5.0, abs=1.5)
    read = reach.extent(pale, COMB, marks, far_row=90.0)[2, 1]  # type: ignore[arg-type]
    assert read == pytest.approx(90 + reach.PAST_EDGE_MM * 5.0)
