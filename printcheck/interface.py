"""The two questions for programs: measure a photo, plan a length; and what one may do with the answers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding
from printcheck.core.handover import MeasuredPhoto, PlannedLength
from printcheck.core.measurement import (
    Clump,
    Colour,
    Difficulty,
    Direction,
    Measurement,
    Motif,
    PrintName,
    Repeat,
    Scale,
    SeamsSeen,
    SizeClass,
    StripeOrCheck,
)
from printcheck.core.plan import Buy, CutLayout, LengthPlan, Print, Project
from printcheck.core.request import AnyScale, any_scale
from printcheck.core.results.comparisons import Match
from printcheck.core.units import UnitSystem, parse_positive_length
from printcheck.pipeline import Effort, Options, Photo, Selvedge

if TYPE_CHECKING:
    from printcheck.batch.rows import Row


@dataclass(frozen=True)
class Found:
    """A measured photo; every part of the measurement is an attribute of its name.

    Lengths are in millimetres on the cloth; where no scale is known they are None, and stand in pixels of
    the photo in the fields that end in ``_px``.
    """

    measurement: Measurement
    pictures: MeasuredPhoto = field(repr=False, compare=False)

    @property
    def scale(self) -> Scale | None:
        """Millimetres to the photo's pixel, with its error; None where nothing of known size was seen."""
        return self.measurement.scale

    @property
    def print_name(self) -> PrintName | None:
        """The trade's name of the print."""
        return self.measurement.print_name

    @property
    def colours(self) -> tuple[Colour, ...]:
        """The ground first, then by share."""
        return self.measurement.colours

    @property
    def repeat(self) -> Repeat:
        """The lattice, its layout and its error."""
        return self.measurement.repeat

    @property
    def motif(self) -> Motif:
        """The largest motif."""
        return self.measurement.motif

    @property
    def direction(self) -> Direction:
        """Which way up the print can lie."""
        return self.measurement.direction

    @property
    def stripe_or_check(self) -> StripeOrCheck | None:
        """Bars of a stripe, check or plaid."""
        return self.measurement.stripe_or_check

    @property
    def clump(self) -> Clump | None:
        """Where one colour gathers."""
        return self.measurement.clump

    @property
    def classes(self) -> tuple[SizeClass, ...]:
        """Such as ``("small", "busy")``."""
        return self.measurement.classes

    @property
    def seams(self) -> SeamsSeen:
        """What an unmatched seam shows, and what to match."""
        return self.measurement.seams

    @property
    def difficulty(self) -> Difficulty:
        """How hard it is to sew with, and why."""
        return self.measurement.difficulty

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Remarks: codes and numbers."""
        return self.measurement.findings

    def to_dict(self) -> dict[str, Any]:
        """Document ``printcheck.measurement/2``, as ``measure --json`` prints it."""
        from printcheck.report import write_json

        return write_json.document(self.measurement)

    def text(self, units: UnitSystem = "metric") -> str:
        """What ``measure`` prints."""
        from printcheck.report.words import text

        return text.measurement(self.measurement, units)

    def _repr_html_(self) -> str:
        from printcheck.report.page.html import summary
        from printcheck.report.words.measured import content

        return summary(content(self.measurement, "metric"))


@dataclass(frozen=True)
class Planned:
    """A length to buy with its cutting layouts."""

    plan: LengthPlan
    made_from: PlannedLength = field(repr=False, compare=False)

    @property
    def buy(self) -> Buy:
        """What to buy, before washing; ``buy.advised_mm`` is the answer."""
        return self.plan.buy

    @property
    def layout(self) -> CutLayout:
        """The layout to cut by: the matched one, or where it cannot be matched all pieces one way up."""
        return self.plan.matched or self.plan.one_way

    @property
    def extra_mm(self) -> float | None:
        """What matching takes beyond the plain layout."""
        return self.plan.extra_mm

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Remarks: codes and numbers."""
        return self.plan.findings

    def to_dict(self) -> dict[str, Any]:
        """Document ``printcheck.length/1``, as ``length --json`` prints it."""
        from printcheck.report import write_json

        return write_json.document(self.plan)

    def text(self, units: UnitSystem = "metric") -> str:
        """What ``length`` prints."""
        from printcheck.report.words import text

        return text.length(self.plan, units)

    def _repr_html_(self) -> str:
        from printcheck.report.page.html import summary
        from printcheck.report.words.planned import content

        return summary(content(self.plan, "metric"))


