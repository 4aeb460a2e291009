"""A second drawn corpus of prints that nearly repeat, and of those that only seem to.

It shares no code with ``tests.drawn``: every pixel is the sum of signed distance functions at its place on
the cloth, so there are no sprites, no raster of a cell and no rounding in common. What is fitted to the first
corpus is judged here, and the other way round.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Rng = np.random.Generator
Paint = Callable[[Floats, Floats], Floats]  # places on the cloth (mm) to CIELAB

SIZE_PX = (800, 600)


@dataclass(frozen=True)
class Drawing:
    """One photo with its truth: ``basis_mm`` holds two vectors, one (stripe) or none."""

    family: str
    bgr: NDArray[np.uint8]
    mm_per_px: float
    basis_mm: tuple[tuple[float, float], ...]
    note: str = ""


@dataclass(frozen=True)
class _Print:
    paint: Paint
    basis_mm: tuple[tuple[float, float], ...]
    note: str = ""


def drawing(family: str, index: int, seed: int = 0) -> Drawing:
    """Draw a scene that is the same for the same three arguments."""
    rng = np.random.default_rng([seed, index, sorted(FAMILIES).index(family)])
    view = math.exp(rng.uniform(math.log(80), math.log(400)))
    made = FAMILIES[family](rng, view)
    turn = math.radians(rng.uniform(-7, 7))
    bgr = _photograph(rng, made.paint, view, turn)
    c, s = math.cos(turn), math.sin(turn)  # the cloth's place is the photo's, turned
    basis = tuple((x * c + y * s, y * c - x * s) for x, y in made.basis_mm)
    return Drawing(family, bgr, view / SIZE_PX[0], basis, made.note)


def _photograph(rng: Rng, paint: Paint, view: float, turn: float) -> NDArray[np.uint8]:
    """Wrinkled, unevenly lit, woven cloth under a camera with some noise."""
    width, height = SIZE_PX
    px = view / width
    x, y = np.meshgrid(
        (np.arange(2 * width) - width + 0.5) * px / 2, (np.arange(2 * height) - height + 0.5) * px / 2
    )
    for _ in range(3):
        long = rng.uniform(0.3, 0.9) * view
        angle, phase = rng.uniform(0, 2 * math.pi, 2)
        wave = np.sin(2 * math.pi * (x * math.cos(angle) + y * math.sin(angle)) / long + phase)
        size = rng.uniform(0, 0.008) * long / (2 * math.pi)
        x, y = x + size * wave * math.cos(angle), y + size * wave * math.sin(angle)
    c, s = math.cos(turn), math.sin(turn)
    lab = paint(x * c - y * s, x * s + y * c).astype(np.float32)
    lab = cv2.resize(lab, (width, height), interpolation=cv2.INTER_AREA)
    linear = np.asarray(cv2.cvtColor(lab, cv2.COLOR_LAB2BGR)).clip(0, 1) ** 2.2
    u, v = np.meshgrid(np.linspace(-1, 1, width), np.linspace(-1, 1, height))
    light = np.exp(
        rng.uniform(-0.25, 0.25) * u + rng.uniform(-0.25, 0.25) * v - rng.uniform(0, 0.15) * (u * u + v * v)
    )
    for _ in range(3):
        fx, fy = rng.uniform(0.5, 2.5, 2)
        light *= 1 + rng.uniform(0, 0.03) * np.sin(math.pi * (fx * u + fy * v) + rng.uniform(0, 6))
    thread = rng.normal(0, rng.uniform(0.01, 0.05), (height, width, 1))
    bgr = (linear * light[..., None] * 0.9 * (1 + thread)).clip(0, 1) ** (1 / 2.2)
    bgr = cv2.GaussianBlur(bgr.astype(np.float32), (0, 0), rng.uniform(0.5, 1.1))
    bgr = 255 * bgr + rng.normal(0, rng.uniform(0.5, 3.5), bgr.shape)
    quality = int(rng.integers(75, 95))
    coded = cv2.imencode(".jpg", bgr.clip(0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), dtype=np.uint8)


def _colour(rng: Rng, *others: Floats, apart: float = 25.0) -> Floats:
    while True:
        lab = np.array([rng.uniform(25, 90), rng.uniform(-35, 35), rng.uniform(-35, 35)])
        if all(np.linalg.norm(lab - other) >= apart for other in others):
            return lab


def _near(rng: Rng, lab: Floats, distance: float) -> Floats:
    off = rng.normal(size=3)
    off *= distance / np.linalg.norm(off)
    return lab - off if not 15 < (lab + off)[0] < 95 else lab + off


def _over(below: Floats, colour: Floats, cover: Floats) -> Floats:
    return below + cover[..., None] * (colour - below)


# --- figures: share of the place that is covered, with the figure's own unit 1


def _edge(distance: Floats, soft: float = 0.03) -> Floats:
    return np.clip(0.5 - distance / soft, 0, 1)


def _disc(x: Floats, y: Floats) -> Floats:
    return _edge(np.hypot(x, y) - 0.5)


def _fish(x: Floats, y: Floats) -> Floats:
    body = np.hypot((x - 0.1) / 0.38, y / 0.22) - 1
    tail = np.maximum(np.abs(y) - (-0.2 - x) * 0.8, -x - 0.5)
    return np.maximum(_edge(body * 0.3), _edge(tail))


def _flag(x: Floats, y: Floats) -> Floats:
    pole = np.maximum(np.abs(x + 0.3) - 0.05, np.abs(y) - 0.5)
    cloth = np.maximum(np.maximum(-0.3 - x, np.abs(y + 0.25) - 0.22), x - 0.4 + 0.8 * np.abs(y + 0.25))
    return np.maximum(_edge(pole), _edge(cloth))


def _leaf(x: Floats, y: Floats) -> Floats:
    a = np.hypot(x - 0.35, y) - 0.6
    b = np.hypot(x + 0.35, y + 0.1) - 0.6
    return _edge(np.maximum(a, b))


FIGURES = (_fish, _flag, _leaf)


def _steps(rng: Rng, view: float, *, doubled: bool = True) -> tuple[float, float]:
    """Grid steps that leave 2.2 to 9 of the true repeat in the short side of the view."""
    seen = rng.uniform(2.2, 9) * (2 if doubled else 1)
    step = max(0.75 * view / seen, 0.008 * view)
    return step, step * rng.uniform(0.85, 1.2)


PATTERNS = {
    "chequer": (lambda i, j: (i + j) % 2, ((1, 1), (1, -1))),
    "columns": (lambda i, j: i % 2, ((2, 0), (0, 1))),
    "rows": (lambda i, j: j % 2, ((1, 0), (0, 2))),
}


def _figures(rng: Rng, view: float, change: str) -> _Print:
    """Figures on a grid; every second one differs by ``change`` (or none does)."""
    alone = change in ("nothing", "hand")
    a, b = _steps(rng, view, doubled=not alone)
    ground = _colour(rng)
    ink = _colour(rng, ground)
    name = str(rng.choice(list(PATTERNS)))
    parity, steps = PATTERNS[name]
    figure = _disc if change == "colour" else FIGURES[int(rng.integers(len(FIGURES)))]
    size = rng.uniform(0.5, 0.8) * min(a, b)
    distance = rng.uniform(5, 20)
    other = _near(rng, ink, distance)
    amount = rng.uniform(0.08, 0.18)
    spot = rng.uniform(0.09, 0.16)
    shades = rng.normal(0, 2.5, (64, 64, 1)) * (change == "hand")

    def paint(x: Floats, y: Floats) -> Floats:
        i, j = np.floor(x / a).astype(int), np.floor(y / b).astype(int)
        u, v = (x / a - i - 0.5) * a / size, (y / b - j - 0.5) * b / size
        second = parity(i, j) == 1
        if change == "facing":
            u = np.where(second, -u, u)
        if change == "turned":
            u, v = np.where(second, -u, u), np.where(second, -v, v)
        if change == "size":
            u, v = (np.where(second, w / (1 - amount), w) for w in (u, v))
        colour = np.where((second & (change == "colour"))[..., None], other, ink) + shades[i % 64, j % 64]
        lab = _over(np.broadcast_to(ground, (*x.shape, 3)), colour, figure(u, v))
        if change == "detail":
            lab = _over(lab, ground, _edge(np.hypot(u - 0.1, v) - spot / 2) * second)
        return lab

    whole = ((1, 0), (0, 1)) if alone else steps
    return _Print(
        paint, tuple((i * a, j * b) for i, j in whole), f"{change}, {name}, dE {distance:.0f}, {amount:.2f}"
    )


def _bars(rng: Rng, period: float, *, runs: int = 1, off: float = 0.0) -> Callable[[Floats], Floats]:
    """Colour index 0, 1, 2 over a period of the same bars ``runs`` times, the second's ``off`` wider."""
    widths = rng.uniform(0.15, 0.5, 3)
    widths *= 0.8 / widths.sum()
    edges: list[float] = []
    for n in range(runs):
        run = widths.copy()
        if n == 1:
            run[0] *= 1 + off
        edges += list((np.concatenate([[0], np.cumsum(run)])) / runs + n / runs)
    starts, colours = np.array(edges), np.tile([0, 1, 2, 0], runs)

    def at(x: Floats) -> Floats:
        return np.asarray(colours[np.searchsorted(starts, (x / period) % 1.0, side="right") - 1])

    return at


