"""Cloth that shows no repeat: plain, scatter, carpet, prints larger than the photo; and a decoy."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import cv2
import numpy as np

from printcheck.core.measurement import RepeatKind
from tests.drawn import colours, figures
from tests.drawn.art import HALF, Art, Cell, Image, Raster, to_image
from tests.drawn.stamps import Stamp, stamped

Rng = np.random.Generator


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
