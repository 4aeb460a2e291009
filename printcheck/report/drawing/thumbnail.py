"""A small picture of the flat cloth for a contact sheet, with the width of cloth that it shows."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import cv2
import numpy as np

from printcheck.core.handover import FlatCloth, Mask
from printcheck.core.system.limits import MOST_PIXELS

WIDTH_PX, HEIGHT_PX = 240, 180  # two across on a phone, three on a fine screen
QUALITY = 70  # JPEG: about 10 kB each
OUTSIDE_BGR = (236, 236, 236)  # pale grey: no photo there


def thumbnail(cloth: FlatCloth) -> tuple[str, float]:
    """Middle of the flat cloth at four to three, as a JPEG in base64, and the width of cloth shown, in mm."""
    height, width = cloth.bgr.shape[:2]
    shown = max(1, round(min(width, height * WIDTH_PX / HEIGHT_PX)))
    tall = max(1, round(shown * HEIGHT_PX / WIDTH_PX))
    top, left = (height - tall) // 2, (width - shown) // 2
    photo = np.where(_in_photo(cloth)[..., None], cloth.bgr, np.array(OUTSIDE_BGR, np.uint8))
    window = np.asarray(photo[top : top + tall, left : left + shown], np.uint8)
    small = cv2.resize(window, (WIDTH_PX, HEIGHT_PX), interpolation=cv2.INTER_AREA)
    _, data = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    return base64.b64encode(data.tobytes()).decode("ascii"), shown * cloth.mm_per_px


def small_picture(path: Path) -> str:
    """The whole photo as a small JPEG in base64, where it was not measured; empty if it cannot be shown."""
    from PIL import Image

    try:
        with Image.open(path) as photo:
            photo.draft("RGB", (WIDTH_PX, HEIGHT_PX))
            if photo.width * photo.height > MOST_PIXELS:
                return ""
            photo.thumbnail((WIDTH_PX, HEIGHT_PX))
            data = io.BytesIO()
            photo.convert("RGB").save(data, "JPEG", quality=QUALITY)
    except Exception:  # a damaged photo may fail in any way
        return ""
    return base64.b64encode(data.getvalue()).decode("ascii")


def _in_photo(cloth: FlatCloth) -> Mask:
    """Where the flat picture shows the photo at all, whether cloth or not."""
    w, h = cloth.photo.width_px, cloth.photo.height_px
    corners = np.array([[[0, 0], [w - 1, 0], [w - 1, h - 1], [0, h - 1]]], np.float64)
    flat = cv2.perspectiveTransform(corners, np.linalg.inv(cloth.to_photo))
    drawn = np.zeros(cloth.bgr.shape[:2], np.uint8)
    cv2.fillConvexPoly(drawn, np.rint(flat[0]).astype(np.int32), 1)
    return np.asarray(drawn > 0)
