"""What a picture file says of itself before it is decoded: its kind, size, orientation and whether whole.

Sizes are read from the bytes, because nothing may be allocated for a picture before its size is known, and
because only the bytes show whether the file is whole. EXIF is read by Pillow.
"""

from __future__ import annotations

import math
import re
import struct
import warnings
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

# EXIF tags, from EXIF 2.32 (CIPA DC-008)
TAG_WIDTH, TAG_HEIGHT, TAG_ORIENTATION, TAG_EXIF = 0x0100, 0x0101, 0x0112, 0x8769
TAG_BITS, TAG_SAMPLES = 0x0102, 0x0115  # TIFF 6.0: bits of each sample, samples of each pixel
PNG_CHANNELS = {
    0: 1,
    2: 3,
    3: 3,
    4: 2,
    6: 4,
}  # by colour type (PNG specification)
TAG_PIXELS_X, TAG_PIXELS_Y, TAG_FOCAL_35MM = 0xA002, 0xA003, 0xA405
TAG_TAKEN = 0x9003  # "2026:05:01 12:34:56"
DEEPEST_TAGS = 512  # entries looked at in one directory; real ones hold a few dozen
FIRST_BYTES = 1 << 20  # where HEIF keeps its sizes: the boxes before the picture data
STARTS_OF_FRAME = set(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}  # JPEG markers that carry the size
WITHOUT_LENGTH = {0x01, *range(0xD0, 0xD8)}  # JPEG markers that stand alone


@dataclass(frozen=True)
class Header:
    """What the file says of itself.

    Parameters
    ----------
    kind : str
        ``jpeg``, ``png``, ``webp``, ``tiff``, ``bmp``, ``gif``, ``heic`` or ``avif``.
    width, height : int
        As stored, before orientation; 0 where the file does not say.
    orientation : int
        EXIF orientation, 1 to 8.
    focal_35mm : float or None
        Focal length as on 35 mm film.
    stated_px : tuple of int or None
        Size of the picture the camera made, as EXIF has it.
    whole : bool
        False where the file ends before its picture does.
    bytes_per_px : float
        Of the pixels at the file's own depth.
    taken : float
        Date and time at which it was taken, as digits from the year to the second; 0 where EXIF is silent.
    """

    kind: str
    width: int
    height: int
    orientation: int = 1
    focal_35mm: float | None = None
    stated_px: tuple[int, int] | None = None
    whole: bool = True
    bytes_per_px: float = 3.0
    taken: float = 0.0


def read_header(data: bytes) -> Header | None:
    """Header of the picture in these bytes; None where they are no picture we know."""
    try:
        return _read(data)
    except (struct.error, IndexError, ValueError):
        return None


def _read(data: bytes) -> Header | None:
    if data[:3] == b"\xff\xd8\xff":
        return _jpeg(data)
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return _png(data)
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return _webp(data)
    if data[:4] in (b"II*\0", b"MM\0*"):
        tags = read_tags(data)
        header = _with_tags("tiff", int(tags.get(TAG_WIDTH, 0)), int(tags.get(TAG_HEIGHT, 0)), tags)
        return replace(header, bytes_per_px=tags.get(TAG_BITS, 8) * tags.get(TAG_SAMPLES, 3) / 8)
    if data[:2] == b"BM" and len(data) > 26:
        width, height = struct.unpack("<ii", data[18:26])
        return Header("bmp", abs(width), abs(height))
    if data[:4] == b"GIF8":
        return Header("gif", *struct.unpack("<HH", data[6:10]))
    if data[4:8] == b"ftyp":
        return _heif(data)
    return None


def _with_tags(kind: str, width: int, height: int, tags: dict[int, float], whole: bool = True) -> Header:
    orientation = int(tags.get(TAG_ORIENTATION, 1))
    focal = float(tags.get(TAG_FOCAL_35MM, 0))
    stated = (int(tags.get(TAG_PIXELS_X, 0)), int(tags.get(TAG_PIXELS_Y, 0)))
    return Header(
        kind,
        width,
        height,
        orientation if 1 <= orientation <= 8 else 1,
        focal if focal > 0 else None,
        stated if min(stated) > 0 else None,
        whole,
        taken=tags.get(TAG_TAKEN, 0.0),
    )


