"""A scale in the user's own words: corners in any order, the error of two points, places in words, pixels."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray

from printcheck.core.errors import InputError
from printcheck.core.handover import FlatCloth, Picture, PrintLattice
from printcheck.core.measurement import PhotoFacts, Repeat, Scale
from printcheck.core.request import Corners, Given, PhotoWidth, Span
from printcheck.photo.pixels import in_photo_px, repeat_in_photo
from printcheck.photo.scale import given
from printcheck.photo.scale.doubts import place_of
from printcheck.photo.scale.sighting import UNKNOWN_TILT_DEG

WIDTH, HEIGHT, FOCAL_PX = 1200, 900, 1000.0
QUAD = np.array([[300.0, 200.0], [700.0, 230.0], [690.0, 520.0], [310.0, 480.0]])  # clockwise in the picture
Floats = NDArray[np.float64]


def photo() -> Picture:
    bgr = np.full((HEIGHT, WIDTH, 3), 128, np.uint8)
    return Picture(PhotoFacts("a.jpg", WIDTH, HEIGHT), bgr, focal_px=FOCAL_PX)


def goes_round_clockwise(points: Floats) -> bool:
    sides = np.roll(points, -1, 0) - points
    turns = sides[:, 0] * np.roll(sides, -1, 0)[:, 1] - sides[:, 1] * np.roll(sides, -1, 0)[:, 0]
    return bool(np.all(turns > 0))


@pytest.mark.parametrize("order", list(itertools.permutations(range(4))))
def test_corners_are_put_in_order_round_where_the_first_two_are_a_side(order: tuple[int, ...]) -> None:
    """Where they are the diagonal nobody can know which side is the width."""
    asked = QUAD[list(order)]
    if abs(order[0] - order[1]) == 2:
        with pytest.raises(InputError):
            given.corners(Corners(tuple((float(x), float(y)) for x, y in asked), 80.0, 50.0), photo())
        return
    found = given.in_order(asked)
    assert goes_round_clockwise(found)
    assert {tuple(point) for point in found} == {tuple(point) for point in QUAD}


@pytest.mark.parametrize("first", range(4))
@pytest.mark.parametrize("backwards", [False, True])
def test_the_first_side_given_stays_the_width(first: int, backwards: bool) -> None:
    asked = np.roll(QUAD, -first, 0)
    asked = asked[::-1] if backwards else asked
    found = given.in_order(asked)
    assert {tuple(found[0]), tuple(found[1])} == {tuple(asked[0]), tuple(asked[1])}


@pytest.mark.parametrize(
    "points",
    [
        [(300, 200), (500, 215), (700, 230), (310, 480)],  # three on a line
        [(300, 200), (700, 230), (450, 260), (310, 480)],  # one inside the others' triangle
        [(300, 200), (310, 200), (310, 210), (300, 210)],  # too small
        [(300, 200), (300, 200), (300, 200), (300, 200)],
    ],
)
def test_corners_that_go_round_nothing_are_refused(points: list[tuple[int, int]]) -> None:
    request = Corners(tuple((float(x), float(y)) for x, y in points), 85.6, 53.98)
    with pytest.raises(InputError) as caught:
        given.corners(request, photo())
    assert caught.value.code == "corners-degenerate"


def test_a_rectangle_of_another_shape_is_refused() -> None:
    square = ((300.0, 200.0), (700.0, 200.0), (700.0, 600.0), (300.0, 600.0))
    with pytest.raises(InputError) as caught:
        given.corners(Corners(square, 200.0, 20.0), photo())
    assert caught.value.code == "corners-not-a-rectangle"


@pytest.mark.parametrize("tilt_deg", [0.0, 12.0, 25.0])
def test_four_corners_seen_at_a_slant_give_scale_and_tilt(tilt_deg: float) -> None:
    """Projected by hand: a plane 600 mm away, turned about the picture's middle line."""
    tilt, away, size = math.radians(tilt_deg), 600.0, (148.0, 105.0)
    plane = (np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) - 0.5) * size
    depth = away + plane[:, 1] * math.sin(tilt)
    x = FOCAL_PX * plane[:, 0] / depth + (WIDTH - 1) / 2
    y = FOCAL_PX * plane[:, 1] * math.cos(tilt) / depth + (HEIGHT - 1) / 2
    corners = tuple(zip(x.tolist(), y.tolist(), strict=True))
    found = given.corners(Corners(corners, *size), photo())  # type: ignore[arg-type]
    assert found.tilt_deg == pytest.approx(tilt_deg, abs=0.6)
    assert found.relative_error < 0.02
    shown = np.array([*corners[0], 1.0]), np.array([*corners[1], 1.0])
    a, b = (found.to_mm @ point for point in shown)
    assert np.hypot(*(a[:2] / a[2] - b[:2] / b[2])) == pytest.approx(size[0], rel=0.005)


