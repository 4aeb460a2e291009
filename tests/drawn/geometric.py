"""Geometric prints: zigzag, herringbone, ogee, honeycomb, trellis, argyle, scallops, chequers, bricks."""

from __future__ import annotations

import math
from collections.abc import Callable

import cv2
import numpy as np

from printcheck.core.measurement import Way
from tests.drawn import colours
from tests.drawn.art import HALF, Art, Cell, Colour, Floats, Image, Raster
from tests.drawn.colours import Scheme

Rng = np.random.Generator
FINE = 3  # sub-pixels a side: area anti-aliasing
Labels = Callable[[Floats, Floats], Floats]  # mm across, mm along -> number of the ink


def _art(name: str, cell: Cell, inks: list[Colour], labels: Labels, *, way: Way) -> Art:
    table = np.array(inks, np.uint8)

    def paint(raster: Raster) -> Image:
        fine = Raster(raster.width * FINE, raster.height * FINE, (raster.mm[0] / FINE, raster.mm[1] / FINE))
        picture = table[labels(*fine.grid()).astype(np.int64)]
        return np.asarray(cv2.resize(picture, (raster.width, raster.height), interpolation=cv2.INTER_AREA))

    return Art(
        "geometric",
        name,
        cell.tile_mm,
        cell.steps,
        paint,
        basis_mm=cell.basis_mm,
        layout=cell.layout,
        drop=cell.drop,
        way=way,
    )


def _triangle_wave(t: Floats) -> Floats:
    """From 0 up to 1 and back over one period of 1."""
    return 1 - np.abs(2 * np.mod(t, 1) - 1)


