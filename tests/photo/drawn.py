"""Cloths that things lie on in the tests of this folder."""

from __future__ import annotations

import cv2
import numpy as np

from tests.drawn import prints
from tests.drawn.art import Art


def art_of(name: str, seed: int = 3) -> Art:
    rng = np.random.default_rng(seed)
    return {
        "plain": lambda: prints.plain(rng),
        "dots": lambda: prints.dots(rng, 14.0),
        "gingham": lambda: prints.gingham(rng, 12.0),
        "stripes": lambda: prints.stripe(rng, 9.0, even=True),
    }[name]()


UNIT_PX = 560  # repeat of the drawn cloth: larger than half of any photo of it


def drawn_sheet(seed: int) -> np.ndarray:
    """Cloth of random discs that repeats every ``UNIT_PX`` both ways."""
    rng = np.random.default_rng(seed)
    unit = np.full((UNIT_PX, UNIT_PX, 3), (225, 235, 240), np.uint8)
    for _ in range(60):
        centre, radius = rng.integers(0, UNIT_PX, 2), int(rng.integers(8, 34))
        colour = tuple(int(v) for v in rng.integers(30, 220, 3))
        for shift in ((x, y) for x in (-UNIT_PX, 0, UNIT_PX) for y in (-UNIT_PX, 0, UNIT_PX)):
            at = tuple(int(v) for v in centre + shift)
            cv2.circle(unit, at, radius, colour, -1, cv2.LINE_AA)
    return np.tile(unit, (3, 3, 1))
