"""The same project on several widths of the same cloth, side by side."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from printcheck.core.errors import InputError
from printcheck.core.findings import finding
from printcheck.core.plan import Cloth, LengthPlan, Print, Project
from printcheck.core.results.comparisons import Match, WidthRow
from printcheck.cutting.length import plan_length

MOST_WIDTHS = 12  # more in one table cannot be read, and each takes its share of the time


def compare_widths(
    project: Project,
    print: Print,
    widths_mm: Sequence[float],
    *,
    seconds: float = 10.0,
    match: Match = "all",
    start_allowance: bool | None = None,
    refit: Callable[[Project, Cloth], Project] = lambda project, cloth: replace(project, cloth=cloth),
) -> tuple[WidthRow, ...]:
    """Return a row for each width of the same cloth, selvedge to selvedge and before washing, in mm.

    The effort is shared out equally. A width that is too narrow for a piece keeps its row, with a note.
    ``refit`` draws the project for a cloth: a built-in one changes its pieces with the width.

    Raises
    ------
    InputError
        For no width, too many, or one that is not above zero.
    """
    if not 1 <= len(widths_mm) <= MOST_WIDTHS:
        raise InputError(
            "widths-number", f"{len(widths_mm)} widths to compare.", f"Give from 1 to {MOST_WIDTHS} widths."
        )
    rows = []
    for width in widths_mm:
        if not (math.isfinite(width) and width > 2 * project.cloth.selvedge_mm):
            raise InputError(
                "width-not-positive",
                f"A cloth width of {width:g} mm leaves nothing to cut.",
                "Give a wider cloth.",
            )
        narrow = WidthRow(width, None, None, None, False, None, None, finding("width-too-narrow"))
        try:
            wider = refit(project, replace(project.cloth, width_mm=width))
        except InputError:  # a piece that does not fit: said in the row
            rows.append(narrow)
            continue
        try:
            own = wider.print if wider.kind and wider.print is not None else print
            plan = plan_length(
                wider, own, seconds=seconds / len(widths_mm), match=match, start_allowance=start_allowance
            )
        except InputError as error:
            if error.code != "piece-too-wide":
                raise
            rows.append(narrow)
        else:
            rows.append(row_of(width, plan))
    return tuple(rows)


def row_of(width: float, plan: LengthPlan) -> WidthRow:
    """Return the row of a width, in mm, that was planned already."""
    matched, buy = plan.matched, plan.buy
    warning = next((f for f in plan.findings if f.severity == "warning"), None)
    return WidthRow(
        width,
        plan.plain.length_mm,
        plan.one_way.length_mm,
        None if matched is None else matched.length_mm,
        plan.one_way.proved if matched is None else plan.plain.proved and matched.proved,
        buy.advised_mm,
        buy.advised_cost,
        warning if matched is None else None,
    )
