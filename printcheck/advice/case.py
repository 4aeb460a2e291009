"""The print as the tables ask about it: plain questions with yes, no or a size, None where not known."""

from __future__ import annotations

import math
from dataclasses import dataclass

from printcheck.core.colour import JUST_NOTICEABLE
from printcheck.core.measurement import SLANT_DEG, Bar, PrintFacts, Repeat, StripeOrCheck

ROUND = 0.7  # share of the figures' area in round ones, from which they are dots
ONE_COLOUR = 0.7  # share of a dot in one colour: a ring has half, a disc nearly all
ONE_SIZE = 0.2  # spread of dots of one size over their mean
SYMMETRIC = 0.9  # correlation with the turned or mirrored print, from which forms count as laid out in order
JOINED = 0.4  # share of what is not ground in pieces that end, below which the print is a net or a tiling
BROKEN = 0.25  # of a period: strokes that break off stand half a period apart, bands that turn not at all
TWO_SIDED = 0.75  # share of the edges in two directions: diamonds keep 0.8, hexagons and scales 0.7 at most
SPACED = 0.25  # share of the cloth that is figure, below which gaps are as wide as figures (common practice)
OPEN = 0.5  # share of the cloth that is not ground, below which ground shows between
EQUAL = 0.15  # bar and gap of a gingham differ by less (Fairchild's Dictionary of Textiles: equal)
THIN = 1 / 6  # of the repeat: a line, not a bar (common practice)
DISC = 2.0  # a disc's autocorrelation falls to 1/e at about half its diameter (geometry)


