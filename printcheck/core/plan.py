"""What is cut and bought: a sewing project and its cutting layouts, as plain data.

Everything stands on washed cloth, in millimetres; ``x`` runs across from the left edge of the usable
width, ``y`` along from the cut end. The field names of :class:`LengthPlan` are the keys of the JSON
document ``printcheck.length/1``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from printcheck.core.findings import Finding
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.measurement import Family, Layout, Needs, Way
from printcheck.core.results.comparisons import Have, RuleOfThumb, WidthRow, Worth

LENGTH_SCHEMA = "printcheck.length/1"
MOST_PIECES = 100  # copies in one project: beyond it neither bound nor layout is worth the wait
EPS_MM = 1e-6  # mm: rounding noise of sums of lengths
MATCH_TOLERANCE_MM = 0.5  # the contract's: a match holds within this

MatchKind = Literal["both", "level", "upright"]
Turn = Literal["half", "none"]
PlaceOn = Literal["motif", "between"]
Join = Literal["selvedge", "lap"]
Feature = Literal["motif", "bar", "crossing", "spot"]  # what of a print is looked for on the cloth


@dataclass(frozen=True)
class Cloth:
    """Cloth as sold. ``width_mm`` and ``selvedge_mm`` are before washing.

    ``join`` says how full widths are sewn together: at the selvedge's inner edge, as furnishing cloth is
    printed to be, or lapped over until the figure meets; None takes the selvedge where the usable
    width is a whole number of the print's columns.
    """

    width_mm: float
    selvedge_mm: float = 0.0
    shrink_along: float = 0.0
    shrink_across: float = 0.0
    sold_by_mm: float = 100.0
    price: float | None = None
    price_per_mm: float = 1000.0
    currency: str = ""
    join: Join | None = None  # how full widths are joined; None: at the selvedge where columns are whole

    @property
    def usable_width_mm(self) -> float:
        """Usable width after washing."""
        return (self.width_mm - 2 * self.selvedge_mm) * (1 - self.shrink_across)


@dataclass(frozen=True)
class Print:
    """The print on the cloth as sold (before washing); ``lattice`` None for plain cloth.

    ``error_share`` is one sigma of the repeat as a share. A print off square to the selvedge (skew) has
    the lattice it was meant to have, and ``skew_deg`` says by how much its rows lean, the right side down.
    """

    lattice: Lattice | None
    layout: Layout
    way: Way
    source: str  # "photo", "measurement", "command line", "project" or "none"
    error_share: float = 0.0
    motif_width_mm: float | None = None
    motif_height_mm: float | None = None
    border: bool = False  # a border print, its design along one selvedge
    pattern_delta_e: float | None = None  # what an unmatched seam shows, where it was measured
    needs: Needs | None = None  # what a seam needs so as not to show, where it was measured
    skew_deg: float = 0.0
    motif_from_selvedge_mm: float | None = None  # left selvedge's inner edge to a motif's middle, as sold
    family: Family | None = None  # of a stripe, check or plaid, where it was measured

    @property
    def turns_alone(self) -> bool:
        """Whether pieces may turn one by one about the print's own centre lines (an even plaid's bars).

        It must be known that a half turn changes nothing: on a four-way print, or a two-way stripe,
        check or plaid.
        """
        return self.way == "four-way" or (self.way == "two-way" and self.family is not None)

    @property
    def feature(self) -> Feature:
        """What of the print one looks for on the cloth to lay a piece by."""
        if self.family in ("check", "plaid"):
            return "crossing"
        if self.family == "stripe" or (self.lattice is not None and self.lattice.is_stripe):
            return "bar"
        return "spot" if self.motif_width_mm is None else "motif"


@dataclass(frozen=True)
class Piece:
    """One copy of a pattern piece as cut, in its own coordinates (mm, washed cloth).

    ``outline`` is closed, counted from the box's corner nearest the origin; a rectangle has none.
    ``on_border``: on a border print the piece lies on the border, otherwise it is cut from the field of the
    cloth. ``on_fold``: the piece is symmetrical about its lengthwise middle, so that half of it can be cut
    with the middle on the fold of the cloth.
    """

    name: str  # "front#1"
    width_mm: float
    length_mm: float
    outline: tuple[Vector, ...] = ()
    mirrored: bool = False
    turn: Turn = "half"
    on_border: bool = True  # whether it shows the border of a border print
    on_fold: bool = False

    @property
    def ring(self) -> tuple[Vector, ...]:
        """Outline, that of a rectangle too."""
        width, length = self.width_mm, self.length_mm
        return self.outline or ((0.0, 0.0), (width, 0.0), (width, length), (0.0, length))


@dataclass(frozen=True)
class SeamEnd:
    """A point of one copy that is sewn onto a point of another."""

    piece: str
    at: Vector


@dataclass(frozen=True)
class Seam:
    """Two points that lie on each other once sewn, and what of the print must run on there."""

    join: tuple[SeamEnd, SeamEnd]
    match: MatchKind = "both"
    visible: bool = True  # seen when the thing is worn or used
    name: str = ""  # where it is on the thing: "centre front", "side", "sleeve"


@dataclass(frozen=True)
class Place:
    """A point of a piece to be put on the print."""

    piece: str
    at: Vector
    on: PlaceOn = "motif"


@dataclass(frozen=True)
class Project:
    """A sewing project: cloth, print if the file names one, pieces (every copy), seams, places."""

    name: str
    cloth: Cloth
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...] = ()
    places: tuple[Place, ...] = ()
    print: Print | None = None
    kind: str = ""  # of a built-in project, which is drawn anew for another cloth or print
    findings: tuple[Finding, ...] = ()
    sizes: tuple[tuple[str, str], ...] = ()  # of a built-in project, as text


@dataclass(frozen=True)
class Placement:
    """Where a copy lies: the corner of its box nearest the origin, turned end for end or not.

    ``crosswise`` is for border prints alone: the piece lies a quarter turn round, its foot towards the
    right selvedge, so its box is as wide as the piece is long.
    """

    piece: str
    x_mm: float
    y_mm: float
    turned: bool = False
    mirrored: bool = False
    crosswise: bool = False


def point_on_cloth(piece: Piece, spot: Placement, at: Vector) -> Vector:
    """Place on washed cloth of a point of a piece."""
    x, y = at
    if spot.turned:
        x, y = piece.width_mm - x, piece.length_mm - y
    if spot.crosswise:  # a quarter turn: the piece's foot points to the right selvedge
        x, y = y, piece.width_mm - x
    return spot.x_mm + x, spot.y_mm + y


def outline_on_cloth(piece: Piece, spot: Placement) -> tuple[Vector, ...]:
    """Outline of a placed piece on washed cloth, turned as it lies."""
    return tuple(point_on_cloth(piece, spot, point) for point in piece.ring)


def box_on_cloth(piece: Piece, spot: Placement) -> tuple[float, float, float, float]:
    """Left, top, width and length of a piece's box as it lies."""
    size = (piece.width_mm, piece.length_mm)
    return (spot.x_mm, spot.y_mm, *(size[::-1] if spot.crosswise else size))


