"""A noise-free print of known truth: what is printed, and a painter for one tile of it at any resolution."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from printcheck.core.lattice import Vector
from printcheck.core.measurement import Bar, Layout, RepeatKind, Way

# cv2 and numpy stubs lose the element type at every step, so it is told in words: uint8 and floating
Image = NDArray[Any]
Floats = NDArray[Any]
HALF = Fraction(1, 2)
Colour = tuple[int, int, int]  # blue, green, red, 0 to 255


@dataclass(frozen=True)
class Raster:
    """Pixels laid over one rectangular tile of the print.

    ``mm`` are the sides of one pixel (across, along); the centre of pixel (0, 0) lies half a pixel inside.
    """

    width: int
    height: int
    mm: tuple[float, float]

    def grid(self) -> tuple[Floats, Floats]:
        """Pixel centres in mm: across as a row (1, W), along as a column (H, 1)."""
        x = (np.arange(self.width) + 0.5) * self.mm[0]
        y = (np.arange(self.height) + 0.5) * self.mm[1]
        return x[None, :], y[:, None]

    @property
    def pixel_mm(self) -> float:
        """Mean side of a pixel in mm."""
        return math.sqrt(self.mm[0] * self.mm[1])


@dataclass(frozen=True)
class Hand:
    """Hand-made irregularity: every motif of every cell is a little different from its like.

    Parameters
    ----------
    shift_mm : float
        One sigma of a motif's misplacement, each axis.
    turn_deg, size, shade : float
        One sigma of its turn, of its relative size, and of its lightness (0 to 255 scale).
    """

    shift_mm: float = 0.0
    turn_deg: float = 0.0
    size: float = 0.0
    shade: float = 0.0
    seed: int = 0


Painter = Callable[[Raster], Image]
LoosePainter = Callable[[Raster, tuple[int, int], Hand], Image]


@dataclass(frozen=True)
class Art:
    """One print, noise-free, on the cloth's axes (across right, along down), in millimetres.

    Parameters
    ----------
    family, name : str
        Kind of print for tables, and the variety within it.
    tile_mm : (width, height)
        A rectangle that repeats straight; it may hold several of the smallest cells.
    steps : (across, along)
        The tile's raster has whole multiples of these, so that lattice vectors are whole pixels.
    paint : callable
        Paints one tile, (H, W, 3) uint8 BGR, on the given raster.
    kind, basis_mm, layout, drop, way, motif_mm, headings_deg, motifs_per_cell : truth
        ``basis_mm`` is the SMALLEST lattice; ``motif_mm`` the largest motif's box or None; ``way`` is
        None where even a person could argue.
    bars, bars_along, balanced_across, balanced_along : truth of stripes and checks
    loose : callable or None
        Paints several tiles with hand-made irregularity.
    """

    family: str
    name: str
    tile_mm: tuple[float, float]
    steps: tuple[int, int]
    paint: Painter
    kind: RepeatKind = "lattice"
    basis_mm: tuple[Vector, ...] = ()
    layout: Layout = "straight"
    drop: Fraction | None = None
    way: Way | None = None
    motif_mm: tuple[float, float] | None = None
    headings_deg: tuple[float, ...] | None = None
    motifs_per_cell: int | None = None
    bars: tuple[Bar, ...] = ()
    bars_along: tuple[Bar, ...] = ()
    balanced_across: bool | None = None
    balanced_along: bool | None = None
    note: str = ""
    loose: LoosePainter | None = field(default=None, compare=False)

    def raster(self, mm_per_px: float) -> Raster:
        """Raster of one tile with pixels of about ``mm_per_px``, on which lattice vectors are whole."""
        (w, h), (nx, ny) = self.tile_mm, self.steps
        width = max(1, round(w / mm_per_px / nx)) * nx
        height = max(1, round(h / mm_per_px / ny)) * ny
        return Raster(width, height, (w / width, h / height))

    def tile(self, mm_per_px: float) -> tuple[Image, Raster]:
        """One painted tile, (H, W, 3) uint8 BGR, and its raster."""
        raster = self.raster(mm_per_px)
        return self.paint(raster), raster


@dataclass(frozen=True)
class Cell:
    """Columns ``across`` mm apart, each let down by ``drop * along`` from the last."""

    across: float
    along: float
    drop: Fraction = Fraction(0)

    @property
    def columns(self) -> int:
        """Columns until one lies level again."""
        return self.drop.denominator

    @property
    def tile_mm(self) -> tuple[float, float]:
        """The rectangle that repeats straight."""
        return self.columns * self.across, self.along

    @property
    def steps(self) -> tuple[int, int]:
        """Divisions of the tile at which lattice vectors end."""
        return self.columns, self.columns

    @property
    def basis_mm(self) -> tuple[Vector, Vector]:
        """The two vectors."""
        return (self.across, float(self.drop) * self.along), (0.0, self.along)

    @property
    def layout(self) -> Layout:
        """Its name in the trade."""
        if self.drop == 0:
            return "straight"
        return "half-drop" if self.drop == Fraction(1, 2) else "drop"

    @property
    def is_square(self) -> bool:
        """Whether a quarter turn maps the lattice on itself."""
        if self.drop == 0:
            return math.isclose(self.across, self.along)
        return self.drop == Fraction(1, 2) and math.isclose(2 * self.across, self.along)

    def nodes(self, raster: Raster) -> list[tuple[int, int]]:
        """Whole-pixel shifts of the cells in one tile."""
        dx, dy = raster.width // self.columns, raster.height // self.columns
        return [(i * dx, (i * self.drop.numerator * dy) % raster.height) for i in range(self.columns)]


def mix(ground: Image | Floats, colour: Colour, cover: Floats) -> Floats:
    """Paint ``colour`` over ``ground`` where ``cover`` (H, W), 0 to 1, says so."""
    base = np.asarray(ground, np.float32)
    ink = np.asarray(colour, np.float32)
    return base + (ink - base) * np.asarray(cover, np.float32)[..., None]


def to_image(picture: Floats) -> Image:
    """Rounded to 8 bits."""
    return np.clip(np.rint(picture), 0, 255).astype(np.uint8)
