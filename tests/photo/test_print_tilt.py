"""The tilt that a print shows of itself, against the camera that took the drawn photo."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import cv2
import numpy as np
import pytest

from printcheck import pipeline
from printcheck.core.lattice import Lattice
from printcheck.core.request import AUTO, one_scale
from printcheck.photo import flatten_photo, flattened_by_print, picture_of
from tests.drawn import Camera, Cell, photograph, prints

STRAIGHT = Camera(view_mm=200, size_px=(640, 480), focal=0.85)


def dotted(camera: Camera) -> np.ndarray:
    return photograph(prints.dots(np.random.default_rng(4), 16.0), camera, seed=3).bgr[..., ::-1]


@pytest.mark.parametrize(("degrees", "towards"), [(10, 20), (18, 130), (15, 250)])
def test_the_tilt_is_the_camera_s(degrees: float, towards: float) -> None:
    camera = replace(STRAIGHT, tilt_deg=degrees, tilt_towards_deg=towards)
    cloth = flatten_photo(picture_of(dotted(camera)), AUTO)
    flat = flattened_by_print(cloth)
    assert flat is not None and flat.scale.tilt_deg == pytest.approx(degrees, abs=2.5)
    seen = flat.to_photo @ [[0, 100], [0, 100], [1, 1]]  # pixels of both pictures, and the cloth between
    cloth_mm = np.linalg.inv(camera.plane()) @ seen
    ends = (cloth_mm / cloth_mm[2])[:2]
    way = math.degrees(math.atan2(*(ends[:, 1] - ends[:, 0])[::-1]))
    assert way == pytest.approx(45, abs=2)  # the diagonal of the flat picture is one of the cloth


def test_a_photo_from_straight_above_stays_as_it_is() -> None:
    assert flattened_by_print(flatten_photo(picture_of(dotted(STRAIGHT)), AUTO)) is None


def test_without_an_object_a_slanting_photo_is_read_all_the_same() -> None:
    camera = replace(STRAIGHT, tilt_deg=19, tilt_towards_deg=200)
    art = prints.floral(np.random.default_rng(5), Cell(28.0, 28.0, Fraction(1, 2)))
    found = pipeline.measure_photo(photograph(art, camera, seed=2).bgr[..., ::-1]).measurement
    assert found.repeat.layout == "half-drop"
    assert found.scale is None and "tilt-by-print" in {f.code for f in found.findings}


def test_cloth_that_bends_away_at_one_side_is_no_tilt() -> None:
    flat = photograph(prints.gingham(np.random.default_rng(4), 12.7), STRAIGHT, seed=3).bgr
    height, width = flat.shape[:2]
    x, y = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    bent = x + 0.1 * width * np.clip((x / width - 0.2) / 0.8, 0, 1) ** 3
    seen = cv2.remap(flat, bent, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    scale = one_scale(mm_per_px=str(STRAIGHT.view_mm / width))
    assert flattened_by_print(flatten_photo(picture_of(seen[..., ::-1]), scale)) is not None  # it looks so
    found = pipeline.measure_photo(seen[..., ::-1], pipeline.Options(scale=scale)).measurement
    assert found.repeat.known and "tilt-by-print" not in {f.code for f in found.findings}


def test_the_lattice_as_pictured_is_that_of_the_photo_s_middle() -> None:
    camera = replace(STRAIGHT, tilt_deg=18, tilt_towards_deg=20)
    middle = np.array([(size - 1) / 2 for size in camera.size_px])
    on_cloth = cv2.perspectiveTransform(middle[None, None], np.linalg.inv(camera.plane()))[0]
    steps = np.array([[0.5, 0.0], [-0.5, 0.0], [0.0, 0.5], [0.0, -0.5]])
    seen = cv2.perspectiveTransform((on_cloth + steps)[None], camera.plane())[0]
    px_per_mm = np.stack([seen[0] - seen[1], seen[2] - seen[3]])
    mm_per_px = 1 / math.sqrt(abs(float(np.linalg.det(px_per_mm))))
    options = pipeline.Options(scale=one_scale(mm_per_px=str(mm_per_px)))
    found = pipeline.measure_photo(dotted(camera), options).measurement
    assert "tilt-by-print" in {f.code for f in found.findings}
    art = prints.dots(np.random.default_rng(4), 16.0)
    true = Lattice(tuple(tuple(v) for v in (np.array(art.basis_mm) @ px_per_mm * mm_per_px).tolist()))
    lengths = [np.hypot(*vector) for vector in true.reduced().basis_mm]
    got = [np.hypot(*vector) for vector in Lattice(found.repeat.raw_basis_mm).reduced().basis_mm]
    assert sorted(got) == pytest.approx(sorted(lengths), rel=0.012)


def test_what_does_not_repeat_shows_no_tilt() -> None:
    disc = np.full((480, 640, 3), 200, np.uint8)
    cv2.circle(disc, (320, 240), 150, (90, 60, 40), -1)
    assert flattened_by_print(flatten_photo(picture_of(disc), AUTO)) is None
