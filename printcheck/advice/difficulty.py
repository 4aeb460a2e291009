"""How hard a print is to sew with: one table of reasons, each with why and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from printcheck.advice.case import DECIDED, LARGE_FIGURE_MM, Case
from printcheck.advice.classes import SMALL_MM, is_busy
from printcheck.advice.names import CP, PNW, RD
from printcheck.core.measurement import Difficulty, Level, Needs, Reason

if TYPE_CHECKING:
    from collections.abc import Callable

LEVELS: tuple[Level, ...] = ("easy", "care", "hard")
OFTEN_CUT = 0.35  # share of figures even the best seam cuts, from which cutting round them is the only way
LARGE_REPEAT_MM = 50.0  # from here matching both ways wastes cloth and time (common practice)
LONG_REPEAT_MM = 300.0  # matching wastes up to one repeat a piece (The New Dressmaker, 1921)
HEAVY_MM = 50.0  # a figure from here on is seen by itself across a room (common practice)


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
    """One row: when it applies, how much it weighs, why, what to do, and who says so."""

    code: str
    level: Level
    source: str
    applies: Callable[[Asked], bool]
    text: str
    advice: str


def _up(a: Asked) -> bool:
    return a.case.one_way and a.case.facts.direction.margin >= DECIDED and a.case.build == "figures"


def _small(a: Asked) -> bool:
    return a.case.figure_mm is not None and a.case.figure_mm <= SMALL_MM


def _heavy(a: Asked) -> bool:
    clump = a.case.facts.clump
    return clump is not None and clump.figures == 1


def _figures_cut(a: Asked, often: bool) -> bool:
    at_risk = a.case.facts.figures
    return _up(a) and at_risk is not None and (at_risk.cut_at_best >= OFTEN_CUT) == often


def _uneven(a: Asked) -> bool:
    return a.case.build in ("stripe", "crossed") and not a.case.even


RULES: tuple[Rule, ...] = (
    Rule(
        "diagonal", "hard", RD,
        lambda a: a.case.build == "stripe" and a.case.slanting and a.needs != "none",
        "The stripes run on the slant, so they cannot meet at every seam.",
        "Choose a pattern with few seams, and keep all pieces the same way up.",
    ),
    Rule(
        "chevron", "hard", RD, lambda a: a.case.build == "zigzag" and a.needs != "none",
        "The bands turn at points, and a seam that misses a point shows at once.",
        "Match the points at the centre front and the side seams, or choose a pattern with few seams.",
    ),
    Rule(
        "uneven-plaid", "hard", PNW,
        lambda a: a.case.build == "crossed" and not a.case.even and a.needs != "none",
        "The bars do not read the same from both sides, so the plaid matches in one direction only.",
        "Lay all pieces with their tops the same way, and match each seam bar by bar.",
    ),
    Rule(
        "uneven-stripe", "care", PNW,
        lambda a: a.case.build == "stripe" and _uneven(a) and not a.case.slanting and a.needs != "none",
        "The stripe does not read the same from both sides, so a turned piece never matches its neighbour.",
        "Lay all pieces with their tops the same way.",
    ),
    Rule(
        "uneven-small", "easy", PNW, lambda a: _uneven(a) and a.needs == "none",
        "The bars do not read the same from both sides, but they are too small or too pale to show it.",
        "Lay all pieces with their tops the same way to be safe.",
    ),
    Rule(
        "large-check", "hard", CP,
        lambda a: a.case.build in ("crossed", "squares") and a.case.even and a.needs == "both"
        and a.repeat_mm > LARGE_REPEAT_MM,
        "The check is large, and every seam shows whether it matches.",
        "Match the bars across and along, at the centre front first and then at the side seams.",
    ),
    Rule(
        "check", "care", CP,
        lambda a: a.case.build in ("crossed", "squares") and a.case.even and a.needs == "both"
        and a.repeat_mm <= LARGE_REPEAT_MM,
        "A check of this size breaks off at a seam that does not match.",
        "Match it at the centre front and the side seams; the lines help you to cut straight.",
    ),
    Rule(
        "small-check", "easy", CP,
        lambda a: a.case.build in ("crossed", "squares") and a.needs == "none",
        "The check is too small or too pale for a seam to break it.",
        "Use the lines to cut straight.",
    ),
    Rule(
        "cross-stripe", "care", RD, lambda a: a.case.build == "stripe" and a.needs == "level",
        "Stripes that run round the body show at once where they do not meet.",
        "Bring them level at the side seams and the sleeves.",
    ),
    Rule(
        "length-stripe", "care", RD, lambda a: a.case.build == "stripe" and a.needs == "upright",
        "Stripes that run down the body show where a centre seam, a pocket or a collar breaks them.",
        "Centre a stripe on the front and the back; at a slanted side seam they only meet in points.",
    ),
    Rule(
        "small-stripe", "easy", RD,
        lambda a: a.case.build == "stripe" and a.needs == "none" and not a.case.slanting,
        "The stripes are too fine or too pale for a seam to break them.",
        "Use them to cut straight.",
    ),
    Rule(
        "large-figure", "hard", RD,
        lambda a: a.case.build == "figures" and (a.case.figure_mm or 0) > LARGE_FIGURE_MM and a.case.known
        and a.needs != "none",
        "The motif is large, so where it lands on the body matters.",
        "Hold the cloth up before cutting, and centre a motif on the front; keep it off the bust points and "
        "the seat.",
    ),
    Rule(
        "bunches", "care", CP, lambda a: a.case.facts.clump is not None and not _heavy(a),
        "The figures gather in bunches, and two that land side by side make a patch that catches the eye.",
        "Look where the bunches fall before cutting; keep them off the bust, the seat and each other.",
    ),
    Rule(
        "heavy-figure", "care", CP, _heavy,
        "Each figure is heavy enough to be seen by itself across a room.",
        "Decide where one lands before cutting; keep it off the bust points and the seat.",
    ),
    Rule(
        "figures-close", "care", RD, lambda a: _figures_cut(a, True),
        "The figures stand so close together that every seam cuts some of them.",
        "Choose a pattern with few seams, and place the figures you care about whole at the front.",
    ),
    Rule(
        "figures", "care", RD, lambda a: _figures_cut(a, False),
        "A seam through one of the figures takes off a head or shows it twice.",
        "Lay the pattern pieces so that seams and the neckline pass between the figures.",
    ),
    Rule(
        "one-way", "care", RD, lambda a: _up(a) and not _small(a),
        "The print has an up: a piece cut the other way round shows it upside down.",
        "Lay all pieces with their tops the same way.",
    ),
    Rule(
        "one-way-small", "easy", CP, lambda a: _up(a) and _small(a),
        "The print has an up, but it is so small that only close by anyone would notice.",
        "Lay all pieces with their tops the same way to be safe.",
    ),
    Rule(
        "way-unknown", "easy", CP, lambda a: a.case.facts.direction.way is None and not a.case.plain,
        "The photo does not show whether the print has an up.",
        "Look at the cloth from both ends; until you know, lay all pieces with their tops the same way.",
    ),
    Rule(
        "match-rows", "care", RD, lambda a: a.case.build == "figures" and a.needs == "level",
        "The eye follows the rows of the print, and a seam where they jump shows.",
        "Bring the rows level at the side seams.",
    ),
    Rule(
        "match-both", "care", RD, lambda a: a.case.build == "figures" and a.needs == "both",
        "The print breaks off at a seam that does not match.",
        "Match it at the centre front, and bring the rows level at the side seams.",
    ),
    Rule(
        "long-repeat", "care", "The New Dressmaker (Butterick 1921)",
        lambda a: a.needs in ("both", "level") and max(
            a.case.repeat.along_mm or 0.0, a.case.repeat.across_mm or 0.0
        ) >= LONG_REPEAT_MM,
        "The print begins again only after a long way, so matching wastes much cloth.",
        "Match only the seams that show most.",
    ),
    Rule(
        "repeat-unknown", "care", CP,
        lambda a: not a.case.known and not a.case.plain and (a.needs != "none" or a.case.large),
        "The photo does not show where the print begins again.",
        "Look for the repeat on the bolt, or photograph a larger piece.",
    ),
    Rule(
        "small-figures", "easy", CP,
        lambda a: a.case.build == "figures" and a.needs == "none" and a.case.known
        and not a.case.plain and not is_busy(a.case),
        "No row or column stands out, so nothing breaks at a seam.",
        "Cut as the pattern lies best.",
    ),
    Rule(
        "forgiving", "easy", CP, lambda a: a.needs == "none" and is_busy(a.case),
        "The print is busy, and that hides small faults.",
        "A good cloth to begin with.",
    ),
    Rule(
        "any-way-up", "easy", RD,
        lambda a: a.case.known and a.case.facts.direction.way in ("two-way", "four-way", "tossed")
        and a.case.facts.direction.margin >= DECIDED and not _uneven(a),
        "The print has no up, so pieces may be turned end for end.",
        "Turn pieces wherever it saves cloth.",
    ),
    Rule(
        "plain", "easy", CP, lambda a: a.case.plain,
        "There is no print to match, but on plain cloth every crooked seam and every pucker shows.",
        "Try the stitch on a scrap first, and press each seam as you go.",
    ),
)  # fmt: skip


def difficulty_of(asked: Asked) -> Difficulty:
    """Level and reasons: the heaviest reason sets the level, and reasons come heaviest first."""
    held = [rule for rule in RULES if rule.applies(asked)]
    held.sort(key=lambda rule: -LEVELS.index(rule.level))
    level = held[0].level if held else "care" if asked.needs != "none" else "easy"
    return Difficulty(level, tuple(Reason(r.code, r.text, r.advice) for r in held))