def _near_stripe(rng: Rng, view: float) -> _Print:
    period = 0.75 * view / rng.uniform(2.5, 8)
    off = rng.uniform(0.12, 0.3)
    bars = _bars(rng, period, runs=2, off=off)
    inks = _inks(rng)
    return _Print(lambda x, y: inks[bars(x)], ((period, 0.0),), f"bar {off:.2f} wider")


def _near_plaid(rng: Rng, view: float) -> _Print:
    across, along = (0.75 * view / rng.uniform(2.5, 6) for _ in range(2))
    off = rng.uniform(0.15, 0.3)
    bars, lines, inks = _bars(rng, across, runs=2, off=off), _bars(rng, along), _inks(rng)
    return _Print(
        lambda x, y: 0.5 * (inks[bars(x)] + inks[lines(y)]),
        ((across, 0.0), (0.0, along)),
        f"bar {off:.2f} wider",
    )


def _faint_cross(rng: Rng, view: float) -> _Print:
    """Bold stripes crossed by faint lines; in half of them two lines to a repeat, not halfway or unlike."""
    across, along = 0.75 * view / rng.uniform(3, 10), 0.75 * view / rng.uniform(3, 8)
    bars, inks = _bars(rng, across), _inks(rng)
    distance, thick = rng.uniform(4, 10), rng.uniform(0.08, 0.25)
    off = _near(rng, np.zeros(3) + 50, distance) - 50
    two = rng.random() < 0.5
    place, second = (rng.uniform(0.3, 0.45), 1.0) if rng.random() < 0.5 else (0.5, rng.uniform(0.3, 0.6))

    def paint(x: Floats, y: Floats) -> Floats:
        t = (y / along) % 1.0
        line = _edge(np.abs(t - 0.25) - thick / 2, 0.01)
        if two:
            line = line + second * _edge(np.abs(t - 0.25 - place) - thick / 2, 0.01)
        return np.asarray(inks[bars(x)] + line[..., None] * off)

    return _Print(
        paint, ((across, 0.0), (0.0, along)), f"line dE {distance:.0f}, two {two} {place:.2f} {second:.2f}"
    )


