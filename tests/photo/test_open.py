"""Photos as they come, and files that are none."""

from __future__ import annotations

import contextlib
import struct
import warnings
import zlib
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageCms, ImageOps

from printcheck.core.errors import InputError
from printcheck.photo import open_picture


def scene(width: int = 320, height: int = 240) -> np.ndarray:
    """A smooth RGB picture with an up and a left, which every format keeps well."""
    y, x = np.mgrid[:height, :width]
    return np.dstack([200 * x / width, 200 * y / height, 80 + 60 * np.sin(x / 30)]).astype(np.uint8)


def close(bgr: np.ndarray, rgb: np.ndarray, within: float = 3) -> bool:
    return bool(np.abs(bgr[..., ::-1].astype(float) - rgb).mean() < within)


@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "tif", "bmp", "gif", "avif", "heic"])
def test_usual_kinds(tmp_path: Path, suffix: str) -> None:
    if suffix == "heic":
        pytest.importorskip("pillow_heif").register_heif_opener()
    path = tmp_path / f"photo.{suffix}"
    Image.fromarray(scene()).save(path)
    picture = open_picture(path)
    assert (picture.facts.width_px, picture.facts.height_px, picture.facts.file) == (320, 240, path.name)
    assert picture.bgr.dtype == np.uint8
    assert close(picture.bgr, scene(), 12 if suffix == "gif" else 3)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "tif"])
def test_exif_orientation_is_applied(tmp_path: Path, orientation: int, suffix: str) -> None:
    path = tmp_path / f"turned.{suffix}"
    exif = Image.Exif()
    exif[0x0112] = orientation
    Image.fromarray(scene()).save(path, exif=exif)
    with Image.open(path) as image:  # Pillow's own reading of EXIF is the outside witness
        upright = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
    picture = open_picture(path)
    assert (picture.facts.height_px, picture.facts.width_px) == upright.shape[:2]
    assert close(picture.bgr, upright)


def test_a_turned_avif(tmp_path: Path) -> None:
    """The turn stands in a property of the file; no encoder at hand writes one into HEIC."""
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.fromarray(scene()).save(tmp_path / "turned.avif", exif=exif)
    assert close(open_picture(tmp_path / "turned.avif").bgr, np.rot90(scene(), -1), 4)


@pytest.mark.parametrize("suffix", ["png", "tif"])
def test_sixteen_bits(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"deep.{suffix}"
    cv2.imwrite(str(path), scene()[..., ::-1].astype(np.uint16) * 257)
    assert close(open_picture(path).bgr, scene(), 1.01)


def test_grey_and_grey_sixteen(tmp_path: Path) -> None:
    grey = scene()[..., 0]
    cv2.imwrite(str(tmp_path / "grey.png"), grey)
    cv2.imwrite(str(tmp_path / "deep.png"), grey.astype(np.uint16) * 257)
    for name in ("grey.png", "deep.png"):
        assert close(open_picture(tmp_path / name).bgr, np.dstack([grey] * 3), 1.01)


def test_transparency_lies_over_white(tmp_path: Path) -> None:
    rgba = np.dstack([scene(), np.full((240, 320), 255, np.uint8)])
    rgba[:, 160:, 3] = 0
    Image.fromarray(rgba).save(tmp_path / "clear.png")
    bgr = open_picture(tmp_path / "clear.png").bgr
    assert (bgr[:, 160:] == 255).all()
    assert close(bgr[:, :160], scene()[:, :160])


@pytest.mark.parametrize("suffix", ["jpg", "tif"])
def test_four_inks(tmp_path: Path, suffix: str) -> None:
    image = Image.fromarray(scene()).convert("CMYK")
    image.save(tmp_path / f"inks.{suffix}")
    assert close(open_picture(tmp_path / f"inks.{suffix}").bgr, scene(), 6)


def test_a_large_jpeg_is_decoded_reduced_and_lies_where_it_should(tmp_path: Path) -> None:
    large = np.full((3000, 4000, 3), 255, np.uint8)
    large[1000:1200, 3000:3300] = 0
    cv2.imwrite(str(tmp_path / "large.jpg"), large)
    picture = open_picture(tmp_path / "large.jpg")
    assert picture.reduction == 2
    assert picture.bgr.shape == (1500, 2000, 3)
    assert (picture.facts.width_px, picture.facts.height_px) == (4000, 3000)
    dark = np.argwhere(picture.bgr[..., 0] < 128)
    centre = (dark.mean(0)[::-1] + 0.5) * picture.reduction - 0.5
    assert centre == pytest.approx([3149.5, 1099.5], abs=0.05)


def test_focal_length_from_exif(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA405] = 26
    Image.fromarray(scene(400, 300)).save(tmp_path / "lens.jpg", exif=exif)
    # 26 mm against film's diagonal of 43.27 mm, picture's diagonal 500 px
    assert open_picture(tmp_path / "lens.jpg").focal_px == pytest.approx(26 / 43.267 * 500, rel=1e-3)
    assert open_picture(tmp_path / "lens.jpg").reduction == 1


def test_focal_length_of_a_cropped_photo_is_not_believed(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8769).update({0xA405: 26, 0xA002: 4000, 0xA003: 3000})
    Image.fromarray(scene(400, 200)).save(tmp_path / "crop.jpg", exif=exif)
    assert open_picture(tmp_path / "crop.jpg").focal_px is None


def refusal(path: Path) -> InputError:
    with warnings.catch_warnings(), pytest.raises(InputError) as caught:
        warnings.simplefilter("error")
        open_picture(path)
    assert caught.value.remedy
    assert caught.value.message.endswith(".")
    return caught.value


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "empty-file"),
        (b"hello, I am a shopping list\n" * 40, "not-a-picture"),
        (b"\xff\xd8\xff", "cut-short"),
    ],
)
def test_files_that_are_no_pictures(tmp_path: Path, content: bytes, code: str) -> None:
    path = tmp_path / "photo.jpg"
    path.write_bytes(content)
    assert refusal(path).code in (code, "not-a-picture")


