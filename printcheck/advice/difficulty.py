"""How hard a print is to sew with: one table of reasons, each with why and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from printcheck.advice.classes import SMALL_MM, is_busy, is_plain
from printcheck.advice.visibility import PATTERN_MATTERS
from printcheck.core.measurement import Difficulty, Level, PrintFacts, Reason, Repeat, SeamsSeen

if TYPE_CHECKING:
    from collections.abc import Callable

LEVELS: tuple[Level, ...] = ("easy", "care", "hard")
STRONG_CLUMP = 6.0  # Delta E at a hand's breadth: large florals 2.3-11.6, ditsies 0
OFTEN_CUT = 0.35  # share of figures even the best seam cuts, from which cutting round them is the only way
DECIDED = 0.3  # margin of the way below which nobody should cut by it
LONG_REPEAT_MM = 300.0  # matching wastes up to one repeat a piece (The New Dressmaker, 1921)


@dataclass(frozen=True)
class Case:
    """What the table is asked about."""

    repeat: Repeat
    facts: PrintFacts
    seams: SeamsSeen
    size_mm: float | None

    @property
    def plain(self) -> bool:
        """No print at all."""
        return is_plain(self.repeat, self.facts)

    @property
    def known(self) -> bool:
        """The repeat is known, so matching can be judged."""
        return bool(self.repeat.basis_mm)

    @property
    def barred(self) -> bool:
        """A stripe, check or plaid."""
        return self.facts.stripe_or_check is not None

    @property
    def lines(self) -> bool:
        """Lines and forms that run on without end; a tossed print without motifs is merely packed."""
        packed = self.facts.direction.way == "tossed"
        return not self.barred and not packed and self.facts.motif.width_mm is None

    @property
    def small(self) -> bool:
        """Small motifs, or a small repeat where none separate."""
        return self.size_mm is not None and self.size_mm <= SMALL_MM

    @property
    def lost(self) -> bool:
        """An unmatched seam is lost in the print."""
        return not self.plain and self.seams.verdict == "unseen"

    @property
    def bold(self) -> bool:
        """An unmatched seam is plain to see."""
        return self.known and (self.seams.pattern_delta_e or 0.0) >= PATTERN_MATTERS

    @property
    def one_way(self) -> bool:
        """It has an up."""
        return self.facts.direction.way == "one-way"

    @property
    def no_up(self) -> bool:
        """No turn shows, as far as the tests decide."""
        direction = self.facts.direction
        return direction.way in ("four-way", "tossed") and direction.margin >= DECIDED

    def wants(self, needs: str) -> bool:
        """Whether seams show and matching this way mends it."""
        return self.known and self.seams.verdict != "unseen" and self.seams.needs == needs


@dataclass(frozen=True)
class Rule:
    """One row: when it applies, how much it weighs, why, and what to do."""

    code: str
    level: Level
    applies: Callable[[Case], bool]
    text: str
    advice: str


RULES: tuple[Rule, ...] = (
    Rule(
        "repeat-unknown",
        "care",
        lambda c: not c.known and not c.plain and not c.lost,
        "The photo does not show where this print begins again, so nobody can say yet how to match it.",
        "Look for the repeat on the bolt, or photograph a larger piece; until then buy extra, and lay all "
        "pieces the same way up.",
    ),
    Rule(
        "figures",
        "care",
        lambda c: c.facts.figures is not None and c.facts.figures.cut_at_best < OFTEN_CUT,
        "It shows whole figures, and a seam through one of them takes off a head or shows it twice.",
        "Lay the pattern pieces so that seams and the neckline pass between the figures.",
    ),
    Rule(
        "figures-close",
        "hard",
        lambda c: c.facts.figures is not None and c.facts.figures.cut_at_best >= OFTEN_CUT,
        "It shows whole figures so close together that every seam cuts some of them.",
        "Choose a pattern with few seams, and place the figures you care about whole at the front.",
    ),
    Rule(
        "one-way",
        "care",
        lambda c: c.known and c.one_way and not c.small and not c.barred,
        "The print has an up: a piece cut the other way round shows it upside down.",
        "Lay all pieces with their tops the same way. It takes a little more cloth: buy the one-way length.",
    ),
    Rule(
        "one-way-small",
        "easy",
        lambda c: c.known and c.one_way and c.small and not c.barred,
        "The print has an up, but it is so small that only close by anyone would notice.",
        "Lay all pieces with their tops the same way; it costs little.",
    ),
    Rule(
        "uneven-bars",
        "care",
        lambda c: c.barred and c.one_way and not c.lost,
        "The bars are not the same on both sides of the main bar, so a piece turned end for end never "
        "matches its neighbour.",
        "Lay all pieces with their tops the same way. It takes a little more cloth: buy the one-way length.",
    ),
    Rule(
        "uneven-bars-lost",
        "easy",
        lambda c: c.barred and c.one_way and c.lost,
        "The bars follow one another in one direction only, but that is hardly seen.",
        "Lay all pieces with their tops the same way; it costs little.",
    ),
    Rule(
        "bunches-strong",
        "hard",
        lambda c: c.facts.clump is not None and c.facts.clump.strength >= STRONG_CLUMP,
        "One colour gathers in large bunches; two that land side by side make a patch that catches the eye.",
        "Hold the cloth up before cutting: keep the bunches away from the bust, the seat and the places "
        "where two pieces meet.",
    ),
    Rule(
        "bunches",
        "care",
        lambda c: c.facts.clump is not None and c.facts.clump.strength < STRONG_CLUMP,
        "One colour gathers in bunches, which can make a patch where two meet.",
        "Look where the bunches fall before cutting; keep them from the bust and from each other at seams.",
    ),
    Rule(
        "bold-lines",
        "hard",
        lambda c: c.bold and c.lines and c.facts.clump is None,
        "Bold lines run on over the whole cloth, and they clash wherever a seam breaks them.",
        "Match them at the centre front, centre back and side seams, or choose a pattern with few seams.",
    ),
    Rule(
        "match-both",
        "care",
        lambda c: c.wants("both"),
        "A seam that is not matched can be seen: the print breaks off at it.",
        "Match both ways where seams are looked at: the centre front, the centre back, the side seams. "
        "Inside seams can be left.",
    ),
    Rule(
        "match-rows",
        "care",
        lambda c: c.wants("level"),
        "A seam where the rows of the print do not line up can be seen.",
        "Match the side seams so that the rows run on level; sideways it does not matter.",
    ),
    Rule(
        "match-columns",
        "care",
        lambda c: c.wants("upright"),
        "A seam where the columns or stripes do not line up can be seen.",
        "Match the shoulder and waist seams so that the columns run on; up and down it does not matter.",
    ),
    Rule(
        "shows-a-little",
        "easy",
        lambda c: c.wants("none"),
        "A seam that is not matched shows a little from close by.",
        "Matching is a matter of taste here; a seam under the arm needs none.",
    ),
    Rule(
        "long-repeat",
        "care",
        lambda c: (
            c.known
            and c.seams.verdict != "unseen"
            and max(c.repeat.along_mm or 0.0, c.repeat.across_mm or 0.0) >= LONG_REPEAT_MM
        ),
        "The print begins again only after a long way, so matching wastes much cloth.",
        "Compare the matched with the plain length to buy, and match only the seams that show most.",
    ),
    Rule(
        "forgiving",
        "easy",
        lambda c: c.known and is_busy(c.repeat, c.facts) and not c.bold,
        "The print is busy, and that hides small faults.",
        "On a loose garment matching is seldom worth the cloth.",
    ),
    Rule(
        "small-check",
        "easy",
        lambda c: c.lost and c.barred,
        "The bars are so small that an unmatched seam is lost among them.",
        "Use the lines to cut straight; no matching needed.",
    ),
    Rule(
        "lost-in-print",
        "easy",
        lambda c: c.lost and not c.barred,
        "An unmatched seam is lost in the print.",
        "No matching needed: a good cloth to begin with.",
    ),
    Rule(
        "any-way-up",
        "easy",
        lambda c: c.known and c.no_up,
        "The print has no up, so pieces may lie either way round.",
        "Turn pieces end for end wherever it saves cloth.",
    ),
    Rule(
        "plain",
        "easy",
        lambda c: c.plain,
        "There is no print to match, but on plain cloth every crooked seam and every pucker shows.",
        "Try the stitch on a scrap first, and press each seam as you go.",
    ),
)


def difficulty_of(case: Case) -> Difficulty:
    """Level and reasons: the heaviest reason sets the level, and reasons come heaviest first."""
    held = [rule for rule in RULES if rule.applies(case)]
    held.sort(key=lambda rule: -LEVELS.index(rule.level))
    level = held[0].level if held else "care"
    return Difficulty(level, tuple(Reason(r.code, r.text, r.advice) for r in held))
