"""The run on one screen: list, pass over what is done, measure the rest, write the outputs and a summary."""

from __future__ import annotations

import hashlib
import os
import re
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any, Literal, TextIO

from printcheck.batch import engines, outputs
from printcheck.batch.colourways import Known
from printcheck.batch.jobs import Job, Outcome
from printcheck.batch.journal import Journal
from printcheck.batch.sources import find_jobs
from printcheck.core.findings import REMARKS
from printcheck.core.request import AUTO, ScaleRequest
from printcheck.core.system import atomic
from printcheck.core.units import UnitSystem

MOST_CAUSES = 8  # lines; the rest is counted in one


@dataclass
class Summary:
    """Counts over a run."""

    done: int = 0
    failed: int = 0
    repeated: int = 0
    reused: int = 0
    classes: Counter[str] = field(default_factory=Counter)
    levels: Counter[str] = field(default_factory=Counter)
    causes: Counter[str] = field(default_factory=Counter)
    first: dict[str, tuple[str, str]] = field(default_factory=dict)  # of a cause: file, message and remedy
    no_scale: int = 0

    def add(self, file: str, outcome: Outcome) -> None:
        """Count one row."""
        self.done += 1
        if not outcome.ok:
            self.failed += 1
            message = outcome.cells["message"]
            cause = re.sub(r"\d+(\.\d+)?", "N", message)  # failures that differ in numbers alone are one
            self.causes[cause] += 1
            self.first.setdefault(cause, (file, f"{message} {outcome.remedy}".rstrip()))
            return
        self.no_scale += outcome.cells["status"] == "no-scale"
        self.classes.update(outcome.cells["classes"].split())
        self.levels[outcome.cells["difficulty"]] += 1

    def text(self) -> str:
        """Return the summary in a few lines."""
        lines = [f"{_photos(self.done)}: {self.done - self.failed} measured, {self.failed} failed."]
        if self.no_scale:
            lines.append(
                f"  {self.no_scale} without a scale, so without sizes. {REMARKS['scale-none'].remedy}"
            )
        if self.reused:
            lines.append(f"  {self.reused} were done before and not done again")
        if self.repeated:
            rows = "1 row names" if self.repeated == 1 else f"{self.repeated} rows name"
            lines.append(f"  {rows} a photo that stands in the list before")
        lines += _counted("  difficulty", self.levels) + _counted("  classes   ", self.classes)
        if self.causes:
            lines.append("What went wrong:")
            rest = self.failed
            for cause, n in self.causes.most_common(MOST_CAUSES):
                file, said = self.first[cause]
                lines.append(f"  {file}: {said}" if n == 1 else f"  {n} photos such as {file}: {said}")
                rest -= n
            lines += [f"  {_photos(rest)} for other causes: see the message column"] if rest else []
        return "\n".join(lines)


def _counted(name: str, counts: Counter[str]) -> list[str]:
    if not counts:
        return []
    return [f"{name} " + ", ".join(f"{word} {n}" for word, n in counts.most_common())]


def _photos(count: int) -> str:
    return f"{count} photo" + "s" * (count != 1)


Progress = Callable[[int, int, float], None]
SECONDS_PER_PHOTO = 60.0  # far above the slowest sound photo; one that takes longer hangs


@dataclass(frozen=True)
class TagOptions:
    """What may be asked of a run.

    Parameters
    ----------
    scale : ScaleRequest
        For every photo whose row names no scale of its own.
    selvedge : {"vertical", "horizontal"}
        How the selvedge runs.
    out : Path or None
        Table; None prints it.
    jsonld, sheet : Path or None
        Product markup and contact sheet.
    journal : Path or None
        Where results are kept; None puts them beside the table.
    workers : int or None
        Processes; None takes every core.
    cluster : str or None
        Address of a Dask scheduler to work for us instead.
    seconds : float
        Time allowed for one photo.
    kind : str
        Built-in project whose extra length for matching is wanted.
    units : {"metric", "imperial"}
        Of the listing text.
    """

    scale: ScaleRequest = AUTO
    selvedge: Literal["vertical", "horizontal"] = "vertical"
    out: Path | None = None
    jsonld: Path | None = None
    sheet: Path | None = None
    journal: Path | None = None
    workers: int | None = None
    cluster: str | None = None
    seconds: float = SECONDS_PER_PHOTO
    kind: str = ""
    units: UnitSystem = "metric"


