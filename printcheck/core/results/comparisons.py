"""A length at hand, other widths, and several cloths or projects side by side, as plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from printcheck.core.findings import Finding
from printcheck.core.measurement import Level, Needs

Match = Literal["all", "visible", "none"]  # seams whose match is kept

GivenUp = Literal[
    "hidden seams",
    "matching the sleeves",
    "hidden pieces",
    "matching",
    "length",
    "fullness",
    "width",
    "together",
]


@dataclass(frozen=True)
class GiveUp:
    """One thing to give up where the cloth at hand is too short, and the length that is needed then.

    ``by_mm`` is how much shorter or narrower ``pieces`` become; None where nothing is made smaller.
    """

    what: GivenUp
    pieces: str
    by_mm: float | None
    needs_mm: float  # before washing, in no steps: it is at hand
    does: bool


@dataclass(frozen=True)
class Have:
    """Whether a length at hand does, before washing; ``give_up`` has what shows least first."""

    length_mm: float
    needs_mm: float
    does: bool
    left_over_mm: float | None
    give_up: tuple[GiveUp, ...] = ()


@dataclass(frozen=True)
class KindAtHand:
    """A built-in project in its usual sizes against a length at hand, before washing.

    ``needs_mm`` is None where a piece is too wide for the cloth.
    """

    kind: str
    title: str
    needs_mm: float | None
    does: bool
    left_over_mm: float | None


@dataclass(frozen=True)
class KindsAtHand:
    """Which built-in projects a length at hand does for, those that leave least over first."""

    have_mm: float
    width_mm: float
    kinds: tuple[KindAtHand, ...]
    schema: str = "printcheck.have/1"


@dataclass(frozen=True)
class ComparedCloth:
    """One of several cloths for the same project."""

    file: str
    print: str  # its print in words
    difficulty: Level
    advised_mm: float
    unmatched_mm: float
    cost: float | None
    waste_share: float  # of what is bought, cut away between the pieces and at the ends


@dataclass(frozen=True)
class Comparison:
    """Several cloths for the same project, side by side in the order they were named."""

    project: str
    currency: str
    cloths: tuple[ComparedCloth, ...]
    schema: str = "printcheck.comparison/1"


@dataclass(frozen=True)
class WidthRow:
    """Lengths and cost on one width of cloth; lengths None where a piece is too wide for it."""

    width_mm: float
    plain_mm: float | None
    one_way_mm: float | None
    matched_mm: float | None
    proved: bool
    buy_mm: float | None  # matched where it can be, else one-way
    cost: float | None
    finding: Finding | None = None  # why it cannot be matched or cut from this width


@dataclass(frozen=True)
class MatchChoice:
    """Length and cost of matching all seams, the visible ones, or none."""

    match: Match
    length_mm: float | None
    extra_mm: float | None
    buy_mm: float | None
    cost: float | None
    seams_matched: int


@dataclass(frozen=True)
class Worth:
    """Is matching worth it: the choices side by side, and what an unmatched seam shows."""

    choices: tuple[MatchChoice, ...]
    pattern_delta_e: float | None
    needs: Needs | None = None  # what a seam needs so as not to show, where it was measured


@dataclass(frozen=True)
class RuleOfThumb:
    """The trade's rule, for comparison: one more repeat for each of so many lengths cut.

    None lengths where the print has no repeat along the cloth, 0 where no seam is to be matched.
    """

    extra_mm: float
    lengths: int | None
