"""Pictures: what is drawn lies where the arithmetic says, to scale, and is made of what was measured."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest

from printcheck.report.drawing import photo_overlay, png_pen, seam_preview, svg_pen
from printcheck.report.drawing.cell_view import ClothView
from printcheck.report.drawing.primitives import Dot, Label, Line, Raster
from tests.report import report_given as given
from tests.report import report_swatch as swatch


def lines(drawing: object, kind: type = Line) -> list:
    return [item for item in drawing.items if isinstance(item, kind)]


def drawn(m: object = None, units: str = "metric", **options: float) -> tuple:
    photo, bgr = swatch.photo(m, **options)
    return photo_overlay.measured(bgr, photo.cloth, photo.lattice, photo.measurement, units), photo


def test_lattice_points_lie_on_the_lattice() -> None:
    drawing, photo = drawn()
    back = np.linalg.inv(photo.cloth.to_photo)
    dots = lines(drawing, Dot)
    assert len(dots) >= 4
    for dot in dots:
        x, y, w = back @ (dot.at[0] - 0.5, dot.at[1] - 0.5, 1.0)
        mm = (np.array([x / w, y / w]) - photo.lattice.origin_px) * swatch.MM_PER_PX
        steps = np.linalg.solve(np.array(photo.measurement.repeat.basis_mm).T, mm)
        assert np.abs(steps - np.round(steps)).max() < 1e-6


@pytest.mark.parametrize(("units", "unit_mm"), [("metric", 10.0), ("imperial", 25.4)])
def test_the_scale_bar_is_true_where_it_lies(units: str, unit_mm: float) -> None:
    drawing, photo = drawn(units=units)
    bar = next(line for line in lines(drawing) if line.width > 8 and len(line.points) == 2)
    name = next(i.text for i in lines(drawing, Label) if i.text in ("10 cm", "20 cm", "5 cm", "4 in", "2 in"))
    back = np.linalg.inv(photo.cloth.to_photo)
    ends = [back @ (x - 0.5, y - 0.5, 1.0) for x, y in bar.points]
    (ax, ay), (bx, by) = ((e[0] / e[2], e[1] / e[2]) for e in ends)
    assert math.hypot(bx - ax, by - ay) * swatch.MM_PER_PX == pytest.approx(
        float(name.split()[0]) * unit_mm, rel=1e-6
    )


def test_a_photo_without_a_scale_gets_no_scale_bar() -> None:
    for scale, bars in ((given.flowers().scale, 1), (None, 0)):
        words = [i.text for i in lines(drawn(replace(given.flowers(), scale=scale))[0], Label)]
        assert sum(word in ("5 cm", "10 cm", "20 cm") for word in words) == bars


def test_the_objects_outline_is_drawn_where_it_was_found() -> None:
    drawing, photo = drawn()
    ring = next(line for line in lines(drawing) if line.stroke == photo_overlay.OBJECT)
    assert np.abs(np.array(ring.points) - (photo.cloth.outline_px + 0.5)).max() < 1e-6


def test_only_a_one_way_print_gets_an_arrow_up() -> None:
    assert any("never turn" in i.text for i in lines(drawn()[0], Label))
    m = given.flowers()
    two_way = replace(m, direction=replace(m.direction, way="two-way"))
    assert not any("never turn" in i.text for i in lines(drawn(two_way)[0], Label))


@pytest.mark.parametrize("name", sorted(given.MEASUREMENTS))
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_every_kind_of_print_draws(name: str, units: str) -> None:
    drawing, _ = drawn(given.MEASUREMENTS[name](), units)
    assert svg_pen.svg(drawing).startswith("<?xml")
    picture = png_pen.pixels(drawing)
    assert picture.shape[:2] == (round(drawing.height), 900)
    for label in lines(drawing, Label):
        assert 0 <= label.at[0] <= drawing.width and 0 <= label.at[1] <= drawing.height


def test_lines_can_be_read_on_any_print() -> None:
    """On white, black and every grey between, the lines stand out in thousands of pixels."""
    for tone in (0, 64, 128, 192, 255):
        photo, bgr = swatch.photo()
        bgr[:] = tone
        picture = png_pen.pixels(
            photo_overlay.measured(bgr, photo.cloth, photo.lattice, photo.measurement, "metric")
        ).astype(int)[:700]
        changed = picture[np.abs(picture - tone).max(2) > 60]
        assert len(changed) > 1500, tone


def test_the_flat_cloth_stands_in_where_several_photos_were_joined() -> None:
    photo, _ = swatch.photo()
    joined = replace(photo, cloth=replace(photo.cloth, photo_bgr=None))
    drawing = photo_overlay.drawing(joined, units="metric")
    assert lines(drawing, Raster)[0].bgr.shape == photo.cloth.bgr.shape


def test_a_shift_by_a_repeat_changes_nothing() -> None:
    cell = swatch.cell()
    here = ClothView(cell).laid(0, 0, 200, 200, 0.5).astype(int)
    for vector in cell.basis_mm:
        there = ClothView(cell, cell_mm=tuple(vector)).laid(0, 0, 200, 200, 0.5).astype(int)
        assert np.abs(here - there).max() <= 2
    assert np.abs(here - ClothView(cell, cell_mm=(30.0, 0.0)).laid(0, 0, 200, 200, 0.5)).max() > 50


def test_washed_cloth_repeats_sooner() -> None:
    cell = swatch.cell(((100.0, 0.0), (0.0, 100.0)))
    washed = ClothView(cell, shrink=(0.9, 0.8)).laid(0, 0, 300, 300, 1.0).astype(int)
    assert np.abs(washed[:, :210] - washed[:, 90:300]).mean() < 1.0  # 100 mm across have become 90
    assert np.abs(washed[:220] - washed[80:300]).mean() < 1.0  # and 100 along 80


def test_small_prints_average_out_instead_of_flickering() -> None:
    cell = swatch.cell(((2.0, 0.0), (0.0, 2.0)))
    far = ClothView(cell).laid(0, 0, 1000, 1000, 10.0).astype(int)
    assert far.std(axis=(0, 1)).max() < 4


def test_the_unlucky_shift_shows_more_than_most() -> None:
    """Against differences counted pixel by pixel on the rolled cell."""
    cell = swatch.cell(((120.0, 0.0), (0.0, 120.0)))  # two pixels to a millimetre
    worst, level = seam_preview.unlucky_shifts(cell)
    small = cv2.resize(cell.lab, (120, 120), interpolation=cv2.INTER_AREA)

    def shown(dx: float, dy: float) -> float:
        return float(((small - np.roll(small, (-round(dy), -round(dx)), (0, 1))) ** 2).sum(2).mean())

    many = [shown(dx, dy) for dx in range(0, 120, 6) for dy in range(0, 120, 6)]
    assert shown(*worst) >= 0.97 * max(many)
    assert level[1] == 0 and shown(*level) >= 0.97 * max(shown(dx, 0) for dx in range(120))


def test_seam_preview_matched_runs_on_and_unmatched_does_not() -> None:
    drawing = seam_preview.drawing(swatch.cell(), viewing_distance_m=1.5)
    matched, level, unlucky = (i.bgr.astype(int) for i in lines(drawing, Raster))
    assert np.abs(matched - level).max() > 50 and np.abs(matched - unlucky).max() > 50
    middle = matched.shape[1] // 2
    step = np.abs(matched[:, middle] - matched[:, middle - 1]).mean()
    assert step <= 2 * np.abs(np.diff(matched, axis=1)).mean() + 1


def test_seam_preview_keeps_the_angle_of_view() -> None:
    for far in (0.5, 1.5, 3.0):
        drawing = seam_preview.drawing(swatch.cell(), viewing_distance_m=far)
        assert drawing.width / drawing.width_mm == pytest.approx(far / 0.5)  # a page is held at 0.5 m
