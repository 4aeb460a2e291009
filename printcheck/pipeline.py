"""The data flow on one screen: a photo becomes a measurement, a project becomes a length to buy."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from printcheck.core.handover import MeasuredPhoto, PlannedLength
from printcheck.core.measurement import Judgement, Measurement, PrintFacts
from printcheck.core.plan import LengthPlan, Print, Project
from printcheck.core.request import AUTO, MotifIs, RepeatIs, ScaleRequest
from printcheck.core.results.comparisons import Match, WidthRow
from printcheck.core.results.lengths import facts_at, rescaled, with_pixels, without_mm

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.core.handover import FlatCloth, PrintLattice

Progress = Callable[[str, float], None]
Photo: TypeAlias = "Path | str | NDArray[Any]"
Selvedge = Literal["vertical", "horizontal"]
NEAR_MISSES = 0.1  # of the time besides: what a little less of one size would save
FOLDED = 0.1  # of the time besides: the same pieces cut double
GIVING_UP = 0.5  # of the time besides, where a length at hand does not do
JOINED = 0.8  # share of the work done once several photos lie together
SURE = 0.9  # confidence of a repeat from which the camera is not asked whether it was tilted
LEANING = {"repeat-tilt-unknown", "repeat-uneven-cloth"}  # findings after which it is
VIEWING_DISTANCE_M = 1.5  # metres: a person standing before the wearer, common practice


@dataclass(frozen=True)
class Options:
    """What may be asked of a measurement besides the photo.

    Parameters
    ----------
    scale : ScaleRequest
        How large things are; by default any object of known size is looked for.
    selvedge : {"vertical", "horizontal"}
        How the selvedge runs in the photo.
    viewing_distance_m : float
        Distance from which a seam is judged, metres.
    """

    scale: ScaleRequest = field(default=AUTO)
    selvedge: Selvedge = "vertical"
    viewing_distance_m: float = VIEWING_DISTANCE_M


@dataclass(frozen=True)
class Effort:
    """How hard to look for the shortest layout, and what to match."""

    seconds: float = 10.0
    match: Match | None = None  # None: what the print asks for of seams that nobody named
    start_allowance: bool | None = None


def measure_photo(photo: Photo, options: Options | None = None) -> MeasuredPhoto:
    """Scale, repeat, motif, way, seams and difficulty of one photo.

    Parameters
    ----------
    photo : path, or array of (H, W, 3) uint8 or float
        The photo; an array is RGB, floats from 0 to 1.
    options : Options, optional
        Scale, selvedge, viewing distance.

    Returns
    -------
    MeasuredPhoto
        A measurement even where no repeat is found; its confidence and findings say how good it is.

    Raises
    ------
    InputError
        If the file is no sound picture or the options do not fit it.
    NoAnswerError
        If an object was named and is not in sight.
    """
    return measure_photos([photo], options)


def measure_photos(
    photos: Sequence[Photo], options: Options | None = None, *, progress: Progress = lambda *_: None
) -> MeasuredPhoto:
    """Measure several overlapping photos of one swatch as one; see :func:`measure_photo`.

    ``progress`` is told the stage in words and the share done.
    """
    options = options or Options()
    from printcheck.photo import picture_of

    opened = [Path(photo) if isinstance(photo, (str, Path)) else picture_of(photo) for photo in photos]
    if len(opened) == 1:
        from printcheck.photo import flatten_photo

        with _one_thread():
            cloth = flatten_photo(opened[0], options.scale, selvedge=options.selvedge)
    else:
        from printcheck.photo.stitch.join import flatten_photos

        with _one_thread():
            cloth = flatten_photos(opened, options.scale, selvedge=options.selvedge, progress=progress)
    progress("reading the print", JOINED)
    return measure_cloth(cloth, options)


def _one_thread() -> AbstractContextManager[object]:
    """Matrices as small as ours make threads wait, at twice the work's own time."""
    from threadpoolctl import threadpool_limits

    limits: AbstractContextManager[object] = threadpool_limits(1, user_api="blas")
    return limits