@dataclass(frozen=True)
class CutLayout:
    """A cutting layout, its length, a proven lower bound, and whether the two meet."""

    length_mm: float
    bound_mm: float
    proved: bool
    solve_s: float
    placements: tuple[Placement, ...]


@dataclass(frozen=True)
class Buy:
    """What to buy, before washing, rounded up to the shop's step; costs None without a price."""

    plain_mm: float
    one_way_mm: float
    matched_mm: float | None
    plain_cost: float | None = None
    one_way_cost: float | None = None
    matched_cost: float | None = None
    currency: str = ""
    advised_mm: float = 0.0  # what the answer tells the buyer to buy
    unmatched_mm: float = 0.0  # the same with no seam matched, turned only where the print allows it
    advised_cost: float | None = None
    unmatched_cost: float | None = None
    worst_mm: float = 0.0  # with the start declined or the repeat as far off as it may be
    worst_cost: float | None = None


@dataclass(frozen=True)
class SeamResidual:
    """How far a seam of the matched layout is from a match."""

    join: tuple[SeamEnd, SeamEnd]
    match: MatchKind
    residual_mm: float | None  # None where the matched layout could not be made


@dataclass(frozen=True)
class ClothFacts:
    """Cloth as the plan used it."""

    width_mm: float
    usable_width_mm: float
    shrink_along: float
    shrink_across: float

    @property
    def selvedge_mm(self) -> float:
        """Width of one selvedge after washing."""
        return max(0.0, (self.width_mm * (1 - self.shrink_across) - self.usable_width_mm) / 2)


@dataclass(frozen=True)
class PrintUsed:
    """Print as the plan used it, after washing."""

    basis_mm: tuple[Vector, ...]
    layout: Layout
    way: Way
    source: str


