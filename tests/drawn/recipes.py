"""Recipes: for each kind of print, one at random that suits the view. The corpora draw from these."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from tests.drawn import geometric, nearly, prints
from tests.drawn.art import HALF, Art, Cell

Rng = np.random.Generator
LEAST_MM = 3.0  # smallest repeat asked for
LEAST_PX = 9.0  # and in pixels: below this no camera shows the motif
NEARLY_SQUARE = 0.12
LARGEST_SHARE = 0.64  # of the view's short side: one and a half repeats are in sight


@dataclass(frozen=True)
class Room:
    """The view a print has to suit: its sides in mm, and mm per pixel."""

    width_mm: float
    height_mm: float
    mm_per_px: float

    def size(
        self, rng: Rng, low: float = 0.0, high: float = LARGEST_SHARE, *, least_px: float = LEAST_PX
    ) -> float:
        """A repeat in mm, spread evenly over its logarithm, between two shares of the short side."""
        short = min(self.width_mm, self.height_mm)
        least = max(LEAST_MM, least_px * self.mm_per_px, low * short)
        most = max(high * short, least * 1.05)
        return float(math.exp(rng.uniform(math.log(least), math.log(most))))

    def cell(
        self,
        rng: Rng,
        low: float,
        high: float = LARGEST_SHARE,
        *,
        drops: tuple[Fraction, ...] = (Fraction(0), HALF),
    ) -> Cell:
        """A cell of random proportions, its lengthwise repeat between two shares of the view."""
        along = self.size(rng, low, high, least_px=24)
        drop = drops[int(rng.integers(len(drops)))]
        ratio = rng.uniform(0.75, 1.3)
        if abs(ratio - 1) < NEARLY_SQUARE:
            ratio = 1.0  # square or plainly not: between them nobody can say whether a quarter turn shows
        across = along * ratio * (0.5 if drop == HALF else 1.0)
        return Cell(min(across, high * self.width_mm), along, drop)


def _layout(rng: Rng) -> str:
    return str(rng.choice(["straight", "half-drop", "brick", "hexagonal"]))


def _scheme(rng: Rng) -> str:
    return str(rng.choice(["tone", "micro"], p=[0.6, 0.4]))


def _schemed(rng: Rng, room: Room, scheme: str) -> Art:
    pick = int(rng.integers(4))
    if pick == 0:
        return prints.dots(rng, room.size(rng, 0.05, 0.3, least_px=30), layout=_layout(rng), scheme=scheme)
    if pick == 1:
        return prints.one_motif(rng, room.cell(rng, 0.15, 0.5), scheme=scheme)
    if pick == 2:
        return prints.floral(rng, room.cell(rng, 0.3, 0.6), scheme=scheme)
    return _geometric(rng, room, scheme)


def _geometric(rng: Rng, room: Room, scheme: str = "normal") -> Art:
    name = str(rng.choice(sorted(geometric.KINDS)))
    return geometric.KINDS[name](rng, room.size(rng, 0.03, 0.4, least_px=24), scheme)


def _drop(rng: Rng, room: Room) -> Art:
    drops = (Fraction(1, 3), Fraction(2, 3), Fraction(1, 4), Fraction(3, 4))
    cell = room.cell(rng, 0.2, 0.6, drops=drops)
    cell = Cell(cell.across * 0.45, cell.along, cell.drop)  # columns close together: several are in sight
    return prints.one_motif(rng, cell, share=0.7) if rng.random() < 0.6 else prints.emblem(rng, cell)


def _heads(heads: str) -> Callable[[Rng, Room], Art]:
    def draw(rng: Rng, room: Room) -> Art:
        kinds = int(rng.integers(1, 3)) if heads != "tossed" else int(rng.integers(2, 4))
        count = int(rng.integers(3, 9)) if heads == "tossed" else int(rng.integers(2, 7))
        return prints.figures_print(
            rng, room.cell(rng, 0.25, 0.6), heads=heads, count=max(count, kinds), kinds=kinds
        )

    return draw


def _many(rng: Rng, room: Room) -> Art:
    count = int(rng.integers(8, 13))
    return prints.figures_print(rng, room.cell(rng, 0.35, 0.6), heads="one-way", count=count, kinds=4)


def _ditsy(rng: Rng, room: Room) -> Art:
    flower = max(rng.uniform(2, 7), 9 * room.mm_per_px)
    cell = room.cell(rng, 0.15, 0.45)
    grow = max(1.0, 3.2 * flower / min(cell.across, cell.along))  # room for a handful of flowers
    return prints.ditsy(rng, Cell(cell.across * grow, cell.along * grow, cell.drop), flower_mm=flower)


def _beyond(rng: Rng, room: Room) -> Art:
    unit = room.width_mm * rng.uniform(1.15, 1.8)
    cell = Cell(unit, unit * rng.uniform(0.9, 1.2))
    pick = int(rng.integers(3))
    if pick == 0:
        return prints.beyond(prints.floral(rng, cell))
    if pick == 1:
        return prints.beyond(prints.floral(rng, cell, packed=True))
    return prints.beyond(prints.figures_print(rng, cell, heads="tossed", count=9, kinds=4))


def _plaid(rng: Rng, room: Room, even: bool) -> Art:
    return prints.plaid(rng, room.size(rng, 0.1, least_px=50), even=even, square=bool(rng.random() < 0.6))


def _stripe(rng: Rng, room: Room, even: bool) -> Art:
    angle = float(rng.choice([0, 0, 90, rng.uniform(20, 70), -rng.uniform(20, 70)]))
    return prints.stripe(rng, room.size(rng, least_px=26), even=even, angle_deg=angle)


def _near_dots(rng: Rng, room: Room) -> Art:
    pattern = str(rng.choice(nearly.PATTERNS))
    return nearly.alternating_dots(
        rng, room.size(rng, 0.04, 0.22, least_px=24), distance=rng.uniform(5, 20), pattern=pattern
    )


def _near_figures(what: str) -> Callable[[Rng, Room], Art]:
    def draw(rng: Rng, room: Room) -> Art:
        pattern = str(rng.choice(nearly.PATTERNS))
        step = room.size(rng, 0.09, 0.24, least_px=70)
        return nearly.alternating_figures(rng, step, what=what, pattern=pattern)

    return draw


def _near_stripe(rng: Rng, room: Room) -> Art:
    angle = float(rng.choice([0, 0, 90, rng.uniform(25, 65)]))
    return nearly.near_stripe(
        rng, room.size(rng, 0.1, 0.33, least_px=70), change=rng.uniform(0.1, 0.25), angle_deg=angle
    )


def _near_plaid(rng: Rng, room: Room) -> Art:
    return nearly.near_plaid(rng, room.size(rng, 0.15, 0.33, least_px=90), change=rng.uniform(0.1, 0.25))


def _faint_plaid(rng: Rng, room: Room) -> Art:
    return nearly.faint_plaid(rng, room.size(rng, 0.1, 0.4, least_px=50), distance=rng.uniform(4, 12))


def _graph_paper(rng: Rng, room: Room) -> Art:
    return nearly.graph_paper(rng, room.size(rng, 0.1, 0.4, least_px=80), every=int(rng.choice([5, 10])))


def _motifs_on_stripe(rng: Rng, room: Room) -> Art:
    size = room.size(rng, 0.1, 0.5, least_px=120)
    return nearly.motifs_on_stripe(rng, size, crosswise=bool(rng.random() < 0.3))


Recipe = Callable[[Rng, Room], Art]

LATTICE: dict[str, Recipe] = {
    "dots": lambda r, room: prints.dots(r, room.size(r, high=0.5), layout=_layout(r)),
    "gingham": lambda r, room: prints.gingham(r, room.size(r)),
    "window": lambda r, room: prints.window_check(r, room.size(r, least_px=20)),
    "even-plaid": lambda r, room: _plaid(r, room, True),
    "uneven-plaid": lambda r, room: _plaid(r, room, False),
    "even-stripe": lambda r, room: _stripe(r, room, True),
    "uneven-stripe": lambda r, room: _stripe(r, room, False),
    "pin-stripe": lambda r, room: prints.pin_stripe(
        r, room.size(r, 0.03, 0.3, least_px=20), angle_deg=float(r.choice([0, 90, 45]))
    ),
    "ditsy": _ditsy,
    "one-motif": lambda r, room: prints.one_motif(r, room.cell(r, 0.1)),
    "emblem": lambda r, room: prints.emblem(r, room.cell(r, 0.08, 0.5)),
    "motifs-one-way": _heads("one-way"),
    "motifs-two-way": _heads("two-way"),
    "motifs-tossed": _heads("tossed"),
    "many-motifs": _many,
    "floral": lambda r, room: prints.floral(r, room.cell(r, 0.25)),
    "packed-floral": lambda r, room: prints.floral(r, room.cell(r, 0.25), packed=True),
    "skin": lambda r, room: prints.skin(r, room.cell(r, 0.3, 0.6), spot_mm=room.size(r, 0.04, 0.09)),
    "geometric": _geometric,
    "tone-on-tone": lambda r, room: _schemed(r, room, _scheme(r)),
    "hue-only": lambda r, room: _schemed(r, room, "hue"),
    "drops": _drop,
}
WITHOUT: dict[str, Recipe] = {
    "plain": lambda r, room: prints.plain(r),
    "scatter": lambda r, room: prints.scatter(r, room.width_mm, spot_mm=room.size(r, 0.03, 0.1)),
    "carpet": lambda r, room: prints.carpet(r, room.width_mm, grain_mm=max(1.5, 4 * room.mm_per_px)),
    "beyond": _beyond,
}
NEAR: dict[str, Recipe] = {
    "alternating-dots": _near_dots,
    "alternating-facing": _near_figures("facing"),
    "alternating-turned": _near_figures("turned"),
    "alternating-colour": _near_figures("colour"),
    "alternating-size": _near_figures("size"),
    "alternating-detail": _near_figures("detail"),
    "near-stripe": _near_stripe,
    "near-plaid": _near_plaid,
    "faint-plaid": _faint_plaid,
    "graph-paper": _graph_paper,
    "motifs-on-stripe": _motifs_on_stripe,
}