def measure_cloth(cloth: FlatCloth, options: Options) -> MeasuredPhoto:
    """Measure a flat picture of cloth; see :func:`measure_photo`."""
    from printcheck.advice import judge, judged_without_size, named_length, shown_waves
    from printcheck.motif import mean_cell, read_print
    from printcheck.photo.scale.by_print import scaled_by_print

    with _one_thread():
        cloth, lattice = _with_lattice(cloth, options)
        sure = lattice.repeat.confidence * cloth.trust
        lattice = replace(lattice, repeat=replace(lattice.repeat, confidence=sure))
        if lattice.extent is not None:
            cloth = replace(cloth, mask=lattice.extent, beside=~cloth.mask)
        cell = mean_cell(cloth, lattice)
        facts = read_print(cloth, lattice, cell)
        told = options.scale if isinstance(options.scale, (RepeatIs, MotifIs)) else None
        if told is not None:
            cloth, lattice, cell, facts = scaled_by_print(told, cloth, lattice, cell, facts)

        def judged_at(size: float) -> Judgement:
            repeat, seen = rescaled(lattice.repeat, size), rescaled(waves, size)
            return judge(repeat, facts_at(facts, size), seen, viewing_distance_m=options.viewing_distance_m)

        if cloth.scale_known:
            judgement = judge(lattice.repeat, facts, cell, viewing_distance_m=options.viewing_distance_m)
        else:
            waves = shown_waves(facts, cell)
            judgement = judged_without_size(judged_at, named_length(lattice.repeat, facts))
    return MeasuredPhoto(_assemble(cloth, lattice, facts, judgement), cloth, lattice, cell)


def _with_lattice(cloth: FlatCloth, options: Options) -> tuple[FlatCloth, PrintLattice]:
    """The cloth with its lattice, as it lies or by the tilt that the print shows where that is likelier.

    Nothing else tells of the tilt where no object of known size is seen. Where the picture as a whole shows
    no repeat, its tilt is tried before its parts: that is much quicker.
    """
    from printcheck.photo import flattened_by_print
    from printcheck.repeat import find_lattice, shows_tilt

    @cache
    def laid_flat() -> tuple[FlatCloth, PrintLattice] | None:
        flat = flattened_by_print(cloth, selvedge=options.selvedge)
        return None if flat is None else (flat, find_lattice(flat, whole=lambda: True))

    def tilted(lattice: PrintLattice | None) -> tuple[FlatCloth, PrintLattice] | None:
        found = laid_flat()
        return found if found is not None and shows_tilt(found[1], lattice) else None

    told = cloth.scale.tilt_deg is not None or (cloth.scale_known and cloth.outline_px is not None)
    lattice = find_lattice(cloth, whole=lambda: not told and tilted(None) is not None)
    repeat = lattice.repeat
    leans = LEANING & {found.code for found in lattice.findings}
    if told or repeat.kind == "none" or (repeat.known and repeat.confidence >= SURE and not leans):
        return cloth, lattice
    return tilted(lattice) or (cloth, lattice)


def plan_length(
    project: Project,
    printed: Print,
    effort: Effort | None = None,
    *,
    widths_mm: Sequence[float] = (),
    have_mm: float | None = None,
    measured: MeasuredPhoto | None = None,
    progress: Progress | None = None,
) -> PlannedLength:
    """Length to buy for a project on a print, with plain, one-way and matched cutting layouts.

    Parameters
    ----------
    project : Project
        Pieces, seams and cloth.
    printed : Print
        The print on the cloth as sold.
    effort : Effort, optional
        Seconds of search, which seams to match, start allowance.
    widths_mm : sequence of float
        Other widths of the same cloth to compare, before washing.
    have_mm : float, optional
        Length at hand: does it do, and if not what to give up.
    measured : MeasuredPhoto, optional
        Where the print came from, for the drawings.
    progress : callable, optional
        Told the stage in words and the share done.
    """
    from printcheck.cutting import plan_length as plan
    from printcheck.project import refitted

    effort = effort or Effort()
    match = effort.match or _asked_of(project, printed)
    project = refitted(project, print_=printed)  # a built-in kind joins its widths by the print's columns
    if project.kind and project.print is not None:
        printed = project.print  # columns that fill the cloth to within the error of measurement fill it
    others = [width for width in widths_mm if width != project.cloth.width_mm]
    share = effort.seconds / (1 + len(others))  # the same for every width
    made = plan(
        project,
        printed,
        seconds=share,
        match=match,
        start_allowance=effort.start_allowance,
        progress=progress,
    )
    asked = replace(effort, seconds=share)
    made = _with_alternatives(project, printed, made, asked.seconds, match)
    if have_mm is not None:
        made = _with_cloth_at_hand(project, printed, made, effort.seconds, match, have_mm)
    if widths_mm:
        made = replace(made, widths=_widths(project, printed, made, asked, match, widths_mm))
    return PlannedLength(made, project, printed, measured)


