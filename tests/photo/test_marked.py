"""Marked corners: the inside of a thing is no cloth, the inside of marks on the cloth is."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.core.handover import Picture
from printcheck.core.measurement import PhotoFacts
from printcheck.core.request import one_scale
from printcheck.photo import lay_flat
from printcheck.photo.scale import sight
from tests.drawn import Camera, Laid, Photo, objects, photograph
from tests.photo.drawn import art_of

OFF_PX = 1.5  # sigma of how far a person points beside a corner


def masked_share(photo: Photo, corners: np.ndarray, size_mm: tuple[float, float]) -> float:
    """Share of the marked rectangle that is left out of the cloth, measured by the command's own words."""
    bgr = photo.bgr
    picture = Picture(PhotoFacts("drawn.jpg", bgr.shape[1], bgr.shape[0]), bgr)
    numbers = ",".join(f"{v:.1f}" for v in corners.ravel())
    sighting = sight(picture, one_scale(corners=f"{numbers}={size_mm[0]}x{size_mm[1]}mm"))
    flat = lay_flat(picture, sighting)
    ends = np.concatenate([corners, np.ones((4, 1))], 1) @ np.linalg.inv(flat.to_photo).T
    u, v = (grid.ravel()[:, None] for grid in np.meshgrid(np.linspace(0.1, 0.9, 9), np.linspace(0.1, 0.9, 9)))
    a, b, c, d = ends[:, :2] / ends[:, 2:]
    at = np.rint((1 - u) * (1 - v) * a + u * (1 - v) * b + u * v * c + (1 - u) * v * d).astype(int)
    return 1 - float(flat.mask[at[:, 1], at[:, 0]].mean())


@pytest.mark.parametrize("thing", ["card", "A6"])
@pytest.mark.parametrize(
    ("art", "tilt"), [("plain", 0.0), ("dots", 14.0), ("gingham", 8.0), ("stripes", 5.0)]
)
def test_a_marked_thing_is_not_cloth(thing: str, art: str, tilt: float) -> None:
    rng = np.random.default_rng(5)
    laid = objects.card(rng) if thing == "card" else objects.sheet(rng, name=thing)
    photo = photograph(
        art_of(art), Camera(view_mm=330, tilt_deg=tilt), objects=(Laid(laid, (12.0, -9.0), 24),), seed=2
    )
    corners = np.array(photo.truth.objects[0]["corners_px"]) + rng.normal(0, OFF_PX, (4, 2))
    assert masked_share(photo, corners, laid.size_mm) == 1.0


@pytest.mark.parametrize("art", ["plain", "dots", "gingham", "stripes"])
@pytest.mark.parametrize("cells", [(6, 4), (9, 6)])
def test_marks_on_the_cloth_leave_it_cloth(art: str, cells: tuple[int, int]) -> None:
    """Rectangles of whole repeats of a 12 mm gingham: each side runs along its bars."""
    camera = Camera(view_mm=330, tilt_deg=6)
    photo = photograph(art_of(art), camera, seed=2)
    cell = 24.0
    start = np.array([-cell * (cells[0] // 2), -cell * (cells[1] // 2)])
    size = np.array(cells) * cell
    plane = start + np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * size
    corners = np.asarray(camera.project(plane, 0.0))
    assert masked_share(photo, corners, (float(size[0]), float(size[1]))) == 0.0


def test_a_card_is_not_hidden_when_the_marks_are_elsewhere() -> None:
    rng = np.random.default_rng(5)
    camera = Camera(view_mm=330)
    photo = photograph(art_of("dots"), camera, objects=(Laid(objects.card(rng), (-70.0, -50.0), 10),), seed=2)
    plane = np.array([[20, 0], [120, 0], [120, 70], [20, 70]], float)
    assert masked_share(photo, np.asarray(camera.project(plane, 0.0)), (100.0, 70.0)) == 0.0
