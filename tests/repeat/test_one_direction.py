"""A repeat along one direction alone: borders, and strips too narrow for the other repeat."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.core.measurement import PhotoFacts, Repeat, Scale
from printcheck.core.request import PhotoWidth
from printcheck.pipeline import Options, measure_photo
from printcheck.project.from_measurement import print_from_measurement
from printcheck.repeat.part.part_search import with_its_field
from tests.drawn import Camera, figures, photograph, prints
from tests.drawn.art import Art, Cell
from tests.drawn.stamps import Stamp, stamped

GROUND, ROSE, LEAF = (228, 236, 238), (64, 52, 178), (64, 115, 52)  # blue, green, red
FAR_MM = 900.0  # to the next border: out of every photo here


def border(pitch: float, *, dots: int = 0) -> Art:
    """A row of roses and leaves on plain ground, or beside dots, so many to the pitch."""
    row = [
        Stamp(figures.rose(), (pitch / 2, FAR_MM / 2), 0.8 * pitch, (ROSE, LEAF)),
        Stamp(figures.leaf(), (0.0, FAR_MM / 2), 0.35 * pitch, (LEAF,)),
    ]
    step = pitch / max(dots, 1)
    for down in np.arange(FAR_MM / 2 - pitch, 0, -step) if dots else ():
        row += [Stamp(figures.disc(), (k * step, float(down)), step / 2, (ROSE,)) for k in range(dots)]
    return stamped(("border", "straight"), Cell(pitch, FAR_MM), row, GROUND, way="one-way")


def measured(art: Art, view_mm: float, *, below: float = 0.15, **camera: float):
    """What is measured of a photo this wide, the border so much of that below its middle."""
    look = (40.0, FAR_MM / 2 - below * view_mm)
    photo = photograph(art, Camera(view_mm=view_mm, size_px=(1000, 750), look_mm=look, **camera))
    rgb = np.ascontiguousarray(photo.bgr[:, :, ::-1])
    return measure_photo(rgb, Options(PhotoWidth(view_mm))).measurement


@pytest.mark.parametrize(
    ("pitch", "view", "turn"), [(42.0, 250.0, 0.0), (60.0, 240.0, 5.0), (30.0, 170.0, -6.0)]
)
def test_a_border_is_named_and_its_repeat_told(pitch: float, view: float, turn: float) -> None:
    found = measured(border(pitch), view, turn_deg=turn)
    assert found.print_name.name == "border"
    assert found.repeat.kind == "beyond-photo"
    assert found.repeat.border
    assert found.repeat.across_mm == pytest.approx(pitch, rel=0.01)
    assert abs(found.repeat.across_mm - pitch) < 3 * found.repeat.error_mm
    assert found.repeat.along_mm is None
    assert found.repeat.turn_deg == pytest.approx(turn, abs=0.7)
    assert found.direction.way == "one-way"
    assert found.seams.needs == "level"
    assert {reason.code for reason in found.difficulty.reasons} == {"border"}


@pytest.mark.parametrize(("pitch", "dots"), [(58.0, 4), (72.0, 3)])
def test_a_border_beside_a_field_of_its_own(pitch: float, dots: int) -> None:
    found = measured(border(pitch, dots=dots), 4.6 * pitch, below=0.2, turn_deg=2.0)
    assert found.print_name.name == "border"
    assert found.repeat.across_mm == pytest.approx(pitch, rel=0.01)
    assert "repeat-border-of-field" in {one.code for one in found.findings}


def test_a_lattice_found_on_one_side_of_one_cloth_is_no_border() -> None:
    """Dots everywhere, and a search that is sure on the upper side alone, as it may be by chance."""
    photo = photograph(prints.dots(np.random.default_rng(1), 20.0), Camera(view_mm=200.0, size_px=(600, 450)))
    height, width = photo.bgr.shape[:2]
    facts, scale = PhotoFacts("dots.jpg", width, height), Scale("given", 1 / 3, 0.001)
    cloth = FlatCloth(photo.bgr, np.ones((height, width), bool), 1 / 3, np.eye(3), facts, scale)
    one = PrintLattice(Repeat("beyond-photo", across_mm=20.0, confidence=0.9), np.zeros((0, 2)), np.zeros(2))

    def search(part: FlatCloth) -> PrintLattice:
        if part.mask[-1].any():
            return one
        repeat = Repeat("lattice", basis_mm=((20.0, 0.0), (0.0, 20.0)), confidence=0.9)
        return PrintLattice(repeat, np.diag([60.0, 60.0]), np.zeros(2))

    assert not with_its_field(cloth, one, search).repeat.border


def test_a_border_that_stands_upright_repeats_along_the_cloth() -> None:
    found = measured(border(42.0), 250.0)
    camera = Camera(view_mm=250.0, size_px=(1000, 750), look_mm=(40.0, FAR_MM / 2), turn_deg=0.0)
    photo = photograph(border(42.0), camera)
    turned = np.ascontiguousarray(np.rot90(photo.bgr[:, :, ::-1]))
    upright = measure_photo(turned, Options(PhotoWidth(250.0 * 0.75))).measurement
    assert upright.repeat.along_mm == pytest.approx(found.repeat.across_mm, rel=0.01)
    assert upright.repeat.across_mm is None


def test_a_length_is_planned_on_a_border_as_photographed() -> None:
    """Pieces lie along the border, so its repeat is one along the cloth however the photo was turned."""
    printed = print_from_measurement(measured(border(42.0), 250.0))
    assert printed.border
    assert printed.lattice.basis_mm[0] == pytest.approx((0.0, 42.0), rel=0.01)


def test_a_strip_of_a_print_tells_the_one_repeat_that_fits() -> None:
    """Flowers three times across, four fifths of one repeat along: drawn, so known."""
    art = prints.floral(np.random.default_rng(4), Cell(60.0, 150.0))
    photo = photograph(art, Camera(view_mm=220.0, size_px=(1200, 650)))
    rgb = np.ascontiguousarray(photo.bgr[:, :, ::-1])
    found = measure_photo(rgb, Options(PhotoWidth(220.0))).measurement
    assert found.repeat.kind == "beyond-photo"
    assert not found.repeat.border
    assert found.repeat.across_mm == pytest.approx(60.0, rel=0.01)
    with pytest.raises(NoAnswerError, match="does not fit"):
        print_from_measurement(found)


@pytest.mark.parametrize("seed", range(3))
def test_figures_strewn_about_repeat_in_no_direction(seed: int) -> None:
    art = prints.scatter(np.random.default_rng(seed), 240.0, spot_mm=18.0)
    photo = photograph(art, Camera(view_mm=240.0, size_px=(1000, 750)))
    rgb = np.ascontiguousarray(photo.bgr[:, :, ::-1])
    repeat = measure_photo(rgb, Options(PhotoWidth(240.0))).measurement.repeat
    assert (repeat.across_mm, repeat.along_mm, repeat.border) == (None, None, False)