def measure(
    photo: Photo,
    *,
    scale: AnyScale = "auto",
    selvedge: Selvedge = "vertical",
    viewing_distance: str = "1.5 m",
) -> Found:
    """Measure the print on a photo of cloth.

    Parameters
    ----------
    photo : path, or array of (H, W, 3) uint8 or float
        The photo; an array is RGB, floats from 0 to 1.
    scale : str or Scale, keyword-only
        ``"auto"`` looks for any object of known size, and reads the print without sizes where there is
        none; ``"card"``, ``"A4"`` and so on name one; ``"0.2 mm/px"`` or ``"300 dpi"`` state it; see
        :class:`Scale` for the rest. The scale of another measurement may be given again.
    selvedge : {"vertical", "horizontal"}, keyword-only
        How the selvedge runs in the photo.
    viewing_distance : str, keyword-only
        From where seams are judged.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If the photo or the scale is no good.
    NoAnswerError
        If an object was named that is not in sight.

    Examples
    --------
    A gingham of 5 mm squares, drawn at 0.25 mm to the pixel:

    >>> import numpy as np
    >>> import printcheck
    >>> y, x = np.mgrid[:480, :640] // 20 % 2
    >>> cloth = np.full((480, 640, 3), 1.0)
    >>> cloth[..., 0] = cloth[..., 1] = 1 - 0.4 * (x + y)
    >>> found = printcheck.measure(cloth, scale="0.25 mm/px")
    >>> round(found.repeat.across_mm), round(found.repeat.along_mm), found.repeat.layout
    (10, 10, 'straight')
    """
    from printcheck.pipeline import measure_photo

    distance_m = parse_positive_length(viewing_distance, place="viewing_distance") / 1000
    measured = measure_photo(photo, Options(any_scale(scale), selvedge, distance_m))
    return Found(measured.measurement, measured)


def load_project(path: str | Path) -> Project:
    """Sewing project of a TOML file.

    Raises
    ------
    InputError
        If it is no sound project; the message names the place.
    """
    from printcheck.project import load_project as load

    return load(Path(path))


def plan(
    project: str | Path | Project,
    print: Found | Measurement | Print | Mapping[str, Any] | str | None = None,
    *,
    seconds: float = 10.0,
    match: Match | None = None,
) -> Planned:
    """Length of cloth to buy for a project on a print.

    Parameters
    ----------
    project : path or Project
        A TOML file, or a project that :func:`load_project` read.
    print : Found, Measurement, Print, mapping or str, optional
        A measurement or its document; words such as ``"64mm x 64mm half-drop"``; by default the print that
        the project names.
    seconds : float, keyword-only
        Effort of the search.
    match : {"all", "visible", "none"}, optional, keyword-only
        Seams to match; by itself all, but none of a built-in project on a print that needs no match.

    Raises
    ------
    InputError
        If the project or the print is no good.
    NoAnswerError
        If the print was measured without a scale, or no layout was found in the time given.

    Examples
    --------
    >>> import printcheck
    >>> from printcheck.project import built_in
    >>> two = printcheck.plan(built_in("cushion", {"count": "1"}), "64mm x 64mm", seconds=1)
    >>> two.plan.plain.length_mm <= two.layout.length_mm
    True
    """
    from printcheck.pipeline import plan_length

    job = project if isinstance(project, Project) else load_project(project)
    measured = print.pictures if isinstance(print, Found) else None
    made = plan_length(job, _print(print, job), Effort(seconds, match), measured=measured)
    return Planned(made.plan, made)


def _print(print_: Found | Measurement | Print | Mapping[str, Any] | str | None, job: Project) -> Print:
    from printcheck.project import parse_print, print_from_measurement

    if isinstance(print_, Print):
        return print_
    if isinstance(print_, str):
        return parse_print(print_)
    if print_ is not None:
        return print_from_measurement(print_.measurement if isinstance(print_, Found) else print_)
    if job.print is None:
        raise InputError(
            "no-print", f"{job.name}: the project names no print.", "Give one: a measurement, or words."
        )
    return job.print


def save(result: Found | Planned, path: str | Path, *, units: UnitSystem = "metric") -> None:
    """Write a result to a file by the file's ending.

    A measurement becomes a page (``.html``, ``.pdf``), the photo with what was found (``.png``, ``.svg``)
    or its document (``.json``); a plan becomes a cutting layout (``.svg``, ``.pdf``), a page (``.html``)
    or its document.

    Raises
    ------
    InputError
        For another ending, or a place that cannot be written to.
    """
    from printcheck.core.system import atomic
    from printcheck.report import write_json
    from printcheck.report.drawing import photo_overlay
    from printcheck.report.page import layout_file, page_file

    target = Path(path)
    ending = target.suffix.lower()
    if ending == ".json":
        atomic.write_atomic(target, write_json.dumps(result.to_dict()))
    elif isinstance(result, Planned) and ending in (".svg", ".pdf"):
        layout_file.write(target, result.made_from, units=units)
    elif isinstance(result, Planned):
        page_file.write(target, measured=result.made_from.measured, planned=result.made_from, units=units)
    elif ending in (".png", ".svg"):
        photo_overlay.write(target, result.pictures, units=units)
    else:
        page_file.write(target, measured=result.pictures, units=units)


def tag(
    source: str | Path,
    *,
    scale: AnyScale = "auto",
    selvedge: Selvedge = "vertical",
    kind: str | None = None,
    workers: int | None = None,
    units: Literal["metric", "imperial"] = "metric",
) -> Iterator[Row]:
    """Tag every photo of a folder or list; rows come in the order given, each as soon as it may.

    Parameters
    ----------
    source : path or str
        Folder, CSV list, or an address that fsspec opens.
    scale, selvedge : keyword-only
        For every photo whose row names no scale of its own; see :func:`measure`.
    kind : str or None, keyword-only
        Built-in project whose extra length for matching is wanted.
    workers : int or None, keyword-only
        Processes; None takes every core.
    units : {"metric", "imperial"}, keyword-only
        Of the listing text.

    Yields
    ------
    Row
    """
    from printcheck.batch.rows import rows_of

    return rows_of(
        str(source), scale=any_scale(scale), selvedge=selvedge, kind=kind, workers=workers, units=units
    )
