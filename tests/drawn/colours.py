"""Inks: palettes drawn in CIELAB so that their differences are known."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.core.measurement import Bar
from tests.drawn.art import Colour

GAMUT_SLACK = 2.0  # Lab units: a colour moved further than this by clipping to sRGB is refused
TRIES = 400


def to_lab(colour: Colour) -> NDArray[np.float64]:
    """CIELAB (D65) of an sRGB colour given blue first."""
    pixel = np.array([[colour]], np.float32) / 255
    return cv2.cvtColor(pixel, cv2.COLOR_BGR2Lab)[0, 0].astype(np.float64)


def from_lab(lab: NDArray[np.float64] | tuple[float, float, float]) -> Colour:
    """The nearest 8-bit sRGB colour, blue first."""
    pixel = np.array([[lab]], np.float32)
    b, g, r = np.clip(np.rint(cv2.cvtColor(pixel, cv2.COLOR_Lab2BGR)[0, 0] * 255), 0, 255)
    return int(b), int(g), int(r)


def delta_e(a: Colour, b: Colour) -> float:
    """CIE 1976 difference."""
    return float(np.linalg.norm(to_lab(a) - to_lab(b)))


def hex_of(colour: Colour) -> str:
    """``#rrggbb``."""
    b, g, r = colour
    return f"#{r:02x}{g:02x}{b:02x}"


def bar(width_mm: float, colour: Colour) -> Bar:
    """One bar of a stripe."""
    return Bar(width_mm, hex_of(colour))


def near(rng: np.random.Generator, colour: Colour, distance: float, *, hue_only: bool = False) -> Colour:
    """Another ink ``distance`` Delta E away; of the same lightness with ``hue_only``."""
    base = to_lab(colour)
    for _ in range(TRIES):
        step = rng.normal(size=3)
        if hue_only:
            step[0] = 0
        step *= distance / np.linalg.norm(step)
        found = from_lab(base + step)
        if abs(delta_e(found, colour) - distance) < max(0.7, 0.08 * distance):
            return found
    return from_lab(base + (np.array([0, distance, 0]) if hue_only else np.array([-distance, 0, 0])))


def ink(rng: np.random.Generator, lightness: tuple[float, float], chroma: tuple[float, float]) -> Colour:
    """A random ink inside the sRGB gamut."""
    for _ in range(TRIES):
        hue, c = rng.uniform(0, 2 * math.pi), rng.uniform(*chroma)
        lab = np.array([rng.uniform(*lightness), c * math.cos(hue), c * math.sin(hue)])
        found = from_lab(lab)
        if np.linalg.norm(to_lab(found) - lab) < GAMUT_SLACK:
            return found
    return from_lab((sum(lightness) / 2, 0.0, 0.0))


def ground(rng: np.random.Generator) -> Colour:
    """A cloth's ground: mostly pale, sometimes deep."""
    kind = rng.random()
    if kind < 0.5:
        return ink(rng, (82, 96), (0, 18))
    return ink(rng, (18, 38), (5, 35)) if kind < 0.75 else ink(rng, (45, 80), (10, 50))


def inks(rng: np.random.Generator, count: int, base: Colour, *, apart: float = 28.0) -> list[Colour]:
    """``count`` inks that stand apart from the ground and from one another by ``apart`` Delta E or more."""
    found: list[Colour] = []
    wanted = apart
    while len(found) < count:
        for _ in range(TRIES):
            one = ink(rng, (20, 92), (10, 75))
            if all(delta_e(one, other) >= wanted for other in [base, *found]):
                found.append(one)
                break
        else:
            wanted *= 0.8  # crowded: settle for less rather than search for ever
    return found


SCHEMES = ("normal", "tone", "hue", "micro")
TONE = {"tone": (6.0, 14.0), "hue": (16.0, 30.0), "micro": (2.5, 6.0)}  # Delta E of inks from the ground


Scheme = str | tuple[Colour, list[Colour]]


def scheme(rng: np.random.Generator, count: int, kind: Scheme = "normal") -> tuple[Colour, list[Colour]]:
    """Ground and ``count`` inks.

    ``kind`` is normal (well apart), tone (tone on tone), hue (equal lightness) or micro (2.5 to 6 Delta E);
    or the ground and the inks themselves, used in turn.
    """
    if not isinstance(kind, str):
        given, chosen = kind
        return given, [chosen[i % len(chosen)] for i in range(count)]
    if kind == "normal":
        base = ground(rng)
        return base, inks(rng, count, base)
    base = ink(rng, (45, 75), (12, 35)) if kind == "hue" else ground(rng)
    low, high = TONE[kind]
    return base, [near(rng, base, rng.uniform(low, high), hue_only=kind == "hue") for _ in range(count)]