def test_two_points_are_as_sure_as_they_are_far_apart_and_near_the_middle() -> None:
    """Pointing 0.0005 of the long side at each end, half a millimetre of tape, a tilt of 4 degrees unseen."""
    middle = ((WIDTH - 1) / 2, (HEIGHT - 1) / 2)

    def error(length_px: float, length_mm: float, off_px: float = 0.0) -> float:
        y = middle[1] + off_px
        ends = (middle[0] - length_px / 2, y), (middle[0] + length_px / 2, y)
        found = given.span(Span(*ends, length_mm), photo())
        return found.relative_error

    tilt = math.radians(UNKNOWN_TILT_DEG)
    pointing, tape = math.sqrt(2) * 0.0005 * WIDTH / 800, 0.5 / 200
    assert error(800, 200) == pytest.approx(math.hypot(pointing, tape, tilt**2 / 4))
    off = 300 / FOCAL_PX * tilt / math.sqrt(2)
    assert error(800, 200, 300) == pytest.approx(math.hypot(pointing, tape, off, tilt**2 / 4))
    assert error(800, 200) < error(800, 50) and error(800, 200) < error(80, 200)


@pytest.mark.parametrize("end", [(-0.6, 450.0), (1199.6, 450.0), (600.0, -0.6), (600.0, 899.6)])
def test_points_off_the_photo_are_refused_and_its_very_edge_is_not(end: tuple[float, float]) -> None:
    start = (600.0, 440.0) if end[1] == 450.0 else (590.0, 450.0)
    with pytest.raises(InputError) as caught:
        given.span(Span(start, end, 100.0), photo())
    assert caught.value.code == "point-outside-photo"
    at_edge = tuple(float(np.clip(v, -0.5, most - 0.5)) for v, most in zip(end, (WIDTH, HEIGHT), strict=True))
    assert given.span(Span(start, at_edge, 100.0), photo()).source == "span"  # type: ignore[arg-type]


def test_a_span_of_few_pixels_is_refused() -> None:
    least = given.LEAST_SPAN_SHARE * WIDTH
    assert given.span(Span((100.0, 100.0), (100.5 + least, 100.0), 10.0), photo()).source == "span"
    with pytest.raises(InputError):
        given.span(Span((100.0, 100.0), (99.5 + least, 100.0), 10.0), photo())


def test_a_scale_or_a_width_is_taken_at_its_word() -> None:
    for found, mm_per_px in (
        (given.photo_width(PhotoWidth(360.0), photo()), 0.3),
        (given.given(Given(0.3, "--mm-per-px"), photo()), 0.3),
    ):
        a, b = (found.to_mm @ np.array([x, 450.0, 1.0]) for x in (100.0, 200.0))
        assert np.hypot(*(b[:2] / b[2] - a[:2] / a[2])) == pytest.approx(100 * mm_per_px)


@pytest.mark.parametrize(
    ("at", "words"),
    [((200, 150), "top left"), ((600, 150), "top"), ((1100, 150), "top right"), ((200, 450), "left"),
     ((600, 450), "middle"), ((1100, 450), "right"), ((200, 800), "bottom left"), ((600, 800), "bottom"),
     ((1199, 899), "bottom right"), ((1300, 1000), "bottom right"), ((-50, -50), "top left")],
)  # fmt: skip
def test_a_place_is_told_by_thirds(at: tuple[float, float], words: str) -> None:
    outline = np.array([[-20.0, -10.0], [20.0, -10.0], [20.0, 10.0], [-20.0, 10.0]]) + at
    assert place_of(outline, photo()) == words


def cloth(to_photo: Floats) -> FlatCloth:
    bgr = np.zeros((400, 500, 3), np.uint8)
    scale = Scale("given", 0.25, 0.001)
    return FlatCloth(bgr, np.ones((400, 500), bool), 0.5, to_photo, PhotoFacts("a.jpg", WIDTH, HEIGHT), scale)


TURNED = np.array([[1.6, -1.2, 40.0], [1.2, 1.6, 10.0], [0.0, 0.0, 1.0]])  # by atan(3/4), 2 times as large
SLANTED = np.array([[2.0, 0.1, 60.0], [-0.2, 2.1, 80.0], [4e-4, -2e-4, 1.0]])


@pytest.mark.parametrize("to_photo", [TURNED, SLANTED])
def test_vectors_of_the_flat_picture_are_told_as_the_photo_s_middle_shows_them(to_photo: Floats) -> None:
    middle = np.array([(WIDTH - 1) / 2, (HEIGHT - 1) / 2, 1.0])
    flat = np.linalg.inv(to_photo) @ middle
    flat /= flat[2]

    def seen(point: Floats) -> Floats:
        mapped = to_photo @ point
        return np.asarray(mapped[:2] / mapped[2])

    step = 1e-4
    for vector in ([30.0, 0.0], [0.0, 20.0], [-7.0, 12.0]):
        ahead = flat + step * np.array([*vector, 0.0])
        expected = (seen(ahead) - seen(flat)) / step
        assert np.allclose(in_photo_px(cloth(to_photo), np.array(vector))[0], expected, rtol=1e-3, atol=1e-2)


def test_a_repeat_has_its_lengths_in_photo_pixels() -> None:
    """0.5 mm a flat pixel, twice as many photo pixels: 4 photo pixels to the millimetre, however turned."""
    repeat = Repeat("lattice", "straight", across_mm=30.0, along_mm=None, basis_mm=((30.0, 0.0), (0.0, 20.0)))
    basis_px = np.array([[60.0, 0.0], [0.0, 40.0]])
    found = repeat_in_photo(cloth(TURNED), PrintLattice(repeat, basis_px, np.zeros(2), turn_rad=0.4))
    assert found.across_px == pytest.approx(120.0) and found.along_px is None
    assert np.allclose(found.basis_px, [[96.0, 72.0], [-48.0, 64.0]])
