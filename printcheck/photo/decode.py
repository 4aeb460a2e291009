"""Open a photo file: any usual kind, upright, eight bits, no larger than the measurement needs."""

from __future__ import annotations

import importlib
import io
import math
import os
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.core.errors import InputError
from printcheck.core.handover import Bgr, Picture
from printcheck.core.measurement import PhotoFacts
from printcheck.core.system.limits import MOST_FILE_BYTES, check_picture
from printcheck.photo.colour_profile import in_srgb
from printcheck.photo.header import Header, read_header, without_turn

ENOUGH_PX = 1600  # px on the long side: what the measurement needs; a larger photo is decoded reduced
FILM_DIAGONAL_MM = 43.267  # mm: 24 x 36 film; "focal length in 35 mm film" compares diagonals (CIPA DCG-001)
CROP_TOLERANCE = 0.02  # share: a side ratio that differs more from the camera's says the photo was cropped
WHITE = 255.0
BAND_ROWS = 256
KNOWN_KINDS = "JPEG, PNG, WebP, TIFF, AVIF or HEIC"
REDUCED = {2: cv2.IMREAD_REDUCED_COLOR_2, 4: cv2.IMREAD_REDUCED_COLOR_4, 8: cv2.IMREAD_REDUCED_COLOR_8}
WITH_PILLOW = {"heic", "avif"}  # kinds whose turns only these decoders undo


def open_picture(path: Path) -> Picture:
    """Open a photo, upright, as 8-bit BGR over white.

    Parameters
    ----------
    path : Path
        JPEG, PNG, WebP, TIFF, BMP, AVIF, or HEIC with the extra ``heic``; 8 or 16 bits, grey, with
        transparency or CMYK.

    Returns
    -------
    Picture
        A JPEG from twice the needed size on is decoded at half or quarter size, much faster; see
        ``Picture.reduction``.

    Raises
    ------
    InputError
        If the file is missing, a folder, empty, no picture, cut short, too small or too large.
    """
    data = _read_bytes(Path(path))
    name = Path(path).name
    header = read_header(data)
    if header is None or min(header.width, header.height) == 0:
        raise InputError(
            "not-a-picture",
            f"{name} is not a picture that can be opened.",
            f"Give a photo saved as {KNOWN_KINDS}.",
        )
    check_picture(name, header.width, header.height, header.bytes_per_px)
    if not header.whole:
        raise _cut_short(name)
    if header.kind == "tiff" and header.orientation != 1:
        data = without_turn(data)
    factor = _reduction(header)
    bgr = _decode(data, header, factor, name)
    quarter_turned = header.orientation >= 5
    bgr = _upright(bgr, header.orientation)
    width, height = (header.width, header.height)[:: -1 if quarter_turned else 1]
    if header.kind in WITH_PILLOW:  # these decoders turn the picture themselves
        height, width = bgr.shape[:2]
    return Picture(PhotoFacts(name, width, height), bgr, float(factor), _focal_px(header), header.taken)


def picture_of(array: NDArray[Any], name: str = "array") -> Picture:
    """Opened photo of pixels that a program holds already.

    Parameters
    ----------
    array : (H, W, 3) uint8 or float
        Red, green, blue (sRGB); floats from 0 to 1.
    name : str
        Stands for the file's name.

    Raises
    ------
    InputError
        If the array is of another shape or kind, holds numbers outside that, is too small or too large.
    """
    pixels = np.asarray(array)
    real = pixels.dtype.kind == "f"
    if pixels.ndim != 3 or pixels.shape[2] != 3 or not (real or pixels.dtype == np.uint8):
        raise InputError(
            "not-a-picture",
            f"The {name} has shape {pixels.shape} and type {pixels.dtype}.",
            "Give pixels of shape (height, width, 3) in RGB, as uint8 or as floats from 0 to 1.",
        )
    check_picture(name, pixels.shape[1], pixels.shape[0], 3 * pixels.dtype.itemsize)
    if real:
        if not (np.isfinite(pixels).all() and pixels.min() >= 0 and pixels.max() <= 1):
            raise InputError(
                "not-a-picture", f"The {name} holds numbers outside 0 to 1.", "Scale the pixels to 0 to 1."
            )
        pixels = np.rint(pixels * WHITE).astype(np.uint8)
    bgr = np.ascontiguousarray(pixels[..., ::-1])
    return Picture(PhotoFacts(name, bgr.shape[1], bgr.shape[0]), bgr)


def _read_bytes(path: Path) -> bytes:
    name = path.name or str(path)
    try:
        folder, size = path.is_dir(), path.stat().st_size
        data = b"" if folder or size > MOST_FILE_BYTES else path.read_bytes()
    except FileNotFoundError:
        raise InputError("no-such-file", f"{name} does not exist.", "Check the file's name.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(
            "cannot-read", f"{name!r} cannot be read: {reason}.", "Check the file and your rights to it."
        ) from None
    if folder:
        raise InputError("is-a-folder", f"{name} is a folder, not a photo.", "Give the photo's file.")
    if size > MOST_FILE_BYTES:
        raise InputError(
            "file-too-large",
            f"{name} has {size / 1e6:.0f} megabytes; at most {MOST_FILE_BYTES / 1e6:.0f} are read.",
            "Save the photo smaller.",
        )
    if not data:
        raise InputError("empty-file", f"{name} is empty.", "Copy the photo again from where it came.")
    return data


def _cut_short(name: str) -> InputError:
    return InputError(
        "cut-short",
        f"{name} ends before its picture does: the file is cut short or damaged.",
        "Copy the photo again from where it came.",
    )


