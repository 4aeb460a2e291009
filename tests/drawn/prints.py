"""Families of prints, each at a size in mm; dots and bars here, motifs and cloth without a repeat beside."""

from __future__ import annotations

import math

import numpy as np

from tests.drawn import bars, colours, figures
from tests.drawn.art import HALF, Art, Cell
from tests.drawn.colours import Scheme
from tests.drawn.empty import beyond, carpet, plain, printed_cards, scatter, without_repeat
from tests.drawn.motifs import ditsy, emblem, figures_print, floral, one_motif, skin, spread
from tests.drawn.stamps import Stamp, stamped

__all__ = [
    "HALF", "beyond", "carpet", "ditsy", "dots", "emblem", "figures_print", "floral", "gingham", "one_motif",
    "pin_stripe", "plaid", "plain", "printed_cards", "scatter", "skin", "spread", "stamped", "stripe",
    "window_check", "without_repeat",
]  # fmt: skip

Rng = np.random.Generator


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
        weft = bars.random_sequence(rng, repeat_mm * rng.uniform(0.6, 1.0), inks, even=even)
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
