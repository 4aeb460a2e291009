"""What people give as photos of one swatch: answered, or refused in one sentence that names the photo."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import FlatCloth
from printcheck.core.request import one_scale
from printcheck.photo.decode import open_picture
from printcheck.photo.stitch.join import flatten_photos
from printcheck.report.words.findings import said
from tests.photo.drawn import SIZE, SPAN, UNIT_PX, camera, drawn_sheet, photo

SKIN, WHITE = (120, 155, 205), (245, 240, 235)
TAKEN = 0x9003  # EXIF tag DateTimeOriginal (CIPA DC-008)
SEEN = {
    "a.png": camera(left=100, top=100),
    "b.png": camera(left=480, top=130, zoom=0.95, tilt=0.08, turn_deg=4),
    "c.png": camera(left=120, top=480, zoom=1.04, tilt=-0.06, turn_deg=-3),
}
PLACED_PX = 0.01 * max(SIZE)  # of a photo's side


@pytest.fixture(scope="module")
def sheet() -> np.ndarray:
    return drawn_sheet(3)


@pytest.fixture
def three(sheet: np.ndarray, tmp_path: Path) -> list[Path]:
    return [photo(tmp_path, sheet, seen, name=name) for name, seen in SEEN.items()]


def off_px(cloth: FlatCloth, seen: Mapping[str, np.ndarray]) -> dict[str, float]:
    """How far the middle of each photo lies off its true place, or off one a repeat from there."""
    places = dict(cloth.places)
    middle = np.array([[[SIZE[0] / 2, SIZE[1] / 2]]])
    off = {}
    for name, place in places.items():
        moves = np.linalg.inv(places["a.png"]) @ place, seen["a.png"] @ np.linalg.inv(seen[name])
        there, true = (cv2.perspectiveTransform(middle, move)[0, 0] for move in moves)
        apart = there - true
        off[name] = float(np.hypot(*(apart - UNIT_PX * np.rint(apart / UNIT_PX))))
    return off


def changed(path: Path, bgr: np.ndarray) -> None:
    cv2.imwrite(str(path), np.clip(bgr, 0, 255).astype(np.uint8))


def assert_placed(cloth: FlatCloth, seen: Mapping[str, np.ndarray]) -> None:
    off = off_px(cloth, seen)
    assert off.keys() == seen.keys()
    assert max(off.values()) < PLACED_PX, off


def test_a_hand_and_a_card_in_one_photo(three: list[Path]) -> None:
    covered = cv2.imread(str(three[1]))
    cv2.ellipse(covered, (640, 700), (110, 190), 30, 0, 360, SKIN, -1, cv2.LINE_AA)
    cv2.rectangle(covered, (300, 60), (470, 168), WHITE, -1)
    changed(three[1], covered)
    assert_placed(flatten_photos(three, one_scale(span=SPAN)), SEEN)


def test_another_phone_from_nearer(sheet: np.ndarray, three: list[Path], tmp_path: Path) -> None:
    """Half as near again, in another format, darker and warmer."""
    seen = {**SEEN, "d.png": camera(left=430, top=420, zoom=1.5, turn_deg=-5)}
    warmer = 255 * (cv2.warpPerspective(sheet, seen["d.png"], SIZE) / 255) ** 1.2 * (0.75, 0.85, 0.95)
    path = tmp_path / "d.png"
    changed(path, warmer[100:-100])
    seen["d.png"] = np.array([[1, 0, 0], [0, 1, -100], [0, 0, 1.0]]) @ seen["d.png"]
    cloth = flatten_photos([*three, path], one_scale(span=SPAN))
    assert_placed(cloth, seen)


def shake(path: Path, by_px: int) -> None:
    changed(path, cv2.filter2D(cv2.imread(str(path)), -1, np.full((1, by_px), 1 / by_px)))


def test_a_slightly_shaken_photo_is_laid(three: list[Path]) -> None:
    shake(three[1], 7)
    assert_placed(flatten_photos(three, one_scale(span=SPAN)), SEEN)


def test_a_badly_shaken_photo_is_named(three: list[Path]) -> None:
    shake(three[1], 25)
    with pytest.raises(NoAnswerError, match=r"^b\.png is blurred"):
        flatten_photos(three, one_scale(span=SPAN))


def test_a_photo_turned_upside_down_is_named(three: list[Path]) -> None:
    changed(three[1], cv2.imread(str(three[1]))[::-1, ::-1])
    with pytest.raises(NoAnswerError, match=r"^b\.png is upside down"):
        flatten_photos(three, one_scale(span=SPAN))


def test_photos_that_do_not_overlap_are_named(tmp_path: Path) -> None:
    rng = np.random.default_rng(8)
    cloth = np.full((800, 2600, 3), (220, 230, 235), np.uint8)
    for at in rng.uniform((0, 0), (2600, 800), (160, 2)):
        ink = tuple(int(v) for v in rng.integers(30, 220, 3))
        cv2.circle(cloth, tuple(int(v) for v in at), int(rng.integers(10, 50)), ink, -1, cv2.LINE_AA)
    apart = [photo(tmp_path, cloth, camera(left=x, top=20), name=f"{x}.png") for x in (50, 1500)]
    with pytest.raises(NoAnswerError, match=r"^1500\.png: no part of the cloth was found"):
        flatten_photos(apart, one_scale(span=SPAN))


def test_copies_however_written_are_one_photo(three: list[Path], tmp_path: Path) -> None:
    """Sent on by a messenger: half the size, strongly packed."""
    bgr = cv2.imread(str(three[1]))
    cv2.imwrite(
        str(tmp_path / "sent.jpg"), cv2.resize(bgr, None, fx=0.5, fy=0.5), [cv2.IMWRITE_JPEG_QUALITY, 60]
    )
    told: list[str] = []
    cloth = flatten_photos(
        [*three, tmp_path / "sent.jpg"], one_scale(span=SPAN), progress=lambda stage, _: told.append(stage)
    )
    twice = [said(f).text for f in cloth.findings if f.code == "photos-twice"]
    assert twice == ["sent.jpg is the same photo as b.png; it was counted once."]
    assert not any("sent.jpg" in stage for stage in told)  # not searched for an object either


def test_neither_order_nor_names_change_anything(three: list[Path], tmp_path: Path) -> None:
    """Times of taking tell the order where there are any."""
    times = ("2026:05:01 10:00:00", "2026:05:01 10:00:07", "2026:05:01 10:00:15")
    first, other = [], []
    for n, (path, time) in enumerate(zip(three, times, strict=True)):
        exif = Image.Exif()
        exif.get_ifd(0x8769)[TAKEN] = time
        for name, paths in ((f"1{n}.jpg", first), (f"2{2 - n}.jpg", other)):
            Image.open(path).save(tmp_path / name, exif=exif, quality=95)
            paths.append(tmp_path / name)
    assert [open_picture(path).taken for path in other] == [20260501100000, 20260501100007, 20260501100015]
    one = flatten_photos(first, one_scale(span=SPAN))
    another = flatten_photos([other[0], *other[:0:-1]], one_scale(span=SPAN))
    assert np.array_equal(one.bgr, another.bgr)
