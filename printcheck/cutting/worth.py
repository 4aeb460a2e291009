"""What is bought for each layout, the choices of matching side by side, and the trade's rule beside them."""

from __future__ import annotations

import math

from printcheck.core.plan import Buy, CutLayout, MatchChoice, RuleOfThumb, Seam, Worth
from printcheck.cutting.demand.demands import Answers, Demand, Match, kept_seams
from printcheck.cutting.job import MATCHES, Job
from printcheck.cutting.money import cost_of, to_buy_mm

ROUNDING = 1e-6  # mm, and lengths


def worth_of(
    job: Job,
    answers: Answers,
    unmatched: CutLayout,
    others: dict[tuple[Seam, ...], CutLayout | None],
) -> Worth:
    """Lay out the choices of matching side by side."""
    layouts = {**others, (): unmatched, job.seams: answers.advised}
    choices: list[MatchChoice] = []
    for match in MATCHES:
        seams = kept_seams(job.project, job.print_, match)
        layout = layouts.get(seams, unmatched)
        allowance = 0.0 if layout is unmatched else job.allowance_mm(layout)
        choices.append(_choice(job, match, layout, unmatched, allowance))
    return Worth(tuple(choices), job.print_.pattern_delta_e, job.print_.needs)


def _choice(
    job: Job, match: Match, layout: CutLayout | None, unmatched: CutLayout, allowance_mm: float
) -> MatchChoice:
    """Length and cost of one choice of matching; what is extra is so beside no match at all."""
    seams = len(kept_seams(job.project, job.print_, match))
    if layout is None:
        return MatchChoice(match, None, None, None, None, seams)
    buy = to_buy_mm(job.project.cloth, layout.length_mm + allowance_mm)
    extra = layout.length_mm - unmatched.length_mm
    return MatchChoice(match, layout.length_mm, extra, buy, cost_of(job.project.cloth, buy), seams)


def buy_of(job: Job, answers: Answers, unmatched: CutLayout) -> Buy:
    """What to buy for each layout; those tied to the print allow for where the shop's cut falls."""
    cloth = job.project.cloth
    layouts = {
        "plain": answers.plain,
        "one_way": answers.one_way,
        "matched": answers.matched,
        "advised": answers.advised or unmatched,
        "unmatched": unmatched,
    }
    starts = {"matched": job.allowance_mm(answers.matched), "advised": job.allowance_mm(answers.advised)}
    lengths = {
        name: None if layout is None else to_buy_mm(cloth, layout.length_mm + starts.get(name, 0.0))
        for name, layout in layouts.items()
    }
    costs = {f"{name}_cost": None if mm is None else cost_of(cloth, mm) for name, mm in lengths.items()}
    return Buy(**{f"{name}_mm": mm for name, mm in lengths.items()}, **costs, currency=cloth.currency)  # type: ignore[arg-type]


def rule_of_thumb(demand: Demand, plain: CutLayout) -> RuleOfThumb:
    """Return one extra repeat for each length cut, "often" enough (Lancaster Farming, 17 August 1968, p. 15).

    A length cut is a place in the longest column of matched pieces lying one below another in the plain
    layout; there are never more than times the longest piece goes into it.
    """
    repeat = demand.steps.row_mm
    tied = {n for tie in demand.ties if tie.seam is not None for n in (tie.first, tie.second)}
    if not tied or repeat is None:
        return RuleOfThumb(0.0, None if repeat is None else 0)
    longest = max(part.length_mm for part in demand.parts)
    lengths = min(_deepest(demand, plain, tied), math.ceil(plain.length_mm / longest - ROUNDING))
    return RuleOfThumb(lengths * repeat, lengths)


def _deepest(demand: Demand, plain: CutLayout, tied: set[int]) -> int:
    """Most matched pieces that lie one below another."""
    deep: dict[int, int] = {}
    for n in sorted(tied, key=lambda n: plain.placements[n].y_mm):
        part, spot = demand.parts[n], plain.placements[n]
        above = [
            deep[m]
            for m in deep
            if plain.placements[m].y_mm + demand.parts[m].length_mm <= spot.y_mm + ROUNDING
            and plain.placements[m].x_mm < spot.x_mm + part.width_mm
            and spot.x_mm < plain.placements[m].x_mm + demand.parts[m].width_mm
        ]
        deep[n] = 1 + max(above, default=0)
    return max(deep.values())
