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
class Rule:
    """One row: how much it weighs, who says so, and whether it applies to a print and what its seams need."""

    code: str
    level: Level
    source: str
    applies: Callable[[Case, Needs], bool]


def _up(c: Case) -> bool:
    """A turned piece shows; of bars the sequence says so."""
    return c.one_way and c.facts.direction.decided and c.build not in ("stripe", "crossed", "border")


def _small(c: Case) -> bool:
    """As far as it is known: of figures that do not stand apart only the repeat is."""
    motif = c.facts.motif
    size = max(motif.width_mm, motif.height_mm) if motif.width_mm and motif.height_mm else c.pitch_mm
    return 0 < (size or 0) <= SMALL_MM


def _heavy(c: Case, needs: Needs) -> bool:
    return c.facts.clump is not None and c.facts.clump.figures == 1 and not _large(c, needs)


def _large(c: Case, needs: Needs) -> bool:
    return c.build == "figures" and c.known and needs != "none" and (c.figure_mm or 0) > LARGE_FIGURE_MM


def _cuts_figures(c: Case) -> bool:
    return _up(c) and c.facts.figures is not None


def _cuts_often(c: Case) -> bool:
    at_risk = c.facts.figures
    return _up(c) and at_risk is not None and at_risk.cut_at_best >= OFTEN_CUT


def _loose(c: Case, needs: Needs) -> bool:
    """Figures that need not meet, with ground between."""
    return c.build == "figures" and not c.plain and needs == "none" and not is_busy(c)


def _uneven(c: Case) -> bool:
    return c.build in ("stripe", "crossed") and not c.even


def _barred(c: Case, needs: Needs, wanted: Needs) -> bool:
    """Bars or squares both ways, with this need."""
    return c.build in ("crossed", "squares") and needs == wanted


def _within(c: Case, limit_mm: float) -> bool:
    """Whether the repeat is known to be no longer."""
    return 0 < (c.pitch_mm or 0) <= limit_mm


RULES: tuple[Rule, ...] = (
    Rule("border", "care", PRESS, lambda c, n: c.border and n != "none"),
    Rule("diagonal", "hard", RD, lambda c, n: c.build == "stripe" and c.slanting and n != "none"),
    Rule("chevron", "hard", RD, lambda c, n: c.build == "zigzag" and n == "both"),
    Rule("herringbone", "care", CP, lambda c, n: c.build == "zigzag" and n == "upright"),
    Rule("small-zigzag", "easy", CP, lambda c, n: c.build == "zigzag" and n == "none"),
    Rule("uneven-plaid", "hard", PNW, lambda c, n: c.build == "crossed" and not c.even and n != "none"),
    Rule(
        "uneven-stripe", "care", PNW,
        lambda c, n: c.build == "stripe" and not c.even and not c.slanting and n != "none",
    ),
    Rule("uneven-small", "easy", PNW, lambda c, n: _uneven(c) and n == "none"),
    Rule(
        "large-check", "hard", CP,
        lambda c, n: _barred(c, n, "both") and c.even and (c.pitch_mm or 0) > LARGE_REPEAT_MM,
    ),
    Rule(
        "check", "care", CP,
        lambda c, n: _barred(c, n, "both") and c.even and (c.pitch_mm or 0) <= LARGE_REPEAT_MM,
    ),
    Rule("small-check", "easy", CP, lambda c, n: _barred(c, n, "none") and _within(c, SMALL_CHECK_MM)),
    Rule("pale-check", "easy", CP, lambda c, n: _barred(c, n, "none") and not _within(c, SMALL_CHECK_MM)),
    Rule("cross-stripe", "care", RD, lambda c, n: c.build == "stripe" and n == "level"),
    Rule("length-stripe", "care", RD, lambda c, n: c.build == "stripe" and n == "upright"),
    Rule("small-stripe", "easy", RD, lambda c, n: c.build == "stripe" and n == "none" and fine_stripe(c)),
    Rule("pale-stripe", "easy", CP, lambda c, n: c.build == "stripe" and n == "none" and not fine_stripe(c)),
    Rule("large-figure", "hard", RD, _large),
    Rule("bunches", "care", CP, lambda c, _: c.bunched),
    Rule("heavy-figure", "care", CP, _heavy),
    Rule("figures-close", "care", RD, lambda c, _: _cuts_often(c)),
    Rule("figures", "care", RD, lambda c, _: _cuts_figures(c) and not _cuts_often(c)),
    Rule("one-way", "care", RD, lambda c, _: _up(c) and not _small(c)),
    Rule("one-way-small", "easy", CP, lambda c, _: _up(c) and _small(c)),
    Rule("match-rows", "care", RD, lambda c, n: c.build == "figures" and n == "level" and c.ordered),
    Rule("match-figures", "care", RD, lambda c, n: c.build == "figures" and n == "level" and not c.ordered),
    Rule("match-both", "care", RD, lambda c, n: c.build == "figures" and n == "both"),
    Rule(
        "long-repeat", "care", "The New Dressmaker (Butterick 1921)",
        lambda c, n: n in ("both", "level")
        and max(c.repeat.along_mm or 0.0, c.repeat.across_mm or 0.0) >= LONG_REPEAT_MM,
    ),
    Rule(
        "repeat-unknown", "care", CP,
        lambda c, n: not (c.known or c.plain or c.border) and (n != "none" or c.large),
    ),
    Rule("small-figures", "easy", CP, lambda c, n: _loose(c, n) and not c.ordered),
    Rule("small-rows", "easy", CP, lambda c, n: _loose(c, n) and c.ordered),
    Rule("forgiving", "easy", CP, lambda c, n: n == "none" and is_busy(c) and not _cuts_figures(c)),
    Rule("way-unknown", "easy", CP, lambda c, _: c.facts.direction.way is None and not c.plain),
    Rule(
        "any-way-up", "easy", RD,
        lambda c, _: c.known and c.facts.direction.way in ("two-way", "four-way", "tossed")
        and (c.facts.direction.decided or c.dots) and not _uneven(c),
    ),
    Rule("plain", "easy", CP, lambda c, _: c.plain),
)  # fmt: skip


def difficulty_of(case: Case, needs: Needs) -> Difficulty:
    """Level and reasons: the heaviest reason sets the level, and reasons come heaviest first."""
    held = [rule for rule in RULES if rule.applies(case, needs)]
    held.sort(key=lambda rule: -LEVELS.index(rule.level))
    level = held[0].level if held else "care" if needs != "none" else "easy"
    return Difficulty(level, tuple(Reason(r.code) for r in held))
