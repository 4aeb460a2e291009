"""Prints of motifs: one figure, several, tossed, ditsies, florals, emblems, skins."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np

from printcheck.core.measurement import Way
from tests.drawn import colours, figures
from tests.drawn.art import Art, Cell, Colour
from tests.drawn.colours import Scheme
from tests.drawn.figures import Figure
from tests.drawn.stamps import Stamp, stamped

Rng = np.random.Generator
DITSY_GAP = 0.15  # of the largest flower: least room between two
CLEAR = 0.12  # of its size: room kept round a motif, for the corners of its unit box


def spread(rng: Rng, cell: Cell, sizes: list[float], *, tries: int = 60) -> list[tuple[float, float]]:
    """Places in the cell that keep motifs of these sizes apart, modulo the lattice, as well as may be."""
    return [at for at, _ in _spread(rng, cell, sizes, tries)]


def _spread(rng: Rng, cell: Cell, sizes: list[float], tries: int) -> list[tuple[tuple[float, float], float]]:
    """Each motif's place and its gap (mm, negative where circles overlap) to those set down before it."""
    placed: list[tuple[tuple[float, float], float]] = []
    for size in sizes:
        best, most = (0.0, 0.0), -math.inf
        for _ in range(tries):
            at = (rng.uniform(0, cell.across), rng.uniform(0, cell.along))
            gaps = [_distance(cell, at, other) - (size + sizes[j]) / 2 for j, (other, _) in enumerate(placed)]
            nearest = min(gaps, default=math.inf)
            if nearest > most:
                best, most = at, nearest
            if most > 0.15 * size:
                break
        placed.append((best, most))
    return placed


def apart(rng: Rng, cell: Cell, size: float, count: int) -> tuple[list[tuple[float, float]], float]:
    """Places for ``count`` like motifs that do not touch, and the size at which they do not."""
    while True:
        placed = _spread(rng, cell, [size] * count, 80)
        if min(gap for _, gap in placed) > CLEAR * size:
            return [at for at, _ in placed], size
        size *= 0.93


def _distance(cell: Cell, a: tuple[float, float], b: tuple[float, float]) -> float:
    dx, dy = a[0] - b[0], a[1] - b[1]
    drop = float(cell.drop) * cell.along
    return min(
        math.hypot(dx + i * cell.across, (dy + i * drop + cell.along / 2) % cell.along - cell.along / 2)
        for i in (-1, 0, 1)
    )


def one_motif(
    rng: Rng,
    cell: Cell,
    *,
    figure: str | None = None,
    share: float | None = None,
    scheme: Scheme = "normal",
) -> Art:
    """One upright figure in the cell."""
    name = figure or str(rng.choice(sorted(figures.UPRIGHT)))
    drawn = figures.UPRIGHT[name]()
    ground, inks = colours.scheme(rng, 4, scheme)
    flip = bool(rng.random() < 0.5)
    size = (share or rng.uniform(0.45, 0.78)) * min(cell.across, cell.along)
    stamp = Stamp(drawn, (cell.across / 2, cell.along / 2), size, tuple(inks), flip=flip)
    return stamped(("one-motif", name), cell, [stamp], ground, way="one-way")


def figures_print(rng: Rng, cell: Cell, *, heads: str, count: int = 4, kinds: int = 2) -> Art:
    """Several figures in the cell: ``heads`` is one-way, two-way (each with its half turn) or tossed."""
    names = [str(n) for n in rng.choice(sorted(figures.UPRIGHT), kinds, replace=False)]
    ground = colours.ground(rng)
    inks = [tuple(colours.inks(rng, 4, ground)) for _ in names]
    if heads == "two-way":
        stamps = _with_half_turns(rng, cell, names, inks)
    else:
        size = 0.62 * math.sqrt(cell.across * cell.along / count)
        places, size = apart(rng, cell, size, count)
        turns = [0.0] * count if heads == "one-way" else _strewn(rng, count)
        stamps = [
            Stamp(
                figures.UPRIGHT[names[i % kinds]](),
                at,
                size * (1.0 if i % 2 else 0.85),
                inks[i % kinds],
                turn,
            )
            for i, (at, turn) in enumerate(zip(places, turns, strict=True))
        ]
    way: Way = "one-way" if heads == "one-way" else "two-way" if heads == "two-way" else "tossed"
    return stamped((f"motifs-{heads}", "+".join(names)), cell, stamps, ground, way=way)


def _strewn(rng: Rng, count: int) -> list[float]:
    """Headings spread round the circle, none like its neighbour's."""
    start = rng.uniform(0, 360)
    return [
        float(start + 360 * i / count + rng.uniform(-0.3, 0.3) * 360 / count) for i in rng.permutation(count)
    ]