def tag(source: str, options: TagOptions, *, stdout: TextIO, progress: Progress | None = None) -> Summary:
    """Tag every photo of a folder or list; write the table and what else is asked for.

    Parameters
    ----------
    source : str
        Folder, CSV list, or fsspec address.
    options : TagOptions
        What is asked.
    stdout : text stream
        Takes the table where ``options.out`` is None.
    progress : callable, optional
        Told the rows done, all rows, and the seconds since the first was begun.

    Returns
    -------
    Summary
        Counts by class, difficulty and cause of failure.

    Raises
    ------
    InputError
        If there is no photo, or an output cannot be written.
    PrintcheckError
        If the disk is full; what is done is kept.
    """
    asked = {"--out": options.out, "--jsonld": options.jsonld, "--contact-sheet": options.sheet}
    atomic.check_outputs(asked, inputs=[source])
    if options.kind:
        from printcheck.project import built_in

        built_in(options.kind, {})  # refuses a kind that there is not, before any photo is read
    default = Job(0, "", "", options.scale, options.selvedge, kind=options.kind, units=options.units)
    default = replace(default, thumbnail=options.sheet is not None)
    jobs = find_jobs(source, default)
    with Journal(options.journal or _journal_path(source, options)) as journal:
        run = _Run(jobs, journal)
        run.measure(options, progress)
        run.write(options, stdout)
    return run.summary


class _Run:
    def __init__(self, jobs: list[Job], journal: Journal) -> None:
        self.jobs = jobs
        self.journal = journal
        self.summary = Summary()
        self.keys: dict[int, str] = {}
        self.seen: set[str] = set()
        self.broken: dict[int, Outcome] = {}
        self.same_print: dict[int, str] = {}
        self.known = Known()

    def measure(self, options: TagOptions, progress: Progress | None) -> None:
        """Do what is not done yet, keeping each result before the next is counted."""
        begun = time.monotonic()
        for measured, (job, outcome) in enumerate(self._work(options), start=1):
            if job.index in self.keys:
                self.journal.add(self.keys[job.index], outcome)
            else:
                self.broken[job.index] = outcome
            self._compare()  # while the workers measure
            if progress is not None:
                done = measured + self.summary.reused + self.summary.repeated
                progress(done, len(self.jobs), (time.monotonic() - begun) / measured)

    def _work(self, options: TagOptions) -> Iterator[engines.Result]:
        if options.cluster:
            return engines.on_cluster(
                self.jobs, address=options.cluster, seconds=options.seconds, wanted=self._wanted
            )
        workers = min(options.workers or engines.default_workers(), len(self.jobs))
        return engines.on_this_machine(
            self.jobs, workers=workers, seconds=options.seconds, wanted=self._wanted
        )

    def _wanted(self, job: Job, mark: str) -> bool:
        """Whether a photo of this content is still to be measured."""
        key = self.keys[job.index] = job.key(mark)
        if key in self.seen:
            self.summary.repeated += 1
            return False
        self.seen.add(key)
        self.summary.reused += key in self.journal
        return key not in self.journal

    def rows(self) -> Iterator[tuple[Job, Outcome]]:
        """Yield every row in the order given, read from the journal one at a time."""
        for job in self.jobs:
            key = self.keys.get(job.index)
            outcome = self.journal.get(key) if key else self.broken[job.index]
            outcome.cells["same_print_as"] = self.same_print.get(job.index, "")
            yield job, outcome

    def _compare(self) -> None:
        """Tell rows of one print, as far as all before them are done: the first of a print names it."""
        while (done := len(self.same_print)) < len(self.jobs):
            job = self.jobs[done]
            key = self.keys.get(job.index, "")
            if key not in self.journal and job.index not in self.broken:
                break
            pattern = self._pattern(job.index) if key else {}
            recall = partial(self._pattern, job.index)
            self.same_print[job.index] = self.known.same_as(job.file, pattern, recall)

    def _pattern(self, index: int) -> dict[str, Any]:
        """Read again from the journal: the patterns of a large run would fill the memory."""
        return self.journal.get(self.keys[index]).pattern

    def write(self, options: TagOptions, stdout: TextIO) -> None:
        """Write every output whole or not at all."""
        self._compare()
        for job, outcome in self.rows():
            self.summary.add(job.file, outcome)
        lines = outputs.csv_lines(self.rows(), outputs.extra_columns(self.jobs), options.kind)
        if options.out:
            _write(options.out, lines, "--out")
        else:
            stdout.writelines(lines)
        if options.jsonld:
            _write(options.jsonld, outputs.jsonld_parts(self.rows()), "--jsonld")
        if options.sheet:
            outputs.write_sheet(self.rows, options.sheet)


def _write(path: Path, parts: Iterable[str], place: str) -> None:
    with atomic.writing(path, place=place) as out:
        out.writelines(part.encode("utf-8") for part in parts)


def _journal_path(source: str, options: TagOptions) -> Path:
    """Beside the table; for a printed table in the user's cache, one per source."""
    beside = options.out or options.jsonld or options.sheet
    if beside is not None:
        return beside.with_name(beside.name + ".journal")
    cache = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    where = source if "://" in source else str(Path(source).absolute())
    return (
        cache
        / "printcheck"
        / f"tag-{hashlib.sha256(where.encode('utf-8', 'backslashreplace')).hexdigest()[:16]}.journal"
    )
