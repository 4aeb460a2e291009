"""The flow from a project and a print to the length to buy."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import Finding, finding
from printcheck.core.plan import (
    ClothFacts,
    CutLayout,
    CuttingStep,
    FiguresCut,
    LengthPlan,
    Print,
    PrintStart,
    PrintUsed,
    Project,
    RepeatError,
    Seam,
    SeamResidual,
)
from printcheck.core.results.comparisons import Match
from printcheck.cutting.check import faults, print_centre, seam_residual_mm
from printcheck.cutting.cutting_steps import start_of, steps_of
from printcheck.cutting.demand.demands import (
    PROOF_MM,
    Answers,
    Demand,
    Demands,
    Progress,
    demands_of,
    kept_seams,
    pieces_only,
)
from printcheck.cutting.demand.turned_apart import TurnedApart, turned_apart
from printcheck.cutting.demand.unmet_seams import settle, settled_match
from printcheck.cutting.job import CHOICE_TIME, Job, check_project, room_across_mm
from printcheck.cutting.money import buy_of, cost_of, rule_of_thumb, worst_to_buy_mm, worth_of
from printcheck.cutting.repeat_error import CLIFF_SHARE, cliffs, off_grain, plausible_share, repeat_error
from printcheck.cutting.search.layouts import lay_out, lay_out_one
from printcheck.cutting.shape.cut_figures import spared


def plan_length(
    project: Project,
    print: Print,
    *,
    seconds: float = 10.0,
    match: Match = "all",
    start_allowance: bool | None = None,
    progress: Progress | None = None,
) -> LengthPlan:
    """Return the lengths to buy for a project on a print, in mm, with their cutting layouts.

    Parameters
    ----------
    project : Project
        Pieces (every copy), seams and places on washed cloth.
    print : Print
        The print on the cloth as sold.
    seconds : float
        Effort for everything together: so much work, and at most so long on the clock.
    match : {"all", "visible", "none"}
        Which seams the matched layout keeps.
    start_allowance : bool, optional
        Whether to buy more because the shop's cut falls anywhere on the print; by itself where a point
        is to be put on the print.
    progress : callable, optional
        Told what is being done and the share of the time used.

    Returns
    -------
    LengthPlan
        ``matched`` is None, with a finding that says why, where a seam cannot be met.

    Raises
    ------
    InputError
        For no pieces or too many, a piece wider than the cloth, numbers that are not finite.
    NoAnswerError
        When no layout was found in the time given.
    """
    check_project(project, print, seconds)
    demands = demands_of(project, print, match=match)
    assert demands.matched is not None  # until it is found that a seam cannot be met
    settled, findings = settle(demands.matched)
    demands = replace(demands, matched=settled)
    job = Job(project, print, seconds, match, start_allowance)
    answers = lay_out(demands, seconds=job.main_seconds, free_seconds=job.free_seconds, progress=progress)
    if settled is not None and answers.advised is None:
        code = "seams-clash" if answers.impossible else "matched-not-found"
        findings = (*findings, finding(code, seconds=seconds))
    others = _other_layouts(job, answers)
    apart = _turned_apart(job, demands, settled, answers)
    if apart is not None:
        answers = replace(answers, advised=apart[0].as_cut(apart[1]))
    answers, figures = _spared(job, settled, _ordered(answers, others))
    unmatched = _unmatched(job, demands, answers)
    _insist_sound(job, answers, unmatched)
    error, more = _repeat_error(job, *(apart[0].demand, apart[1]) if apart else (settled, answers.advised))
    if settled is not None and answers.advised is not None:
        more = (*off_grain(settled, answers.advised, print, project.cloth), *more)
    plan = _plan(job, answers, unmatched, (*project.findings, *findings, *more))
    plan = replace(plan, repeat_error=error)
    lost = replace(job, start_allowance=None).allowance_mm(answers.advised)
    worst = worst_to_buy_mm(plan, project.cloth, lost)
    return replace(
        plan,
        buy=replace(plan.buy, worst_mm=worst, worst_cost=cost_of(project.cloth, worst)),
        figures=figures,
        worth=worth_of(job, answers, unmatched, others),
        start=_start(job, answers.advised, figures),
        steps=_steps(job, answers.advised, unmatched),
    )


def _insist_sound(job: Job, answers: Answers, unmatched: CutLayout) -> None:
    """No layout leaves this room that the checker finds fault with."""
    project = job.project
    if not answers.plain.placements or not answers.one_way.placements:
        raise _none_found(project)
    check = partial(faults, project, job.print_)
    bad = check(answers.plain, keeps_way=False) + check(answers.one_way, keeps_way=True)
    bad += check(unmatched, keeps_way=True, at_border=True)
    for layout in (answers.matched, answers.advised):
        if layout is not None:
            bad += check(layout, keeps_way=True, seams=job.seams, places=project.places, at_border=True)
    if bad:
        raise NoAnswerError(
            "layout-not-sound",
            f"{project.name}: the layout found did not pass its check: {bad[0]}.",
            "Give more seconds; if it comes again, please report the project file.",
        )


def _none_found(project: Project) -> NoAnswerError:
    return NoAnswerError("no-layout", f"{project.name}: no layout was found in time.", "Give more seconds.")


def _spared(job: Job, demand: Demand | None, answers: Answers) -> tuple[Answers, FiguresCut | None]:
    """Move parts within their room so that fewer motifs are cut."""
    lattice = job.lattice
    advised = answers.advised
    if demand is None or advised is None or lattice is None or job.centre_of(advised) is not None:
        return answers, None
    found = spared(job.project, job.print_, pieces_only(demand), advised, lattice)
    if found is None:
        return answers, None
    matched = found[0] if answers.matched is advised else answers.matched
    return replace(answers, matched=matched, advised=found[0]), found[1]


def _repeat_error(
    job: Job, demand: Demand | None, layout: CutLayout | None
) -> tuple[RepeatError | None, tuple[Finding, ...]]:
    """Carry the repeat's error through, and warn of the cliff."""
    if demand is None or layout is None:
        return None, ()
    share = plausible_share(job.print_.error_share)
    warnings = cliffs(demand, layout, share or CLIFF_SHARE)
    if not job.error_seconds:
        return None, warnings
    error = repeat_error(demand, layout, share, seconds=job.error_seconds)
    if error.safe_mm is None:
        warnings = (*warnings, finding("repeat-error-not-held", percent=100 * share))
    return error, warnings


