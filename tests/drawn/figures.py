"""Drawn figures: our own simple pictures as polygons in a unit box, x right, y down, up at the top.

A figure is a tuple of ``(role, polygon)``: role 0 to 3 picks the ink, -1 the ground (a hole). Later parts
lie on earlier ones.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from tests.drawn.art import Floats

Polygon = Floats
Part = tuple[int, Polygon]
Figure = tuple[Part, ...]

SMOOTH = 40  # corners of a drawn ellipse


def poly(*points: tuple[float, float]) -> Polygon:
    """Polygon through the points."""
    return np.array(points, float)


def oval(cx: float, cy: float, rx: float, ry: float | None = None, turn: float = 0.0) -> Polygon:
    """Ellipse; ``turn`` in degrees, clockwise as seen."""
    t = np.linspace(0, 2 * math.pi, SMOOTH, endpoint=False)
    points = np.stack([rx * np.cos(t), (rx if ry is None else ry) * np.sin(t)], 1)
    return np.add(turned(points, turn), (cx, cy))


def wedge(cx: float, cy: float, r: float, start: float, end: float) -> Polygon:
    """Sector of a circle from ``start`` to ``end`` degrees, clockwise from the right."""
    t = np.radians(np.linspace(start, end, 24))
    return np.vstack([[cx, cy], np.stack([cx + r * np.cos(t), cy + r * np.sin(t)], 1)])


def stroke(points: list[tuple[float, float]], width: float) -> list[Polygon]:
    """Thick line through the points, as one polygon a piece."""
    parts = []
    for (ax, ay), (bx, by) in pairwise(points):
        length = math.hypot(bx - ax, by - ay) or 1.0
        nx, ny = -(by - ay) / length * width / 2, (bx - ax) / length * width / 2
        parts.append(poly((ax + nx, ay + ny), (bx + nx, by + ny), (bx - nx, by - ny), (ax - nx, ay - ny)))
        parts.append(oval(bx, by, width / 2))
    return parts


def curve(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], n: int = 14) -> Polygon:
    """Quadratic Bezier curve as points."""
    t = np.linspace(0, 1, n)[:, None]
    p, q, r = np.array(a), np.array(b), np.array(c)
    return (1 - t) ** 2 * p + 2 * t * (1 - t) * q + t**2 * r


def turned(points: Polygon, degrees: float) -> Polygon:
    """Points turned about the origin, clockwise as seen (y points down)."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return points @ np.array([[c, s], [-s, c]])


def _inked(role: int, parts: list[Polygon]) -> Figure:
    return tuple((role, part) for part in parts)


def teapot() -> Figure:
    """A teapot, spout to the right."""
    handle = _inked(0, stroke([tuple(p) for p in curve((-0.24, -0.08), (-0.62, 0.02), (-0.24, 0.24))], 0.06))
    spout = poly((0.2, 0.02), (0.36, -0.18), (0.48, -0.2), (0.4, 0.0), (0.24, 0.22))
    return (
        *handle,
        (0, spout),
        (0, oval(0, 0.1, 0.29, 0.25)),
        (1, poly((-0.2, 0.3), (0.2, 0.3), (0.16, 0.37), (-0.16, 0.37))),
        (1, oval(0, -0.13, 0.18, 0.06)),
        (2, oval(0, -0.22, 0.06)),
        (2, oval(-0.02, 0.12, 0.09)),
    )


def lighthouse() -> Figure:
    """A lighthouse on its rock."""
    tower = poly((-0.12, -0.22), (0.12, -0.22), (0.18, 0.38), (-0.18, 0.38))
    band = poly((-0.145, 0.0), (0.145, 0.0), (0.165, 0.18), (-0.165, 0.18))
    return (
        (2, poly((-0.36, 0.5), (-0.26, 0.36), (0.05, 0.33), (0.3, 0.38), (0.38, 0.5))),
        (0, tower),
        (1, band),
        (2, poly((-0.17, -0.22), (0.17, -0.22), (0.17, -0.27), (-0.17, -0.27))),
        (3, poly((-0.09, -0.27), (0.09, -0.27), (0.09, -0.38), (-0.09, -0.38))),
        (1, poly((-0.13, -0.38), (0.0, -0.5), (0.13, -0.38))),
        (3, poly((0.09, -0.35), (0.34, -0.44), (0.34, -0.24), (0.09, -0.3))),
    )


def snail() -> Figure:
    """A snail creeping to the left."""
    body = np.vstack(
        [curve((0.5, 0.3), (0.1, 0.1), (-0.26, 0.14)), curve((-0.3, -0.1), (-0.5, -0.14), (-0.46, 0.3))]
    )
    return (
        (0, body),
        *_inked(0, stroke([(-0.4, -0.05), (-0.48, -0.26)], 0.035)),
        *_inked(0, stroke([(-0.36, -0.05), (-0.33, -0.27)], 0.035)),
        (1, oval(0.08, -0.02, 0.27)),
        (2, oval(0.08, 0.0, 0.18)),
        (1, oval(0.08, 0.02, 0.11)),
        (2, oval(0.08, 0.03, 0.05)),
    )


