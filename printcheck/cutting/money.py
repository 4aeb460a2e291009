"""What is bought and what it costs: for each layout and choice of matching, and by the rule of the trade."""

from __future__ import annotations

import math

from printcheck.core.plan import Buy, Cloth, CutLayout, LengthPlan, Piece, Project, Seam
from printcheck.core.results.comparisons import Match, MatchChoice, RuleOfThumb, Worth
from printcheck.cutting.demand.demands import Answers, Demand, Part, kept_seams
from printcheck.cutting.job import MATCHES, Job

CENTS = 2  # decimals of a price
STEP_NOISE = 1e-6  # of the shop's step: an exact multiple stays one
ROUNDING = 1e-6  # mm, and lengths


def to_buy_mm(cloth: Cloth, washed_mm: float) -> float:
    """Length to buy for a washed length: divided by what is left after washing, up to the shop's step.

    Examples
    --------
    >>> round(to_buy_mm(Cloth(1400, shrink_along=0.03, sold_by_mm=1), 3000))
    3093
    """
    unwashed = washed_mm / (1 - cloth.shrink_along)
    if cloth.sold_by_mm <= 0:
        return unwashed
    return math.ceil(unwashed / cloth.sold_by_mm - STEP_NOISE) * cloth.sold_by_mm


def waste_share(project: Project, buy_mm: float) -> float:
    """Share of the bought cloth that lies between the pieces, at its ends and in its selvedges."""
    cloth = project.cloth
    whole = cloth.width_mm * (1 - cloth.shrink_across) * buy_mm * (1 - cloth.shrink_along)
    return 1 - sum(area_mm2(piece) for piece in project.pieces) / whole


def area_mm2(piece: Piece | Part) -> float:
    """Area of a piece as cut.

    Examples
    --------
    >>> area_mm2(Piece("flag", 200.0, 250.0, ((100.0, 0.0), (200.0, 250.0), (0.0, 250.0))))
    25000.0
    """
    if not piece.outline:
        return piece.width_mm * piece.length_mm
    ends = zip(piece.outline, (*piece.outline[1:], piece.outline[0]), strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in ends)) / 2


def worst_to_buy_mm(plan: LengthPlan, cloth: Cloth, start_mm: float) -> float:
    """Most that a plan can come to: it holds for every repeat within the error, wherever the shop cuts.

    ``start_mm`` is lost where a point is to be put on the print, whether it was asked for or declined: a
    layout of seams alone begins anywhere. What the repeat's error takes is never more than the trade's
    rule allows.
    """
    if plan.matched is None or plan.layout is None:
        return plan.buy.advised_mm
    length, error = plan.layout.length_mm, plan.repeat_error
    rule = plan.one_way.length_mm + plan.rule_of_thumb.extra_mm
    safe = length if error is None or error.safe_mm is None else min(error.safe_mm, rule)
    return max(plan.buy.advised_mm, to_buy_mm(cloth, max(length, safe) + start_mm))


def cost_of(cloth: Cloth, buy_mm: float) -> float | None:
    """Cost of a bought length, None where no price is known."""
    return None if cloth.price is None else round(buy_mm / cloth.price_per_mm * cloth.price, CENTS)


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
