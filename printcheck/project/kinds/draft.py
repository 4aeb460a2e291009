"""What a built-in kind is made of: its own few sizes, and rows that become pieces, with seams and places."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from printcheck.core.findings import Finding
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.measurement import Way
from printcheck.core.plan import Cloth, Join, MatchKind, Place, Seam, SeamEnd, Turn

SizeKind = Literal["length", "number", "count", "fullness", "yes-no", "choice"]
Group = Literal["clothes", "home", "small things"]
Values = Mapping[str, float]  # sizes by name: mm, numbers, the place of a choice, 0 or 1 for no or yes
GROUPS: tuple[Group, ...] = ("clothes", "home", "small things")

ROUNDING = 1e-6  # share of a cell's area
DECIMALS = 6  # of a millimetre: outlines begin at 0, not at the rounding of a sine
SEAM_MM = 15.0  # mm: seam allowance of garments, common practice (1.5 cm, 5/8 in)
# usual widths and shrinkages, from memory; what the maker states or a washed sample shows is better
CLOTHS = {
    "cotton": Cloth(1400.0, selvedge_mm=10.0, shrink_along=0.04, shrink_across=0.02),
    "curtaining": Cloth(
        1400.0, selvedge_mm=10.0, shrink_along=0.03, shrink_across=0.03
    ),  # at most, ASTM D3691
    "bed linen": Cloth(2400.0, selvedge_mm=10.0, shrink_along=0.04, shrink_across=0.02),
}


@dataclass(frozen=True)
class Size:
    """A size the user may set: as text, what it means, and the range it may have.

    ``least`` and ``most`` are millimetres for a length. A size without a default is derived from the others.
    """

    default: str = ""
    text: str = ""
    kind: SizeKind = "length"
    least: float = 1.0
    most: float = 20_000.0
    words: tuple[str, ...] = ()  # of a choice
    derive: Callable[[Values], float] | None = None


@dataclass(frozen=True)
class PieceRow:
    """A piece as cut, allowances included, and how many copies; ``mirrored``: every second copy is.

    ``outline`` takes the place of the box of ``width_mm`` and ``length_mm`` it fills.
    """

    name: str
    width_mm: float
    length_mm: float
    count: int = 1
    mirrored: bool = False
    turn: Turn = "half"
    on_border: bool = True  # whether it shows the border of a border print
    on_fold: bool = False  # symmetrical about its lengthwise middle
    outline: tuple[Vector, ...] = ()

    def __post_init__(self) -> None:
        if ring := tuple((round(x, DECIMALS), round(y, DECIMALS)) for x, y in self.outline):
            object.__setattr__(self, "outline", ring)
            object.__setattr__(self, "width_mm", max(x for x, _ in ring))
            object.__setattr__(self, "length_mm", max(y for _, y in ring))

    def copy(self, number: int, at: Vector) -> tuple[str, Vector]:
        """Name of a copy and a point on it, given as on the first one.

        The second of a mirrored pair has the point on its other side; so has the second use of a single
        piece, whose two sides are alike.
        """
        turned_over = number % 2 == 0 and (self.mirrored or self.count == 1)
        x, y = at
        return f"{self.name}#{min(number, self.count)}", (self.width_mm - x, y) if turned_over else at


def sewn(
    name: str,
    first: str,
    at_first: Vector,
    second: str,
    at_second: Vector,
    match: MatchKind,
    visible: bool = True,
) -> Seam:
    """Seam of two points, ``name`` where it is on the thing; ``visible`` when it is worn or used."""
    return Seam((SeamEnd(first, at_first), SeamEnd(second, at_second)), match, visible, name)


@dataclass(frozen=True)
class Draft:
    """A kind drawn in its sizes; ``findings`` say what the sizes come to, for the user."""

    pieces: tuple[PieceRow, ...]
    seams: tuple[Seam, ...] = ()
    places: tuple[Place, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Room:
    """What a kind is drawn for: the washed cloth's usable width and selvedge, and the print on it."""

    usable_mm: float
    lattice: Lattice | None = None
    selvedge_mm: float = 0.0
    join: Join | None = None
    way: Way = "four-way"
    border: bool = False

    @property
    def column_mm(self) -> float | None:
        """Step between columns of the print, in mm; None where there are none."""
        return None if self.lattice is None else self.lattice.column_mm

    @property
    def dropped(self) -> bool:
        """Whether the next column is let down, as on a half-drop."""
        if self.lattice is None or self.lattice.is_stripe:
            return False
        across, along = (self.lattice.shortest_along_axis(axis) for axis in (0, 1))
        return not across or not along or across * along > (1 + ROUNDING) * self.lattice.area_mm2


@dataclass(frozen=True)
class Kind:
    """A built-in project."""

    name: str
    title: str
    text: str
    sizes: Mapping[str, Size]
    draw: Callable[[Values, Room], Draft]
    group: Group = "home"
    also: tuple[str, ...] = ()  # other words for it
    cloth: Cloth = CLOTHS["cotton"]
    findings: tuple[str, ...] = ()  # codes of findings that go with every project of this kind
    unmatched: str = ""  # seams that are not matched, in words
    people: str = ""  # in whose size table its measures stand
    cut: Mapping[str, float] = field(default_factory=dict)  # measures that no size changes


def seam_between(
    name: str,
    first: tuple[PieceRow, Vector],
    second: tuple[PieceRow, Vector],
    match: MatchKind,
    *,
    visible: bool = True,
) -> Seam:
    """Seam between the first copies of two pieces."""
    (a, at_a), (b, at_b) = first[0].copy(1, first[1]), second[0].copy(1, second[1])
    return sewn(name, a, at_a, b, at_b, match, visible)


def centre_seam(name: str, piece: PieceRow, at: Vector) -> Seam:
    """Seam between the two mirrored copies of a piece, the print running on across it."""
    (a, at_a), (b, at_b) = piece.copy(1, at), piece.copy(2, at)
    return sewn(name, a, at_a, b, at_b, "both")


def seams_at_both_sides(
    name: str,
    first: tuple[PieceRow, Vector],
    second: tuple[PieceRow, Vector],
    match: MatchKind = "level",
    *,
    crossed: bool = False,
) -> tuple[Seam, Seam]:
    """Seam at the right and the left of the body; points as on the first copies.

    ``crossed``: a front and a back drawn with their side seams on the same hand lie on opposite sides of
    the body, so the first front meets the second back.
    """
    rows = []
    for number in (1, 2):
        a, at_a = first[0].copy(number, first[1])
        b, at_b = second[0].copy(3 - number if crossed else number, second[1])
        rows.append(sewn(name, a, at_a, b, at_b, match))
    return rows[0], rows[1]
