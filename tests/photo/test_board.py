"""Print the scale card, lay it on drawn cloth, photograph it, and find the scale again."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.core.errors import InputError
from printcheck.core.handover import Picture
from printcheck.core.measurement import PhotoFacts
from printcheck.core.reference.scalecard import BAR_MM, BOARDS
from printcheck.core.request import Reference
from printcheck.photo.flatten import lay_flat
from printcheck.photo.scale.chessboard import find
from printcheck.report.page.scalecard_file import MARGIN_MM, PNG_PX_PER_MM, draw_sheet, write_scalecard
from tests.drawn import Camera, Laid, Photo, Thing, objects, photograph, prints

ASKED = Reference("board", "board", bar_mm=BAR_MM)
PAPER_MM = 0.1  # thickness of office paper


def printed(folder: Path, name: str, *, stretch: float = 1.0) -> Thing:
    """The card cut out of the PNG that we write, as a printer that scales by ``stretch`` leaves it."""
    path = folder / "card.png"
    write_scalecard(path, size=name)
    sheet, board = draw_sheet(BOARDS[name]), BOARDS[name]
    per_mm = PNG_PX_PER_MM
    left = (sheet.width - board.width_mm) / 2
    top = MARGIN_MM
    x0, y0 = round(left * per_mm), round(top * per_mm)
    x1, y1 = round((left + board.width_mm) * per_mm), round((top + board.height_mm) * per_mm)
    cut = cv2.imread(str(path))[y0:y1, x0:x1]
    size = (board.width_mm * stretch, board.height_mm * stretch)
    return objects.picture(cut, size, height_mm=PAPER_MM)


def opened(photo: Photo) -> Picture:
    bgr = photo.bgr
    return Picture(PhotoFacts("drawn.jpg", bgr.shape[1], bgr.shape[0]), bgr)


@pytest.mark.parametrize(
    ("name", "view_mm", "tilt_deg"), [("card", 240, 3), ("card", 420, 18), ("A5", 480, 12)]
)
def test_printed_and_photographed_the_scale_comes_back(
    tmp_path: Path, name: str, view_mm: float, tilt_deg: float
) -> None:
    camera = Camera(view_mm=view_mm, tilt_deg=tilt_deg, tilt_towards_deg=70, turn_deg=5)
    laid = Laid(printed(tmp_path, name), (0.08 * view_mm, -0.02 * view_mm), 31.0)
    photo = photograph(prints.gingham(np.random.default_rng(3), 9.0), camera, objects=(laid,))
    [sighting] = find(opened(photo), ASKED)
    centre = ((camera.size_px[0] - 1) / 2, (camera.size_px[1] - 1) / 2)
    error = sighting.mm_per_px(centre) / photo.truth.mm_per_px - 1
    assert abs(error) < 0.001  # issue: the round trip comes back within 0.1 %
    assert abs(error) < 2 * sighting.relative_error
    assert sighting.tilt_deg == pytest.approx(tilt_deg, abs=1.0)
    assert name in sighting.object
    seen = np.array(photo.truth.objects[0]["corners_px"])
    assert sighting.outline_px is not None
    assert np.abs(sighting.outline_px - seen).max() < 2.0
    hidden = sighting.hidden_px[0].astype(np.float32)
    assert all(cv2.pointPolygonTest(hidden, tuple(map(float, corner)), False) > 0 for corner in seen)


def test_the_measured_bar_corrects_a_printer_that_scales(tmp_path: Path) -> None:
    camera = Camera(view_mm=260, tilt_deg=6)
    photo = photograph(
        prints.plain(np.random.default_rng(5)),
        camera,
        objects=(Laid(printed(tmp_path, "card", stretch=0.96), turn_deg=12),),
    )
    centre = ((camera.size_px[0] - 1) / 2, (camera.size_px[1] - 1) / 2)
    [trusting] = find(opened(photo), Reference("board", "board"))
    [measured] = find(opened(photo), Reference("board", "board", bar_mm=96.0))
    assert trusting.mm_per_px(centre) / photo.truth.mm_per_px == pytest.approx(1 / 0.96, abs=0.001)
    assert measured.mm_per_px(centre) / photo.truth.mm_per_px == pytest.approx(1.0, abs=0.001)
    assert "scale-board-unmeasured" in {f.code for f in trusting.findings}
    assert "scale-board-unmeasured" not in {f.code for f in measured.findings}
    assert measured.relative_error < trusting.relative_error


def test_lens_bending_is_estimated_from_the_large_card(tmp_path: Path) -> None:
    camera = Camera(view_mm=330, tilt_deg=14, k1=-0.03)
    photo = photograph(
        prints.plain(np.random.default_rng(6)), camera, objects=(Laid(printed(tmp_path, "A5"), turn_deg=78),)
    )
    [sighting] = find(opened(photo), ASKED)
    assert sighting.lens_k1 == pytest.approx(-0.03, abs=0.01)
    flat = lay_flat(opened(photo), sighting)
    [again] = find(Picture(PhotoFacts("flat.jpg", *flat.bgr.shape[1::-1]), flat.bgr), ASKED)
    assert abs(again.lens_k1) < 0.005 and again.tilt_deg < 2.0  # laid flat, the bend is gone with the tilt


def test_a_card_half_hidden_is_still_read(tmp_path: Path) -> None:
    camera = Camera(view_mm=240)
    cover = objects.sheet(np.random.default_rng(1), size_mm=(90, 60))
    card = Laid(printed(tmp_path, "card"))
    photo = photograph(
        prints.plain(np.random.default_rng(7)), camera, objects=(card, Laid(cover, (45.0, 0.0), 90.0))
    )
    [sighting] = find(opened(photo), ASKED)
    centre = ((camera.size_px[0] - 1) / 2, (camera.size_px[1] - 1) / 2)
    assert abs(sighting.mm_per_px(centre) / photo.truth.mm_per_px - 1) < 2 * sighting.relative_error


@pytest.mark.parametrize("bar_mm", [80.0, 111.0, 10.0])
def test_a_bar_that_cannot_be_is_refused(bar_mm: float) -> None:
    blank = np.full((300, 400, 3), 200, np.uint8)
    with pytest.raises(InputError, match="too far"):
        find(Picture(PhotoFacts("x", 400, 300), blank), Reference("board", "board", bar_mm=bar_mm))


@pytest.mark.parametrize("seed", range(4))
def test_no_card_is_seen_where_there_is_none(seed: int) -> None:
    rng = np.random.default_rng(seed)
    art = [prints.gingham(rng, 8.0), prints.plaid(rng, 30.0, even=True), prints.plain(rng)][seed % 3]
    assert find(opened(photograph(art, Camera(view_mm=200))), Reference("auto", "auto")) == []


def test_a_board_of_another_kind_is_not_ours() -> None:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_100)
    other = cv2.aruco.CharucoBoard((8, 4), 10.0, 7.5, dictionary)  # the numbers from 0 that others use
    drawn = np.asarray(other.generateImage((1600, 800)))
    thing = objects.picture(cv2.cvtColor(drawn, cv2.COLOR_GRAY2BGR), (80.0, 40.0))
    photo = photograph(prints.plain(np.random.default_rng(8)), Camera(view_mm=200), objects=(Laid(thing),))
    assert find(opened(photo), Reference("auto", "auto")) == []
