"""A report to keep, as HTML or PDF by the file's ending: of a measurement, of a plan, or of both."""

from __future__ import annotations

from pathlib import Path

from printcheck.report import files, say_measured, say_planned
from printcheck.report.content import Content, joined, shown_name
from printcheck.report.figures import Figure, of_measured, of_planned
from printcheck.report.to_layout import Planned
from printcheck.report.to_picture import Measured
from printcheck.units import UnitSystem


def write(
    path: Path,
    *,
    measured: Measured | None = None,
    planned: Planned | None = None,
    photo: Path | None = None,
    units: UnitSystem = "metric",
) -> None:
    """Write a report of what there is.

    Parameters
    ----------
    path : Path
        File ending in ``.html`` or ``.pdf``.
    measured : MeasuredPhoto, optional
        A measured photo.
    planned : PlannedLength, optional
        A planned length.
    photo : Path, optional
        The photo, to draw on; without it the flat cloth is shown.
    units : {"metric", "imperial"}
    """
    ending = files.check_ending(path, place="--report")
    content, figures = compose(measured=measured, planned=planned, photo=photo, units=units)
    files.write_atomic(path, render(content, figures, ending), place="--report")


def compose(
    *, measured: Measured | None, planned: Planned | None, photo: Path | None, units: UnitSystem
) -> tuple[Content, list[Figure]]:
    """What a report of these says and shows; the length first, since it is what was asked for."""
    if measured is None and planned is None:
        raise ValueError("a report is of a measurement, a plan or both")
    of_photo = None if measured is None else say_measured.content(measured.measurement, units)
    of_plan = None if planned is None else say_planned.content(planned.plan, units)
    figures = [] if planned is None else of_planned(planned, units=units)
    figures += [] if measured is None else of_measured(measured, photo=photo, units=units)
    if of_plan is None or of_photo is None:
        return of_plan or of_photo, figures  # type: ignore[return-value]
    name = shown_name(measured.measurement.photo.file) if measured else ""
    return joined(of_plan, of_photo, f"{of_plan.title}, cut from the print in {name}"), figures


def render(content: Content, figures: list[Figure], ending: str) -> str | bytes:
    """The report in the format of a file's ending."""
    if ending == ".pdf":
        from printcheck.report import to_pdf

        return to_pdf.report(content, figures)
    from printcheck.report import to_html

    return to_html.report(content, figures)
