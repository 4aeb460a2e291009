"""Cloths that things lie on in the tests of this folder."""

from __future__ import annotations

from pathlib import Path

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


MM_PER_PX = 0.5
SIZE = (700, 760)  # of a photo of the drawn cloth
SPAN = "100,300,600,300=250mm"  # true of the first photo alone
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


def camera(
    *, left: float, top: float, zoom: float = 1.0, tilt: float = 0.0, turn_deg: float = 0.0
) -> np.ndarray:
    """Homography from the sheet to a photo whose middle is ``left, top`` and half a photo on."""
    middle = np.array([[1, 0, -left - SIZE[0] / 2], [0, 1, -top - SIZE[1] / 2], [0, 0, 1.0]])
    turn = np.vstack([cv2.getRotationMatrix2D((0, 0), turn_deg, zoom), [0, 0, 1]])
    lens = np.array([[1, 0, 0], [0, 1, 0], [tilt / SIZE[0], 0.6 * tilt / SIZE[1], 1.0]])
    back = np.array([[1, 0, SIZE[0] / 2], [0, 1, SIZE[1] / 2], [0, 0, 1.0]])
    return back @ lens @ turn @ middle


def photo(folder: Path, sheet: np.ndarray, seen: np.ndarray, *, name: str, light: float = 1.0) -> Path:
    bgr = cv2.warpPerspective(sheet, seen, SIZE, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)
    noise = np.random.default_rng(len(name)).normal(0, 3, bgr.shape)
    path = folder / name
    cv2.imwrite(str(path), np.clip(bgr * light + noise, 0, 255).astype(np.uint8))
    return path