def bird() -> Figure:
    """A standing bird looking to the right."""
    return (
        *_inked(2, stroke([(-0.02, 0.25), (-0.04, 0.48)], 0.03)),
        *_inked(2, stroke([(0.08, 0.25), (0.08, 0.48)], 0.03)),
        (0, poly((-0.2, 0.08), (-0.5, -0.06), (-0.46, 0.1), (-0.2, 0.24))),
        (0, oval(0, 0.1, 0.26, 0.2, -20)),
        (0, oval(0.2, -0.16, 0.14)),
        (2, poly((0.32, -0.2), (0.48, -0.14), (0.32, -0.1))),
        (1, oval(-0.05, 0.1, 0.16, 0.09, 25)),
        (3, oval(0.24, -0.19, 0.03)),
    )


def boat() -> Figure:
    """A sailing boat."""
    return (
        (0, poly((-0.46, 0.22), (0.46, 0.22), (0.3, 0.44), (-0.32, 0.44))),
        (2, poly((-0.02, -0.48), (0.02, -0.48), (0.02, 0.22), (-0.02, 0.22))),
        (1, poly((0.05, -0.44), (0.4, 0.14), (0.05, 0.14))),
        (3, poly((-0.05, -0.32), (-0.05, 0.14), (-0.34, 0.14))),
    )


def cactus() -> Figure:
    """A cactus in its pot."""
    return (
        *_inked(0, stroke([(-0.05, 0.05), (-0.3, 0.05), (-0.3, -0.16)], 0.13)),
        *_inked(0, stroke([(0.05, -0.04), (0.28, -0.04), (0.28, -0.26)], 0.12)),
        (0, oval(0, -0.06, 0.13, 0.4)),
        (2, oval(0.0, -0.46, 0.06, 0.04)),
        (1, poly((-0.24, 0.2), (0.24, 0.2), (0.17, 0.5), (-0.17, 0.5))),
        (3, poly((-0.28, 0.17), (0.28, 0.17), (0.28, 0.25), (-0.28, 0.25))),
    )


def cottage() -> Figure:
    """A small house with a chimney on the right."""
    return (
        (2, poly((0.18, -0.42), (0.3, -0.42), (0.3, -0.1), (0.18, -0.1))),
        (0, poly((-0.36, -0.06), (0.36, -0.06), (0.36, 0.44), (-0.36, 0.44))),
        (1, poly((-0.48, -0.04), (0, -0.46), (0.48, -0.04))),
        (2, poly((-0.26, 0.12), (-0.06, 0.12), (-0.06, 0.44), (-0.26, 0.44))),
        (3, poly((0.08, 0.08), (0.28, 0.08), (0.28, 0.26), (0.08, 0.26))),
    )


def mushroom() -> Figure:
    """A spotted mushroom."""
    return (
        (1, poly((-0.1, 0.0), (0.1, 0.0), (0.17, 0.46), (-0.17, 0.46))),
        (0, wedge(0, 0.05, 0.46, 180, 360)),
        (2, oval(-0.2, -0.1, 0.07)),
        (2, oval(0.04, -0.24, 0.08)),
        (2, oval(0.24, -0.06, 0.06)),
    )


def cat() -> Figure:
    """A sitting cat with its tail to the right."""
    return (
        *_inked(0, stroke([tuple(p) for p in curve((0.16, 0.4), (0.5, 0.42), (0.42, 0.04))], 0.07)),
        (0, oval(0, 0.24, 0.22, 0.26)),
        (0, oval(0, -0.14, 0.2, 0.17)),
        (0, poly((-0.19, -0.16), (-0.17, -0.44), (-0.03, -0.28))),
        (0, poly((0.19, -0.16), (0.17, -0.44), (0.03, -0.28))),
        (1, oval(0, 0.3, 0.11, 0.15)),
        (2, oval(-0.08, -0.16, 0.03)),
        (2, oval(0.08, -0.16, 0.03)),
        (3, poly((-0.03, -0.09), (0.03, -0.09), (0, -0.05))),
    )


def fir() -> Figure:
    """A fir tree."""
    tiers = [poly((-w, y), (0, y - 0.34), (w, y)) for w, y in ((0.36, 0.34), (0.28, 0.1), (0.2, -0.12))]
    return (
        (1, poly((-0.05, 0.3), (0.05, 0.3), (0.05, 0.5), (-0.05, 0.5))),
        *_inked(0, tiers),
        (2, oval(0, -0.46, 0.04)),
    )


