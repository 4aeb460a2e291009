"""What is measured of a print: the words every stage speaks. Plain data, units in the names.

The field names of :class:`Measurement` and its parts are the keys of the JSON document
``printcheck.measurement/2``. Vectors are ``(across, along)`` on the cloth's own axes. Where the photo has
no known scale, ``scale`` and every field in millimetres is None, and the sizes stand in the fields that
end in ``_px``: photo pixels, after the photo's orientation, at its middle.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from printcheck.core.findings import Finding
from printcheck.core.lattice import Lattice, Vector

if TYPE_CHECKING:
    from collections.abc import Callable

    from printcheck.core.handover import MeanCell

MEASUREMENT_SCHEMA = "printcheck.measurement/2"

ScaleSource = Literal["card", "board", "rule", "sheet", "coin", "rect", "span", "corners", "given"]
RepeatKind = Literal["lattice", "stripe", "none", "beyond-photo"]
Layout = Literal["straight", "half-drop", "drop", "stripe", "none"]
Way = Literal["one-way", "two-way", "four-way", "tossed"]
Family = Literal["stripe", "check", "plaid"]
SizeClass = Literal["small", "medium", "large", "busy", "directional", "stripe", "check", "plain"]
Build = Literal["stripe", "crossed", "squares", "zigzag", "figures"]
"""How a print is built: bars one way, bars crossing, squares in turn, bands that turn, or none of these."""
Verdict = Literal["unseen", "slight", "plain-to-see"]
Needs = Literal["none", "level", "upright", "both"]
Level = Literal["easy", "care", "hard"]


@dataclass(frozen=True)
class PhotoFacts:
    """File name and size of the photo after its EXIF orientation is applied."""

    file: str
    width_px: int
    height_px: int


@dataclass(frozen=True)
class Scale:
    """Millimetres per photo pixel at the picture's centre, its sigma as a share, and the camera's tilt."""

    source: ScaleSource
    mm_per_px: float
    relative_error: float
    tilt_deg: float | None = None  # None where it cannot be known (a coin, a span)
    object: str = ""  # what was found, in words: "bank card", "A6 sheet", "coin 23.25 mm"


@dataclass(frozen=True)
class PrintName:
    """The trade's name of a print, such as ``even-gingham`` and "even gingham"."""

    name: str  # stable word for programs
    text: str


@dataclass(frozen=True)
class Colour:
    """One colour of a print: its plain name, its CIELAB triple (D65), its share of the cloth (0 to 1)."""

    name: str
    lab: tuple[float, float, float]
    share: float


@dataclass(frozen=True)
class Alternative:
    """Another lattice that the picture does not rule out, with its probability (0 to 1)."""

    basis_mm: tuple[Vector, ...]
    basis_px: tuple[Vector, ...]
    probability: float


@dataclass(frozen=True)
class Repeat:
    """The print's repeat.

    ``error_mm`` is one sigma of the worse basis vector, the scale's error included. For
    ``beyond-photo`` ``at_least_mm`` is the largest repeat that was looked for in vain, and a repeat along
    one direction alone stands in ``across_mm`` or ``along_mm``.
    """

    kind: RepeatKind
    layout: Layout = "none"
    drop: float | None = None
    across_mm: float | None = None
    along_mm: float | None = None
    basis_mm: tuple[Vector, ...] = ()
    error_mm: float | None = None
    confidence: float = 0.0
    repeats_seen: float | None = None
    turn_deg: float = 0.0
    skew_deg: float = 0.0
    at_least_mm: float | None = None
    raw_basis_mm: tuple[Vector, ...] = ()  # as pictured: not turned upright, not squared
    across_px: float | None = None
    along_px: float | None = None
    basis_px: tuple[Vector, ...] = ()  # photo pixels (x right, y down) of the vectors of ``basis_mm``
    at_least_px: float | None = None
    alternatives: tuple[Alternative, ...] = ()
    border: bool = False  # what comes again along one direction is a band, with other cloth beside it

    @property
    def known(self) -> bool:
        """Whether a repeat was found, be its size known or not."""
        return self.kind in ("lattice", "stripe")

    @property
    def lattice(self) -> Lattice | None:
        """The lattice, or None where there is none."""
        return Lattice(self.basis_mm) if self.basis_mm else None


@dataclass(frozen=True)
class Motif:
    """The largest motif's box, and how the motifs lie; fields are None where no motif stands apart."""

    width_mm: float | None = None
    height_mm: float | None = None
    count_per_repeat: int | None = None
    cover: float | None = None
    gap_mm: float | None = None
    headings_deg: tuple[float, ...] | None = None
    typical_mm: float | None = None  # median of the larger side over the motifs of one cell
    correlation_length_mm: float | None = None  # for packed prints: where the print forgets itself
    boxes_mm: tuple[tuple[float, float, float, float], ...] = ()
    """Box (left, top, width, height) of each motif of one cell, from the cell's origin."""
    width_px: float | None = None
    height_px: float | None = None
    gap_px: float | None = None


SLANT_DEG = 15.0  # bars further off both of the cloth's axes run on the slant (common practice)
DECIDED = 0.3  # margin of the way below which nobody should cut by it: the tests hardly decide


@dataclass(frozen=True)
class Direction:
    """Which way up the print can lie, and how sure that is (0 undecided to 1)."""

    way: Way | None  # None where the photo cannot tell
    margin: float
    rule: str = ""  # which test decided, for those who want to know

    @property
    def decided(self) -> bool:
        """Whether anybody should cut by it."""
        return self.way is not None and self.margin >= DECIDED


@dataclass(frozen=True)
class Bar:
    """One bar of a stripe, check or plaid, with its sRGB colour ``#rrggbb`` and its width's sigma."""

    width_mm: float | None
    colour: str
    error_mm: float | None = None
    width_px: float | None = None


