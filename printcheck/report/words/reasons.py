"""Why a print is easy or hard to sew with: the sentence of every reason, and what to do."""

from __future__ import annotations

from dataclasses import dataclass

from printcheck.core.measurement import Reason


@dataclass(frozen=True)
class Why:
    """A reason in words, and what to do about it."""

    text: str
    advice: str


WHY: dict[str, Why] = {
    "border": Why(
        "A border runs along one edge of the cloth, so pieces can lie one way only and side by side.",
        "Cut them across the cloth with their hems on the border; none may be longer than the cloth is wide.",
    ),
    "diagonal": Why(
        "The stripes run on the slant, so they cannot meet at every seam.",
        "Choose a pattern with few seams.",
    ),
    "chevron": Why(
        "The bands turn at points, and a seam that misses a point shows at once.",
        "Match the points at the centre front and the side seams, or choose a pattern with few seams.",
    ),
    "herringbone": Why(
        "The columns of strokes show where a centre seam, a pocket or a collar breaks one.",
        "Centre a column on the front and the back.",
    ),
    "small-zigzag": Why(
        "The zigzags are so small or so faint that no seam breaks them.", "Use their points to cut straight."
    ),
    "uneven-plaid": Why(
        "The bars do not read the same from both sides, so a turned piece never matches its neighbour.",
        "Lay all pieces with their tops the same way, and match each seam bar by bar.",
    ),
    "uneven-stripe": Why(
        "The stripe does not read the same from both sides, so a turned piece never matches its neighbour.",
        "Lay all pieces with their tops the same way.",
    ),
    "uneven-small": Why(
        "The bars do not read the same from both sides, though hardly anyone would see it.",
        "Lay all pieces with their tops the same way to be safe.",
    ),
    "large-check": Why(
        "The check is large, and every seam shows whether it matches.",
        "Match the bars across and along, at the centre front first and then at the side seams.",
    ),
    "check": Why(
        "A check breaks off at a seam that does not match.",
        "Match it at the centre front and the side seams; the lines help you to cut straight.",
    ),
    "small-check": Why("The check is so small that no seam breaks it.", "Use the lines to cut straight."),
    "pale-check": Why("The check is so faint that no seam breaks it.", "Use the lines to cut straight."),
    "cross-stripe": Why(
        "Stripes that run round the body show at once where they do not meet.",
        "Bring them level at the side seams and the sleeves.",
    ),
    "length-stripe": Why(
        "Stripes that run down the body show where a centre seam, a pocket or a collar breaks them.",
        "Centre a stripe on the front and the back, and give both sides of a slanted seam the same slant.",
    ),
    "small-stripe": Why("The stripes are so fine that no seam breaks them.", "Use them to cut straight."),
    "pale-stripe": Why("The stripes are so faint that no seam breaks them.", "Use them to cut straight."),
    "large-figure": Why(
        "The motif is large, so where it lands on the body matters.",
        "Hold the cloth up before cutting, and centre a motif on the front; keep it off the bust points and "
        "the seat.",
    ),
    "bunches": Why(
        "The figures gather in bunches, and two that land side by side make a patch that catches the eye.",
        "Look where the bunches fall before cutting; keep them off the bust, the seat and each other.",
    ),
    "heavy-figure": Why(
        "Each figure is heavy enough to be seen by itself across a room.",
        "Decide where one lands before cutting; keep it off the bust points and the seat.",
    ),
    "figures-close": Why(
        "The figures stand so close together that every seam cuts some of them.",
        "Choose a pattern with few seams, and place the figures you care about whole at the front.",
    ),
    "figures": Why(
        "A seam through one of the figures cuts it in two.",
        "Lay the pattern pieces so that seams and the neckline pass between the figures.",
    ),
    "one-way": Why(
        "The print has an up: a piece cut the other way round shows it upside down.",
        "Lay all pieces with their tops the same way.",
    ),
    "one-way-small": Why(
        "The print has an up, but it is so small that only close by anyone would notice.",
        "Lay all pieces with their tops the same way to be safe.",
    ),
    "match-rows": Why(
        "The eye follows the rows of the print, and a seam where they jump shows.",
        "Bring the rows level at the side seams.",
    ),
    "match-figures": Why(
        "The eye follows the larger figures, and a seam where they jump shows.",
        "Bring like figures level at the side seams.",
    ),
    "match-both": Why(
        "The print breaks off at a seam that does not match.",
        "Match it at the centre front, and bring the rows level at the side seams.",
    ),
    "long-repeat": Why(
        "The print begins again only after a long way, so matching wastes much cloth.",
        "Match only the seams that show most.",
    ),
    "repeat-unknown": Why("The photo does not show where the print begins again.", ""),
    "small-figures": Why("No row or column stands out, so nothing breaks at a seam.", ""),
    "small-rows": Why(
        "The print is regular but not large, and few would mind rows that do not quite meet at a seam.", ""
    ),
    "forgiving": Why("The print is busy, and that hides small faults.", ""),
    "way-unknown": Why(
        "The photo does not show whether the print has an up.",
        "Look at the cloth from both ends; until you know, lay all pieces with their tops the same way.",
    ),
    "any-way-up": Why(
        "The print has no up, so pieces may be turned end for end.", "Turn pieces wherever it saves cloth."
    ),
    "plain": Why(
        "There is no print to match, but on plain cloth every crooked seam and every pucker shows.",
        "Try the stitch on a scrap first, and press each seam as you go.",
    ),
}


def why(reason: Reason) -> Why:
    """Sentence and advice of a reason; one of another version's file is told by its code."""
    return WHY.get(reason.code, Why(f"{reason.code}.", ""))
