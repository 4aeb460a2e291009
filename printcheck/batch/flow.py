"""The run on one screen: list, pass over what is done, measure the rest, write the outputs."""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal, TextIO

from printcheck.batch import engines, markup, sheet, table
from printcheck.batch.colourways import Known
from printcheck.batch.jobs import Job, Outcome, failed
from printcheck.batch.journal import Journal
from printcheck.batch.listing import find_jobs, load_fsspec
from printcheck.batch.summary import Summary
from printcheck.core.request import AUTO, ScaleRequest
from printcheck.core.units import UnitSystem
from printcheck.report import atomic

Progress = Callable[[int, int, float], None]
SECONDS_PER_PHOTO = 60.0  # far above the slowest sound photo; one that takes longer hangs
# what stores say of an object's version
VERSION_KEYS = ("size", "etag", "content-md5", "digest", "last-modified", "lastmodified", "mtime", "created")
HASH_CHUNK = 1 << 20  # bytes read at a time


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
        self.keys: list[str] = []
        self.broken: dict[int, Outcome] = {}
        self.same_print: dict[int, str] = {}

    def measure(self, options: TagOptions, progress: Progress | None) -> None:
        """Do what is not done yet, keeping each result before the next is counted."""
        begun = time.monotonic()
        todo = self._todo()
        work = (
            engines.on_cluster((job for _, job in todo), address=options.cluster)
            if options.cluster
            else self._locally([job for _, job in todo], options)
        )
        keys = {job.index: key for key, job in todo}
        before = len(self.jobs) - len(todo)
        for done, (job, outcome) in enumerate(work, start=1):
            self.journal.add(keys[job.index], outcome)
            if progress is not None:
                progress(before + done, len(self.jobs), (time.monotonic() - begun) / done)

    def _locally(self, jobs: list[Job], options: TagOptions) -> Iterator[engines.Result]:
        workers = min(options.workers or engines.default_workers(), max(1, len(jobs)))
        return engines.on_this_machine(jobs, workers=workers, seconds=options.seconds) if jobs else iter(())

    def _todo(self) -> list[tuple[str, Job]]:
        todo: dict[str, Job] = {}
        seen: set[str] = set()
        for job in self.jobs:
            key = self._key(job)
            self.keys.append(key)
            if not key:
                continue
            if key in seen:
                self.summary.repeated += 1
            elif key in self.journal:
                self.summary.reused += 1
            else:
                todo[key] = job
            seen.add(key)
        return list(todo.items())

    def _key(self, job: Job) -> str:
        if job.problem:
            self.broken[job.index] = failed(job.problem)
            return ""
        try:
            return job.key(_fingerprint(job.path))
        except OSError as error:
            self.broken[job.index] = failed(f"The file could not be read: {error.strerror or error}.")
        except Exception as error:  # each store has errors of its own
            self.broken[job.index] = failed(f"The photo could not be read: {type(error).__name__}.")
        return ""

    def rows(self) -> Iterator[tuple[Job, Outcome]]:
        """Yield every row in the order given, read from the journal one at a time."""
        for job, key in zip(self.jobs, self.keys, strict=True):
            outcome = self.journal.get(key) if key else self.broken[job.index]
            outcome.cells["same_print_as"] = self.same_print.get(job.index, "")
            yield job, outcome

    def write(self, options: TagOptions, stdout: TextIO) -> None:
        """Write every output whole or not at all."""
        known = Known()
        for job, outcome in self.rows():
            self.summary.add(outcome)
            self.same_print[job.index] = known.same_as(job.file, outcome.pattern)
        lines = table.csv_lines(self.rows(), table.extra_columns(self.jobs), options.kind)
        if options.out:
            _write(options.out, lines, "--out")
        else:
            stdout.writelines(lines)
        if options.jsonld:
            _write(options.jsonld, markup.jsonld_parts(self.rows()), "--jsonld")
        if options.sheet:
            sheet.write(self.rows, options.sheet)


def _write(path: Path, parts: Iterable[str], place: str) -> None:
    with atomic.writing(path, place=place) as out:
        out.writelines(part.encode("utf-8") for part in parts)


def _fingerprint(path: str) -> str:
    """Digest of a photo's content; for an object store what it says of the object's version."""
    if "://" in path:
        system, root = load_fsspec().core.url_to_fs(path)
        known = {key.lower(): str(value) for key, value in system.info(root).items()}
        return str([path, *(known.get(key, "") for key in VERSION_KEYS)])
    digest = hashlib.sha256()
    with Path(path).open("rb") as photo:
        while chunk := photo.read(HASH_CHUNK):
            digest.update(chunk)
    return digest.hexdigest()


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