@dataclass(frozen=True)
class StripeOrCheck:
    """Bars of a stripe, check or plaid; ``balanced_*`` is None along the axis that has no bars."""

    family: Family
    balanced_across: bool | None
    balanced_along: bool | None
    bars: tuple[Bar, ...]  # crosswise sequence (bars that run along the cloth); of a cross stripe the other
    bars_along: tuple[Bar, ...] = ()  # lengthwise sequence, for checks and plaids
    gingham_mm: float | None = None  # one colour band of a gingham
    gingham_px: float | None = None
    angle_deg: float = 0.0  # of the bars from the cloth's nearer axis: 45 is on the true bias

    @property
    def even(self) -> bool:
        """Whether the bars read the same from either end."""
        return self.balanced_across is not False and self.balanced_along is not False


@dataclass(frozen=True)
class Structure:
    """What a print is built of, measured: what its name is told from.

    Parameters
    ----------
    build : Build
    angle_deg : float
        Direction of the bars or squares from the cloth's nearer axis, 0 to 45.
    crosswise : bool
        Whether the bars of a stripe run nearer to across the cloth than along it.
    symmetry : float
        Best correlation of the print with itself turned end for end or mirrored, 0 to 1.
    round_share : float
        Share of the figures' area in round ones.
    one_colour : float
        Share of the largest figure in one colour.
    size_spread : float
        Standard deviation of the figures' sizes over their mean.
    row_pitch_mm : float or None
        Distance of the rows where figures stand closer along a row than the rows do; None without rows.
    ending_share : float
        Share of what is not ground in pieces that end; the rest joins its own copies, as nets and tiles do.
    cover : float
        Share of the cloth that is not ground.
    jump : float
        How far columns of slanting strokes break off from one to the next, in periods, 0 to 0.5.
    two_sided : float
        Share of the edges along the two commonest directions.
    side_deg : float
        Least angle of those two from the cloth's own axes, 0 to 45.
    hide : bool
        Whether the marks are surely those of a hide; not asked where the repeat is known.
    """

    build: Build
    angle_deg: float = 0.0
    crosswise: bool = False
    symmetry: float = 0.0
    round_share: float = 0.0
    one_colour: float = 0.0
    size_spread: float = 0.0
    row_pitch_mm: float | None = None
    ending_share: float = 0.0
    cover: float = 0.0
    jump: float = 0.0
    two_sided: float = 0.0
    side_deg: float = 0.0
    hide: bool = False


@dataclass(frozen=True)
class Clump:
    """Where one colour gathers at garment scale."""

    colour: str
    size_mm: float | None
    spacing_mm: float | None
    strength: float  # Delta E of the gathered colour at a hand's breadth
    at_mm: Vector | None = None  # place in the cell, from its origin
    figures: int | None = None  # in the bunch: 1 is a single heavy figure
    size_px: float | None = None
    spacing_px: float | None = None


@dataclass(frozen=True)
class FiguresAtRisk:
    """Share of the figures along a lengthwise seam that it cuts, laid at random and laid best."""

    cut_at_random: float
    cut_at_best: float


Place = Literal[
    "centre-front", "centre-back", "side", "sleeve", "pocket", "collar", "waistband", "hem"
]  # fmt: skip


@dataclass(frozen=True)
class SeamPlace:
    """What to match at one place of a garment."""

    place: Place
    match: Needs


@dataclass(frozen=True)
class SeamsSeen:
    """What an unmatched seam shows, in CIELAB Delta E filtered for the eye at the viewing distance."""

    mismatch_delta_e: float | None  # None without a scale: both hang on it
    pattern_delta_e: float | None
    viewing_distance_m: float
    verdict: Verdict
    needs: Needs
    places: tuple[SeamPlace, ...] = ()


@dataclass(frozen=True)
class Reason:
    """Why a print is easy or hard; its sentence is made in :mod:`printcheck.report.words.findings`."""

    code: str


@dataclass(frozen=True)
class Difficulty:
    """How hard the print is to sew with."""

    level: Level
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class PrintFacts:
    """What is read from the cells and their motifs, to be judged."""

    motif: Motif
    direction: Direction
    stripe_or_check: StripeOrCheck | None = None
    clump: Clump | None = None
    figures: FiguresAtRisk | None = None
    findings: tuple[Finding, ...] = ()
    colours: tuple[Colour, ...] = ()
    structure: Structure | None = None
    swatch: MeanCell | None = field(default=None, compare=False)
    """The picture itself in place of a cell, where a print has no known repeat."""
    clump_at: Callable[[float], Clump | None] | None = field(default=None, compare=False)
    """The clump were the print so many times as large: a hand's breadth does not grow with it."""


@dataclass(frozen=True)
class Judgement:
    """What a teacher of sewing would say of the facts."""

    classes: tuple[SizeClass, ...]
    seams: SeamsSeen
    difficulty: Difficulty
    findings: tuple[Finding, ...] = ()
    print_name: PrintName | None = None


@dataclass(frozen=True)
class Measurement:
    """Everything ``printcheck measure`` says of one photo."""

    photo: PhotoFacts
    scale: Scale | None
    repeat: Repeat
    motif: Motif
    direction: Direction
    stripe_or_check: StripeOrCheck | None
    clump: Clump | None
    classes: tuple[SizeClass, ...]
    seams: SeamsSeen
    difficulty: Difficulty
    figures: FiguresAtRisk | None = None
    findings: tuple[Finding, ...] = ()
    print_name: PrintName | None = None
    colours: tuple[Colour, ...] = ()  # the ground first, then by share
    schema: str = MEASUREMENT_SCHEMA
