"""The flow from a project and a print to the length to buy."""

from __future__ import annotations

import math
from dataclasses import replace

from printcheck.cutting.buying import buy_of
from printcheck.cutting.checker import faults, seam_residual_mm
from printcheck.cutting.demands import (
    Answers,
    Demands,
    Match,
    Progress,
    demands_of,
    kind_wanted,
    washed_lattice,
)
from printcheck.cutting.thumb import rule_of_thumb
from printcheck.cutting.trouble import settle
from printcheck.errors import InputError, NoAnswerError
from printcheck.findings import Finding, finding
from printcheck.plan import (
    ClothFacts,
    CutLayout,
    LengthPlan,
    Print,
    PrintUsed,
    Project,
    Seam,
    SeamResidual,
)

MOST_PIECES = 60  # copies; beyond it neither bound nor layout is worth the wait
LEAST_SECONDS = 0.2  # s: less effort than this gives no answer to rely on
FIT_MM = 1e-6  # mm: rounding noise of a piece as wide as the cloth


def plan_length(
    project: Project,
    print: Print,
    *,
    seconds: float = 10.0,
    match: Match = "all",
    start_allowance: bool = False,
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
        Wall-clock effort for everything together.
    match : {"all", "visible", "none"}
        Which seams the matched layout keeps.
    start_allowance : bool
        Whether to add one repeat for cutting from where the shop's cut fell.
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
    settled, findings = (None, ()) if demands.matched is None else settle(demands.matched)
    demands = replace(demands, matched=settled)
    answers = _solve(demands, seconds, progress)
    _insist_sound(project, print, answers, match)
    if settled is not None and answers.matched is None:
        code = "seams-clash" if answers.impossible else "matched-not-found"
        findings = (*findings, finding(code, seconds=f"{seconds:g}"))
    return _plan(project, print, demands, answers, (*project.findings, *findings), match, start_allowance)


def _solve(demands: Demands, seconds: float, progress: Progress | None) -> Answers:
    # both load heavy libraries, so each only where it is needed
    if any(part.outline for part in demands.plain.parts):
        from printcheck.cutting.outlines import solve_outlines

        return solve_outlines(demands, seconds=seconds, progress=progress)
    from printcheck.cutting.rectangles import solve

    return solve(demands, seconds=seconds, progress=progress)


def check_project(project: Project, print_: Print, seconds: float) -> None:
    """Refuse what no layout can be made of."""
    cloth = project.cloth
    if not project.pieces:
        raise InputError("no-pieces", f"{project.name}: there is no piece to cut.", "Add a [[piece]].")
    if len(project.pieces) > MOST_PIECES:
        raise InputError(
            "too-many-pieces",
            f"{project.name}: {len(project.pieces)} pieces; at most {MOST_PIECES} can be laid at once.",
            "Split the project, or lay one set of pieces and buy it several times.",
        )
    numbers = [cloth.width_mm, cloth.selvedge_mm, cloth.shrink_along, cloth.shrink_across, seconds]
    numbers += [v for p in project.pieces for v in (p.width_mm, p.length_mm)]
    numbers += [v for seam in project.seams for end in seam.join for v in end.at]
    numbers += [v for place in project.places for v in place.at]
    numbers += [v for vector in (print_.lattice.basis_mm if print_.lattice else ()) for v in vector]
    if not all(map(math.isfinite, numbers)) or seconds <= 0:
        raise InputError(
            "not-a-number", f"{project.name}: a size is not a finite number.", "Correct the sizes."
        )
    _check_fit(project, print_)


def _check_fit(project: Project, print_: Print) -> None:
    usable = project.cloth.usable_width_mm
    names = {piece.name for piece in project.pieces}
    if len(names) < len(project.pieces):
        raise InputError("piece-name-twice", f"{project.name}: two pieces share a name.", "Rename one.")
    for piece in project.pieces:
        across = piece.length_mm if print_.border else piece.width_mm
        if min(piece.width_mm, piece.length_mm) <= 0:
            raise InputError("piece-without-size", f"{piece.name}: a side is not above zero.", "Correct it.")
        if across > usable + FIT_MM:
            side = "long (pieces lie crosswise on a border print)" if print_.border else "wide"
            raise InputError(
                "piece-too-wide",
                f"{piece.name}: {across / 10:.1f} cm {side}, and {usable / 10:.1f} cm of width can be used.",
                "Take a wider cloth, or split the piece and join it with a seam.",
            )
    for end in [end for seam in project.seams for end in seam.join]:
        _known(end.piece, names, "seam")
    for place in project.places:
        _known(place.piece, names, "place")


def _known(name: str, names: set[str], what: str) -> None:
    if name not in names:
        raise InputError("unknown-piece", f"{what}: there is no piece {name}.", "Use the name of a copy.")


def kept_seams(project: Project, print_: Print, match: Match) -> tuple[Seam, ...]:
    """Seams the matched layout promises, each with the match it promises."""
    wanted = ((seam, kind_wanted(seam, print_, match)) for seam in project.seams)
    return tuple(replace(seam, match=kind) for seam, kind in wanted if kind is not None)


def _insist_sound(project: Project, print_: Print, answers: Answers, match: Match) -> None:
    """No layout leaves this room that the checker finds fault with."""
    if not answers.plain.placements or not answers.one_way.placements:
        raise NoAnswerError(
            "no-layout", f"{project.name}: no layout was found in time.", "Give more seconds."
        )
    seams = kept_seams(project, print_, match)
    bad = faults(project, print_, answers.plain, keeps_way=False)
    bad += faults(project, print_, answers.one_way, keeps_way=True)
    if answers.matched is not None:
        bad += faults(project, print_, answers.matched, keeps_way=True, seams=seams, places=project.places)
    if bad:
        raise NoAnswerError(
            "layout-not-sound",
            f"{project.name}: the layout found did not pass its check: {bad[0]}.",
            "Give more seconds; if it comes again, please report the project file.",
        )


def _plan(
    project: Project,
    print_: Print,
    demands: Demands,
    answers: Answers,
    findings: tuple[Finding, ...],
    match: Match,
    start_allowance: bool,
) -> LengthPlan:
    cloth, matched = project.cloth, answers.matched
    lattice = washed_lattice(project, print_)
    repeat = lattice.shortest_along_axis(1) if lattice else None
    allowance = repeat or 0.0 if start_allowance else 0.0
    return LengthPlan(
        project=project.name,
        cloth=ClothFacts(cloth.width_mm, cloth.usable_width_mm, cloth.shrink_along, cloth.shrink_across),
        print=PrintUsed(lattice.basis_mm if lattice else (), print_.layout, print_.way, print_.source),
        plain=answers.plain,
        one_way=answers.one_way,
        matched=matched,
        extra_mm=None if matched is None else matched.length_mm - answers.plain.length_mm,
        buy=buy_of(
            cloth,
            answers.plain.length_mm,
            answers.one_way.length_mm,
            None if matched is None else matched.length_mm,
            allowance,
        ),
        seams=_residuals(project, print_, matched, match),
        rule_of_thumb=rule_of_thumb(
            demands_of(project, print_, match=match).matched or demands.plain, answers.plain
        ),
        findings=findings,
    )


def _residuals(
    project: Project, print_: Print, matched: CutLayout | None, match: Match
) -> tuple[SeamResidual, ...]:
    at = {} if matched is None else {spot.piece: spot for spot in matched.placements}
    return tuple(
        SeamResidual(
            seam.join, seam.match, None if matched is None else seam_residual_mm(project, print_, at, seam)
        )
        for seam in kept_seams(project, print_, match)
    )
