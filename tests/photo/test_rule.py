"""Tapes and rulers: units told by their ticks, scale along and across, and stripes that are no tape."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import Picture
from printcheck.core.measurement import PhotoFacts
from printcheck.core.request import Reference
from printcheck.photo.scale.rule.find_rule import find
from printcheck.photo.scale.rule.line_pose import EVENLY, tape_error
from tests.drawn import Camera, Laid, Photo, Thing, metal, objects, photograph, prints

ASKED = Reference("rule", "rule")
INCH_MM = 25.4  # exact, international yard and pound agreement of 1959
# Largest error of a class II tape over a length: Directive 2014/32/EU Annex X, 0.3 + 0.2 L mm
CLASS_II_MM = {1.0: 0.5, 1.5: 0.7, 3.0: 0.9, 5.0: 1.3, 10.0: 2.3}


def opened(photo: Photo) -> Picture:
    bgr = photo.bgr
    focal = photo.truth.camera["focal"] * bgr.shape[1]
    return Picture(PhotoFacts("drawn.jpg", bgr.shape[1], bgr.shape[0]), bgr, focal_px=focal)


def own_ruler(
    length_mm: float,
    *,
    step_mm: float,
    lengths: dict[int, float],
    ink: int = 30,
    paper: int = 225,
    numbers: int = 0,
) -> Thing:
    """A plain ruler with ticks on one edge; ``lengths`` in mm every so many steps, likewise ``numbers``."""

    def draw(density: float) -> tuple[np.ndarray, np.ndarray]:
        height, width = round(25 * density), round(length_mm * density)
        fine = 6
        face = np.full((height, width * fine, 3), paper, np.uint8)
        for k in range(1, int(length_mm / step_mm)):
            tall = next(lengths[s] for s in sorted(lengths, reverse=True) if k % s == 0)
            x = k * step_mm * density * fine
            half = 0.1 * density * fine
            face[: round(tall * density), round(x - half) : round(x + half)] = ink
        small = cv2.resize(face, (width, height), interpolation=cv2.INTER_AREA)
        for k in range(numbers, int(length_mm / step_mm), numbers) if numbers else ():
            place = (round((k * step_mm + 0.8) * density), round((max(lengths.values()) + 4.0) * density))
            cv2.putText(small, str(k // numbers), place, 0, 0.13 * density, (ink,) * 3, 1 + int(density / 4))
        return np.asarray(small, np.uint8), np.ones((height, width), np.float32)

    return Thing("rule", "own", (length_mm, 25.0), draw, 0.4)


MM = {10: 9.0, 5: 6.5, 1: 4.0}
SIXTEENTHS = {16: 11.0, 8: 8.5, 4: 6.5, 2: 4.8, 1: 3.2}
HALVES = {20: 6.0, 10: 4.5, 2: 3.4, 1: 1.8}
BY_TURNS = {2: 5.0, 1: 1.4}  # half millimetres, of which only the numbers tell the centimetres
ALIKE = {8: 9.0, 4: 7.0, 2: 5.0, 1: 3.2}  # sixteenths whose halves are as long as the inches
THIRTY_SECONDS = {32: 12.0, 16: 10.0, 8: 8.5, 4: 7.0, 2: 5.5, 1: 4.0}
EIGHTHS = {8: 10.0, 4: 7.5, 2: 5.5, 1: 3.5}


@pytest.mark.parametrize(("metres", "largest_mm"), CLASS_II_MM.items())
def test_tape_tolerance_is_that_of_the_directive(metres: float, largest_mm: float) -> None:
    assert tape_error(1000 * metres) * 1000 * metres * EVENLY == pytest.approx(largest_mm)


@pytest.mark.parametrize(
    ("units", "view_mm", "tilt_deg", "towards_deg"),
    [
        ("mm", 180, 3.0, 20.0),
        ("mm", 420, 4.0, 90.0),
        ("in", 260, 3.0, 60.0),
        ("in", 380, 8.0, 90.0),
    ],
)
def test_scale_from_a_tape(units: str, view_mm: float, tilt_deg: float, towards_deg: float) -> None:
    rng = np.random.default_rng(int(view_mm))
    camera = Camera(view_mm=view_mm, tilt_deg=tilt_deg, tilt_towards_deg=towards_deg, turn_deg=3)
    tape = metal.tape(rng, 1.5 * view_mm, units=units)
    laid = Laid(tape, (0.0, -0.25 * view_mm), -2.0)
    photo = photograph(prints.gingham(rng, 9.0), camera, objects=(laid,))
    picture = opened(photo)
    [sighting] = find(picture, ASKED)
    centre = ((picture.facts.width_px - 1) / 2, (picture.facts.height_px - 1) / 2)
    error = sighting.mm_per_px(centre) / photo.truth.mm_per_px - 1
    assert abs(error) < 2 * sighting.relative_error
    assert abs(error) < 0.01
    along = sighting.mm_per_px(tuple(sighting.outline_px.mean(0)))
    true = camera.scale_at(tuple(sighting.outline_px.mean(0)))
    assert along == pytest.approx(true, rel=0.005)
    assert sighting.object == {"mm": "tape with mm ticks", "in": "tape with 1/16 in ticks"}[units]


@pytest.mark.parametrize(
    ("step_mm", "lengths", "unit", "turn_deg", "numbers"),
    [
        (1.0, MM, "mm", 90.0, 0),
        (1.0, MM, "mm", 206.0, 10),
        (0.5, HALVES, "half mm", 0.0, 20),
        (0.5, BY_TURNS, "half mm", 0.0, 20),
        (INCH_MM / 16, SIXTEENTHS, "1/16 in", 0.0, 0),
        (INCH_MM / 32, THIRTY_SECONDS, "1/32 in", 0.0, 0),
        (INCH_MM / 16, ALIKE, "1/16 in", 20.0, 16),
        (INCH_MM / 8, EIGHTHS, "1/8 in", 0.0, 8),
        (INCH_MM / 8, EIGHTHS, "1/8 in", 117.0, 8),
    ],
)
def test_units_are_told_by_the_lengths_of_the_ticks(
    step_mm: float, lengths: dict[int, float], unit: str, turn_deg: float, numbers: int
) -> None:
    rng = np.random.default_rng(3)
    ruler = own_ruler(300, step_mm=step_mm, lengths=lengths, numbers=numbers)
    photo = photograph(prints.plain(rng), Camera(view_mm=240), objects=(Laid(ruler, (0.0, 10.0), turn_deg),))
    [sighting] = find(opened(photo), ASKED)
    assert unit in sighting.object
    at = tuple(sighting.outline_px.mean(0))
    assert sighting.mm_per_px(at) == pytest.approx(photo.truth.mm_per_px, rel=0.004)


@pytest.mark.parametrize(("step_mm", "lengths"), [(INCH_MM / 16, ALIKE), (INCH_MM / 8, EIGHTHS)])
def test_eighths_and_sixteenths_that_nothing_tells_apart_are_asked_about(
    step_mm: float, lengths: dict[int, float]
) -> None:
    rng = np.random.default_rng(3)
    ruler = own_ruler(300, step_mm=step_mm, lengths=lengths)
    photo = photograph(prints.plain(rng), Camera(view_mm=240), objects=(Laid(ruler, (0.0, 10.0), 4.0),))
    with pytest.raises(NoAnswerError, match="eighths, sixteenths or thirty-seconds") as caught:
        find(opened(photo), ASKED)
    assert "--span" in caught.value.remedy


@pytest.mark.parametrize("shortest_mm", [2.5, 3.5, 5.0])
def test_tenths_of_an_inch_are_not_taken_for_millimetres(shortest_mm: float) -> None:
    """By tens they are marked and numbered alike; only how far apart they stand for their length differs."""
    lengths = {10: shortest_mm + 4.0, 5: shortest_mm + 2.0, 1: shortest_mm}
    ruler = own_ruler(280, step_mm=INCH_MM / 10, lengths=lengths, numbers=10)
    plain = prints.plain(np.random.default_rng(3))
    photo = photograph(plain, Camera(view_mm=260), objects=(Laid(ruler, (0.0, 10.0), 4.0),))
    with pytest.raises(NoAnswerError, match="millimetres or tenths of an inch") as caught:
        find(opened(photo), ASKED)
    assert "--span" in caught.value.remedy


def test_marks_long_and_short_by_turns_without_numbers_are_not_read() -> None:
    ruler = own_ruler(300, step_mm=0.5, lengths=BY_TURNS)
    photo = photograph(
        prints.plain(np.random.default_rng(3)), Camera(view_mm=240), objects=(Laid(ruler, (0.0, 10.0)),)
    )
    assert find(opened(photo), ASKED) == []


def test_white_ticks_on_black_are_read_too() -> None:
    ruler = own_ruler(300, step_mm=1.0, lengths=MM, ink=230, paper=25)
    photo = photograph(
        prints.plain(np.random.default_rng(4)), Camera(view_mm=220), objects=(Laid(ruler, turn_deg=8),)
    )
    [sighting] = find(opened(photo), ASKED)
    centre = (799.5, 599.5)
    assert sighting.mm_per_px(centre) == pytest.approx(photo.truth.mm_per_px, rel=0.01)


def test_one_edge_leaves_the_tilt_open_and_says_so() -> None:
    ruler = own_ruler(400, step_mm=1.0, lengths=MM)
    photo = photograph(
        prints.plain(np.random.default_rng(5)),
        Camera(view_mm=250, tilt_deg=4, tilt_towards_deg=90),
        objects=(Laid(ruler, (0.0, -60.0)),),
    )
    [sighting] = find(opened(photo), ASKED)
    assert sighting.tilt_deg is None
    assert [f.code for f in sighting.findings] == ["scale-rule-tilt"]
    # 0.48 % a degree of unknown tilt, off the middle of the photo: the reference study
    assert sighting.relative_error > 0.006
    error = sighting.mm_per_px((799.5, 599.5)) / photo.truth.mm_per_px - 1
    assert abs(error) < 2 * sighting.relative_error


def test_two_edges_show_the_tilt_across() -> None:
    rng = np.random.default_rng(6)
    camera = Camera(view_mm=220, tilt_deg=6, tilt_towards_deg=90)
    tape = metal.tape(rng, 330, units="mm")
    photo = photograph(prints.plain(rng), camera, objects=(Laid(tape, (0.0, -50.0)),))
    [sighting] = find(opened(photo), ASKED)
    assert sighting.tilt_deg == pytest.approx(6, abs=1.5)
    error = sighting.mm_per_px((799.5, 599.5)) / photo.truth.mm_per_px - 1
    assert abs(error) < 0.006 and abs(error) < 2 * sighting.relative_error


def test_the_whole_tape_is_hidden() -> None:
    rng = np.random.default_rng(7)
    photo = photograph(
        prints.ditsy(rng, prints.Cell(40, 40), flower_mm=5) if hasattr(prints, "Cell") else prints.plain(rng),
        Camera(view_mm=200),
        objects=(Laid(metal.tape(rng, 300, units="mm"), (0.0, 40.0), 4.0),),
    )
    [sighting] = find(opened(photo), ASKED)
    hidden = np.zeros(photo.bgr.shape[:2], np.uint8)
    cv2.fillPoly(hidden, [np.rint(p).astype(np.int32) for p in sighting.hidden_px], 1)
    tape = np.zeros_like(hidden)
    cv2.fillPoly(tape, [np.rint(photo.truth.objects[0]["corners_px"]).astype(np.int32)], 1)
    assert (hidden & tape).sum() > 0.97 * tape.sum()
    assert hidden.sum() < 1.7 * tape.sum()


@pytest.mark.parametrize("seed", range(8))
def test_stripes_and_checks_are_no_tape(seed: int) -> None:
    rng = np.random.default_rng(50 + seed)
    art = [
        lambda: prints.gingham(rng, 3.0),
        lambda: prints.pin_stripe(rng, 2.5),
        lambda: prints.pin_stripe(rng, 4.0, angle_deg=30),
        lambda: prints.stripe(rng, 10.0, even=True),
        lambda: prints.plaid(rng, 40.0, even=False),
        lambda: prints.window_check(rng, 6.0),
        lambda: prints.scatter(rng, 200, spot_mm=3.0),
        lambda: prints.carpet(rng, 200, grain_mm=2.0),
    ][seed]()
    photo = photograph(art, Camera(view_mm=200, tilt_deg=3))
    assert find(opened(photo), ASKED) == []
    assert find(opened(photo), Reference("auto", "auto")) == []


def test_a_card_is_no_tape() -> None:
    rng = np.random.default_rng(8)
    photo = photograph(prints.plain(rng), Camera(view_mm=200), objects=(Laid(objects.card(rng)),))
    assert find(opened(photo), ASKED) == []


def test_ticks_all_of_one_length_mean_nothing() -> None:
    comb = own_ruler(300, step_mm=1.0, lengths={1: 4.0})
    photo = photograph(prints.plain(np.random.default_rng(9)), Camera(view_mm=220), objects=(Laid(comb),))
    assert find(opened(photo), ASKED) == []
    assert math.isfinite(photo.truth.mm_per_px)