def test_missing_and_folder(tmp_path: Path) -> None:
    assert refusal(tmp_path / "gone.jpg").code == "no-such-file"
    assert refusal(tmp_path).code == "is-a-folder"
    assert refusal(Path("nul\0byte.jpg")).code == "cannot-read"


@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "tif", "avif", "heic"])
@pytest.mark.parametrize("share", [0.3, 0.8, 0.98])
def test_cut_short(tmp_path: Path, suffix: str, share: float) -> None:
    if suffix == "heic":
        pytest.importorskip("pillow_heif").register_heif_opener()
    noisy = np.random.default_rng(1).integers(0, 255, (200, 300, 3), np.uint8)
    path = tmp_path / f"photo.{suffix}"
    Image.fromarray(noisy).save(path)
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])
    assert refusal(path).code in ("cut-short", "not-a-picture")


def test_a_whole_thumbnail_does_not_excuse_a_cut_picture(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x010E] = "\u00ff\u00d9" * 20
    path = tmp_path / "photo.jpg"
    Image.fromarray(scene()).save(path, exif=exif)
    data = path.read_bytes()
    path.write_bytes(data[:-200])
    assert refusal(path).code == "cut-short"


def test_too_small(tmp_path: Path) -> None:
    for size in ((1, 1), (50, 300)):
        Image.new("RGB", size).save(tmp_path / "tiny.png")
        assert refusal(tmp_path / "tiny.png").code == "picture-too-small"


