"""What was found as the answer tells it: other lattices, doubts of place, the photo's own pixels."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from printcheck.core.findings import finding
from printcheck.core.handover import FlatCloth, Slip
from printcheck.core.measurement import PhotoFacts, Scale
from printcheck.repeat import axes
from printcheck.repeat.arrays import Vectors
from printcheck.repeat.confidence import confidence_of

MM_PER_PX = 0.5
BASIS = np.array([[40.0, 0.0], [10.0, 30.0]])  # working pixels
VIEW = SimpleNamespace(mm_per_px=1.5, reduction=3.0)


def cloth(to_photo: Vectors, *codes: str, known: bool = True, mm_per_photo_px: float = 0.25) -> FlatCloth:
    bgr = np.zeros((400, 500, 3), np.uint8)
    return FlatCloth(
        bgr,
        np.ones((400, 500), bool),
        MM_PER_PX,
        to_photo,
        PhotoFacts("a.jpg", 1200, 900),
        Scale("given", mm_per_photo_px, 0.001),
        scale_known=known,
        findings=tuple(finding(code) for code in codes),
    )


def found(
    rivals: list[tuple[float, float]], *, stripe: bool = False, settled: float = 1.0
) -> SimpleNamespace:
    """Evidence with rivals, each of so many times the lattice and with its probability."""
    others = [SimpleNamespace(basis=BASIS * times, probability=chance) for times, chance in rivals]
    fit = SimpleNamespace(explained=0.9, number=9.0, basis=BASIS)
    doubt = sum(chance for _, chance in rivals)
    return SimpleNamespace(
        larger=0.0,
        fit=fit,
        sigmas=30.0,
        repeats=4.0,
        stripe=stripe,
        rivals=others,
        others=doubt,
        settled=settled,
    )


def test_other_lattices_share_what_the_answer_leaves_the_likeliest_first() -> None:
    evidence = found([(2.0, 0.1), (0.5, 0.3), (3.0, 0.01)], settled=0.6)
    told = axes._alternatives(np.eye(2) * 4.0, VIEW, evidence)  # type: ignore[arg-type]
    assert [one.basis_mm[0][0] for one in told] == [0.5 * 40 * 1.5, 2 * 40 * 1.5]
    assert [one.probability for one in told] == sorted((one.probability for one in told), reverse=True)
    assert sum(one.probability for one in told) <= 1 - confidence_of(evidence) + 1e-9  # type: ignore[arg-type]
    assert told[0].probability / told[1].probability == pytest.approx(3.0)
    assert np.allclose(told[0].basis_px, 4 * np.array(told[0].basis_mm))


def test_of_a_stripe_one_vector_square_to_it_is_told() -> None:
    (told,) = axes._alternatives(np.eye(2), VIEW, found([(2.0, 0.3)], stripe=True, settled=0.5))  # type: ignore[arg-type]
    assert len(told.basis_mm) == 1
    ((x, y),) = told.basis_mm
    assert x * 10.0 + y * 30.0 == pytest.approx(0)  # along the stripe nothing changes
    assert math.hypot(x, y) == pytest.approx(2 * 1.5 * 40 * 30 / math.hypot(10, 30))


def slip(*vectors: tuple[float, float], chance: float = 0.3) -> Slip:
    return Slip("b.jpg", np.array(vectors), chance)


@pytest.mark.parametrize(
    ("steps", "stripe", "doubted"),
    [((1, -2), False, False), ((0.5, 0), False, True), ((0, 0.5), False, True), ((0, 0.5), True, False),
     ((0.5, 0), True, True), ((3, 3), True, False)],
)  # fmt: skip
def test_a_slip_by_whole_repeats_is_none(steps: tuple[float, float], stripe: bool, doubted: bool) -> None:
    """Photos laid a repeat apart show the same lattice; along a stripe any slip does."""
    vector = np.array(steps) @ BASIS * VIEW.reduction
    laid = SimpleNamespace(slips=(slip((vector[0], vector[1])),))
    assert bool(axes._slips(laid, VIEW, found([], stripe=stripe))) == doubted  # type: ignore[arg-type]


def test_the_likeliest_slip_is_told_with_how_far_it_is() -> None:
    slips = (slip((30.0, 40.0), chance=0.1), slip((3.0, 4.0), (60.0, 80.0), chance=0.4))
    (told,) = axes._place_open(cloth(np.eye(3)), slips)
    assert told.values["by_mm"] == pytest.approx(100 * MM_PER_PX)
    assert axes._place_open(cloth(np.eye(3)), (slip((9.0, 9.0), chance=0.04),)) == ()


def test_stepping_back_is_told_by_how_much_and_what_is_lost() -> None:
    """Of 500 flat pixels of 0.5 mm twice as much, 500 mm, on 1200 photo pixels: 0.417 mm a pixel."""
    _, told = axes._beyond_photo(cloth(np.eye(3)), ())
    assert told.values["wide_mm"] == pytest.approx(500.0)
    assert told.values["finest_mm"] == pytest.approx(2 * 500 / 1200)
    assert told.values["times"] == pytest.approx(500 / 1200 / 0.25)
    assert len(axes._beyond_photo(cloth(np.eye(3), known=False), ())) == 1


def test_two_lattices_are_told_by_the_lengths_in_which_they_differ_most() -> None:
    square, tall, skew = ((20.0, 0.0), (0.0, 20.0)), ((20.0, 0.0), (0.0, 60.0)), ((20.0, 0.0), (40.0, 60.0))
    assert axes._differing(square, tall) == axes._differing(tall, square) == (20.0, 60.0)
    assert axes._differing(square, skew) == pytest.approx((20.0, 60.0))  # the same lattice, written otherwise


@pytest.mark.parametrize("degrees", [0.0, 30.0, 90.0, -45.0])
def test_a_turn_goes_from_x_towards_y(degrees: float) -> None:
    turned = np.array([1.0, 0.0]) @ axes._turn(degrees)
    assert math.degrees(math.atan2(turned[1], turned[0])) == pytest.approx(degrees)
    assert np.linalg.det(axes._turn(degrees)) == pytest.approx(1.0)


SLANTED = np.array([[2.0, 0.1, 60.0], [-0.2, 2.1, 80.0], [4e-4, -2e-4, 1.0]])


def test_a_millimetre_is_as_many_pixels_as_the_photo_s_middle_shows() -> None:
    flat = np.linalg.inv(SLANTED) @ np.array([599.5, 449.5, 1.0])
    flat /= flat[2]
    rows = []
    for step in ([1e-4, 0, 0], [0, 1e-4, 0]):
        ahead, here = (SLANTED @ point for point in (flat + np.array(step), flat))
        rows.append((ahead[:2] / ahead[2] - here[:2] / here[2]) / 1e-4 / MM_PER_PX)
    assert np.allclose(axes.photo_pixels_per_mm(cloth(SLANTED)), rows, rtol=1e-3)


def test_a_tilt_that_the_print_told_is_part_of_the_lattice_as_pictured() -> None:
    """It draws the cloth together one way; the camera's turn, which is no shape of the cloth, is left out."""
    c, s, squeezed = math.cos(0.3), math.sin(0.3), np.diag([1.0, 0.9])
    turn = np.array([[c, s], [-s, c]])
    per_mm = squeezed @ turn / 0.25
    basis_mm = np.array([[20.0, 0.0], [5.0, 30.0]])
    assert np.array_equal(axes._as_pictured(cloth(np.eye(3)), basis_mm, per_mm), basis_mm)
    pictured = axes._as_pictured(cloth(np.eye(3), "tilt-by-print"), basis_mm, per_mm)
    assert np.allclose(pictured, basis_mm @ squeezed)