def _on_stripe(rng: Rng, view: float) -> _Print:
    across, along = 0.75 * view / rng.uniform(3, 8), 0.75 * view / rng.uniform(3, 8)
    bars, inks = _bars(rng, across), _inks(rng)
    size = 0.4 * min(across, along)
    ink = _colour(rng, *inks, apart=20)
    figure = FIGURES[int(rng.integers(len(FIGURES)))]

    def paint(x: Floats, y: Floats) -> Floats:
        u, v = ((x / across) % 1.0 - 0.5) * across / size, ((y / along) % 1.0 - 0.5) * along / size
        return _over(inks[bars(x)], ink, figure(u, v))

    return _Print(paint, ((across, 0.0), (0.0, along)))


def _stripe(rng: Rng, view: float) -> _Print:
    period = 0.75 * view / rng.uniform(2.5, 12)
    bars, inks = _bars(rng, period), _inks(rng)
    return _Print(lambda x, y: inks[bars(x)], ((period, 0.0),))


def _white(rng: Rng, view: float) -> _Print:
    a, b = _steps(rng, view, doubled=False)
    ground = np.array([rng.uniform(80, 92), rng.uniform(-2, 3), rng.uniform(-2, 8)])
    ink = _near(rng, ground, rng.uniform(3, 6))
    figure, size = FIGURES[int(rng.integers(len(FIGURES)))], rng.uniform(0.6, 0.85) * min(a, b)

    def paint(x: Floats, y: Floats) -> Floats:
        u, v = ((x / a) % 1.0 - 0.5) * a / size, ((y / b) % 1.0 - 0.5) * b / size
        return _over(np.broadcast_to(ground, (*x.shape, 3)), ink, figure(u, v))

    return _Print(paint, ((a, 0.0), (0.0, b)))


