"""What a built-in kind is made of: its own few sizes, and rows that become pieces, seams and places."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from printcheck.core.findings import Finding
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.plan import Cloth, MatchKind, PlaceOn, Turn

SizeKind = Literal["length", "number", "count"]

SEAM_MM = 15.0  # mm: seam allowance of garments, common practice (1.5 cm, 5/8 in)
# usual widths and shrinkages, from memory; what the maker states or a washed sample shows is better
COTTON = Cloth(1400.0, selvedge_mm=10.0, shrink_along=0.04, shrink_across=0.02)
CURTAINING = Cloth(1400.0, selvedge_mm=10.0, shrink_along=0.03, shrink_across=0.03)  # at most, ASTM D3691


@dataclass(frozen=True)
class Size:
    """A size the user may set: as text, what it means, and the range it may have.

    ``least`` and ``most`` are millimetres for a length.
    """

    default: str
    text: str
    kind: SizeKind = "length"
    least: float = 1.0
    most: float = 20_000.0


@dataclass(frozen=True)
class PieceRow:
    """A piece as cut, allowances included, and how many copies; ``mirrored``: every second copy is."""

    name: str
    width_mm: float
    length_mm: float
    count: int = 1
    mirrored: bool = False
    turn: Turn = "half"
    on_border: bool = True  # whether it shows the border of a border print


@dataclass(frozen=True)
class SeamRow:
    """Two points that lie on each other once sewn; ``visible`` when the thing is worn or used."""

    first: str
    at_first: Vector
    second: str
    at_second: Vector
    match: MatchKind
    visible: bool = True


@dataclass(frozen=True)
class PlaceRow:
    """A point of a copy to be put on a motif or between motifs."""

    piece: str
    at: Vector
    on: PlaceOn = "motif"


@dataclass(frozen=True)
class Draft:
    """A kind drawn in its sizes; ``findings`` say what the sizes come to, for the user."""

    pieces: tuple[PieceRow, ...]
    seams: tuple[SeamRow, ...] = ()
    places: tuple[PlaceRow, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Room:
    """What a kind is drawn for: the usable width of washed cloth, and the print's lattice on it."""

    usable_mm: float
    lattice: Lattice | None = None

    @property
    def column_mm(self) -> float | None:
        """Step between columns of the print, in mm; None where there are none."""
        if self.lattice is None:
            return None
        if self.lattice.is_stripe:
            return self.lattice.shortest_along_axis(0)
        along = self.lattice.shortest_along_axis(1)
        return None if along is None else self.lattice.area_mm2 / along


@dataclass(frozen=True)
class Kind:
    """A built-in project."""

    name: str
    title: str
    text: str
    sizes: Mapping[str, Size]
    draw: Callable[[Mapping[str, float], Room], Draft]
    cloth: Cloth = COTTON
    findings: tuple[str, ...] = ()  # codes of findings that go with every project of this kind


def count_of_widths(total_mm: float, usable_mm: float) -> int:
    """Widths of cloth that cover a total, rounded up (180 x 2.0 over 137 takes 3).

    Examples
    --------
    >>> count_of_widths(2 * 1370, 1370), count_of_widths(2 * 1370.01, 1370)
    (2, 3)
    """
    return max(1, math.ceil(total_mm / usable_mm - 1e-9))  # 1e-9: rounding of the division, no cloth
