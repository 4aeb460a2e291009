"""Pictures that are no cloth, or not one cloth: never a confident repeat."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from tests.repeat.drawn import SIZE, cloth_of, dots, noisy, stripes

WIDTH, HEIGHT = SIZE
WIDE, HALF = 480, 180  # pixels of the pictures that are slow to search, and half their height
UNSURE = 0.5


def half_sky() -> np.ndarray:
    """Bright sky over a field of grass."""
    rng = np.random.default_rng(3)
    picture = np.zeros((2 * HALF, WIDE, 3), np.float32)
    picture[:HALF] = np.linspace((200, 150, 90), (240, 220, 200), HALF)[:, None]
    grass = cv2.GaussianBlur(rng.normal(0, 90, (HALF, WIDE, 1)).astype(np.float32), (0, 0), 1.5)
    picture[HALF:] = (60, 120, 70) + grass[..., None]
    return noisy(picture)


def collage() -> np.ndarray:
    """Four swatches, each with a repeat of its own."""
    half = (WIDTH // 3, HEIGHT // 3)
    parts = [
        dots(37, 44, size=half),
        stripes(29, 20, size=half),
        dots(61, 52, drop=0.5, size=half),
        stripes(53, 90, size=half),
    ]
    return noisy(np.vstack([np.hstack(parts[:2]), np.hstack(parts[2:])]))


def text() -> np.ndarray:
    """A page of words, no two lines alike, of unlike line spacing."""
    rng = np.random.default_rng(5)
    picture = np.full((HEIGHT, WIDTH, 3), 240, np.uint8)
    top = 20
    while top < HEIGHT:
        words = " ".join("".join(rng.choice(list("aeinorstlmdp"), rng.integers(2, 9))) for _ in range(12))
        cv2.putText(picture, words, (10, top), cv2.FONT_HERSHEY_SIMPLEX, 0.6, (30, 30, 30), 1, cv2.LINE_AA)
        top += int(rng.choice([22, 22, 34]))
    return noisy(picture)


def face() -> np.ndarray:
    picture = np.full((HEIGHT, WIDTH, 3), (170, 140, 110), np.uint8)
    cv2.ellipse(picture, (320, 250), (130, 180), 0, 0, 360, (150, 180, 225), -1, cv2.LINE_AA)
    cv2.ellipse(picture, (320, 130), (140, 90), 0, 180, 360, (40, 50, 70), -1, cv2.LINE_AA)
    for x in (270, 370):
        cv2.ellipse(picture, (x, 220), (24, 12), 0, 0, 360, (245, 245, 245), -1, cv2.LINE_AA)
        cv2.circle(picture, (x, 220), 10, (60, 70, 40), -1, cv2.LINE_AA)
    cv2.ellipse(picture, (320, 340), (50, 16), 0, 0, 180, (90, 80, 190), 6, cv2.LINE_AA)
    cv2.line(picture, (320, 240), (308, 300), (120, 150, 200), 4, cv2.LINE_AA)
    return noisy(cv2.GaussianBlur(picture, (0, 0), 2))


def screen() -> np.ndarray:
    """A portrait on a screen, whose pixels beat with the camera's."""
    x, y = np.meshgrid(np.arange(WIDTH), np.arange(HEIGHT))
    bent = x + 0.00006 * (y - 240) ** 2 + 0.00004 * (x - 300) ** 2
    beat = np.sin(2 * np.pi * bent * 0.985) * np.sin(2 * np.pi * (y + 0.00005 * (x - 320) ** 2) * 0.99)
    return (face() * (1 + 0.12 * beat[..., None])).clip(0, 255).astype(np.uint8)


def bricks() -> np.ndarray:
    """A wall laid by hand: stones of unlike lengths and colours in rows of unlike heights."""
    rng = np.random.default_rng(7)
    picture = np.full((2 * HALF, WIDE, 3), 190, np.uint8)
    top = 0
    while top < 2 * HALF:
        high, left = int(rng.integers(22, 40)), int(rng.integers(-60, 0))
        while left < WIDE:
            long = int(rng.integers(40, 110))
            colour = tuple(float(v) for v in rng.integers(40, 90, 1) + rng.integers(-15, 70, 3))
            cv2.rectangle(picture, (left + 3, top + 3), (left + long - 3, top + high - 3), colour, -1)
            left += long
        top += high
    return noisy(picture, 8)


@pytest.mark.parametrize("draw", [half_sky, collage, text, face, screen, bricks])
def test_no_confident_repeat(draw: object) -> None:
    repeat = find_lattice(cloth_of(draw())).repeat  # type: ignore[operator]
    assert repeat.kind in ("none", "beyond-photo") or repeat.confidence < UNSURE
