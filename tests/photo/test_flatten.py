"""The flat picture: scale at the centre, tilt undone, quarter turn, what is masked."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.core.errors import InputError
from printcheck.core.request import one_scale
from printcheck.photo import flatten_photo

WIDTH, HEIGHT = 900, 700


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    """A picture whose four quarters differ in brightness."""
    picture = np.full((HEIGHT, WIDTH, 3), 40, np.uint8)
    picture[: HEIGHT // 2, WIDTH // 2 :] = 100
    picture[HEIGHT // 2 :, WIDTH // 2 :] = 160
    picture[HEIGHT // 2 :, : WIDTH // 2] = 220
    path = tmp_path / "quarters.png"
    cv2.imwrite(str(path), picture)
    return path


def test_a_given_scale_leaves_the_picture_as_it_is(photo: Path) -> None:
    flat = flatten_photo(photo, one_scale(mm_per_px="0.2"))
    assert flat.scale.source == "given"
    assert flat.scale.mm_per_px == flat.mm_per_px == 0.2
    assert np.array_equal(flat.bgr, cv2.imread(str(photo)))
    assert flat.mask.all()
    assert np.allclose(flat.to_photo / flat.to_photo[2, 2], np.eye(3), atol=1e-9)


def test_dpi_and_photo_width(photo: Path) -> None:
    assert flatten_photo(photo, one_scale(dpi="254")).scale.mm_per_px == pytest.approx(0.1)
    assert flatten_photo(photo, one_scale(photo_width="9 cm")).scale.mm_per_px == pytest.approx(0.1)


def test_a_horizontal_selvedge_turns_the_cloth_by_a_quarter(photo: Path) -> None:
    flat = flatten_photo(photo, one_scale(mm_per_px="0.2"), selvedge="horizontal")
    assert flat.bgr.shape == (WIDTH, HEIGHT, 3)
    # each place of the flat picture shows the photo's pixel that to_photo names
    for x, y in ((50, 60), (HEIGHT - 40, 80), (100, WIDTH - 30)):
        u, v, w = flat.to_photo @ np.array([x, y, 1.0])
        assert np.array_equal(flat.bgr[y, x], cv2.imread(str(photo))[round(v / w), round(u / w)])


def test_a_span_says_that_tilt_is_unknown(photo: Path) -> None:
    flat = flatten_photo(photo, one_scale(span="100,350,800,350=70mm"))
    assert flat.scale.mm_per_px == pytest.approx(0.1)
    assert flat.scale.tilt_deg is None
    assert "scale-tilt-unknown" in {f.code for f in flat.findings}
    assert flat.scale.relative_error > 0.003  # 0.5 mm of measuring in 70 mm alone is 0.7 %


def camera_matrix(tilt_deg: float, azimuth_deg: float, mm_per_px: float) -> np.ndarray:
    """Homography mm -> px of a pinhole camera, written out here apart from the code under test."""
    focal = 0.85 * WIDTH
    t, a = np.radians(tilt_deg), np.radians(azimuth_deg)
    axis = np.array([np.cos(a), np.sin(a), 0])
    k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    turn = np.eye(3) + np.sin(t) * k + (1 - np.cos(t)) * k @ k
    plane = np.column_stack([turn[:, 0], turn[:, 1], [0, 0, focal * mm_per_px]])
    lens = np.array([[focal, 0, (WIDTH - 1) / 2], [0, focal, (HEIGHT - 1) / 2], [0, 0, 1.0]])
    return lens @ plane


@pytest.mark.parametrize(("tilt", "azimuth"), [(0, 0), (12, 30), (25, 200)])
def test_four_corners_undo_the_tilt(photo: Path, tilt: float, azimuth: float) -> None:
    to_px = camera_matrix(tilt, azimuth, 0.1)
    plane = np.array([[-30, -20, 1], [30, -20, 1], [30, 20, 1], [-30, 20, 1.0]])
    seen = plane @ to_px.T
    seen = seen[:, :2] / seen[:, 2:]
    text = ",".join(f"{v:.3f}" for v in seen.ravel()) + "=60x40mm"
    flat = flatten_photo(photo, one_scale(corners=text))
    # at the centre one direction is seen at distance / focal, the other foreshortened by cos(tilt)
    assert flat.scale.mm_per_px == pytest.approx(0.1 / np.sqrt(np.cos(np.radians(tilt))), rel=2e-3)
    assert flat.scale.tilt_deg == pytest.approx(tilt, abs=0.6)
    back = np.column_stack([seen, np.ones(4)]) @ np.linalg.inv(flat.to_photo).T
    side = np.linalg.norm(np.diff(back[:, :2] / back[:, 2:], axis=0), axis=1) * flat.mm_per_px
    assert side == pytest.approx([60, 40, 60], rel=1e-3)


CORNERS = ["200,150", "700,150", "700,450", "200,450"]


def test_crossed_corners_are_put_in_order(photo: Path) -> None:
    straight = flatten_photo(photo, one_scale(corners=",".join(CORNERS) + "=50x30mm"))
    for order in ((0, 1, 3, 2), (0, 3, 2, 1), (2, 3, 0, 1)):
        size = "30x50mm" if order == (0, 3, 2, 1) else "50x30mm"
        text = ",".join(CORNERS[i] for i in order) + "=" + size
        assert flatten_photo(photo, one_scale(corners=text)).scale.mm_per_px == pytest.approx(
            straight.scale.mm_per_px, rel=1e-6
        )


@pytest.mark.parametrize(
    ("option", "text", "code"),
    [
        ("corners", "10,10,20,10,20,11,10,11=50x30mm", "corners-degenerate"),
        ("corners", "100,100,300,100,500,100,700,100=50x30mm", "corners-degenerate"),
        ("corners", "100,100,800,100,420,420,100,600=50x30mm", "corners-not-a-rectangle"),
        ("corners", "200,150,700,150,700,450,200,450=30x50mm", "corners-not-a-rectangle"),
        ("corners", "200,150,9000,150,700,450,200,450=30x50mm", "point-outside-photo"),
        ("span", "-40,0,100,0=5cm", "point-outside-photo"),
        ("span", "100,100,105,100=5cm", "span-too-short"),
        ("span", "100,100,100,100=5cm", "span-too-short"),
    ],
)
def test_points_that_cannot_be_are_refused(photo: Path, option: str, text: str, code: str) -> None:
    with pytest.raises(InputError) as caught:
        flatten_photo(photo, one_scale(**{option: text}))
    assert caught.value.code == code
    assert caught.value.remedy
