"""What a worker does with one photo: measure it and make its row."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from printcheck.batch.colourways import pattern_of
from printcheck.batch.jobs import COLUMNS, Job, Outcome, failed, unreadable
from printcheck.batch.sources import fetched, is_address
from printcheck.core.errors import PrintcheckError
from printcheck.core.units import UnitSystem
from printcheck.report.drawing.thumbnail import small_picture
from printcheck.report.words.findings import said
from printcheck.report.words.listing import listing_text, match_in_short, matching_of, repeat_in_short

if TYPE_CHECKING:
    from printcheck.core.measurement import Measurement

SECONDS_PER_PLAN = 2.0  # of search for what matching adds; rectangles are proved in less
NO_SCALE = "Nothing of known size is in the photo."
MAY_PASS = {"cannot-read", "no-such-file", "empty-file"}  # a folder not shared yet, a file still on its way


def work(job: Job) -> Outcome:
    """Row of one photo; whatever is wrong with the photo becomes a failed row."""
    if job.problem:
        return failed(job.problem)
    with tempfile.TemporaryDirectory() as folder:
        try:
            path = fetched(job.path, Path(folder)) if is_address(job.path) else Path(job.path)
        except Exception as error:  # each store has errors of its own
            return unreadable(error)
        try:
            return _measured(job, path)
        except PrintcheckError as error:
            message = _without_name(error.message, job)
            picture = small_picture(path) if job.thumbnail else ""
            return failed(message, error.remedy, passing=error.code in MAY_PASS, thumbnail=picture)
        except OSError as error:
            return unreadable(error)
        except Exception as error:  # one photo must not end the run
            return failed(f"printcheck met a fault of its own: {type(error).__name__}: {error}.")


def _measured(job: Job, path: Path) -> Outcome:
    from printcheck.pipeline import Options, measure_photo
    from printcheck.report.drawing.thumbnail import thumbnail

    measured = measure_photo(path, Options(scale=job.scale, selvedge=job.selvedge))
    m = measured.measurement
    picture, shown_mm = thumbnail(measured.cloth) if job.thumbnail else ("", 0.0)
    extra_mm = extra_for(job.kind, m) if job.kind else None
    cells = cells_of(m, job.units, kind=job.kind, extra_mm=extra_mm)
    pattern = {} if m.scale is None else pattern_of(m.repeat, measured.cell, m.scale.relative_error)
    width = shown_mm if m.scale is not None else 0.0
    return Outcome(cells, _numbers(m), picture, width, matching=matching_of(m), pattern=pattern)


def extra_for(kind: str, m: Measurement) -> float | None:
    """What matching adds to a built-in project on this print, to buy, in mm; None where nobody can say."""
    from printcheck.pipeline import Effort, plan_length
    from printcheck.project import built_in, print_from_measurement

    if m.scale is not None and m.seams.needs == "none":
        return 0.0  # nothing has to meet at a seam
    try:
        printed = print_from_measurement(m)
        plan = plan_length(built_in(kind, {}, print_=printed), printed, Effort(SECONDS_PER_PLAN)).plan
    except PrintcheckError:
        return None
    return None if plan.matched is None else max(0.0, plan.buy.advised_mm - plan.buy.unmatched_mm)


def _without_name(message: str, job: Job) -> str:
    """Message that holds for any photo of this content: the row names the file already."""
    for name in (job.path, job.file, Path(job.path).name):
        message = message.replace(repr(name), "the photo").replace(name, "the photo")
    return message[:1].upper() + message[1:]


def cells_of(
    m: Measurement, units: UnitSystem = "metric", *, kind: str = "", extra_mm: float | None = None
) -> dict[str, str]:
    """Cells of a measured photo, in words and millimetres; empty where there is no such number."""
    larger = max((s for s in (m.motif.width_mm, m.motif.height_mm) if s is not None), default=None)
    cells = {
        "status": "ok" if m.scale else "no-scale",
        "scale_source": m.scale.source if m.scale else "",
        "repeat_across_mm": _mm(m.repeat.across_mm),
        "repeat_along_mm": _mm(m.repeat.along_mm),
        "repeat_error_mm": _mm(m.repeat.error_mm, 2),
        "layout": m.repeat.layout,
        "motif_mm": _mm(larger),
        "way": m.direction.way or "",
        "classes": " ".join(m.classes),
        "difficulty": m.difficulty.level,
        "match_advice": match_in_short(m),
        "message": NO_SCALE if m.scale is None else _cautions(m),
        "print_name": m.print_name.text if m.print_name else "",
        "colours": ", ".join(dict.fromkeys(colour.name for colour in m.colours)),
        "confidence": f"{m.repeat.confidence:.2f}",
        "repeat": repeat_in_short(m, units),
        "extra_mm": _mm(extra_mm, 0),
        "listing_text": listing_text(m, units, kind=kind, extra_mm=extra_mm),
        "same_print_as": "",  # told once all rows are there
    }
    assert tuple(cells) == COLUMNS[1:]
    return cells


def _cautions(m: Measurement) -> str:
    return " ".join(said(f).text for f in m.findings if f.severity != "note")


def _numbers(m: Measurement) -> dict[str, float]:
    numbers = {
        "repeat_across_mm": m.repeat.across_mm,
        "repeat_along_mm": m.repeat.along_mm,
        "motif_width_mm": m.motif.width_mm,
        "motif_height_mm": m.motif.height_mm,
        "confidence": m.repeat.confidence,
    }
    return {name: value for name, value in numbers.items() if value is not None}


def _mm(value: float | None, digits: int = 1) -> str:
    return "" if value is None else f"{value:.{digits}f}"
