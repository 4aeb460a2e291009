"""What cloth and light do to a print: weave, slub, uneven dye, shading, wrinkles, folds."""

from __future__ import annotations

import math

import cv2
import numpy as np

from tests.drawn.art import Floats
from tests.drawn.camera import Camera

COARSE = 8  # pixels: smooth fields are drawn this much smaller
SLUB_TABLE = 2048
PIXEL_MTF = 0.5  # sigma in pixels of one sensor cell


def fabric(camera: Camera, cloth: tuple[Floats, Floats], rng: np.random.Generator) -> Floats:
    """Relative brightness of the bare cloth, (H, W, 1): weave, slub and uneven dye."""
    x, y = cloth
    out = np.ones_like(x)
    depth = camera.weave * _passed(camera)
    if depth > 1e-3:
        k = np.float32(2 * math.pi / camera.weave_mm)
        ratio = np.float32(rng.uniform(0.85, 1.2))
        out += np.float32(depth / 2) * (
            np.sin(k * x) * np.sin(k * ratio * y) + np.sin(k * x) ** 2 - np.float32(0.5)
        )
    if camera.slub:
        out += np.float32(camera.slub) * (_threads(x, y, camera, rng) + _threads(y, x, camera, rng))
    if camera.dye:
        out += np.float32(camera.dye) * _blotches(camera, rng, 40)
    return out[..., None]


def _passed(camera: Camera) -> float:
    """Share of the weave's contrast that lens and sensor cell let through."""
    sigma = math.hypot(camera.blur_px, PIXEL_MTF) * camera.mm_per_px
    return math.exp(-2 * (math.pi * sigma / camera.weave_mm) ** 2)


def _threads(run: Floats, cross: Floats, camera: Camera, rng: np.random.Generator) -> Floats:
    """Threads that run along ``run``: each its own thickness, changing slowly along it."""
    rows = np.arange(SLUB_TABLE)
    table = rng.normal(size=(SLUB_TABLE, 48)).astype(np.float32)
    table = np.asarray(cv2.GaussianBlur(table, (0, 0), 2.0, sigmaY=0.8, borderType=cv2.BORDER_REFLECT))
    table = table / table.std()
    pitch = max(camera.weave_mm, 1.5 * camera.mm_per_px)
    along = np.mod(run / np.float32(40.0) + 64, np.float32(46))
    across = np.mod(cross / np.float32(pitch), np.float32(rows[-1]))
    return cv2.remap(table, along, across, cv2.INTER_LINEAR)


def _blotches(camera: Camera, rng: np.random.Generator, cells: int) -> Floats:
    """Smooth noise of unit spread, about ``cells`` blots from left to right."""
    w, h = camera.size_px
    small = rng.normal(size=(max(4, cells * h // w), cells)).astype(np.float32)
    smooth = np.asarray(cv2.GaussianBlur(small, (0, 0), 1.2))
    smooth = smooth / smooth.std()
    return cv2.resize(smooth, (w, h), interpolation=cv2.INTER_CUBIC)


def shading(camera: Camera, rng: np.random.Generator) -> Floats:
    """Relative light over the picture, (H, W)."""
    w, h = camera.size_px
    sw, sh = max(2, w // COARSE), max(2, h // COARSE)
    x, y = np.meshgrid(np.linspace(-1, 1, sw), np.linspace(-h / w, h / w, sh))
    angle = rng.uniform(0, 2 * math.pi)
    slope = np.cos(angle) * x + np.sin(angle) * y
    light = 1 + camera.light * (0.5 * slope - 0.35 * (x**2 + y**2) * rng.uniform(0, 1))
    for _ in range(4):
        turn, phase = rng.uniform(0, 2 * math.pi, 2)
        k = 2 * math.pi / rng.uniform(0.5, 1.8)
        light += camera.wrinkles / 2 * np.sin(k * (np.cos(turn) * x + np.sin(turn) * y) + phase)
    for _ in range(3 if camera.folds else 0):
        turn, place = rng.uniform(0, math.pi), rng.uniform(-0.7, 0.7)
        across = (np.cos(turn) * x + np.sin(turn) * y - place) / rng.uniform(0.02, 0.06)
        light += camera.folds * across * np.exp(0.5 - across**2 / 2)  # one bright and one dark side
    return cv2.resize(np.clip(light, 0.2, 1.6).astype(np.float32), (w, h), interpolation=cv2.INTER_LINEAR)