def _other_layouts(job: Job, answers: Answers) -> dict[tuple[Seam, ...], CutLayout | None]:
    """Layouts of the choices of matching that are other problems than the one planned."""
    layouts: dict[tuple[Seam, ...], CutLayout | None] = {}
    for match in job.other_choices:
        settled = settled_match(job.project, job.print_, match)
        seams = kept_seams(job.project, job.print_, match)
        layouts[seams] = None if settled is None else _one_layout(settled, job, answers)
    return layouts


def _turned_apart(
    job: Job, demands: Demands, settled: Demand | None, answers: Answers
) -> tuple[TurnedApart, CutLayout] | None:
    """Layout with tied pieces turned one by one, where that is shorter with its start included."""
    project, print_, advised = job.project, job.print_, answers.advised
    if not print_.turns_alone or print_.border or project.places or settled is None or advised is None:
        return None
    if answers.plain.length_mm >= advised.length_mm - PROOF_MM:
        return None
    least, best = advised.length_mm + job.allowance_mm(advised), None
    ways = list(turned_apart(replace(settled, parts=demands.plain.parts), answers.plain))
    for way in ways:
        found = lay_out_one(
            way.demand,
            seconds=CHOICE_TIME * job.seconds / len(ways),
            free=(answers.one_way, answers.plain),
            bound_mm=answers.plain.bound_mm,
        )
        if found is None:
            continue
        cut = way.as_cut(found)
        needs = cut.length_mm + job.allowance_mm(cut)
        bad = faults(project, print_, cut, keeps_way=True, seams=job.seams)
        if needs < least - PROOF_MM and not bad and _meets_columns(job, demands.plain, cut):
            least, best = needs, (way, found)
    return best


def _meets_columns(job: Job, demand: Demand, layout: CutLayout) -> bool:
    """Whether a layout that asks for a middle of the print across has room to move to one."""
    centre, lattice = job.centre_of(layout), job.lattice
    column = lattice.column_mm if lattice is not None else None
    if centre is None or centre[0] is None or column is None:
        return True
    return sum(room_across_mm(demand, layout)) >= column / 2


