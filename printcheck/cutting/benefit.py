"""Is matching worth it: what each choice costs, beside what an unmatched seam shows."""

from __future__ import annotations

from collections.abc import Sequence

from printcheck.core.plan import Cloth, CutLayout, MatchChoice, Print, Worth
from printcheck.core.units import format_buy
from printcheck.cutting.demand.demands import Match
from printcheck.cutting.money import cost_of, to_buy_mm

LOST_DELTA_E = 2.3  # just noticeable in CIELAB (Mahy 1994): below it a seam is lost in the print
PLAIN_DELTA_E = 10.0  # above it an unmatched seam is plain to see (our own study of prints at a seam)


def choice_of(
    match: Match,
    layout: CutLayout | None,
    unmatched: CutLayout,
    cloth: Cloth,
    seams: int,
    allowance_mm: float = 0.0,
) -> MatchChoice:
    """Return length and cost of one choice of matching; what is extra is so beside no match at all."""
    if layout is None:
        return MatchChoice(match, None, None, None, None, seams)
    buy = to_buy_mm(cloth, layout.length_mm + allowance_mm)
    extra = layout.length_mm - unmatched.length_mm
    return MatchChoice(match, layout.length_mm, extra, buy, cost_of(cloth, buy), seams)


def worth_of(choices: Sequence[MatchChoice], print_: Print) -> Worth:
    """Return the choices with one sentence of advice."""
    text = f"{_cost_text(choices)} {_seen_text(print_)}"
    if not any(choice.seams_matched for choice in choices):
        text = "No seam asks for a match."
    return Worth(tuple(choices), print_.pattern_delta_e, text)


def _cost_text(choices: Sequence[MatchChoice]) -> str:
    by = {choice.match: choice for choice in choices}
    every, none = by["all"], by["none"]
    if every.buy_mm is None or none.buy_mm is None:
        return "Not all seams can be matched on this cloth."
    more = every.buy_mm - none.buy_mm
    if more <= 0:
        return "Matching every seam needs no more cloth to be bought."
    return f"Matching every seam takes {format_buy(more)} more to buy."


def _seen_text(print_: Print) -> str:
    seen = print_.pattern_delta_e
    if seen is None:
        return "What an unmatched seam shows was not measured."
    if seen < LOST_DELTA_E:
        return "Left unmatched, a seam is lost in this print, so matching is hardly worth it."
    if seen < PLAIN_DELTA_E:
        return "Left unmatched, a seam shows a little; match those that are looked at most."
    return "Left unmatched, a seam is plain to see, so matching is worth it."