def balloon() -> Figure:
    """A balloon for travellers, with its basket."""
    return (
        (0, oval(0, -0.14, 0.32, 0.35)),
        (1, oval(0, -0.14, 0.12, 0.35)),
        *_inked(2, stroke([(-0.16, 0.15), (-0.08, 0.36)], 0.02)),
        *_inked(2, stroke([(0.16, 0.15), (0.08, 0.36)], 0.02)),
        (3, poly((-0.11, 0.34), (0.11, 0.34), (0.09, 0.49), (-0.09, 0.49))),
    )


def tulip() -> Figure:
    """A tulip on its stalk."""
    return (
        *_inked(1, stroke([(0, 0.0), (0, 0.49)], 0.05)),
        (1, oval(-0.14, 0.28, 0.18, 0.06, 50)),
        (1, oval(0.13, 0.34, 0.16, 0.05, -55)),
        (
            0,
            poly(
                (-0.22, -0.42),
                (-0.1, -0.24),
                (0, -0.48),
                (0.1, -0.24),
                (0.22, -0.42),
                (0.2, -0.06),
                (0, 0.06),
                (-0.2, -0.06),
            ),
        ),
        (2, oval(0, -0.12, 0.06, 0.12)),
    )


def petals(count: int, *, slim: float = 0.6, reach: float = 0.5) -> Figure:
    """A flower seen from above; nobody can say which way it is up."""
    length = reach / 2
    parts = [turned(oval(length, 0, length, length * slim), 360 * i / count) for i in range(count)]
    return (*_inked(0, parts), (1, oval(0, 0, reach * 0.3)))


def rose() -> Figure:
    """A full round bloom in rings."""
    rings: list[Part] = []
    for ring, (count, radius) in enumerate(((7, 0.32), (6, 0.2), (5, 0.1))):
        for i in range(count):
            centre = turned(np.array([[radius, 0.0]]), 360 * (i + ring / 2) / count)[0]
            rings.append((ring % 2 * 2, oval(centre[0], centre[1], 0.18 - 0.03 * ring)))
    return (*rings, (1, oval(0, 0, 0.08)))


def leaf() -> Figure:
    """A leaf, pointed at both ends."""
    blade = np.vstack([curve((0, -0.5), (0.34, 0.0), (0, 0.5)), curve((0, 0.5), (-0.34, 0.0), (0, -0.5))])
    return ((0, blade), *_inked(1, stroke([(0, -0.42), (0, 0.42)], 0.03)))


def spray() -> Figure:
    """A stem with leaves and two buds at its top."""
    parts: list[Part] = [*_inked(0, stroke([(0, 0.5), (0.02, 0.1), (-0.02, -0.3)], 0.03))]
    for i, y in enumerate((0.36, 0.2, 0.04, -0.12)):
        side = 1 if i % 2 else -1
        parts.append((0, oval(side * 0.13, y, 0.13, 0.05, -side * 35)))
    return (*parts, (1, oval(-0.02, -0.36, 0.11)), (2, oval(-0.02, -0.36, 0.05)), (1, oval(0.12, -0.2, 0.07)))


def star(points: int = 5, inner: float = 0.42) -> Figure:
    """A star."""
    t = np.arange(2 * points) * math.pi / points - math.pi / 2
    r = np.where(np.arange(2 * points) % 2, 0.5 * inner, 0.5)
    return ((0, np.stack([r * np.cos(t), r * np.sin(t)], 1)),)


def disc() -> Figure:
    """A round spot."""
    return ((0, oval(0, 0, 0.5)),)


def ring() -> Figure:
    """A ring showing the ground inside."""
    return ((0, oval(0, 0, 0.5)), (-1, oval(0, 0, 0.3)))


def blot(rng: np.random.Generator, lobes: int = 9) -> Figure:
    """An irregular spot as on an animal's coat."""
    r = 0.5 * rng.uniform(0.55, 1.0, lobes)
    t = np.linspace(0, 2 * math.pi, 72, endpoint=False)
    radius = np.interp(t, np.linspace(0, 2 * math.pi, lobes, endpoint=False), r, period=2 * math.pi)
    return ((0, np.stack([radius * np.cos(t), radius * np.sin(t)], 1)),)


UPRIGHT: dict[str, Callable[[], Figure]] = {
    f.__name__: f
    for f in (teapot, lighthouse, snail, bird, boat, cactus, cottage, mushroom, cat, fir, balloon, tulip)
}


def extent(figure: Figure, turn: float = 0.0, flip: bool = False) -> tuple[float, float, float, float]:
    """Box (left, top, right, bottom) of the inked parts, in units of the figure's size."""
    points = np.vstack([part for role, part in figure if role >= 0])
    if flip:
        points = points * (-1, 1)
    points = turned(points, turn)
    (left, top), (right, bottom) = points.min(0), points.max(0)
    return float(left), float(top), float(right), float(bottom)