def _jpeg(data: bytes) -> Header | None:
    at, size = 2, (0, 0)
    tags: dict[int, float] = {}
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            return None
        marker = data[at + 1]
        if marker == 0xFF or marker in WITHOUT_LENGTH:  # fill byte, or a marker without contents
            at += 1 if marker == 0xFF else 2
            continue
        (length,) = struct.unpack(">H", data[at + 2 : at + 4])
        body = data[at + 4 : at + 2 + length]
        if marker in STARTS_OF_FRAME:
            size = struct.unpack(">HH", body[1:5])[::-1]
        elif marker == 0xE1 and body[:6] == b"Exif\0\0" and not tags:
            tags = read_tags(body[6:])
        elif marker == 0xDA:
            # within the picture's data an end marker cannot occur by chance: JPEG stuffs a zero there
            return _with_tags("jpeg", *size, tags, whole=data.find(b"\xff\xd9", at + 2 + length) >= 0)
        at += 2 + length
    return _with_tags("jpeg", *size, tags, whole=False)


def _png(data: bytes) -> Header:
    width, height, depth, colour = struct.unpack(">IIBB", data[16:26])
    bytes_per_px = depth * PNG_CHANNELS.get(colour, 4) / 8
    at, whole = 8, False
    tags: dict[int, float] = {}
    while not whole and at + 8 <= len(data):
        length, name = struct.unpack(">I4s", data[at : at + 8])
        if name == b"eXIf":
            tags = read_tags(data[at + 8 : at + 8 + length])
        whole = name == b"IEND" and length == 0  # decoders set aside memory for any length that is told
        at += 12 + length
    return replace(_with_tags("png", width, height, tags, whole), bytes_per_px=bytes_per_px)


def _webp(data: bytes) -> Header:
    (riff,) = struct.unpack("<I", data[4:8])
    name, body = data[12:16], data[20:50]
    if name == b"VP8X":
        width, height = (int.from_bytes(body[i : i + 3], "little") + 1 for i in (4, 7))
    elif name == b"VP8L":
        bits = int.from_bytes(body[1:5], "little")
        width, height = (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    else:
        width, height = (side & 0x3FFF for side in struct.unpack("<HH", body[6:10]))
    at = 12
    tags: dict[int, float] = {}
    while at + 8 <= len(data):
        chunk, length = struct.unpack("<4sI", data[at : at + 8])
        if chunk == b"EXIF":
            exif = data[at + 8 : at + 8 + length]
            tags = read_tags(exif[6:] if exif[:6] == b"Exif\0\0" else exif)
        at += 8 + length + length % 2
    return _with_tags("webp", width, height, tags, whole=len(data) >= riff + 8)


def _heif(data: bytes) -> Header | None:
    brands = data[8 : struct.unpack(">I", data[:4])[0]]
    if b"avif" in brands or b"avis" in brands:
        kind = "avif"
    elif any(brand in brands for brand in (b"heic", b"heix", b"mif1", b"msf1", b"hevc")):
        kind = "heic"
    else:
        return None
    # a large picture is a grid of tiles, each with a size of its own: the largest is the whole
    sizes, at = [(0, 0)], data.find(b"ispe", 0, FIRST_BYTES)
    while at >= 0:
        sizes.append(struct.unpack(">II", data[at + 8 : at + 16]))
        at = data.find(b"ispe", at + 4, FIRST_BYTES)
    return Header(kind, *max(sizes, key=lambda size: size[0] * size[1]))


def read_tags(data: bytes) -> dict[int, float]:
    """Numbers of the first EXIF (TIFF) directory and of the one it points to; what is broken is left out."""
    from PIL import Image

    exif = Image.Exif()
    tags: dict[int, float] = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a broken note is no reason to refuse the picture
        with suppress(Exception):
            exif.load(data)
            tags = _numbers(exif)
        with suppress(Exception):
            tags = _numbers(exif.get_ifd(TAG_EXIF)) | tags
    return tags


def _numbers(directory: Mapping[int, Any]) -> dict[int, float]:
    """Values that are numbers other than 0; of several, one for each sample, the first; digits of a date."""
    found = {}
    for tag, value in directory.items():
        with suppress(TypeError, ValueError, IndexError, ZeroDivisionError):
            plain = re.sub(r"\D", "", value) if tag == TAG_TAKEN else value
            number = float(plain[0] if isinstance(plain, tuple) else plain)
            if number and math.isfinite(number):
                found[tag] = number
    return found


def without_turn(data: bytes) -> bytes:
    """The same TIFF file with its orientation set to 1, since decoders differ in whether they apply it."""
    order = "<" if data[:2] == b"II" else ">"
    copy = bytearray(data)
    (first,) = struct.unpack(order + "I", data[4:8])
    (count,) = struct.unpack(order + "H", data[first : first + 2])
    for i in range(min(count, DEEPEST_TAGS)):
        at = first + 2 + 12 * i
        if struct.unpack(order + "H", data[at : at + 2])[0] == TAG_ORIENTATION:
            copy[at + 8 : at + 10] = struct.pack(order + "H", 1)
    return bytes(copy)