def _with_half_turns(rng: Rng, cell: Cell, names: list[str], inks: list[tuple[Colour, ...]]) -> list[Stamp]:
    """Each figure and its half turn about the middle of the cell: the print is the same end for end."""
    size = 0.6 * math.sqrt(cell.across * cell.along / (2 * len(names)))
    while True:
        tried = [rng.uniform(0, 1, (len(names), 2)) * (cell.across, cell.along) for _ in range(60)]
        pairs = [np.vstack([own, np.subtract((cell.across, cell.along), own)]) for own in tried]
        gaps = [min(_distance(cell, a, b) for a, b in combinations(p.tolist(), 2)) - size for p in pairs]
        best = int(np.argmax(gaps))
        if gaps[best] > CLEAR * size:
            break
        size *= 0.93
    headings = [float(rng.choice([0.0, 90.0, rng.uniform(0, 90)])) for _ in names]
    return [
        Stamp(
            figures.UPRIGHT[names[i % len(names)]](),
            (x, y),
            size,
            inks[i % len(names)],
            headings[i % len(names)] + 180.0 * (i // len(names)),
        )
        for i, (x, y) in enumerate(pairs[best].tolist())
    ]


def ditsy(rng: Rng, cell: Cell, *, flower_mm: float, scheme: Scheme = "normal") -> Art:
    """Tiny flowers strewn thickly."""
    ground, inks = colours.scheme(rng, 4, scheme)
    count = int(np.clip(cell.across * cell.along / (2.6 * flower_mm**2), 6, 90))
    kinds: list[Figure] = [figures.petals(5), figures.petals(6, slim=0.4), figures.leaf(), figures.petals(4)]
    sizes = [flower_mm * float(rng.choice([1.0, 1.0, 0.7, 0.55])) for _ in range(count)]
    sizes[0] = flower_mm
    stamps = []
    for i, ((at, gap), size) in enumerate(zip(_spread(rng, cell, sizes, 20), sizes, strict=True)):
        if gap < DITSY_GAP * flower_mm:
            continue  # no room left here: flowers of a ditsy stand apart
        pair = (inks[i % 4], inks[(i + 1 + i // 4) % 4])
        stamps.append(Stamp(kinds[int(rng.integers(4))], at, size, pair, float(rng.uniform(0, 360))))
    return stamped(("ditsy", "flowers"), cell, stamps, ground, way="tossed")


def floral(rng: Rng, cell: Cell, *, packed: bool = False, scheme: Scheme = "normal") -> Art:
    """Large blooms with leaves and small flowers between them; ``packed`` leaves little ground."""
    ground, inks = colours.scheme(rng, 6, scheme)
    unit = math.sqrt(cell.across * cell.along)
    big = [unit * v for v in rng.uniform(0.24, 0.4, int(rng.integers(3, 6)))]
    small = [unit * v for v in rng.uniform(0.06, 0.15, 34 if packed else 12)]
    sizes = sorted(big, reverse=True) + small
    stamps = []
    for i, (at, size) in enumerate(zip(spread(rng, cell, sizes), sizes, strict=True)):
        pick = [inks[int(k)] for k in rng.permutation(6)[:3]]
        bloom = [figures.rose(), figures.petals(int(rng.integers(5, 9))), figures.leaf()]
        drawn = bloom[int(rng.integers(2))] if i < len(big) else bloom[int(rng.integers(1, 3))]
        stamps.append(Stamp(drawn, at, size, tuple(pick), float(rng.uniform(0, 360))))
    stamps.reverse()  # the great blooms lie on top
    art = stamped(("packed-floral" if packed else "floral", "blooms"), cell, stamps, ground, way="tossed")
    return replace(art, motif_mm=None)  # blooms may touch and overlap: no one box to state


def emblem(rng: Rng, cell: Cell, *, scheme: Scheme = "normal") -> Art:
    """One motif without an up: a flower of four, six or eight petals, or a leaf."""
    drawn: dict[str, Figure] = {
        "four-petals": figures.petals(4),
        "eight-petals": figures.petals(8, slim=0.35),
        "six-petals": figures.petals(6, slim=0.45),
        "leaf": figures.leaf(),
    }
    name = str(rng.choice(sorted(drawn)))
    ground, inks = colours.scheme(rng, 2, scheme)
    size = rng.uniform(0.5, 0.8) * min(cell.across, cell.along)
    quarter = cell.is_square and name in ("four-petals", "eight-petals")
    stamp = Stamp(drawn[name], (cell.across / 2, cell.along / 2), size, tuple(inks))
    return stamped(("emblem", name), cell, [stamp], ground, way="four-way" if quarter else "two-way")


def mirrored_sprigs(rng: Rng, cell: Cell) -> Art:
    """One large emblem among small sprigs, every one with its mirror image: a damask."""
    ground = colours.ground(rng)
    inks = tuple(colours.inks(rng, 2, ground))
    unit = math.sqrt(cell.across * cell.along)
    stamps = [Stamp(figures.petals(6, slim=0.45), (cell.across / 2, cell.along / 2), 0.4 * unit, inks)]
    sprigs = spread(rng, cell, [0.12 * unit] * 8)
    for x, y in sprigs:
        turn, figure = float(rng.uniform(0, 360)), figures.leaf() if x < y else figures.tulip()
        for at, flip in ((x, False), (cell.across - x, True)):
            stamps.append(Stamp(figure, (at, y), 0.12 * unit, inks, -turn if flip else turn, flip=flip))
    art = stamped(("damask", "sprigs"), cell, stamps, ground, way="one-way")
    return replace(art, motif_mm=None)


def skin(rng: Rng, cell: Cell, *, spot_mm: float) -> Art:
    """Irregular spots as on an animal's coat."""
    ground = colours.ink(rng, (65, 90), (10, 40))
    inks = colours.inks(rng, 2, ground)
    count = int(np.clip(cell.across * cell.along / (1.9 * spot_mm**2), 5, 80))
    sizes = [spot_mm * float(rng.uniform(0.7, 1.15)) for _ in range(count)]
    stamps = []
    for at, size in zip(spread(rng, cell, sizes, tries=25), sizes, strict=True):
        turn = float(rng.uniform(0, 360))
        stamps.append(Stamp(figures.blot(rng), at, size, (inks[0],), turn))
        stamps.append(Stamp(figures.blot(rng, 6), at, size * 0.5, (inks[1],), turn))
    art = stamped(("skin", "spots"), cell, stamps, ground, way="tossed")
    return replace(art, motif_mm=None, headings_deg=None)  # spots may touch: no one box to state