def _strewn(rng: Rng, view: float) -> _Print:
    """Figures at random places and turns: no repeat."""
    ground = _colour(rng)
    inks = [_colour(rng, ground) for _ in range(3)]
    count, size = int(rng.integers(30, 120)), view * rng.uniform(0.05, 0.12)
    places = rng.uniform(-0.6, 0.6, (count, 2)) * view
    turns, kinds, dyes = rng.uniform(0, 6.3, count), rng.integers(0, 3, count), rng.integers(0, 3, count)

    def paint(x: Floats, y: Floats) -> Floats:
        lab = np.array(np.broadcast_to(ground, (*x.shape, 3)))
        for (px, py), turn, kind, dye in zip(places, turns, kinds, dyes, strict=True):
            near = (np.abs(x - px) < size) & (np.abs(y - py) < size)
            c, s = math.cos(turn), math.sin(turn)
            u, v = (x[near] - px) / size, (y[near] - py) / size
            lab[near] = _over(lab[near], inks[dye], FIGURES[kind](u * c - v * s, u * s + v * c))
        return lab

    return _Print(paint, ())


def _plain(rng: Rng, view: float) -> _Print:
    ground = _colour(rng)
    return _Print(lambda x, y: np.broadcast_to(ground, (*x.shape, 3)), ())


def _inks(rng: Rng) -> Floats:
    first = _colour(rng)
    second = _colour(rng, first)
    return np.stack([first, second, _colour(rng, first, second)])


FAMILIES: dict[str, Callable[[Rng, float], _Print]] = {
    "alternating-dots": lambda rng, view: _figures(rng, view, "colour"),
    "alternating-facing": lambda rng, view: _figures(rng, view, "facing"),
    "alternating-turned": lambda rng, view: _figures(rng, view, "turned"),
    "alternating-size": lambda rng, view: _figures(rng, view, "size"),
    "alternating-detail": lambda rng, view: _figures(rng, view, "detail"),
    "near-stripe": _near_stripe,
    "near-plaid": _near_plaid,
    "faint-cross": _faint_cross,
    "motif-on-stripe": _on_stripe,
    "white-on-white": _white,
    "all-alike": lambda rng, view: _figures(rng, view, "nothing"),
    "hand-shaded": lambda rng, view: _figures(rng, view, "hand"),
    "stripe": _stripe,
    "strewn": _strewn,
    "plain": _plain,
}
