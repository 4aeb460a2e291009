"""What is refused before any work is done, for every way of asking: command, page, tag and Python."""

from __future__ import annotations

import math

from printcheck.core.errors import InputError

FINEST_MM_PER_PX, COARSEST_MM_PER_PX = 0.001, 50.0  # a microscope's view; a field seen from the air
MOST_PIXELS = 200_000_000  # px: more is no phone's photo
MOST_SERVED_PIXELS = 60_000_000  # px of a photo sent to the page: what the memory of one of its workers bears
MOST_DECODED_BYTES = 1_500_000_000  # bytes, for the pixels in all the forms in which they are held at once
COPY_SHARE = 0.5  # of the file's own depth: deep pixels in 8 bits
PICTURE_BYTES = 3  # to a pixel of the picture
MOST_FILE_BYTES = 600_000_000  # bytes: a larger photo is not read
MOST_TEXT_BYTES = 4_000_000  # bytes of a project or a measurement: far more than the most pieces need
MOST_DRAWING_BYTES = 20_000_000  # bytes: a drawing larger than this is no sewing pattern
SMALLEST_SIDE_PX = 64  # px: less cannot hold a print and its repeat


def check_scale(mm_per_px: float, place: str) -> None:
    """Refuse a scale that no photo of cloth has.

    Raises
    ------
    InputError
        ``scale-out-of-range``.
    """
    if not FINEST_MM_PER_PX <= mm_per_px <= COARSEST_MM_PER_PX:
        raise InputError(
            "scale-out-of-range",
            f"{place}: {mm_per_px:.3g} mm to the photo's pixel is no scale of a photo of cloth.",
            f"Give one from {FINEST_MM_PER_PX:g} to {COARSEST_MM_PER_PX:g} mm; 0.05 to 0.5 mm is usual.",
        )


def check_picture(name: str, width: int, height: int, bytes_per_px: float) -> None:
    """Refuse a picture too large to be decoded in a usual machine's memory, or too small to measure in.

    Raises
    ------
    InputError
        ``picture-too-large`` or ``picture-too-small``.
    """
    pixels = width * height
    held = pixels * (bytes_per_px * (1 + COPY_SHARE) + PICTURE_BYTES)
    if pixels > MOST_PIXELS or held > MOST_DECODED_BYTES:
        deep = "" if pixels > MOST_PIXELS else f" of {bytes_per_px:g} bytes each"
        raise InputError(
            "picture-too-large",
            f"{name} has {math.ceil(pixels / 1e6)} million pixels{deep}: too many to be opened.",
            "Save the photo smaller, in 8 bits; 4000 pixels across is plenty.",
        )
    if min(width, height) < SMALLEST_SIDE_PX:
        raise InputError(
            "picture-too-small",
            f"{name} is {width} x {height} pixels: too small to measure a print in.",
            f"Give a photo of at least {SMALLEST_SIDE_PX} pixels each way; 1500 or more is better.",
        )
