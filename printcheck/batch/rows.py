"""Rows for programs: one typed row a photo, in the order given, each as soon as it may."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from printcheck.batch.jobs import Job, Outcome
from printcheck.core.request import ScaleRequest
from printcheck.core.units import UnitSystem

TEXTS = (
    *("status", "print_name", "layout", "way", "difficulty"),
    *("match_advice", "listing_text", "scale_source", "message"),
)
LENGTHS = ("repeat_across_mm", "repeat_along_mm", "motif_mm", "extra_mm")


@dataclass(frozen=True)
class Row:
    """One listing. Lengths are in millimetres, None where the photo has no scale or shows no such thing.

    ``status`` is ``"ok"``, ``"no-scale"`` or ``"failed"``; a failed row holds its ``message`` alone.
    """

    file: str
    status: Literal["ok", "no-scale", "failed"]
    print_name: str = ""
    colours: tuple[str, ...] = ()
    layout: str = ""
    way: str = ""
    classes: tuple[str, ...] = ()
    difficulty: str = ""
    match_advice: str = ""
    listing_text: str = ""
    scale_source: str = ""
    repeat_across_mm: float | None = None
    repeat_along_mm: float | None = None
    motif_mm: float | None = None
    confidence: float | None = None
    extra_mm: float | None = None
    same_print_as: str = ""
    message: str = ""


def rows_of(
    source: str,
    *,
    scale: ScaleRequest,
    selvedge: Literal["vertical", "horizontal"],
    kind: str | None,
    workers: int | None,
    units: UnitSystem,
) -> Iterator[Row]:
    """Rows of a folder or list; see :func:`printcheck.tag`."""
    from printcheck.batch.colourways import Known
    from printcheck.batch.engines import default_workers, on_this_machine
    from printcheck.batch.flow import SECONDS_PER_PHOTO
    from printcheck.batch.sources import find_jobs

    jobs = find_jobs(source, Job(0, "", "", scale, selvedge, kind=kind or "", units=units))
    made = on_this_machine(
        jobs, workers=min(workers or default_workers(), len(jobs)), seconds=SECONDS_PER_PHOTO
    )
    waiting: dict[int, tuple[Row, dict[str, Any]]] = {}
    known = Known()
    following = 0
    for job, outcome in made:
        waiting[job.index] = row_of(job, outcome), outcome.pattern
        while following in waiting:
            row, pattern = waiting.pop(following)
            yield replace(row, same_print_as=known.same_as(row.file, pattern))
            following += 1


def row_of(job: Job, outcome: Outcome) -> Row:
    """Typed row of a table's row."""
    cells = outcome.cells
    same: dict[str, Any] = {name: cells[name] for name in TEXTS}
    same |= {name: float(cells[name]) if cells[name] else None for name in LENGTHS}
    return Row(
        job.file,
        **same,
        colours=tuple(filter(None, cells["colours"].split(", "))),
        classes=tuple(cells["classes"].split()),
        confidence=outcome.numbers.get("confidence"),
    )