@dataclass(frozen=True)
class Case:
    """One print, at its true size or at the one that is tried."""

    repeat: Repeat
    facts: PrintFacts
    delta_e: float = math.inf  # contrast of the print as the eye has it at the viewing distance
    pattern_delta_e: float = 0.0  # what is left of it at the scale of an inch

    @property
    def plain(self) -> bool:
        """No print at all."""
        return not self.repeat.basis_mm and self.facts.direction.rule == "plain"

    @property
    def known(self) -> bool:
        """The repeat is known."""
        return bool(self.repeat.basis_mm)

    @property
    def border(self) -> bool:
        """A band that comes again along itself alone, with other cloth beside it."""
        return self.repeat.border

    @property
    def build(self) -> str:
        """How the print is built; its measured bars speak before its edges do."""
        bars = self.facts.stripe_or_check
        if self.border:
            return "border"
        if bars is not None:
            return "stripe" if bars.family == "stripe" else "crossed"
        structure = self.facts.structure
        return "figures" if structure is None or structure.hide else structure.build

    @property
    def bars(self) -> StripeOrCheck | None:
        """Measured bars."""
        return self.facts.stripe_or_check

    @property
    def broken(self) -> bool:
        """Bands that break off where they turn: columns of strokes of alternate slant."""
        structure = self.facts.structure
        return self.build == "zigzag" and structure is not None and structure.jump >= BROKEN

    @property
    def slant_deg(self) -> float:
        """Angle of bars or squares from the cloth's nearer axis."""
        structure = self.facts.structure
        return 0.0 if structure is None else structure.angle_deg

    @property
    def slanting(self) -> bool:
        """Bars or squares that run on the slant."""
        return self.slant_deg > SLANT_DEG

    @property
    def crosswise(self) -> bool:
        """A stripe that runs from selvedge to selvedge."""
        if self.bars is not None and self.bars.family == "stripe":
            return self.bars.balanced_across is None
        structure = self.facts.structure
        return structure is not None and structure.crosswise

    @property
    def even(self) -> bool:
        """Bars that read the same from either end, as far as they were measured."""
        return self.bars is None or self.bars.even

    @property
    def contrast_low(self) -> bool:
        """Tone on tone."""
        return self.delta_e < ACCEPTABLE

    # -- sizes, in mm ------------------------------------------------------------------------------

    @property
    def pitch_mm(self) -> float | None:
        """Longer side of the repeat, or the pitch of a stripe."""
        lattice = self.repeat.lattice
        if lattice is None:
            return None
        axes = [mm for mm in (self.repeat.across_mm, self.repeat.along_mm) if mm is not None]
        if self.build == "squares" and len(axes) == 2 and not self.slanting:
            return max(axes)
        return max(math.hypot(a, b) for a, b in lattice.reduced().basis_mm)

    @property
    def figure_mm(self) -> float | None:
        """Longer side of the largest thing the eye takes as one: a figure, a bunch, or part of a pack."""
        motif, clump = self.facts.motif, self.facts.clump
        if self.known and motif.width_mm is not None and motif.height_mm is not None:
            return max(motif.width_mm, motif.height_mm)
        far = motif.correlation_length_mm or 0.0
        sizes = [motif.width_mm, motif.height_mm, DISC * far if math.isfinite(far) else None]
        return max((s for s in [*sizes, clump.size_mm if clump else None] if s), default=None)

    @property
    def bar_mm(self) -> float | None:
        """Widest bar."""
        return max((bar.width_mm or 0.0 for bar in self.all_bars), default=None)

    @property
    def all_bars(self) -> tuple[Bar, ...]:
        """Bars both ways."""
        return () if self.bars is None else self.bars.bars + self.bars.bars_along

    # -- figures -----------------------------------------------------------------------------------

    @property
    def fine(self) -> bool:
        """Figures up to an inch; where none stands apart, what the eye hardly has as pattern.

        Of a repeat over 3 in the rows stand a hand apart, and show as soon as their pattern is noticed.
        """
        if self.facts.motif.width_mm is not None:
            return (self.figure_mm or 0.0) <= SMALL_ALL_OVER_MM
        far = self.known and (self.pitch_mm or 0.0) > LARGE_FIGURE_MM
        return self.pattern_delta_e < (JUST_NOTICEABLE if far else ACCEPTABLE)

    @property
    def figures(self) -> bool:
        """Separate figures on a ground."""
        return self.build == "figures" and self.facts.motif.width_mm is not None

    @property
    def dots(self) -> bool:
        """Round figures of one colour and one size."""
        s = self.facts.structure
        return (
            self.figures
            and s is not None
            and s.round_share >= ROUND
            and s.one_colour >= ONE_COLOUR
            and s.size_spread <= ONE_SIZE
        )

    @property
    def bunched(self) -> bool:
        """Figures that gather in bunches."""
        clump = self.facts.clump
        return clump is not None and clump.figures != 1

    @property
    def spaced(self) -> bool:
        """Gaps as wide as the figures or wider; of bunches, or where no figure is whole, much ground."""
        motif, s = self.facts.motif, self.facts.structure
        if motif.gap_mm is not None and not self.bunched:
            return motif.gap_mm >= (motif.typical_mm or math.inf)
        apart = (self.bunched or not self.known) and s is not None and s.ending_share >= JOINED
        return self.build == "figures" and apart and s is not None and s.cover < SPACED

    @property
    def one_way(self) -> bool:
        """It has an up."""
        return self.facts.direction.way == "one-way"

    @property
    def tossed(self) -> bool:
        """Figures at many angles, or without an up and in no rows."""
        direction = self.facts.direction
        return direction.way == "tossed" and (direction.decided or not self.known)

    @property
    def rows(self) -> bool:
        """Figures that stand closer along a row than the rows do, or one to a repeat; strewn ones in none."""
        s = self.facts.structure
        alone = self.known and self.facts.motif.count_per_repeat == 1
        in_line = alone or (s is not None and s.row_pitch_mm is not None)
        return self.figures and in_line and not self.tossed

    @property
    def in_order(self) -> bool:
        """Closed forms laid out in order: tiles, nets, trellises."""
        s = self.facts.structure
        return self.build == "figures" and self.known and s is not None and s.symmetry >= SYMMETRIC

    @property
    def ordered(self) -> bool:
        """What the eye reads as rows or a grid."""
        return self.rows or self.in_order

    @property
    def hide(self) -> bool:
        """The marks of a hide."""
        return self.facts.structure is not None and self.facts.structure.hide

    @property
    def diamonds(self) -> bool:
        """Edges that run two ways on the slant and no other way."""
        s = self.facts.structure
        return s is not None and s.two_sided >= TWO_SIDED and s.side_deg > SLANT_DEG

    @property
    def net(self) -> bool:
        """Lines that join into a net with open ground between."""
        s = self.facts.structure
        joined = s is not None and s.ending_share < JOINED and s.cover < OPEN
        return self.in_order and joined

    @property
    def large(self) -> bool:
        """A figure over 3 in, or a repeat over 300 mm (common practice)."""
        figure, pitch = self.figure_mm, self.pitch_mm
        seen = self.repeat.at_least_mm if self.repeat.kind == "beyond-photo" else None
        return (figure or 0) > LARGE_FIGURE_MM or max(pitch or 0, seen or 0) > LARGE_REPEAT_MM


SMALL_ALL_OVER_MM = 25.0  # 1 in (common practice)
LARGE_FIGURE_MM = 75.0  # 3 in: must be placed on the garment (common practice)
LARGE_REPEAT_MM = 300.0  # common practice
ACCEPTABLE = 2 * JUST_NOTICEABLE  # a difference people put up with (Xu, Tong, Gong 2013)
