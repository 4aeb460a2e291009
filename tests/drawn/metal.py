"""Coins and tapes: round relief, and ticks of growing length."""

from __future__ import annotations

import math
from typing import NamedTuple

import cv2
import numpy as np

from tests.drawn import colours, figures
from tests.drawn.art import Colour, Image
from tests.drawn.objects import Cover, Drawing, Rng, Thing, write

INNER_SHARE = 0.72  # of a two-tone coin's diameter, as euro 1 and 2 have about
SILVER, GOLD, COPPER = (70.0, 0.0, 3.0), (70.0, 4.0, 30.0), (52.0, 16.0, 22.0)  # CIELAB, from memory
METALS = {  # ring and core, or one for both
    "silver": (SILVER,),
    "gold": (GOLD,),
    "copper": (COPPER,),
    "two-tone": (GOLD, SILVER),
    "two-tone-gold": (SILVER, GOLD),
}
COIN_THICK_MM = 1.9
TAPE_THICK_MM = 0.4
INCH_MM = 25.4


def coin(
    rng: Rng, diameter_mm: float, *, metal: str = "silver", name: str = "", thick_mm: float = COIN_THICK_MM
) -> Thing:
    """A coin with a raised rim and our own relief; ``metal`` is one of METALS."""
    inks = [np.add(tone, (rng.uniform(-8, 8), 0, 0)) for tone in METALS[metal]]
    light, seed = rng.uniform(0, 2 * math.pi), int(rng.integers(2**31))

    def draw(density: float) -> Drawing:
        n = max(8, round(diameter_mm * density))
        y, x = np.mgrid[0:n, 0:n] + 0.5 - n / 2
        r = np.hypot(x, y) / (n / 2)
        lab = np.empty((n, n, 3), np.float32)
        lab[:] = inks[-1]
        lab[r > INNER_SHARE] = inks[0]
        relief = _relief(n, seed)
        relief = np.where(r < 0.86, relief, 0)
        rim = np.clip(1 - np.abs(r - 0.95) / 0.035, 0, 1)
        height = relief + 1.4 * rim
        slope = np.gradient(cv2.GaussianBlur(height.astype(np.float32), (0, 0), max(0.6, n / 220)))
        push = slope[1] * math.cos(light) + slope[0] * math.sin(light)
        lab[..., 0] += np.clip(push * n * 0.45, -22, 22).astype(np.float32)
        lab[..., 0] -= 9 * np.clip((r - 0.93) / 0.05, 0, 1) ** 2  # the edge turns away from the light
        if len(inks) > 1:
            lab[..., 0] -= 8 * np.clip(1 - np.abs(r - INNER_SHARE) / 0.012, 0, 1)
        face = np.clip(cv2.cvtColor(lab, cv2.COLOR_Lab2BGR) * 255, 0, 255).astype(np.uint8)
        cover = np.clip((1 - r) * n / 2 + 0.5, 0, 1).astype(np.float32)
        return face, cover

    size = (diameter_mm, diameter_mm)
    return Thing("coin", name or f"coin:{diameter_mm:g}mm", size, draw, thick_mm, True)


def _relief(n: int, seed: int) -> Cover:
    """Our own relief: a figure in the middle and marks round it, as a height map in 0 to 1."""
    rng = np.random.default_rng(seed)
    height = np.zeros((n, n), np.float32)
    kind = sorted(figures.UPRIGHT)[int(rng.integers(len(figures.UPRIGHT)))]
    for _, part in figures.UPRIGHT[kind]():
        points = np.rint((part * 0.55 + 0.5) * n).astype(np.int32)
        cv2.fillPoly(height, [points], float(rng.uniform(0.35, 1.0)), cv2.LINE_AA)
    for angle in np.arange(0, 360, 360 / 26):
        if rng.random() < 0.8:
            centre = figures.turned(np.array([[0.395, 0.0]]), float(angle))[0]
            mark = figures.turned(figures.oval(0, 0, 0.028, 0.012), float(rng.uniform(0, 180))) + centre
            cv2.fillPoly(height, [np.rint((mark + 0.5) * n).astype(np.int32)], 0.9, cv2.LINE_AA)
    height += (
        0.10 * cv2.GaussianBlur(rng.normal(size=(n, n)).astype(np.float32), (0, 0), max(1.0, n / 60)) * n / 60
    )
    return np.asarray(height, np.float32)


class Scale(NamedTuple):
    """What of the tape is drawn (mm), and pixels a mm along and down."""

    start: float
    length: float
    across: float
    down: float


def tape(rng: Rng, length_mm: float, *, units: str = "mm", start_mm: float | None = None) -> Thing:
    """A tape measure: ticks of growing length along both edges; ``units`` mm or in, the upper edge's."""
    width = rng.uniform(14, 20)
    paper = colours.from_lab((85.0, 2.0, 70.0)) if rng.random() < 0.5 else colours.ink(rng, (90, 97), (0, 6))
    ink = (25, 22, 22) if rng.random() < 0.8 else (40, 30, 170)
    longest = rng.uniform(6.6, 8.4)
    start = float(rng.integers(0, 60) * 10) if start_mm is None else start_mm
    other = "in" if units == "mm" and rng.random() < 0.4 else units

    def draw(density: float) -> Drawing:
        w, h = round(length_mm * density), round(width * density)
        fine = 4  # ticks are narrow: draw them at four times and shrink
        face = np.empty((h, w * fine, 3), np.uint8)
        face[:] = paper
        drawn = Scale(start, length_mm, w * fine / length_mm, density)
        for edge, kind in ((0, units), (1, other)):
            _ticks(face, kind, drawn, longest=longest, edge=edge, ink=ink)
        small = np.asarray(cv2.resize(face, (w, h), interpolation=cv2.INTER_AREA))
        _numbers(small, units, Scale(start, length_mm, w / length_mm, density), ink=ink)
        return small, np.ones((h, w), np.float32)

    return Thing("rule", "rule" if units == "mm" else "rule-in", (length_mm, width), draw, TAPE_THICK_MM)


def _ticks(face: Image, units: str, scale: Scale, *, longest: float, edge: int, ink: Colour) -> None:
    """Ticks along one edge: every mm, longer at 5, longest at 10; or sixteenths of an inch, likewise."""
    step = 1.0 if units == "mm" else INCH_MM / 16
    ranks = {10: 1.0, 5: 0.72, 1: 0.48} if units == "mm" else {16: 1.0, 8: 0.8, 4: 0.66, 2: 0.5, 1: 0.36}
    thick = 0.22 * scale.across
    for i in range(math.ceil(scale.start / step), math.floor((scale.start + scale.length) / step) + 1):
        deep = next(share for every, share in ranks.items() if i % every == 0) * longest * scale.down
        x = (i * step - scale.start) * scale.across
        rows = slice(0, round(deep)) if edge == 0 else slice(face.shape[0] - round(deep), face.shape[0])
        face[rows, max(0, round(x - thick / 2)) : max(0, round(x + thick / 2))] = ink


def _numbers(face: Image, units: str, scale: Scale, *, ink: Colour) -> None:
    step = 10.0 if units == "mm" else INCH_MM
    for i in range(math.ceil(scale.start / step), math.floor((scale.start + scale.length) / step) + 1):
        x = (i * step - scale.start) * scale.across
        place = (x - 1.6 * scale.down * len(str(i)), face.shape[0] * 0.62)
        write(face, str(i), place, height=2.6 * scale.down, ink=ink)