def zigzag(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Chevrons of two or three inks."""
    count = int(rng.integers(2, 4))
    ground, inks = colours.scheme(rng, count - 1, scheme)
    w, h = size_mm, size_mm * rng.uniform(0.6, 1.4)
    tall = h * rng.uniform(0.4, 0.9)

    def labels(x: Floats, y: Floats) -> Floats:
        return np.floor(np.mod((y + tall * _triangle_wave(x / w)) / h, 1) * count)

    # with two inks a half turn swaps peaks for valleys, half a zigzag along; with three the order turns round
    return _art("zigzag", Cell(w, h), [ground, *inks], labels, way="two-way" if count == 2 else "one-way")


def ogee(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Onion-shaped net of curved lines."""
    ground, inks = colours.scheme(rng, 1, scheme)
    w, h = size_mm, size_mm * rng.uniform(1.2, 1.9)
    thick = size_mm * rng.uniform(0.06, 0.14)

    def labels(x: Floats, y: Floats) -> Floats:
        wave = np.cos(2 * math.pi * y / h)
        lean = np.sqrt(1 + (math.pi * w / h * np.sin(2 * math.pi * y / h)) ** 2)
        out = np.zeros(np.broadcast_shapes(x.shape, y.shape))
        for sign in (1, -1):  # neighbouring lines swing against each other
            centre = sign * w / 2 * wave + (0.5 if sign > 0 else 1.5) * w
            off = np.abs(np.mod(x - centre + w, 2 * w) - w) / lean
            out = np.where(off < thick / 2, 1.0, out)
        return out

    return _art("ogee", Cell(w, h, HALF), [ground, *inks], labels, way="two-way")


def honeycomb(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Regular hexagons with lines between."""
    ground, inks = colours.scheme(rng, 1, scheme)
    step, line = size_mm, rng.uniform(0.08, 0.2)

    def labels(x: Floats, y: Floats) -> Floats:
        cell = np.array([[math.sqrt(3) / 2 * step, step / 2], [0.0, step]])
        inverse = np.linalg.inv(cell)
        u = x * inverse[0, 0] + y * inverse[1, 0]
        v = x * inverse[0, 1] + y * inverse[1, 1]
        inside = np.full(np.broadcast_shapes(x.shape, y.shape), math.inf)
        for i in (0, 1):  # the hexagon's centre is one of the four nodes round about
            for j in (0, 1):
                du, dv = u - np.floor(u) - i, v - np.floor(v) - j
                dx, dy = du * cell[0, 0] + dv * cell[1, 0], du * cell[0, 1] + dv * cell[1, 1]
                reach = np.abs(dy)
                for side in (1, -1):
                    reach = np.maximum(reach, np.abs(dy / 2 + side * dx * math.sqrt(3) / 2))
                inside = np.minimum(inside, reach)
        return (inside > step / 2 * (1 - line)).astype(float)

    return _art(
        "honeycomb", Cell(step * math.sqrt(3) / 2, step, HALF), [ground, *inks], labels, way="two-way"
    )


def trellis(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Diagonal lines both ways."""
    ground, inks = colours.scheme(rng, 1, scheme)
    w = size_mm
    h = size_mm if rng.random() < 0.5 else size_mm * rng.uniform(1.2, 1.6)
    line = rng.uniform(0.08, 0.18)

    def labels(x: Floats, y: Floats) -> Floats:
        u, v = np.mod(x / w + y / h, 1), np.mod(x / w - y / h, 1)
        return ((u < line) | (v < line)).astype(float)

    return _art(
        "trellis", Cell(w / 2, h, HALF), [ground, *inks], labels, way="four-way" if w == h else "two-way"
    )


def herringbone(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Slant strokes in columns of alternate slant, broken at the column edges."""
    ground, inks = colours.scheme(rng, 1, scheme)
    w, h = size_mm, size_mm * rng.uniform(0.45, 0.8)  # of a column, and of a stroke with its gap

    def labels(x: Floats, y: Floats) -> Floats:
        odd = np.mod(np.floor(x / w), 2)
        run = np.mod(x, w)
        return np.floor(np.mod((y + np.where(odd > 0, w - run, run)) / h + odd / 2, 1) * 2)

    return _art("herringbone", Cell(2 * w, h), [ground, *inks], labels, way="two-way")


def argyle(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Diamonds in two inks under a net of thin lines."""
    ground, inks = colours.scheme(rng, 2, scheme)
    w, h = size_mm, size_mm * rng.uniform(1.25, 1.7)
    line = rng.uniform(0.03, 0.07)

    def labels(x: Floats, y: Floats) -> Floats:
        u, v = x / w + y / h, x / w - y / h
        diamond = np.mod(np.floor(u) + np.floor(v), 2)
        net = (np.abs(np.mod(u, 1) - 0.5) < line / 2) | (np.abs(np.mod(v, 1) - 0.5) < line / 2)
        return np.where(net, 2.0, diamond)

    return _art("argyle", Cell(w, h), [ground, *inks], labels, way="two-way")


def scallops(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Scales in rows, each row over the one below it, with rings."""
    ground, inks = colours.scheme(rng, 2, scheme)
    w, row, radius = size_mm, size_mm * 0.5, size_mm * 0.5
    rim, core = rng.uniform(0.78, 0.9), rng.uniform(0.3, 0.5)

    def labels(x: Floats, y: Floats) -> Floats:
        out = np.zeros(np.broadcast_shapes(x.shape, y.shape))
        taken = np.zeros(out.shape, bool)
        first = np.floor(y / row)
        for back in (1, 0, -1):  # lower rows lie over upper ones: the lowest that reaches here shows
            number = first + back
            dx = np.mod(x - np.mod(number, 2) * w / 2 + w / 2, w) - w / 2
            r = np.hypot(dx, y - number * row) / radius
            show = (r <= 1) & ~taken
            ring = np.where(r > rim, 1.0, np.where(r < core, 2.0, 0.0))
            out, taken = np.where(show, ring, out), taken | show
        return out

    return _art("scallops", Cell(w / 2, 2 * row, HALF), [ground, *inks], labels, way="one-way")


def triangles(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Rows of triangles standing on their bases, level or stepped."""
    ground, inks = colours.scheme(rng, 1, scheme)
    stepped = bool(rng.random() < 0.5)
    w, row, fill = size_mm, size_mm * rng.uniform(0.7, 1.1), rng.uniform(0.6, 0.9)

    def labels(x: Floats, y: Floats) -> Floats:
        number = np.floor(y / row)
        shift = np.mod(number, 2) * w / 2 if stepped else 0.0
        depth = (y - number * row) / (row * fill)
        return ((_triangle_wave((x + shift) / w) > 1 - depth) & (depth < 1)).astype(float)

    cell = Cell(w / 2, 2 * row, HALF) if stepped else Cell(w, row)
    return _art("triangles", cell, [ground, *inks], labels, way="one-way")


def chequers(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """Squares of two inks like a draughtboard."""
    ground, inks = colours.scheme(rng, 1, scheme)
    side = size_mm / 2

    def labels(x: Floats, y: Floats) -> Floats:
        return np.mod(np.floor(x / side) + np.floor(y / side), 2)

    return _art("chequers", Cell(side, 2 * side, HALF), [ground, *inks], labels, way="four-way")


def bricks(rng: Rng, size_mm: float, scheme: Scheme = "normal") -> Art:
    """A brick wall: rows shifted by half a brick."""
    ground, inks = colours.scheme(rng, 1, scheme)
    w, h = size_mm, size_mm * rng.uniform(0.35, 0.55)
    joint = h * rng.uniform(0.1, 0.2)

    def labels(x: Floats, y: Floats) -> Floats:
        number = np.floor(y / h)
        across = np.mod(x + np.mod(number, 2) * w / 2, w)
        return ((across < joint) | (y - number * h < joint)).astype(float)

    return _art("bricks", Cell(w / 2, 2 * h, HALF), [ground, *inks], labels, way="two-way")


KINDS: dict[str, Callable[[Rng, float, Scheme], Art]] = {
    f.__name__: f for f in (zigzag, ogee, honeycomb, trellis, argyle, scallops, triangles, chequers, bricks)
}
