"""The table: CSV with the columns others rely on, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from printcheck.batch.jobs import COLUMNS, Job, Outcome

RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # first signs that spreadsheets take for a formula


def harmless(cell: str) -> str:
    """Cell that no spreadsheet runs: a formula's first sign gets an apostrophe before it.

    Examples
    --------
    >>> harmless("=1+1"), harmless("swatch 7")
    ("'=1+1", 'swatch 7')
    """
    cell = cell.encode("utf-8", "backslashreplace").decode()  # a name that is no Unicode stays readable
    return "'" + cell if cell.lstrip(" ").startswith(RUNS_AS_FORMULA) else cell


def extra_columns(jobs: Iterable[Job]) -> list[str]:
    """Further columns of the list, in the order they first appear."""
    return list(dict.fromkeys(name for job in jobs for name, _ in job.extra))


def csv_lines(rows: Iterable[tuple[Job, Outcome]], extra: Sequence[str], kind: str = "") -> Iterator[str]:
    """Yield the lines of the table, the header first; what matching adds is headed by the project's kind."""
    yield _line([*(f"{c}_{kind}" if kind and c == "extra_mm" else c for c in COLUMNS), *extra])
    for job, outcome in rows:
        own = dict(job.extra)
        yield _line([job.file, *(outcome.cells[c] for c in COLUMNS[1:]), *(own.get(c, "") for c in extra)])


def _line(cells: Sequence[str]) -> str:
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n").writerow([harmless(c) for c in cells])
    return buffer.getvalue()