def _with_alternatives(
    project: Project, printed: Print, made: LengthPlan, seconds: float, match: Match
) -> LengthPlan:
    """The plan with what a little less of one size would save, and the same cut double."""
    from printcheck.cutting.what_if.cut_double import cut_double
    from printcheck.cutting.what_if.near_miss import near_misses
    from printcheck.project import resized

    near = near_misses(project, printed, made, seconds=NEAR_MISSES * seconds, match=match, refit=resized)
    double = cut_double(project, printed, seconds=FOLDED * seconds)
    return replace(made, findings=(*made.findings, *near), double=double)


def _with_cloth_at_hand(
    project: Project, printed: Print, made: LengthPlan, seconds: float, match: Match, have_mm: float
) -> LengthPlan:
    """The plan with whether a length at hand does."""
    from printcheck.cutting.what_if.at_hand import have_of
    from printcheck.project import resized

    have = have_of(project, printed, made, have_mm, seconds=GIVING_UP * seconds, match=match, refit=resized)
    return replace(made, have=have)


def _widths(
    project: Project,
    printed: Print,
    made: LengthPlan,
    effort: Effort,
    match: Match,
    widths_mm: Sequence[float],
) -> tuple[WidthRow, ...]:
    """The lengths on each width of cloth, in the order asked for."""
    from printcheck.cutting.what_if.other_widths import compare_widths, row_of
    from printcheck.project import refitted

    own = project.cloth.width_mm
    rows = {own: row_of(own, made)}
    others = [width for width in widths_mm if width != own]
    if others:
        compared = compare_widths(
            project,
            printed,
            others,
            seconds=effort.seconds * len(others),
            match=match,
            start_allowance=effort.start_allowance,
            refit=lambda job, cloth: refitted(job, cloth=cloth, print_=printed),
        )
        rows |= {row.width_mm: row for row in compared}
    return tuple(rows[width] for width in widths_mm)


def _asked_of(project: Project, printed: Print) -> Match:
    """All seams; of a built-in project, whose seams nobody named, none where the print needs no match."""
    return "none" if project.kind and printed.needs == "none" else "all"


def _assemble(
    cloth: FlatCloth, lattice: PrintLattice, facts: PrintFacts, judgement: Judgement
) -> Measurement:
    from printcheck.photo.pixels import repeat_in_photo

    measured = Measurement(
        photo=cloth.photo,
        scale=cloth.scale,
        repeat=repeat_in_photo(cloth, lattice),
        motif=facts.motif,
        direction=facts.direction,
        stripe_or_check=facts.stripe_or_check,
        clump=facts.clump,
        classes=judgement.classes,
        seams=judgement.seams,
        difficulty=judgement.difficulty,
        figures=facts.figures,
        findings=cloth.findings + lattice.findings + facts.findings + judgement.findings,
        print_name=judgement.print_name,
        colours=facts.colours,
    )
    measured = with_pixels(measured, cloth.scale.mm_per_px)
    return measured if cloth.scale_known else without_mm(replace(measured, scale=None), cloth.scale.mm_per_px)
