"""A JPEG's EXIF block with the one tag that tells the focal length."""

from __future__ import annotations

import math
import struct

from tests.drawn.camera import Camera

FILM_DIAGONAL_MM = 43.267  # 24 x 36 mm film: the tag compares diagonals (CIPA DCG-001)
SHORT, LONG = 3, 4  # TIFF types
EXIF_POINTER, FOCAL_35MM = 0x8769, 0xA405  # tags (JEITA CP-3451)
FIRST_DIRECTORY, SECOND_DIRECTORY = 8, 26  # offsets: header 8 bytes, one directory of one entry 18


def with_focal_length(jpeg: bytes, camera: Camera) -> bytes:
    """The same JPEG with ``FocalLengthIn35mmFilm`` written into it, rounded to whole mm as phones do."""
    diagonal = math.hypot(*camera.size_px)
    focal = round(camera.focal_px / diagonal * FILM_DIAGONAL_MM)
    header = struct.pack("<2sHI", b"II", 42, FIRST_DIRECTORY)
    first = struct.pack("<HHHIII", 1, EXIF_POINTER, LONG, 1, SECOND_DIRECTORY, 0)
    second = struct.pack("<HHHIHHI", 1, FOCAL_35MM, SHORT, 1, focal, 0, 0)
    body = b"Exif\0\0" + header + first + second
    return jpeg[:2] + b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body + jpeg[2:]
