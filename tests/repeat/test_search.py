"""The search as a whole, on prints drawn with a known lattice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from printcheck.repeat.decide import STRIPE_BESIDE
from tests.repeat.drawn import GROUND, INK, OTHER, SIZE, cloth_of, dots, noisy, stripes


@pytest.mark.parametrize(("drop", "layout"), [(0.0, "straight"), (0.5, "half-drop"), (1 / 3, "drop")])
def test_dots_on_a_known_lattice(drop: float, layout: str) -> None:
    repeat = find_lattice(cloth_of(noisy(dots(70, 84, drop=drop)))).repeat
    assert (repeat.kind, repeat.layout) == ("lattice", layout)
    assert repeat.along_mm == pytest.approx(42, rel=0.003)
    assert repeat.drop == pytest.approx(drop)
    assert repeat.confidence > 0.9


def test_columns_in_two_colours_make_the_repeat_twice_as_wide() -> None:
    close = tuple(v + 12 for v in INK)  # about 5 Delta E: seen, but a thousandth of the picture's energy
    repeat = find_lattice(cloth_of(noisy(dots(60, 60, second=close), 3))).repeat
    assert repeat.across_mm == pytest.approx(60, rel=0.005)
    assert repeat.along_mm == pytest.approx(30, rel=0.005)


def test_turned_cloth_is_read_on_its_own_axes() -> None:
    repeat = find_lattice(cloth_of(noisy(dots(66, 50, turn_deg=8)))).repeat
    assert repeat.turn_deg == pytest.approx(8, abs=0.2)
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx((33, 25), rel=0.005)


def test_off_grain_cloth_is_remarked_on() -> None:
    answer = find_lattice(cloth_of(noisy(dots(66, 50, skew=np.tan(np.deg2rad(2.5))))))
    assert answer.repeat.skew_deg == pytest.approx(2.5, abs=0.3)
    assert answer.repeat.along_mm == pytest.approx(25, rel=0.005)
    assert answer.repeat.across_mm is None  # 4 per cent off: nothing repeats straight across
    assert "repeat-off-grain" in {f.code for f in answer.findings}


def test_a_lean_within_the_error_of_the_tilt_undone_is_none() -> None:
    cloth = cloth_of(noisy(dots(66, 50, drop=0.5, skew=np.tan(np.deg2rad(0.6)))))
    assert find_lattice(cloth).repeat.skew_deg == pytest.approx(0.6, abs=0.1)
    unsure = find_lattice(replace(cloth, lean_sigma_deg=0.4)).repeat
    assert unsure.skew_deg == 0
    (across, drop), (_, along) = unsure.basis_mm
    assert (across, drop, along) == pytest.approx((33, 12.5, 25), rel=0.005)


@pytest.mark.parametrize("angle", [0, 90, 37])
def test_stripes(angle: float) -> None:
    repeat = find_lattice(cloth_of(noisy(stripes(72, angle)))).repeat
    assert (repeat.kind, repeat.layout) == ("stripe", "stripe")
    assert np.hypot(*repeat.basis_mm[0]) == pytest.approx(36, rel=0.005)
    if angle == 0:
        assert (repeat.across_mm, repeat.along_mm) == (pytest.approx(36, rel=0.005), None)
    if angle == 90:
        assert (repeat.across_mm, repeat.along_mm) == (None, pytest.approx(36, rel=0.005))


def test_faint_cross_lines_make_a_stripe_a_plaid() -> None:
    picture = stripes(72, 0)
    picture[np.arange(SIZE[1]) % 54 < 8] -= 12
    repeat = find_lattice(cloth_of(noisy(picture, 2))).repeat
    assert (repeat.kind, repeat.layout) == ("lattice", "straight")
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx((36, 27), rel=0.005)


def on_stripes(angle: float, step: float, drops: Callable[[int], float]) -> np.ndarray:
    """Bold stripes 72 px apart with small discs on them; those of each let down by a share of the step."""
    picture = stripes(72, angle)
    turn = np.deg2rad(angle)
    across, along = (
        np.array([np.cos(turn), np.sin(turn)]) * 72,
        np.array([-np.sin(turn), np.cos(turn)]) * step,
    )
    for i in range(-14, 15):
        for j in range(-14, 15):
            x, y = np.array(SIZE) / 2 + i * across + (j + drops(i)) * along
            cv2.circle(picture, (round(x * 16), round(y * 16)), 6 * 16, OTHER, -1, cv2.LINE_AA, 4)
    return picture


# a seventh of the short side and a bit is the arbitrary step that a stripe is fitted with
@pytest.mark.parametrize(
    ("angle", "step", "drop"), [(0, 54, 0.0), (0, 54, 0.5), (20, 54, 0.0), (0, 480 / STRIPE_BESIDE, 0.0)]
)
def test_small_motifs_on_bold_stripes_make_a_lattice(angle: float, step: float, drop: float) -> None:
    repeat = find_lattice(cloth_of(noisy(on_stripes(angle, step, lambda i: i * drop), 2))).repeat
    assert repeat.kind == "lattice"
    area = abs(np.linalg.det(np.array(repeat.basis_mm)))
    assert area == pytest.approx(36 * step / 2, rel=0.01)
    if angle == 0:
        assert repeat.along_mm == pytest.approx(step / 2, rel=0.005)
        assert repeat.drop == pytest.approx(drop)


def test_motifs_whose_repeat_is_not_found_make_a_stripe_unsure() -> None:
    drops = np.random.default_rng(11).uniform(0, 1, 40)
    answer = find_lattice(cloth_of(noisy(on_stripes(0, 54, lambda i: drops[i]), 2)))
    assert "repeat-crossed-stripe" in {f.code for f in answer.findings}
    assert answer.repeat.confidence < 0.5


@pytest.mark.parametrize("angle", [0, 90, 40])
def test_light_and_strain_in_waves_leave_stripes_stripes(angle: float) -> None:
    fine = stripes(192, angle, size=(4 * SIZE[0], 4 * SIZE[1]))
    picture = cv2.resize(fine, SIZE, interpolation=cv2.INTER_AREA)
    x, y = np.meshgrid(np.arange(SIZE[0], dtype=np.float32), np.arange(SIZE[1], dtype=np.float32))
    bend = 0.5 * np.sin(
        2 * np.pi * (x + 2 * y) / 260
    )  # pixels: 2.7 % of strain, in shorter waves than a map can follow
    waves = 1 + 0.06 * np.sin(2 * np.pi * (x - y) / 190)
    bent = cv2.remap(picture, x + bend, y - bend, cv2.INTER_CUBIC) * waves[..., None]
    answer = find_lattice(cloth_of(noisy(bent, 2)))
    assert answer.repeat.kind == "stripe"
    assert np.hypot(*answer.repeat.basis_mm[0]) == pytest.approx(24, rel=0.01)
    assert answer.repeat.confidence > 0.8
    assert "repeat-crossed-stripe" not in {f.code for f in answer.findings}


def test_an_object_on_a_third_of_the_picture_changes_nothing() -> None:
    picture, mask = noisy(dots(52, 44)), np.ones((SIZE[1], SIZE[0]), bool)
    cv2.rectangle(picture, (60, 60), (340, 420), (30, 160, 200), -1)
    mask[55:425, 55:345] = False
    repeat = find_lattice(cloth_of(picture, mask=mask)).repeat
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx((26, 22), rel=0.005)


def test_hue_alone_is_a_print() -> None:
    # the two colours have the same lightness (CIELAB 60), so grey would show nothing
    lab = np.full((*SIZE[::-1], 3), (60.0, 30.0, 0.0), np.float32)
    inside = dots(70, 70)[..., 0] < 160
    lab[inside] = (60.0, -30.0, 0.0)
    picture = cv2.cvtColor(cv2.GaussianBlur(lab, (0, 0), 1.0), cv2.COLOR_LAB2BGR) * 255
    assert find_lattice(cloth_of(noisy(picture, 2))).repeat.across_mm == pytest.approx(35, rel=0.005)


@pytest.mark.parametrize("waves", [2.0, 3.5])
def test_a_faint_print_is_found_under_light_in_waves(waves: float) -> None:
    # ink 5 CIELAB off the ground, light that swings by 6 per cent, 4 CIELAB each way, again and again
    picture = np.asarray(GROUND, np.float32) + (dots(60, 52, drop=0.5) < 160) * np.float32(-15)
    x, y = np.meshgrid(np.arange(SIZE[0]), np.arange(SIZE[1]))
    light = 0.92 * (1 + 0.06 * np.sin(2 * np.pi * waves * (x + 0.7 * y) / SIZE[0]))
    repeat = find_lattice(cloth_of(noisy(picture * light[..., None], 2))).repeat
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx((60, 26), rel=0.005)
    assert repeat.confidence > 0.8


def test_plain_cloth_has_no_repeat() -> None:
    answer = find_lattice(cloth_of(noisy(np.full((480, 640, 3), 180.0), 3)))
    assert (answer.repeat.kind, answer.repeat.basis_mm) == ("none", ())


def test_a_scatter_is_larger_than_the_photo_or_none() -> None:
    rng = np.random.default_rng(5)
    picture = np.full((480, 640, 3), 220, np.uint8)
    for _ in range(120):
        at = (int(rng.integers(0, 640)), int(rng.integers(0, 480)))
        cv2.circle(picture, at, int(rng.integers(6, 22)), OTHER, -1, cv2.LINE_AA)
    cloth = cloth_of(noisy(picture))
    answer = find_lattice(cloth)
    repeat = answer.repeat
    assert repeat.kind == "beyond-photo"
    assert repeat.basis_mm == ()
    assert repeat.at_least_mm == pytest.approx(0.67 * 240, rel=0.05)
    (back,) = (f for f in answer.findings if f.code == "repeat-step-back")
    assert back.values == pytest.approx({"times": 2.0, "wide_mm": 640.0, "finest_mm": 2.0})
    without = find_lattice(replace(cloth, scale_known=False)).findings
    assert "repeat-step-back" not in {f.code for f in without}


def test_the_error_covers_the_truth() -> None:
    off = []
    for n in range(6):
        across = 40 + 7.3 * n
        repeat = find_lattice(cloth_of(noisy(dots(across, across), seed=n))).repeat
        assert repeat.error_mm is not None and repeat.across_mm is not None
        off.append(abs(repeat.across_mm - across / 2) / repeat.error_mm)
    assert max(off) < 3  # three sigma of a normal law: 1 in 370


def test_strain_says_where_the_print_is_seen() -> None:
    size = (640, 640)
    flat = dots(64, 64, size=size)
    x, y = np.meshgrid(np.arange(640, dtype=np.float32), np.arange(640, dtype=np.float32))
    bend = 5 * ((x - 320) / 320) ** 2  # pixel x shows what a flat print has at x - bend
    answer = find_lattice(cloth_of(cv2.remap(flat, x - bend, y, cv2.INTER_CUBIC)))
    assert answer.strain_px is not None
    ends, middle = answer.strain_px[4, [0, -1], 0], answer.strain_px[4, 4, 0]
    assert (ends - middle) == pytest.approx([5, 5], abs=1.0)


@pytest.mark.parametrize(("tilt", "code"), [(None, "repeat-tilt-unknown"), (0.0, "repeat-tilt-disagrees")])
def test_the_print_is_a_second_witness_of_tilt(tilt: float | None, code: str) -> None:
    flat = dots(40, 40)
    seen = np.array([[0, 0], [640, 0], [610, 480], [30, 480]], np.float32)  # the far side 10 per cent smaller
    corners = np.array([[0, 0], [640, 0], [640, 480], [0, 480]], np.float32)
    tilted = cv2.warpPerspective(
        flat, cv2.getPerspectiveTransform(corners, seen), SIZE, borderValue=(230,) * 3
    )
    for picture, wanted in ((tilted, True), (flat, False)):
        cloth = cloth_of(noisy(picture))
        cloth = replace(cloth, scale=replace(cloth.scale, tilt_deg=tilt))
        assert (code in {f.code for f in find_lattice(cloth).findings}) is wanted


@pytest.mark.parametrize(("tilt", "wanted"), [(None, True), (18.0, False)])
def test_a_lean_under_a_tilt_that_the_print_contradicts_is_not_the_cloths(
    tilt: float | None, wanted: bool
) -> None:
    flat = dots(44, 40, skew=np.tan(np.deg2rad(2.5)))
    seen = np.array([[0, 0], [640, 0], [627, 480], [13, 480]], np.float32)  # the far side 4 per cent smaller
    corners = np.array([[0, 0], [640, 0], [640, 480], [0, 480]], np.float32)
    tilted = cv2.warpPerspective(
        flat, cv2.getPerspectiveTransform(corners, seen), SIZE, borderValue=(230,) * 3
    )
    cloth = cloth_of(noisy(tilted))
    answer = find_lattice(replace(cloth, scale=replace(cloth.scale, tilt_deg=tilt)))
    assert ("repeat-off-grain" in {f.code for f in answer.findings}) is wanted
