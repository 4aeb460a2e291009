"""Several plans side by side: the built-in kinds against a length at hand, several cloths for one project."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path

from printcheck import pipeline
from printcheck.core.measurement import Measurement
from printcheck.core.plan import Cloth, Print, Project
from printcheck.core.results.comparisons import ComparedCloth, Comparison, KindAtHand, KindsAtHand

LEAST_SECONDS = 0.5  # s for each kind: enough for a layout that is seldom a step of the shop too long


def kinds_at_hand(have_mm: float, printed: Print, cloth: Cloth, *, seconds: float = 10.0) -> KindsAtHand:
    """Return every built-in kind in its usual sizes against a length of cloth, before washing, in mm.

    Parameters
    ----------
    have_mm : float
        Length at hand.
    printed : Print
        Its print.
    cloth : Cloth
        The cloth.
    seconds : float
        Time for all kinds together; half a second each at least.
    """
    from printcheck.project import usual_projects

    projects = list(usual_projects(cloth, printed))
    effort = pipeline.Effort(max(LEAST_SECONDS, seconds / max(1, len(projects))))
    rows = []
    for kind, project in projects:
        if project is None:
            rows.append(KindAtHand(kind.name, kind.title, None, False, None))
            continue
        plan = pipeline.plan_length(project, printed, effort).plan
        assert plan.layout is not None
        needs = (plan.layout.length_mm + plan.start_allowance_mm) / (1 - cloth.shrink_along)
        does = needs <= have_mm
        rows.append(KindAtHand(kind.name, kind.title, needs, does, have_mm - needs if does else None))

    def order(row: KindAtHand) -> tuple[bool, float]:
        return not row.does, math.inf if row.needs_mm is None else abs(have_mm - row.needs_mm)

    return KindsAtHand(have_mm, cloth.width_mm, tuple(sorted(rows, key=order)))


def compare(
    cloths: Sequence[tuple[Path, Measurement, Print]],
    drawn_for: Callable[[Print], Project],
    named: Callable[[Measurement], str],
    *,
    seconds: float = 10.0,
) -> Comparison:
    """Return several cloths for one project side by side.

    Parameters
    ----------
    cloths : sequence of (file, measurement, print)
        Where each print comes from, what was measured, the print on the cloth as sold.
    drawn_for : callable
        Draws the project for a print.
    named : callable
        Puts a print into words.
    seconds : float
        Time for all cloths together.
    """
    from printcheck.cutting.money import waste_share

    rows = []
    project = drawn_for(cloths[0][2])
    for file, measured, printed in cloths:
        project = drawn_for(printed)
        planned = pipeline.plan_length(project, printed, pipeline.Effort(seconds / len(cloths)))
        buy = planned.plan.buy
        share = waste_share(planned.project, buy.advised_mm)
        rows.append(
            ComparedCloth(
                file.name, named(measured), measured.difficulty.level, buy.advised_mm, buy.unmatched_mm,
                buy.advised_cost, share,
            )
        )  # fmt: skip
    return Comparison(project.name, project.cloth.currency, tuple(rows))
