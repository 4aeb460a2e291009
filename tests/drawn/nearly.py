"""Prints that nearly repeat at a fraction of their true repeat: the commonest trap for a lattice finder."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import numpy as np

from printcheck.core.measurement import Way
from tests.drawn import bars, colours, figures
from tests.drawn.art import HALF, Art, Cell, Colour, Image, Raster, to_image
from tests.drawn.bars import Sequence, profile
from tests.drawn.figures import Figure
from tests.drawn.stamps import Stamp, paint_cell, stamped

Rng = np.random.Generator
PATTERNS = ("chequer", "columns", "rows")
WIDE_ENOUGH = 0.5  # of the widest bar: narrower ones bear no figure
ON_STRIPES: tuple[Callable[[], Figure], ...] = (
    figures.disc,
    figures.star,
    figures.rose,
    figures.leaf,
    lambda: figures.petals(5),
    figures.tulip,
    figures.snail,
    figures.boat,
)


def doubled(step: tuple[float, float], pattern: str) -> tuple[Cell, tuple[float, float], tuple[float, float]]:
    """Cell holding two places of a straight grid, and those places, to alternate by ``pattern``."""
    a, b = step
    if pattern == "chequer":
        return Cell(a, 2 * b, HALF), (a / 2, b / 2), (a / 2, 1.5 * b)
    if pattern == "columns":
        return Cell(2 * a, b), (a / 2, b / 2), (1.5 * a, b / 2)
    return Cell(a, 2 * b), (a / 2, b / 2), (a / 2, 1.5 * b)


def alternating_dots(rng: Rng, step_mm: float, *, distance: float, pattern: str = "chequer") -> Art:
    """Dots in two inks ``distance`` Delta E apart."""
    step = (step_mm, step_mm * rng.uniform(0.85, 1.2))
    cell, one, other = doubled(step, pattern)
    ground = colours.ground(rng)
    (ink,) = colours.inks(rng, 1, ground)
    size = rng.uniform(0.35, 0.65) * min(step)
    stamps = [
        Stamp(figures.disc(), one, size, (ink,)),
        Stamp(figures.disc(), other, size, (colours.near(rng, ink, distance),)),
    ]
    note = f"dots {distance:.0f} Delta E apart, {pattern}"
    return stamped(("near", "alternating-colour"), cell, stamps, ground, way="two-way", note=note)


def alternating_figures(
    rng: Rng, step_mm: float, *, what: str, pattern: str = "chequer", along_mm: float | None = None
) -> Art:
    """Figures alike but for ``what``: facing, turned, colour, size or detail."""
    step = (step_mm, step_mm * rng.uniform(0.9, 1.25) if along_mm is None else along_mm)
    cell, one, other = doubled(step, pattern)
    ground = colours.ground(rng)
    inks = tuple(colours.inks(rng, 4, ground))
    name = str(rng.choice(["teapot", "snail", "bird", "cottage", "cat", "lighthouse"]))
    size = rng.uniform(0.55, 0.75) * min(step)
    first = Stamp(figures.UPRIGHT[name](), one, size, inks)
    second, way, note = _changed(rng, replace(first, at_mm=other), what)
    return stamped(
        ("near", f"alternating-{what}"), cell, [first, second], ground, way=way, note=f"{note}, {pattern}"
    )


def _changed(rng: Rng, stamp: Stamp, what: str) -> tuple[Stamp, Way, str]:
    if what == "facing":
        return replace(stamp, flip=True), "one-way", "every second one mirrored"
    if what == "turned":
        # about the point between the two, the print is its own half turn
        return replace(stamp, turn_deg=180.0), "two-way", "every second one upside down"
    if what == "colour":
        distance = rng.uniform(6, 20)
        inks: tuple[Colour, ...] = (colours.near(rng, stamp.inks[0], distance), *stamp.inks[1:])
        return replace(stamp, inks=inks), "one-way", f"body {distance:.0f} Delta E apart"
    if what == "size":
        share = rng.uniform(0.84, 0.93)
        return (
            replace(stamp, size_mm=stamp.size_mm * share),
            "one-way",
            f"every second one {share:.2f} as large",
        )
    share = rng.uniform(0.08, 0.14)
    spot: Figure = ((3, figures.oval(0.0, 0.12, share / 2)),)
    return (
        replace(stamp, figure=(*stamp.figure, *spot)),
        "one-way",
        f"a spot of {share:.2f} in every second one",
    )


def odd_ones(rng: Rng, sides_mm: tuple[float, float], *, odd: int, step_mm: float = 0.0) -> Art:
    """A straight field of like flowers of which ``odd`` in the repeat stand in another colour.

    Flowers are ``step_mm`` apart, or four to the repeat each way.
    """
    count = [4 if not step_mm else max(2, round(side / step_mm)) for side in sides_mm]
    across, along = (side / n for side, n in zip(sides_mm, count, strict=True))
    ground = colours.ground(rng)
    usual, other, middle = colours.inks(rng, 3, ground)
    places = rng.permutation(count[0] * count[1])[:odd]
    while odd == 2 and _half_apart(places, count):
        places = rng.permutation(count[0] * count[1])[:odd]
    size = 0.7 * min(across, along)
    stamps = [
        Stamp(
            figures.petals(6, slim=0.3),
            ((n % count[0] + 0.5) * across, (n // count[0] + 0.5) * along),
            size,
            (other if n in places else usual, middle),
        )
        for n in range(count[0] * count[1])
    ]
    note = f"{odd} of {count[0] * count[1]} flowers in another colour"
    return stamped(("near", "odd-ones"), Cell(*sides_mm), stamps, ground, way="two-way", note=note)


def _half_apart(places: Image, count: list[int]) -> bool:
    """Whether two places lie half the repeat from one another, which makes it smaller."""
    (x, u), (y, v) = np.array(places) % count[0], np.array(places) // count[0]
    return bool(2 * (x - u) % count[0] == 0 and 2 * (y - v) % count[1] == 0)


def doubled_sequence(rng: Rng, repeat_mm: float, inks: list[Colour], *, change: float) -> Sequence:
    """Bars of half the repeat, twice, with one bar of the second run wider by ``change`` (0.1 to 0.25)."""
    half = bars.random_sequence(rng, repeat_mm / 2, inks, even=len(inks) < 3)
    second = list(half)
    # not the narrowest bar: a tenth of next to nothing could not be seen by anyone
    place = int(np.argsort([w for w, _ in half])[int(rng.integers(len(half) // 2, len(half)))])
    width, ink = second[place]
    second[place] = (width * (1 + change), ink)
    whole = [*half, *second]
    scale = repeat_mm / bars.period(whole)
    return [(w * scale, c) for w, c in whole]


def near_stripe(rng: Rng, repeat_mm: float, *, change: float, angle_deg: float = 0.0) -> Art:
    """A stripe that nearly repeats twice in its period."""
    ground = colours.ground(rng)
    inks = [ground, *colours.inks(rng, int(rng.integers(1, 4)), ground)]
    sequence = doubled_sequence(rng, repeat_mm, inks, change=change)
    note = f"one bar {100 * change:.0f} % wider in every second run"
    return replace(bars.stripe("near-stripe", sequence, angle_deg=angle_deg, note=note), family="near")


def near_plaid(rng: Rng, repeat_mm: float, *, change: float) -> Art:
    """A plaid that nearly repeats twice in its period, both ways."""
    ground = colours.ground(rng)
    inks = [ground, *colours.inks(rng, int(rng.integers(2, 4)), ground)]
    warp = doubled_sequence(rng, repeat_mm, inks, change=change)
    note = f"one bar {100 * change:.0f} % wider in every second run"
    return bars.check("near-plaid", warp, warp, family="near", note=note)


def faint_plaid(rng: Rng, repeat_mm: float, *, distance: float) -> Art:
    """Strong stripes along with faint cross lines ``distance`` Delta E off the stripe they lie on."""
    ground = colours.ground(rng)
    inks = [ground, *colours.inks(rng, int(rng.integers(1, 3)), ground)]
    warp = bars.random_sequence(rng, repeat_mm, inks, even=True)
    cross = repeat_mm * rng.uniform(0.5, 1.2)
    line = cross * rng.uniform(0.1, 0.25)
    shifted = np.asarray(colours.near(rng, ground, distance), float) - np.asarray(ground, float)
    weft: Sequence = [(line, (255, 255, 255)), (cross - line, (0, 0, 0))]

    def paint(raster: Raster) -> Image:
        x, y = raster.grid()
        cover = profile(weft, y.ravel(), raster.mm[1])[:, None, :1] / 255
        return to_image(profile(warp, x.ravel(), raster.mm[0])[None] + cover * shifted)

    art = bars.check("faint-plaid", warp, weft, family="near", note=f"cross lines {distance:.1f} Delta E")
    return replace(art, paint=paint, way="two-way", bars_along=())


def graph_paper(rng: Rng, repeat_mm: float, *, every: int = 5) -> Art:
    """A fine grid with every fifth or tenth line heavier: the heavy lines make the repeat."""
    ground = colours.ink(rng, (90, 98), (0, 8))
    (ink,) = colours.inks(rng, 1, ground)
    fine = repeat_mm / every
    thin, thick = 0.09 * fine, 0.2 * fine
    beside = fine - (thick + thin) / 2  # lines are centred on the grid
    sequence: Sequence = [(thick, ink), (beside, ground)]
    for i in range(every - 1):
        sequence += [(thin, ink), (beside if i == every - 2 else fine - thin, ground)]
    note = f"every {every}th line heavier"
    return replace(bars.printed_check("graph-paper", sequence, sequence, ground, note=note), family="near")


def motifs_on_stripe(rng: Rng, repeat_mm: float, *, crosswise: bool = False) -> Art:
    """Bold stripes with small figures standing on some of them: nearly a stripe, were it not for those."""
    ground = colours.ground(rng)
    inks = [ground, *colours.inks(rng, int(rng.integers(1, 4)), ground)]
    sequence = bars.random_sequence(rng, repeat_mm, inks, even=True)
    widest = max(width for width, _ in sequence)
    step = widest * rng.uniform(0.6, 1.8)
    drop = HALF if rng.random() < 0.4 else Fraction(0)
    stamps = _on_bars(rng, sequence, step, crosswise=crosswise)
    cell = Cell(repeat_mm, step, drop)
    if crosswise:  # the figures of the next stripe stand half a step aside, or over these
        cell = Cell(step / 2, 2 * repeat_mm, HALF) if drop else Cell(step, repeat_mm)
    size = stamps[0].size_mm
    art = stamped(
        ("near", "motifs-on-stripe"), cell, stamps, ground, way=None, note=f"motifs of {size:.1f} mm"
    )

    def paint(raster: Raster) -> Image:
        x, y = raster.grid()
        at, across = (y, raster.mm[1]) if crosswise else (x, raster.mm[0])
        lines = to_image(profile(sequence, at.ravel(), across)).reshape(
            (-1, 1, 3) if crosswise else (1, -1, 3)
        )
        under = np.broadcast_to(lines, (raster.height, raster.width, 3))
        return paint_cell(raster, cell, stamps, ground, under=under)

    return replace(art, paint=paint, loose=None)


def _on_bars(rng: Rng, sequence: Sequence, step_mm: float, *, crosswise: bool) -> list[Stamp]:
    """A figure in the middle of the widest bar, and of others wide enough; one along the bar each."""
    widths = np.array([width for width, _ in sequence])
    middles = np.cumsum(widths) - widths / 2
    stamps: list[Stamp] = []
    for place in np.argsort(-widths):
        if stamps and (widths[place] < WIDE_ENOUGH * widths.max() or rng.random() < 0.5):
            continue
        figure = ON_STRIPES[int(rng.integers(len(ON_STRIPES)))]()
        size = rng.uniform(0.35, 0.8) * min(float(widths[place]), step_mm)
        along = float(rng.uniform(0, step_mm))
        at = (along, float(middles[place])) if crosswise else (float(middles[place]), along)
        stamps.append(Stamp(figure, at, size, tuple(colours.inks(rng, 3, sequence[place][1]))))
    return stamps
