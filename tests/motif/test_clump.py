"""Bunches of known size, place and strength, against an independent sum over the drawn spots."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from printcheck.core.handover import MeanCell
from printcheck.core.measurement import Clump
from printcheck.motif.figures.clump import clump_of
from printcheck.motif.figures.segmentation import Separation, separate

SIGMA_MM = 25.0  # a hand's breadth, as the measure states it
GROUND, RED, BLUE = np.array([85.0, 0, 5]), np.array([50.0, 60, 35]), np.array([45.0, 5, -40])
SPOT_MM = 5.0  # radius of one flower
PX_MM = 1.0


def spots(
    rng: np.random.Generator, inside: tuple[float, float, float] | None, count: int, size: tuple[float, float]
) -> np.ndarray:
    """Places of flowers in mm, in the disc (x, y, radius) or all over the cell."""
    if inside is None:
        return rng.uniform(0, 1, (count, 2)) * size
    x, y, radius = inside
    far, angle = radius * np.sqrt(rng.uniform(0, 1, count)), rng.uniform(0, 2 * math.pi, count)
    return np.stack([x + far * np.cos(angle), y + far * np.sin(angle)], axis=1)


def drawn(
    size: tuple[float, float], bunches: list[tuple[float, float, float]], *, count: int = 40
) -> tuple[MeanCell, np.ndarray]:
    """Cell with bunches of red flowers on a ground with strewn blue ones, and where it is red."""
    rng = np.random.default_rng(7)
    height, width = int(size[1] / PX_MM), int(size[0] / PX_MM)
    lab = np.tile(GROUND, (height, width, 1)).astype(np.float32)
    y, x = (np.mgrid[:height, :width] + 0.5) * PX_MM
    red = np.zeros((height, width), bool)
    for ink, places in [
        (BLUE, spots(rng, None, 60, size)),
        *((RED, spots(rng, b, count, size)) for b in bunches),
    ]:
        for px, py in places:
            dx, dy = (
                (x - px + size[0] / 2) % size[0] - size[0] / 2,
                (y - py + size[1] / 2) % size[1] - size[1] / 2,
            )
            there = np.hypot(dx, dy) <= SPOT_MM
            lab[there] = ink
            red = np.where(there, ink is RED, red)
    return MeanCell(lab, np.diag(size).astype(float), 1.0, 9.0, PX_MM), red


def separation_of(cell: MeanCell) -> Separation:
    """What stands out of the known ground, without motifs."""
    contrast = np.linalg.norm(cell.lab - GROUND, axis=2).astype(np.float32)
    return Separation(GROUND, contrast, contrast > 10, (), 1.0, float(contrast.max()))


def found_in(cell: MeanCell) -> Clump | None:
    return clump_of(cell, separation_of(cell))


@pytest.mark.parametrize("radius", [30.0, 50.0, 80.0])
def test_size_place_and_spacing_of_a_bunch(radius: float) -> None:
    cell, _ = drawn((320.0, 300.0), [(140.0, 120.0, radius)], count=int(40 * (radius / 40) ** 2))
    found = clump_of(cell, separation_of(cell))
    assert found is not None
    assert found.size_mm == pytest.approx(2 * (radius + SPOT_MM / 2), rel=0.15)
    assert found.spacing_mm == pytest.approx(300.0, abs=1)  # the next one is its own copy along the cloth
    assert found.at_mm == pytest.approx((140.0, 120.0), abs=20)


def test_two_bunches_in_a_repeat_stand_as_far_apart_as_drawn() -> None:
    cell, _ = drawn((320.0, 300.0), [(80.0, 80.0, 35.0), (220.0, 190.0, 35.0)])
    found = clump_of(cell, separation_of(cell))
    assert found is not None
    assert found.spacing_mm == pytest.approx(math.hypot(140, 110), rel=0.06)
    assert found.size_mm == pytest.approx(75, rel=0.2)


@pytest.mark.parametrize("radius", [30.0, 60.0])
def test_strength_is_the_spread_of_the_blurred_difference_from_the_ground(radius: float) -> None:
    """The blur in space, over nine copies of the cell."""
    cell, _ = drawn((320.0, 300.0), [(140.0, 120.0, radius)])
    drift = np.tile(cell.lab.astype(np.float64) - GROUND, (3, 3, 1))
    field = np.asarray(cv2.GaussianBlur(drift, (0, 0), SIGMA_MM / PX_MM))[300:600, 320:640]
    found = found_in(cell)
    assert found is not None
    spread = np.sqrt(((field - field.mean(axis=(0, 1))) ** 2).sum(axis=2).mean())
    assert found.strength == pytest.approx(spread, rel=0.05)
    assert found.colour.startswith("#")


def test_one_figure_alone_is_counted_as_one() -> None:
    cell, _ = drawn((320.0, 300.0), [])
    cell.lab[:] = GROUND
    cell.lab[100:190, 100:190] = RED
    found = clump_of(cell, separate(cell))
    assert found is not None and found.figures == 1


def test_flowers_strewn_evenly_make_no_bunch_and_a_band_is_none_either() -> None:
    assert found_in(drawn((320.0, 300.0), [])[0]) is None
    cell, _ = drawn((320.0, 300.0), [])
    cell.lab[100:180] = RED
    assert found_in(cell) is None


def test_a_bunch_over_the_corner_of_the_cell_is_one() -> None:
    cell, _ = drawn((320.0, 300.0), [(5.0, 295.0, 50.0)], count=60)
    found = clump_of(cell, separation_of(cell))
    assert found is not None
    assert found.size_mm == pytest.approx(105, rel=0.15)


def test_without_a_repeat_only_what_the_photo_shows_is_told() -> None:
    rows, columns = np.mgrid[0:200, 0:200] * 2.0  # mm
    lab = np.zeros((200, 200, 3), np.float32)
    lab[..., 0] = 20.0
    lab[np.hypot(columns - 400, rows - 250) < 100] = (80.0, 0.0, 0.0)  # half a spot on the right edge
    cell = MeanCell(lab, np.diag([400.0, 400.0]), float("nan"), 1.0, 2.0)
    alone = clump_of(cell, separate(cell), periodic=False)
    assert alone is not None
    assert alone.spacing_mm is None  # its mirrored half is no other
    assert alone.size_mm is not None
    assert 90 < alone.size_mm < 210  # the visible half is 100 by 200
    lab[np.hypot(columns - 100, rows - 100) < 80] = (80.0, 0.0, 0.0)
    two = clump_of(cell, separate(cell), periodic=False)
    assert two is not None
    assert two.spacing_mm == pytest.approx(
        math.hypot(100 - 357, 100 - 250), rel=0.1
    )  # 4 r / 3 pi from the edge
