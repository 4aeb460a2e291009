"""A report to keep, as HTML or PDF by the file's ending: of a measurement, of a plan, or of both."""

from __future__ import annotations

from pathlib import Path

from printcheck.core.handover import MeasuredPhoto, PlannedLength
from printcheck.core.system import atomic
from printcheck.core.units import UnitSystem
from printcheck.report.page.figures import Part, of_measured, of_planned
from printcheck.report.words import measured as say_measured
from printcheck.report.words import planned as say_planned
from printcheck.report.words.content import Content, joined, shown_name


def write(
    path: Path,
    *,
    measured: MeasuredPhoto | None = None,
    planned: PlannedLength | None = None,
    units: UnitSystem = "metric",
) -> None:
    """Write a report of a measured photo, a planned length or both, to a file in ``.html`` or ``.pdf``."""
    ending = atomic.check_ending(path, place="--report")
    content, parts = compose(measured=measured, planned=planned, units=units)
    atomic.write_atomic(path, render(content, parts, ending), place="--report")


def compose(
    *, measured: MeasuredPhoto | None, planned: PlannedLength | None, units: UnitSystem
) -> tuple[Content, list[Part]]:
    """What a report of these says and shows; the length first, since it is what was asked for."""
    if measured is None and planned is None:
        raise ValueError("a report is of a measurement, a plan or both")
    of_photo = None if measured is None else say_measured.content(measured.measurement, units)
    of_plan = None if planned is None else say_planned.content(planned.plan, units)
    content = of_plan or of_photo
    assert content is not None
    if of_plan is not None and of_photo is not None and measured is not None:
        name = shown_name(measured.measurement.photo.file)
        content = joined(of_plan, of_photo, f"{of_plan.title}, cut from the print in {name}")
    lead: list[Part] = []
    rest: list[Part] = []
    if measured is not None and of_photo is not None:
        first, *others = of_measured(measured, units=units)
        lead = [first]
        rest = [*content.sections[len(content.sections) - len(of_photo.sections) :], *others]
    if planned is not None and of_plan is not None:  # the answer, the picture, the layout, the steps
        lead.extend(of_planned(planned, units=units))
        rest = [*of_plan.sections, *rest]
    return content, [*lead, *rest]


def render(content: Content, parts: list[Part], ending: str) -> str | bytes:
    """The report in the format of a file's ending."""
    if ending == ".pdf":
        from printcheck.report.page import pdf

        return pdf.report(content, parts)
    from printcheck.report.page import html

    return html.report(content, parts)
