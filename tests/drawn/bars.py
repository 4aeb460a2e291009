"""Stripes, checks and plaids from sequences of bars, anti-aliased exactly along each axis."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from printcheck.core.measurement import Layout, RepeatKind, Way
from tests.drawn import colours
from tests.drawn.art import Art, Colour, Floats, Image, Raster, to_image

Sequence = list[tuple[float, Colour]]  # (width in mm, ink), once round the repeat
SAME_WIDTH_MM = 1e-6
BAR_RATIO = (0.6, 2.6)  # of the mean bar: widths of bars drawn at random


def period(sequence: Sequence) -> float:
    """Length of the sequence in mm."""
    return sum(width for width, _ in sequence)


def is_balanced(sequence: Sequence) -> bool:
    """Whether the sequence read backwards is the same, from some bar on (the fold test)."""
    backwards = sequence[::-1]
    return any(_alike(sequence, backwards[i:] + backwards[:i]) for i in range(len(sequence)))


def is_smallest(sequence: Sequence) -> bool:
    """Whether no shorter run of bars makes the same stripe."""
    n = len(sequence)
    return not any(n % k == 0 and _alike(sequence, sequence[k:] + sequence[:k]) for k in range(1, n))


def _alike(a: Sequence, b: Sequence) -> bool:
    return all(abs(u - v) < SAME_WIDTH_MM and c == d for (u, c), (v, d) in zip(a, b, strict=True))


def profile(sequence: Sequence, centres: Floats, width_mm: float) -> Floats:
    """Mean colour over ``width_mm`` about each centre: (N,) mm to (N, 3) float."""
    edges = np.concatenate([[0.0], np.cumsum([w for w, _ in sequence])])
    inks = np.array([c for _, c in sequence], float)
    sums = np.concatenate([np.zeros((1, 3)), np.cumsum(inks * np.diff(edges)[:, None], 0)])
    total = edges[-1]

    def integral(x: Floats) -> Floats:
        turns, rest = np.divmod(x, total)
        inside = np.stack([np.interp(rest, edges, sums[:, k]) for k in range(3)], -1)
        return turns[..., None] * sums[-1] + inside

    half = width_mm / 2
    return (integral(centres + half) - integral(centres - half)) / width_mm


def random_sequence(
    rng: np.random.Generator, repeat_mm: float, inks: list[Colour], *, even: bool
) -> Sequence:
    """Bars filling ``repeat_mm``; balanced about two bars if ``even``, unbalanced otherwise."""
    while True:
        count = len(inks)
        if even:
            widths = rng.uniform(*BAR_RATIO, count)
            order = [*range(count), *range(count - 2, 0, -1)]
        else:
            count = max(3, count)
            widths = rng.uniform(*BAR_RATIO, count)
            order = list(range(count))
        raw = [(float(widths[i]), inks[i % len(inks)]) for i in order]
        scale = repeat_mm / period(raw)
        sequence = [(w * scale, c) for w, c in raw]
        neighbours = zip(sequence, sequence[1:] + sequence[:1], strict=True)
        if (
            all(a[1] != b[1] for a, b in neighbours)
            and is_smallest(sequence)
            and is_balanced(sequence) == even
        ):
            return sequence


def stripe(name: str, sequence: Sequence, *, angle_deg: float = 0.0, note: str = "") -> Art:
    """A stripe whose bars follow one another at ``angle_deg`` from across towards along.

    0 is a lengthwise stripe, 90 a crosswise one, anything between a diagonal.
    """
    size = period(sequence)
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    c, s = (0.0 if abs(v) < 1e-9 else v for v in (c, s))
    plain = size / 4  # a tile side along the bars: any length will do
    tile = (size / abs(c) if c else plain, size / abs(s) if s else plain)

    def paint(raster: Raster) -> Image:
        x, y = raster.grid()
        if not s or not c:
            line = profile(sequence, (x * c if c else y * s).ravel(), raster.mm[0 if c else 1])
            shape = (1, -1, 3) if c else (-1, 1, 3)
            return to_image(np.broadcast_to(line.reshape(shape), (raster.height, raster.width, 3)))
        return to_image(profile(sequence, x * c + y * s, abs(c) * raster.mm[0] + abs(s) * raster.mm[1]))

    balanced = is_balanced(sequence)
    written = tuple(colours.bar(w, ink) for w, ink in sequence)
    across = abs(c) > 1e-9
    return Art(
        "stripes",
        name,
        tile,
        (1, 1),
        paint,
        kind="stripe",
        basis_mm=((size * c, size * s),),
        layout="stripe",
        way="two-way" if balanced else "one-way",
        bars=written,
        balanced_across=balanced if across else None,
        balanced_along=balanced if abs(s) > 1e-9 else None,
        note=note,
    )


def check(name: str, warp: Sequence, weft: Sequence, *, family: str = "checks", note: str = "") -> Art:
    """Bars both ways, woven: every place shows half of each thread's colour."""

    def paint(raster: Raster) -> Image:
        x, y = raster.grid()
        a = profile(warp, x.ravel(), raster.mm[0])[None]
        b = profile(weft, y.ravel(), raster.mm[1])[:, None]
        return to_image((a + b) / 2)

    return _check(name, (warp, weft), paint, family, note)


def printed_check(
    name: str, warp: Sequence, weft: Sequence, ground: Colour, *, strength: float = 1.0, note: str = ""
) -> Art:
    """Lines printed both ways over a ground (a window check, graph paper): ground-coloured bars are gaps.

    ``strength`` fades the crosswise lines.
    """

    def paint(raster: Raster) -> Image:
        x, y = raster.grid()
        a = profile(warp, x.ravel(), raster.mm[0])[None] - ground
        b = profile(weft, y.ravel(), raster.mm[1])[:, None] - ground
        # where lines cross the stronger departure wins, as one ink over itself does
        bigger = np.abs(a).sum(-1, keepdims=True) >= np.abs(b * strength).sum(-1, keepdims=True)
        return to_image(np.asarray(ground, float) + np.where(bigger, a, b * strength))

    art = _check(name, (warp, weft), paint, "checks", note)
    return art if strength == 1.0 else replace(art, way=None, bars_along=())


def _check(
    name: str,
    threads: tuple[Sequence, Sequence],
    paint: object,
    family: str,
    note: str,
) -> Art:
    warp, weft = threads
    w, h = period(warp), period(weft)
    even = is_balanced(warp), is_balanced(weft)
    same = len(warp) == len(weft) and any(_alike(warp, weft[i:] + weft[:i]) for i in range(len(weft)))
    way: Way = "one-way"
    if all(even):
        way = "four-way" if same else "two-way"
    kind: RepeatKind = "lattice"
    layout: Layout = "straight"
    return Art(
        family,
        name,
        (w, h),
        (1, 1),
        paint,  # type: ignore[arg-type]
        kind=kind,
        basis_mm=((w, 0.0), (0.0, h)),
        layout=layout,
        way=way,
        bars=tuple(colours.bar(a, c) for a, c in warp),
        bars_along=tuple(colours.bar(a, c) for a, c in weft),
        balanced_across=even[0],
        balanced_along=even[1],
        note=note,
    )


def lines_between(repeat_mm: float, lines: Sequence, ground: Colour) -> Sequence:
    """The lines spaced over one repeat with equal gaps of ground between them."""
    gap = (repeat_mm - period(lines)) / len(lines)
    out: Sequence = []
    for line in lines:
        out += [line, (gap, ground)]
    return out
