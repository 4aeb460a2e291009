"""One print in two colours is told as one; another print on the same lattice is not."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from printcheck.batch.colourways import Known, key_of, pattern_of, probability
from printcheck.core.handover import MeanCell
from printcheck.core.measurement import Repeat

SIDE = 96
PX_MM = 40 / 96
BASIS = np.array([[40.0, 0.0], [0.0, 50.0]])
Inks = tuple[tuple[float, float, float], ...]
NAVY: Inks = ((25, 5, -30), (85, 0, 10), (50, 50, 30))
PALE: Inks = ((90, 0, 5), (40, -35, 25), (60, 10, -40))


def cell(inks: Inks, *, seed: int = 0, shift: tuple[int, int] = (0, 0), turned: bool = False) -> MeanCell:
    """Discs of two inks on a ground, blurred as a photo blurs; where they lie hangs on ``seed`` alone."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[:SIDE, :SIDE]
    soft = np.tile(np.array(inks[0], float), (SIDE, SIDE, 1))
    for i in range(7):
        (cy, cx), r = rng.uniform(0, SIDE, 2), rng.uniform(6, 16)
        dy, dx = (np.minimum(d, SIDE - d) for d in (np.abs(y - cy), np.abs(x - cx)))
        cover = np.clip(r - np.hypot(dy, dx) + 0.5, 0, 1)[..., None]
        soft = soft * (1 - cover) + np.array(inks[1 + i % 2]) * cover
    soft = gaussian_filter(soft, (1, 1, 0), mode="wrap")
    soft += np.random.default_rng(seed + 100).normal(0, 0.3, soft.shape)
    if turned:
        soft = soft[::-1, ::-1]
    return MeanCell(np.roll(soft, shift, (0, 1)).astype(np.float32), BASIS, 0.99, 6.0, PX_MM)


def known_by(
    made: MeanCell, *, scale: float = 1.0, squat: float = 1.0, error_mm: float = 0.2, scale_error: float = 0.0
) -> dict[str, object]:
    axes_mm = made.basis_mm * scale * [1.0, squat]
    basis = tuple((float(a), float(b)) for a, b in axes_mm)
    repeat = Repeat("lattice", "straight", basis_mm=basis, error_mm=error_mm)
    return pattern_of(repeat, MeanCell(made.lab, axes_mm, 0.99, 6.0, PX_MM), scale_error)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("scale", [1.0, 1.005])
def test_the_same_print_in_other_inks_shifted_and_turned_is_known_again(turned: bool, scale: float) -> None:
    first = known_by(cell(NAVY))
    other = known_by(cell(PALE, shift=(17, 40), turned=turned), scale=scale)
    assert probability(key_of(first), key_of(other)) > 0.9


@pytest.mark.parametrize("seed", range(1, 6))
def test_another_print_on_the_same_lattice_is_another(seed: int) -> None:
    assert probability(key_of(known_by(cell(NAVY))), key_of(known_by(cell(NAVY, seed=seed)))) < 0.1


def window(line_px: float, inks: Inks, blur_px: float) -> MeanCell:
    """Lines of a square grid, as a camera that is more or less sharp sees them."""
    x = np.arange(4 * SIDE) / 4
    line = (np.abs(x - SIDE / 2) < line_px / 2).astype(float)
    cover = np.maximum(line[:, None], line[None])[..., None]
    ground, ink = cv2.cvtColor(np.array([inks[:2]], np.float32), cv2.COLOR_Lab2RGB)[0]
    fine = ground * (1 - cover) + ink * cover  # a camera blurs its own values, not CIELAB
    soft = gaussian_filter(fine, (4 * blur_px, 4 * blur_px, 0), mode="wrap")
    seen = soft.reshape(SIDE, 4, SIDE, 4, 3).mean((1, 3)).astype(np.float32)
    noise = np.random.default_rng(int(10 * line_px)).normal(0, 0.2, seen.shape)
    lab = cv2.cvtColor(seen, cv2.COLOR_RGB2Lab) + noise
    return MeanCell(lab.astype(np.float32), BASIS, 0.99, 6.0, PX_MM)


@pytest.mark.parametrize(("line_px", "same"), [(10.0, True), (11.0, False), (9.0, False), (8.0, False)])
@pytest.mark.parametrize("blurs", [(0.8, 1.6), (1.6, 0.8)])
def test_lines_a_little_bolder_are_another_print_and_a_blur_is_none(
    line_px: float, same: bool, blurs: tuple[float, float]
) -> None:
    """Edges moved by half a pixel are seen, whatever the blur."""
    first, other = known_by(window(10.0, NAVY, blurs[0])), known_by(window(line_px, PALE, blurs[1]))
    assert (probability(key_of(first), key_of(other)) > 0.5) == same


@pytest.mark.parametrize("scale", [0.93, 1.07, 2.0])
def test_the_same_drawing_at_another_size_is_another_print(scale: float) -> None:
    first, other = known_by(cell(NAVY)), known_by(cell(PALE), scale=scale)
    assert probability(key_of(first), key_of(other)) < 0.1


@pytest.mark.parametrize(
    ("squat", "error_mm", "scale_error", "same"),
    [(1.005, 0.2, 0.0, True), (1.04, 0.2, 0.0, False), (1.04, 2.0, 0.0, True), (1.04, 2.0, 0.04, False)],
)
def test_a_squatter_drawing_is_another_print_by_the_errors_of_its_shape(
    squat: float, error_mm: float, scale_error: float, same: bool
) -> None:
    """Known to 2 mm in 50 it may be 4 per cent squatter, but not where the scale alone is unsure."""
    first, other = (
        known_by(cell(inks), squat=by, error_mm=error_mm, scale_error=scale_error)
        for inks, by in ((NAVY, 1.0), (PALE, squat))
    )
    assert (probability(key_of(first), key_of(other)) > 0.5) == same


def test_another_basis_of_the_lattice_makes_no_other_print() -> None:
    """Column u of the sheared cell runs along a + b: its pixel (v, u) shows place (u, u + v) of the first."""
    straight = cell(NAVY)
    v, u = np.indices((SIDE, SIDE))
    sheared = MeanCell(
        straight.lab[(u + v) % SIDE, u], np.array([BASIS[0] + BASIS[1], BASIS[1]]), 0.99, 6.0, PX_MM
    )
    assert probability(key_of(known_by(straight)), key_of(known_by(sheared))) > 0.9


def test_listings_name_the_first_of_their_print() -> None:
    known = Known()
    shown = [cell(NAVY), cell(NAVY, seed=1), cell(PALE, shift=(3, 5)), cell(PALE, seed=1)]
    named = [known.same_as(f"{i}.jpg", known_by(one)) for i, one in enumerate(shown)]
    assert named == ["", "", "0.jpg", "1.jpg"]
    assert known.same_as("plain.jpg", {}) == ""


def test_no_repeat_is_known_by_nothing() -> None:
    assert pattern_of(Repeat("none"), None, 0.0) == {}
    assert math.isclose(key_of(known_by(cell(NAVY))).area, 2000.0)