def _reduction(header: Header) -> int:
    if header.kind != "jpeg":  # other kinds decode in full first, so nothing would be won
        return 1
    long_side = max(header.width, header.height)
    return max((f for f in REDUCED if long_side / f >= ENOUGH_PX), default=1)


def _decode(data: bytes, header: Header, factor: int, name: str) -> Bgr:
    image: NDArray[Any] | None = None
    with _quiet():
        if header.kind not in WITH_PILLOW:
            flags = REDUCED.get(factor, cv2.IMREAD_COLOR) | cv2.IMREAD_IGNORE_ORIENTATION
            if header.kind != "jpeg":
                flags = cv2.IMREAD_UNCHANGED  # keeps 16 bits and transparency, leaves the turn alone
            with suppress(cv2.error):
                image = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
        if image is None:
            image = _decode_with_pillow(data, header, name)
        return in_srgb(_eight_bit_bgr(image), data)


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep what the decoders say of damaged files off the terminal: our own sentence says it."""
    sys.stderr.flush()
    kept, nowhere = os.dup(2), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


def _decode_with_pillow(data: bytes, header: Header, name: str) -> NDArray[Any]:
    from PIL import Image, ImageOps, UnidentifiedImageError

    if header.kind == "heic":
        _register_heic(name)
    try:
        image = _open_quietly(Image, data)
        image.load()
        upright = ImageOps.exif_transpose(image) if header.kind in WITH_PILLOW else image
        rgba = np.asarray(upright.convert("RGBA"))
    except UnidentifiedImageError:
        raise InputError(
            "not-a-picture",
            f"{name} is a picture of a kind that cannot be opened here.",
            f"Save it as {KNOWN_KINDS}.",
        ) from None
    except Exception:  # its decoders have errors of many kinds for a damaged file
        raise _cut_short(name) from None
    return cv2.cvtColor(rgba, cv2.COLOR_RGBA2BGRA)


def _open_quietly(image_module: Any, data: bytes) -> Any:  # noqa: ANN401 - the library is loaded lazily
    """Open without Pillow's own limit on pixels: ours was checked already."""
    limit, image_module.MAX_IMAGE_PIXELS = image_module.MAX_IMAGE_PIXELS, None
    try:
        return image_module.open(io.BytesIO(data))
    finally:
        image_module.MAX_IMAGE_PIXELS = limit


def _register_heic(name: str) -> None:
    try:
        importlib.import_module("pillow_heif").register_heif_opener()
    except ImportError:
        raise InputError(
            "heic-not-installed",
            f"{name} is a HEIC photo, and the part that opens those is not installed.",
            'Install it with: pip install "printcheck[heic]", or save the photo as JPEG.',
        ) from None


def _eight_bit_bgr(image: NDArray[Any]) -> Bgr:
    """Any channels and depth as 8-bit BGR, transparency over white."""
    if image.dtype == np.uint16:
        high = np.ascontiguousarray(image).view(np.uint8)[..., 1 if sys.byteorder == "little" else 0 :: 2]
        image = np.ascontiguousarray(high)
    elif image.dtype != np.uint8:  # floating-point TIFF: 0 to 1 by custom, else by its own largest value
        top = max(1.0, float(np.nanmax(image)) if image.size else 1.0)
        image = (np.nan_to_num(np.clip(image / top, 0, 1)) * WHITE).astype(np.uint8)
    if image.ndim == 2 or image.shape[2] == 1:
        return np.asarray(cv2.cvtColor(image, cv2.COLOR_GRAY2BGR), np.uint8)
    if image.shape[2] == 4 and image[..., 3].min() < WHITE:
        return _over_white(image)
    return np.ascontiguousarray(image[..., :3])


def _over_white(image: NDArray[Any]) -> Bgr:
    """Transparency laid over white, in bands of rows: as floats the whole picture would need gigabytes."""
    out: Bgr = np.empty((*image.shape[:2], 3), np.uint8)
    for top in range(0, len(image), BAND_ROWS):
        band = image[top : top + BAND_ROWS].astype(np.float32)
        alpha = band[..., 3:] / WHITE
        out[top : top + BAND_ROWS] = np.rint(band[..., :3] * alpha + WHITE * (1 - alpha))
    return out


def _upright(bgr: Bgr, orientation: int) -> Bgr:
    """Turn and mirror as EXIF says (orientations 2, 4, 5 and 7 are mirrored)."""
    if orientation in (2, 4, 5, 7):
        bgr = np.asarray(cv2.flip(bgr, 1), np.uint8)
    turn = {
        3: cv2.ROTATE_180,
        4: cv2.ROTATE_180,
        5: cv2.ROTATE_90_COUNTERCLOCKWISE,
        6: cv2.ROTATE_90_CLOCKWISE,
        7: cv2.ROTATE_90_CLOCKWISE,
        8: cv2.ROTATE_90_COUNTERCLOCKWISE,
    }.get(orientation)
    return bgr if turn is None else np.asarray(cv2.rotate(bgr, turn), np.uint8)


def _focal_px(header: Header) -> float | None:
    """Focal length in photo pixels; None where EXIF is silent or speaks of another crop of the picture."""
    if header.focal_35mm is None:
        return None
    if header.stated_px is not None:
        stated, real = max(header.stated_px) / min(header.stated_px), header.width / header.height
        if abs(stated / max(real, 1 / real) - 1) > CROP_TOLERANCE:
            return None
    return header.focal_35mm * math.hypot(header.width, header.height) / FILM_DIAGONAL_MM
