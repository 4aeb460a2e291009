"""How hard a print is to sew with: one table of reasons."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from printcheck.advice.case import LARGE_FIGURE_MM, Case
from printcheck.advice.classes import SMALL_MM, is_busy
from printcheck.advice.matching import SMALL_CHECK_MM, fine_stripe
from printcheck.advice.names import CP, PNW, PRESS, RD
from printcheck.core.measurement import Difficulty, Level, Needs, Reason

if TYPE_CHECKING:
    from collections.abc import Callable

LEVELS: tuple[Level, ...] = ("easy", "care", "hard")
OFTEN_CUT = 0.35  # share of figures even the best seam cuts, from which cutting round them is the only way
LARGE_REPEAT_MM = 50.0  # from here matching both ways wastes cloth and time (common practice)
LONG_REPEAT_MM = 300.0  # matching wastes up to one repeat a piece (The New Dressmaker, 1921)


@dataclass(frozen=True)
class Asked:
    """What the table is asked about: the print, and what its seams need."""

    case: Case
    needs: Needs

    @property
    def repeat_mm(self) -> float:
        """Longer repeat, 0 where it is not known."""
        return self.case.pitch_mm or 0.0


@dataclass(frozen=True)
class Rule:
    """One row: when it applies, how much it weighs, and who says so."""

    code: str
    level: Level
    source: str
    applies: Callable[[Asked], bool]


def _up(a: Asked) -> bool:
    """A turned piece shows; of bars the sequence says so."""
    return (
        a.case.one_way
        and a.case.facts.direction.decided
        and a.case.build not in ("stripe", "crossed", "border")
    )


def _small(a: Asked) -> bool:
    """As far as it is known: of figures that do not stand apart only the repeat is."""
    motif = a.case.facts.motif
    size = max(motif.width_mm, motif.height_mm) if motif.width_mm and motif.height_mm else a.repeat_mm
    return 0 < size <= SMALL_MM


def _heavy(a: Asked) -> bool:
    clump = a.case.facts.clump
    return clump is not None and clump.figures == 1 and not _large(a)


def _large(a: Asked) -> bool:
    known = a.case.build == "figures" and a.case.known and a.needs != "none"
    return known and (a.case.figure_mm or 0) > LARGE_FIGURE_MM


def _figures_cut(a: Asked, often: bool) -> bool:
    at_risk = a.case.facts.figures
    return _up(a) and at_risk is not None and (at_risk.cut_at_best >= OFTEN_CUT) == often


def _loose(a: Asked) -> bool:
    """Figures that need not meet, with ground between."""
    figures = a.case.build == "figures" and not a.case.plain
    return figures and a.needs == "none" and not is_busy(a.case)


def _uneven(a: Asked) -> bool:
    return a.case.build in ("stripe", "crossed") and not a.case.even


RULES: tuple[Rule, ...] = (
    Rule(
        "border", "care", PRESS, lambda a: a.case.border and a.needs != "none",
    ),
    Rule(
        "diagonal", "hard", RD,
        lambda a: a.case.build == "stripe" and a.case.slanting and a.needs != "none",
    ),
    Rule(
        "chevron", "hard", RD, lambda a: a.case.build == "zigzag" and a.needs == "both",
    ),
    Rule(
        "herringbone", "care", CP, lambda a: a.case.build == "zigzag" and a.needs == "upright",
    ),
    Rule(
        "small-zigzag", "easy", CP, lambda a: a.case.build == "zigzag" and a.needs == "none",
    ),
    Rule(
        "uneven-plaid", "hard", PNW,
        lambda a: a.case.build == "crossed" and not a.case.even and a.needs != "none",
    ),
    Rule(
        "uneven-stripe", "care", PNW,
        lambda a: a.case.build == "stripe" and _uneven(a) and not a.case.slanting and a.needs != "none",
    ),
    Rule(
        "uneven-small", "easy", PNW, lambda a: _uneven(a) and a.needs == "none",
    ),
    Rule(
        "large-check", "hard", CP,
        lambda a: a.case.build in ("crossed", "squares") and a.case.even and a.needs == "both"
        and a.repeat_mm > LARGE_REPEAT_MM,
    ),
    Rule(
        "check", "care", CP,
        lambda a: a.case.build in ("crossed", "squares") and a.case.even and a.needs == "both"
        and a.repeat_mm <= LARGE_REPEAT_MM,
    ),
    Rule(
        "small-check", "easy", CP,
        lambda a: a.case.build in ("crossed", "squares") and a.needs == "none"
        and 0 < a.repeat_mm <= SMALL_CHECK_MM,
    ),
    Rule(
        "pale-check", "easy", CP,
        lambda a: a.case.build in ("crossed", "squares") and a.needs == "none"
        and not 0 < a.repeat_mm <= SMALL_CHECK_MM,
    ),
    Rule(
        "cross-stripe", "care", RD, lambda a: a.case.build == "stripe" and a.needs == "level",
    ),
    Rule(
        "length-stripe", "care", RD, lambda a: a.case.build == "stripe" and a.needs == "upright",
    ),
    Rule(
        "small-stripe", "easy", RD,
        lambda a: a.case.build == "stripe" and a.needs == "none" and fine_stripe(a.case),
    ),
    Rule(
        "pale-stripe", "easy", CP,
        lambda a: a.case.build == "stripe" and a.needs == "none" and not fine_stripe(a.case),
    ),
    Rule("large-figure", "hard", RD, _large),
    Rule(
        "bunches", "care", CP,
        lambda a: a.case.facts.clump is not None and a.case.facts.clump.figures != 1,
    ),
    Rule(
        "heavy-figure", "care", CP, _heavy,
    ),
    Rule(
        "figures-close", "care", RD, lambda a: _figures_cut(a, True),
    ),
    Rule(
        "figures", "care", RD, lambda a: _figures_cut(a, False),
    ),
    Rule(
        "one-way", "care", RD, lambda a: _up(a) and not _small(a),
    ),
    Rule(
        "one-way-small", "easy", CP, lambda a: _up(a) and _small(a),
    ),
    Rule(
        "match-rows", "care", RD,
        lambda a: a.case.build == "figures" and a.needs == "level" and a.case.ordered,
    ),
    Rule(
        "match-figures", "care", RD,
        lambda a: a.case.build == "figures" and a.needs == "level" and not a.case.ordered,
    ),
    Rule(
        "match-both", "care", RD, lambda a: a.case.build == "figures" and a.needs == "both",
    ),
    Rule(
        "long-repeat", "care", "The New Dressmaker (Butterick 1921)",
        lambda a: a.needs in ("both", "level") and max(
            a.case.repeat.along_mm or 0.0, a.case.repeat.across_mm or 0.0
        ) >= LONG_REPEAT_MM,
    ),
    Rule(
        "repeat-unknown", "care", CP,
        lambda a: not (a.case.known or a.case.plain or a.case.border) and (a.needs != "none" or a.case.large),
    ),
    Rule("small-figures", "easy", CP, lambda a: _loose(a) and not a.case.ordered),
    Rule("small-rows", "easy", CP, lambda a: _loose(a) and a.case.ordered),
    Rule(
        "forgiving", "easy", CP,
        lambda a: a.needs == "none" and is_busy(a.case) and not _figures_cut(a, True)
        and not _figures_cut(a, False),
    ),
    Rule(
        "way-unknown", "easy", CP, lambda a: a.case.facts.direction.way is None and not a.case.plain,
    ),
    Rule(
        "any-way-up", "easy", RD,
        lambda a: a.case.known and a.case.facts.direction.way in ("two-way", "four-way", "tossed")
        and (a.case.facts.direction.decided or a.case.dots) and not _uneven(a),
    ),
    Rule(
        "plain", "easy", CP, lambda a: a.case.plain,
    ),
)  # fmt: skip


def difficulty_of(asked: Asked) -> Difficulty:
    """Level and reasons: the heaviest reason sets the level, and reasons come heaviest first."""
    held = [rule for rule in RULES if rule.applies(asked)]
    held.sort(key=lambda rule: -LEVELS.index(rule.level))
    level = held[0].level if held else "care" if asked.needs != "none" else "easy"
    return Difficulty(level, tuple(Reason(r.code) for r in held))
