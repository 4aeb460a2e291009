"""What a swatch lies on when it does not fill the photo: a board, planks, tiles, or other cloths."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np

from tests.drawn.art import Floats

LOOKS = ("board", "planks", "tiles", "cloths")
SHADOW_MM = 3.0  # how far the cloth's edge darkens the table
SHADOW = 0.35
WAVE_MM = 25.0  # length of the waves of a cut edge


@dataclass(frozen=True)
class Table:
    """A table under a swatch.

    Parameters
    ----------
    corners_mm : tuple of (x, y)
        Of the swatch, in order round it, on the cloth.
    look : str
        One of LOOKS.
    frayed_mm : float
        How far the cut edge wanders from a straight line.
    seed : int
        Of colours and grain.
    """

    corners_mm: tuple[tuple[float, float], ...]
    look: str = "board"
    frayed_mm: float = 0.5
    seed: int = 0


def beneath(picture: Floats, cloth: tuple[Floats, Floats], table: Table, mm_per_px: float) -> Floats:
    """The picture (H, W, 3) with the table in place of the cloth beyond the swatch's edge."""
    x, y = cloth
    rng = np.random.default_rng([table.seed, 5])
    inside = _inside_mm(x, y, table)
    drawn = _DRAW[table.look](x, y, rng)
    dark = 1 - SHADOW * np.exp(np.minimum(inside, 0) / np.float32(SHADOW_MM))
    share = np.clip(inside / np.float32(mm_per_px) + np.float32(0.5), 0, 1)[..., None]
    return np.asarray(share * picture + (1 - share) * drawn * dark[..., None], np.float32)


def _inside_mm(x: Floats, y: Floats, table: Table) -> Floats:
    """How far inside the swatch each place lies; negative outside."""
    corners = np.array(table.corners_mm)
    middle = corners.mean(axis=0)
    inside = np.full(x.shape, np.inf, np.float32)
    for n, (start, end) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
        along = (end - start) / np.linalg.norm(end - start)
        inwards = np.array([-along[1], along[0]])
        inwards *= np.sign((middle - start) @ inwards)
        off = (x - start[0]) * inwards[0] + (y - start[1]) * inwards[1]
        run = (x - start[0]) * along[0] + (y - start[1]) * along[1]
        wave = np.sin(2 * math.pi * run / WAVE_MM + n) + 0.5 * np.sin(2 * math.pi * run / (0.37 * WAVE_MM))
        inside = np.minimum(inside, off + table.frayed_mm * wave)
    return np.asarray(inside, np.float32)


def _colour(rng: np.random.Generator, low: float = 40, high: float = 215) -> Floats:
    grey = rng.uniform(low, high)
    return np.asarray(np.clip(grey + rng.normal(0, 18, 3), 10, 245), np.float32)


def _grain(shape: tuple[int, ...], rng: np.random.Generator, stretch: float) -> Floats:
    noise = rng.normal(size=shape).astype(np.float32)
    smooth = np.asarray(cv2.GaussianBlur(noise, (0, 0), stretch, sigmaY=1.0))
    return smooth / max(float(smooth.std()), 1e-6)


def _board(x: Floats, y: Floats, rng: np.random.Generator) -> Floats:
    return _colour(rng) * (1 + 0.01 * _grain(x.shape, rng, 1.0))[..., None]


def _planks(x: Floats, y: Floats, rng: np.random.Generator) -> Floats:
    turn, width = rng.uniform(0, math.pi), rng.uniform(45, 140)
    place = (np.cos(turn) * x + np.sin(turn) * y) / width
    plank = np.floor(place).astype(int)
    shades = rng.uniform(0.75, 1.2, 64).astype(np.float32)[plank % 64]
    gap = np.abs(place - np.rint(place)) * width < 1.0
    wood = shades * (1 + 0.06 * _grain(x.shape, rng, 9.0)) * np.where(gap, 0.45, 1.0)
    return np.array([70, 120, 175], np.float32) * wood[..., None].astype(np.float32)


def _tiles(x: Floats, y: Floats, rng: np.random.Generator) -> Floats:
    turn, side = rng.uniform(-0.3, 0.3), rng.uniform(40, 120)
    u, v = np.cos(turn) * x + np.sin(turn) * y, np.cos(turn) * y - np.sin(turn) * x
    joint = (np.abs(u / side - np.rint(u / side)) * side < 1.5) | (
        np.abs(v / side - np.rint(v / side)) * side < 1.5
    )
    tile = _colour(rng, 120, 230) * (1 + 0.03 * _grain(x.shape, rng, 3.0))[..., None]
    return np.where(joint[..., None], _colour(rng, 60, 140), tile).astype(np.float32)


def _cloths(x: Floats, y: Floats, rng: np.random.Generator) -> Floats:
    """Other pieces, plain and striped, one over the other."""
    drawn = _board(x, y, rng)
    reach = float(np.abs(x).max())
    for _ in range(7):
        turn, at = rng.uniform(0, math.pi), rng.uniform(-reach, reach, 2)
        u = np.cos(turn) * (x - at[0]) + np.sin(turn) * (y - at[1])
        v = np.cos(turn) * (y - at[1]) - np.sin(turn) * (x - at[0])
        piece = (np.abs(u) < rng.uniform(0.2, 0.5) * reach) & (np.abs(v) < rng.uniform(0.2, 0.5) * reach)
        bars = np.mod(u / rng.uniform(6, 30), 1) < rng.choice([0.0, 0.4])
        print_ = np.where(bars[..., None], _colour(rng), _colour(rng))
        drawn = np.where(piece[..., None], print_, drawn)
    return np.asarray(drawn, np.float32)


_DRAW: dict[str, Callable[[Floats, Floats, np.random.Generator], Floats]] = {
    "board": _board,
    "planks": _planks,
    "tiles": _tiles,
    "cloths": _cloths,
}