def huge_png(width: int, height: int) -> bytes:
    """A PNG that only says how large it is."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")


def test_five_hundred_million_pixels_are_refused_from_the_header(tmp_path: Path) -> None:
    (tmp_path / "huge.png").write_bytes(huge_png(25_000, 20_000))
    assert refusal(tmp_path / "huge.png").code == "picture-too-large"
    small = tmp_path / "small.jpg"
    Image.fromarray(scene()).save(small)
    data = bytearray(small.read_bytes())
    at = data.find(b"\xff\xc0")
    data[at + 5 : at + 9] = struct.pack(">HH", 22_000, 23_000)
    small.write_bytes(bytes(data))
    assert refusal(small).code == "picture-too-large"


def test_every_prefix_and_flipped_byte_is_answered_in_words(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    path = tmp_path / "photo.bin"
    for suffix in ("jpg", "png", "webp", "tif", "gif"):
        whole = tmp_path / f"whole.{suffix}"
        Image.fromarray(scene(80, 70)).save(whole)
        data = whole.read_bytes()
        for _ in range(25):
            broken = bytearray(data[: rng.integers(1, len(data))])
            for at in rng.integers(0, len(broken), 3):
                broken[at] = rng.integers(256)
            path.write_bytes(bytes(broken))
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                try:
                    open_picture(path)
                except InputError as error:
                    assert error.remedy


# XYZ of the primaries under D50, columns red, green, blue (Display P3: Apple's published profile; sRGB: ICC)
P3 = np.array([[0.5151, 0.2920, 0.1571], [0.2412, 0.6922, 0.0666], [-0.0011, 0.0419, 0.7841]])
SRGB = np.array([[0.4361, 0.3851, 0.1431], [0.2225, 0.7169, 0.0606], [0.0139, 0.0971, 0.7141]])
GAMMA = 2.2


def matrix_profile(primaries: np.ndarray) -> bytes:
    """An ICC version 2 profile of three primaries and one gamma, as ICC.1:2001-04 lays it out."""

    def xyz(values: np.ndarray) -> bytes:
        return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(float(v) * 65536) for v in values))

    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(GAMMA * 256)) + b"\0\0"
    words = b"wide\0"
    text = b"desc\0\0\0\0" + struct.pack(">I", len(words)) + words + bytes(78 + 3)
    tags = [(b"desc", text), (b"wtpt", xyz(np.array([0.9642, 1.0, 0.8249])))]
    tags += [(name + b"XYZ", xyz(primaries[:, k])) for k, name in enumerate((b"r", b"g", b"b"))]
    tags += [(name + b"TRC", curve) for name in (b"r", b"g", b"b")]
    at, table, body = 128 + 4 + 12 * len(tags), struct.pack(">I", len(tags)), b""
    for name, content in tags:
        content += bytes(-len(content) % 4)
        table += name + struct.pack(">II", at + len(body), len(content))
        body += content
    head = struct.pack(">I4sI4s4s4s", at + len(body), b"none", 0x02400000, b"mntr", b"RGB ", b"XYZ ")
    head += bytes(12) + b"acsp" + bytes(28) + struct.pack(">3i", 63190, 65536, 54061)
    return head + bytes(128 - len(head)) + table + body


def test_a_wide_gamut_is_told_in_srgb(tmp_path: Path) -> None:
    rgb = np.full((80, 80, 3), (150, 90, 60), np.uint8)
    Image.fromarray(rgb).save(tmp_path / "wide.png", icc_profile=matrix_profile(P3))
    linear = np.linalg.inv(SRGB) @ P3 @ (rgb[0, 0] / 255) ** GAMMA
    told = 255 * np.where(linear > 0.0031308, 1.055 * linear ** (1 / 2.4) - 0.055, 12.92 * linear)
    seen = open_picture(tmp_path / "wide.png").bgr[0, 0, ::-1]
    assert np.abs(seen - told).max() < 2  # IEC 61966-2-1's curve, worked out here
    assert np.abs(told - rgb[0, 0]).max() > 6


def test_a_broken_profile_and_srgb_s_own_change_nothing(tmp_path: Path) -> None:
    plain, wide = scene(), matrix_profile(P3)
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for name, profile in (("srgb", srgb), ("broken", wide[:200])):
        Image.fromarray(plain).save(tmp_path / f"{name}.png", icc_profile=profile)
        assert np.array_equal(open_picture(tmp_path / f"{name}.png").bgr[..., ::-1], plain)


def test_limits_are_read_from_the_header(tmp_path: Path) -> None:
    for width, height in ((14_001, 14_300), (20_000, 10_000)):  # 200.2 and 200 million pixels
        (tmp_path / "huge.png").write_bytes(huge_png(width, height))
        error = refusal(tmp_path / "huge.png")
        assert error.code == ("picture-too-large" if width * height > 200_000_000 else error.code)
    deep = bytearray(huge_png(15_000, 13_000))  # 195 million pixels of 8 bytes: 16 bits, four channels
    deep[24:26] = bytes([16, 6])
    (tmp_path / "deep.png").write_bytes(deep)
    assert refusal(tmp_path / "deep.png").code == "picture-too-large"


def test_the_decoders_say_nothing_themselves(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "spoilt.jpg"
    Image.fromarray(scene()).save(path, quality=90)
    data = bytearray(path.read_bytes())
    data[len(data) // 2 : len(data) // 2 + 20] = b"\xff\xd5" * 10
    path.write_bytes(data)
    with contextlib.suppress(InputError):
        open_picture(path)
    assert capfd.readouterr().err == ""


def test_the_ending_changes_nothing(tmp_path: Path) -> None:
    Image.fromarray(scene()).save(tmp_path / "a.jpg")
    (tmp_path / "a.png").write_bytes((tmp_path / "a.jpg").read_bytes())
    assert np.array_equal(open_picture(tmp_path / "a.jpg").bgr, open_picture(tmp_path / "a.png").bgr)
