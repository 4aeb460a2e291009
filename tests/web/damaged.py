"""Damaged pictures, each from its seed."""

from __future__ import annotations

import io
import random

import numpy as np
from PIL import Image

FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP", "AVIF")


def damaged(seed: int) -> bytes:
    """A small picture, then bytes changed, cut out or cut off."""
    rng = random.Random(seed)
    noise = np.random.default_rng(seed).integers(0, 255, (9, 12, 3), np.uint8)
    picture = Image.fromarray(noise).resize((160, 120), Image.Resampling.NEAREST)
    held = io.BytesIO()
    picture.save(held, FORMATS[seed % len(FORMATS)])
    data = bytearray(held.getvalue())
    for _ in range(rng.choice((1, 3, 30))):
        data[rng.randrange(len(data))] = rng.randrange(256)
    if rng.random() < 0.3:
        del data[rng.randrange(len(data)) :]
    return bytes(data)