def _ordered(answers: Answers, others: dict[tuple[Seam, ...], CutLayout | None]) -> Answers:
    """Let no free layout be longer than one that keeps seams besides."""
    plain, one_way = answers.plain, answers.one_way
    for other in (answers.matched, answers.advised, *others.values()):
        plain = _shorter(plain, other)
        if other is not None and not any(s.turned for s in other.placements):
            one_way = _shorter(one_way, other)
    return replace(answers, plain=_shorter(plain, one_way), one_way=one_way)


def _shorter(layout: CutLayout, other: CutLayout | None) -> CutLayout:
    if other is None or other.length_mm >= layout.length_mm:
        return layout
    bound = min(layout.bound_mm, other.length_mm)
    proved = other.length_mm - bound <= PROOF_MM
    return replace(other, bound_mm=bound, proved=proved, solve_s=layout.solve_s)


def _unmatched(job: Job, demands: Demands, answers: Answers) -> CutLayout:
    """What is laid where no seam is matched: turned where the print's way lets it, at its border."""
    if demands.unmatched is None:
        layout = answers.one_way if job.print_.way == "one-way" else answers.plain
    elif not job.seams and not job.project.places and answers.advised is not None:
        layout = answers.advised
    else:
        found = _one_layout(demands.unmatched, job, answers)
        if found is None:
            raise _none_found(job.project)
        layout = found
    return _shorter(layout, answers.advised)


def _one_layout(demand: Demand, job: Job, answers: Answers) -> CutLayout | None:
    """Layout of one more demand, started from what is known."""
    stricter = answers.advised if job.match == "all" else None  # keeps every seam that this one keeps
    return lay_out_one(
        demand,
        seconds=CHOICE_TIME * job.seconds,
        free=(answers.one_way, answers.plain),
        start=stricter,
        bound_mm=answers.plain.bound_mm,
    )


def _plan(job: Job, answers: Answers, unmatched: CutLayout, findings: tuple[Finding, ...]) -> LengthPlan:
    project, print_ = job.project, job.print_
    cloth, matched = project.cloth, answers.matched
    lattice = job.lattice
    tied = demands_of(project, print_, match=job.match).matched
    assert tied is not None
    layout = answers.advised or unmatched
    return LengthPlan(
        project=project.name,
        cloth=ClothFacts(cloth.width_mm, cloth.usable_width_mm, cloth.shrink_along, cloth.shrink_across),
        print=PrintUsed(lattice.basis_mm if lattice else (), print_.layout, print_.way, print_.source),
        plain=answers.plain,
        one_way=answers.one_way,
        matched=matched,
        extra_mm=None if matched is None else matched.length_mm - answers.plain.length_mm,
        buy=buy_of(job, answers, unmatched),
        seams=_residuals(job, answers.advised),
        rule_of_thumb=rule_of_thumb(tied, answers.plain),
        findings=findings,
        layout=layout,
        start_allowance_mm=job.allowance_mm(answers.advised),
    )


def _start(job: Job, advised: CutLayout | None, figures: FiguresCut | None) -> PrintStart | None:
    if advised is None:
        return None
    motif_at = figures.motif_at_mm if figures else None
    return start_of(job.project, job.print_, advised, job.lattice, motif_at, job.centre_of(advised))


def _steps(job: Job, advised: CutLayout | None, unmatched: CutLayout) -> tuple[CuttingStep, ...]:
    if advised is None:
        return steps_of(replace(job.project, places=()), unmatched, ())
    return steps_of(job.project, advised, job.seams, job.lattice)


def _residuals(job: Job, layout: CutLayout | None) -> tuple[SeamResidual, ...]:
    at = {} if layout is None else {spot.piece: spot for spot in layout.placements}
    centre = print_centre(job.project, at, job.seams) if at else None

    def residual_mm(seam: Seam) -> float | None:
        return seam_residual_mm(job.project, job.print_, at, seam, centre) if at else None

    return tuple(SeamResidual(seam.join, seam.match, residual_mm(seam)) for seam in job.seams)