@dataclass(frozen=True)
class RepeatError:
    """What the error of the repeat does to the matched length.

    ``safe_mm`` is the length on which one and the same plan (the same lattice steps and neighbours)
    holds for every repeat within ``share`` either way; None where no such plan was found.
    """

    share: float
    safe_mm: float | None


@dataclass(frozen=True)
class FiguresCut:
    """Motifs that the cut lines of the matched layout cross, and the print's place it takes for it.

    ``motif_at_mm`` is the centre of one motif, on washed cloth, with ``x`` from the left edge of the
    usable width and ``y`` from the cut end.
    """

    cut: int
    touched: int  # motifs that lie on a piece at all, wholly or in part
    motif_at_mm: Vector


@dataclass(frozen=True)
class PrintStart:
    """Where the print lies under a layout: its phase, on washed cloth.

    ``at_mm`` is the middle of one ``feature`` of the print near the cut end, ``x`` from the left edge of
    the usable width; a stripe leaves the side along its bars open (None). ``tied`` says that a piece is
    laid by the print itself; otherwise the phase is the one that cuts the fewest motifs. Cloth has its
    print where it has it: ``slide_mm`` is how far the whole layout may move left and right to follow it,
    and ``column_mm`` how far it may have to at most: 0 where columns are known to lie so from the selvedge.
    """

    feature: Feature
    at_mm: tuple[float | None, float | None]
    tied: bool
    slide_mm: Vector
    column_mm: float


@dataclass(frozen=True)
class StepMatch:
    """A seam that ties a piece to one that lies already: number in ``seams`` from 1, the other piece.

    ``at_mm`` is this piece's seam point on the cloth, ``x`` from the left edge of the usable width.
    """

    seam: int
    piece: str
    match: MatchKind
    at_mm: Vector


@dataclass(frozen=True)
class CuttingStep:
    """One piece laid, in the order of the work.

    ``x_mm`` and ``y_mm`` are those of its placement, ``width_mm`` and ``length_mm`` those of its box as
    it lies; ``places_mm`` are points that lie on the print (on a motif or between), ``room_mm`` how far
    it could move left, right, up and down before its box meets another's or the cloth's edge.
    """

    letter: str
    piece: str
    x_mm: float
    y_mm: float
    width_mm: float
    length_mm: float
    turned: bool = False
    mirrored: bool = False
    crosswise: bool = False
    matches: tuple[StepMatch, ...] = ()
    places_mm: tuple[tuple[float, float, PlaceOn], ...] = ()
    room_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    free: bool = False  # tied to nothing: cut last, from what is left
    repeats_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)  # of the room, in whole repeats
    on_fold: bool = False  # its paper is half


@dataclass(frozen=True)
class CutDouble:
    """The same pieces cut double, the cloth folded selvedge to selvedge, with no seam matched.

    ``placements`` stand on the folded cloth, ``x_mm`` from the fold; a pair has both its names, and a
    piece that lies at the fold by half says so.
    """

    length_mm: float
    buy_mm: float
    cost: float | None
    placements: tuple[Placement, ...]


@dataclass(frozen=True)
class LengthPlan:
    """Everything ``printcheck length`` says of one project.

    ``layout`` is the one that is bought: the shortest that the print and the wished matches allow. Where
    the print bears it, pieces that no match ties lie turned in it, so it can be shorter than ``one_way``.
    """

    project: str
    cloth: ClothFacts
    print: PrintUsed
    plain: CutLayout
    one_way: CutLayout
    matched: CutLayout | None
    extra_mm: float | None
    buy: Buy
    seams: tuple[SeamResidual, ...]
    rule_of_thumb: RuleOfThumb
    findings: tuple[Finding, ...] = ()
    repeat_error: RepeatError | None = None
    figures: FiguresCut | None = None
    worth: Worth | None = None
    widths: tuple[WidthRow, ...] = ()  # other widths of the same cloth, where they were asked for
    start: PrintStart | None = None  # None where the layout leaves open where the print lies
    steps: tuple[CuttingStep, ...] = ()  # of the matched layout, or the one-way one where none matches
    have: Have | None = None  # where a length at hand was named
    double: CutDouble | None = None  # None where a piece is too wide for the folded cloth
    layout: CutLayout | None = None
    start_allowance_mm: float = 0.0  # in what is bought: the shop's cut falls anywhere on the print
    schema: str = LENGTH_SCHEMA
