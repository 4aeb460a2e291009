"""Families of prints: dots, stripes, checks, figures, florals, plain and scatter, each at a size in mm."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import cv2
import numpy as np

from printcheck.model import RepeatKind, Way
from printcheck.synthetic import bars, colours, figures
from printcheck.synthetic.art import Art, Cell, Colour, Hand, Image, Raster, to_image
from printcheck.synthetic.colours import Scheme
from printcheck.synthetic.figures import Figure
from printcheck.synthetic.stamps import Stamp, largest_box, paint_cell, paint_loose

Rng = np.random.Generator
HALF = Fraction(1, 2)
CLEAR = 0.12  # of its size: room kept round a motif, for the corners of its unit box


def stamped(
    names: tuple[str, str],
    cell: Cell,
    stamps: list[Stamp],
    ground: Colour,
    *,
    way: Way | None,
    note: str = "",
) -> Art:
    """A print of stamps; ``names`` are its family and variety."""

    def paint(raster: Raster) -> Image:
        return paint_cell(raster, cell, stamps, ground)

    def loose(raster: Raster, tiles: tuple[int, int], hand: Hand) -> Image:
        return paint_loose(raster, cell, stamps, ground, tiles=tiles, hand=hand)

    return Art(
        *names,
        cell.tile_mm,
        cell.steps,
        paint,
        basis_mm=cell.basis_mm,
        layout=cell.layout,
        drop=cell.drop,
        way=way,
        motif_mm=largest_box(stamps),
        headings_deg=tuple(s.turn_deg % 360 for s in stamps),
        motifs_per_cell=len(stamps),
        note=note,
        loose=loose,
    )


def dots(
    rng: Rng,
    size_mm: float,
    *,
    layout: str = "straight",
    share: float | None = None,
    scheme: Scheme = "normal",
) -> Art:
    """Round spots or rings; ``size_mm`` is the step between columns (for hexagonal: between neighbours)."""
    share = rng.uniform(0.25, 0.72) if share is None else share
    if layout == "hexagonal":
        cell = Cell(size_mm * math.sqrt(3) / 2, size_mm, HALF)
        nearest = size_mm
    elif layout == "brick":
        cell = Cell(size_mm / 2, 2 * size_mm, HALF)
        nearest = size_mm
    elif layout == "half-drop":
        cell = Cell(size_mm, size_mm * float(rng.choice([2.0, 1.3])), HALF)
        nearest = min(cell.along, math.hypot(cell.across, cell.along / 2))
    else:
        cell = Cell(size_mm, size_mm if rng.random() < 0.7 else size_mm * rng.uniform(1.15, 1.5))
        nearest = size_mm
    ground, (ink,) = colours.scheme(rng, 1, scheme)
    figure = figures.ring() if rng.random() < 0.25 else figures.disc()
    stamp = Stamp(figure, (cell.across / 2, cell.along / 2), share * nearest, (ink,))
    return stamped(("dots", layout), cell, [stamp], ground, way="four-way" if cell.is_square else "two-way")


def gingham(rng: Rng, repeat_mm: float) -> Art:
    """Two equal bars both ways: named by one band, half of ``repeat_mm``."""
    white = colours.ink(rng, (93, 98), (0, 5))
    (ink,) = colours.inks(rng, 1, white, apart=40)
    sequence = [(repeat_mm / 2, ink), (repeat_mm / 2, white)]
    return bars.check("gingham", sequence, sequence)


def window_check(rng: Rng, repeat_mm: float) -> Art:
    """Thin lines in a square grid."""
    ground = colours.ground(rng)
    (ink,) = colours.inks(rng, 1, ground)
    line = [(repeat_mm * rng.uniform(0.06, 0.16), ink)]
    sequence = bars.lines_between(repeat_mm, line, ground)
    return bars.printed_check("window", sequence, sequence, ground)


def plaid(rng: Rng, repeat_mm: float, *, even: bool, square: bool = True) -> Art:
    """A woven plaid of three to five inks, balanced or not."""
    ground = colours.ground(rng)
    inks = [ground, *colours.inks(rng, int(rng.integers(2, 5)), ground)]
    warp = bars.random_sequence(rng, repeat_mm, inks, even=even)
    weft = warp
    if not square:
        weft = bars.random_sequence(rng, repeat_mm * rng.uniform(0.6, 1.4), inks, even=even)
    return bars.check("even-plaid" if even else "uneven-plaid", warp, weft)


def stripe(rng: Rng, repeat_mm: float, *, even: bool, angle_deg: float = 0.0) -> Art:
    """A stripe of two to five inks."""
    ground = colours.ground(rng)
    inks = [ground, *colours.inks(rng, int(rng.integers(1, 4)) if even else int(rng.integers(2, 5)), ground)]
    sequence = bars.random_sequence(rng, repeat_mm, inks, even=even)
    return bars.stripe("even" if even else "uneven", sequence, angle_deg=angle_deg)


def pin_stripe(rng: Rng, repeat_mm: float, *, angle_deg: float = 0.0) -> Art:
    """Thin lines far apart; under 1/16 in at garment size."""
    ground = colours.ground(rng)
    (ink,) = colours.inks(rng, 1, ground)
    width = min(1.5, repeat_mm * 0.14)
    return bars.stripe("pin", [(width, ink), (repeat_mm - width, ground)], angle_deg=angle_deg)


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
        if gap < 0.05 * size:
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


def plain(rng: Rng) -> Art:
    """Cloth of one colour."""
    ground = colours.ground(rng)

    def paint(raster: Raster) -> Image:
        return np.full((raster.height, raster.width, 3), ground, np.uint8)

    return Art("plain", "plain", (50.0, 50.0), (1, 1), paint, kind="none", layout="none", way="two-way")


def scatter(rng: Rng, view_mm: float, *, spot_mm: float) -> Art:
    """Motifs strewn without any repeat inside the view: the tile is much larger than the photo."""
    side = 2.2 * view_mm
    cell = Cell(side, side)
    ground = colours.ground(rng)
    inks = colours.inks(rng, 3, ground)
    count = int(min(900, 0.25 * (side / spot_mm) ** 2))
    kinds = [figures.disc(), figures.star(), figures.petals(5), figures.leaf()]
    stamps = [
        Stamp(
            kinds[int(rng.integers(4))],
            (rng.uniform(0, side), rng.uniform(0, side)),
            spot_mm * rng.uniform(0.6, 1.2),
            (inks[int(rng.integers(3))], inks[int(rng.integers(3))]),
            float(rng.uniform(0, 360)),
        )
        for _ in range(count)
    ]
    return without_repeat(stamped(("no-repeat", "scatter"), cell, stamps, ground, way="tossed"))


def without_repeat(art: Art, *, kind: RepeatKind = "none", family: str | None = None) -> Art:
    """The same art where its repeat cannot be seen: none, or ``beyond-photo``."""
    return replace(
        art,
        kind=kind,
        family=family or art.family,
        basis_mm=(),
        layout="none",
        drop=None,
        motif_mm=None,
        headings_deg=None,
        loose=None,
    )


def beyond(art: Art) -> Art:
    """A print whose repeat is larger than the photo will show."""
    return without_repeat(art, kind="beyond-photo", family="beyond")


def carpet(rng: Rng, view_mm: float, *, grain_mm: float) -> Art:
    """A grainy texture without repeat: tufts of a few millimetres."""
    side = 2.2 * view_mm
    cells = int(side / grain_mm)
    base = np.asarray(colours.ink(rng, (30, 75), (5, 30)), float)
    grain = cv2.copyMakeBorder(rng.normal(size=(cells * 2, cells * 2)), 8, 8, 8, 8, cv2.BORDER_WRAP)
    tufts = np.asarray(cv2.GaussianBlur(grain, (0, 0), 0.9))[8:-8, 8:-8]
    depth = rng.uniform(10, 22)
    picture = to_image(base + (tufts / tufts.std())[..., None] * depth)

    def paint(raster: Raster) -> Image:
        size = (raster.width, raster.height)
        shrinks = raster.width < picture.shape[1]
        return np.asarray(
            cv2.resize(picture, size, interpolation=cv2.INTER_AREA if shrinks else cv2.INTER_CUBIC)
        )

    art = Art("no-repeat", "carpet", (side, side), (1, 1), paint, way="tossed")
    return without_repeat(art)


def printed_cards(rng: Rng, view_mm: float) -> Art:
    """Rectangles of a card's proportions but not its size, printed on the cloth."""
    width = view_mm * rng.uniform(0.2, 0.32)
    card = Cell(width * 1.35, width * 0.95, HALF if rng.random() < 0.5 else Fraction(0))
    ground = colours.ground(rng)
    inks = colours.inks(rng, 2, ground)
    tall = 53.98 / 85.60  # ISO/IEC 7810
    face = figures.poly((-0.5, -tall / 2), (0.5, -tall / 2), (0.5, tall / 2), (-0.5, tall / 2))
    band = figures.poly((-0.5, -0.2), (0.5, -0.2), (0.5, -0.08), (-0.5, -0.08))
    stamp = Stamp(((0, face), (1, band)), (card.across / 2, card.along / 2), width, tuple(inks))
    return stamped(("decoy", "printed-cards"), card, [stamp], ground, way="one-way")
