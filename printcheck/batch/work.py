"""What a worker does with one photo: measure it and make its row. Runs in processes of its own."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from printcheck.batch.jobs import COLUMNS, Job, Outcome, failed
from printcheck.core.errors import PrintcheckError
from printcheck.report.words.findings import said

if TYPE_CHECKING:
    from printcheck.core.measurement import Measurement

ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")

MATCH_WORDS = {
    "none": "no matching needed",
    "level": "match the rows at the seams",
    "upright": "match the columns at the seams",
    "both": "match rows and columns at the seams",
}
REPEAT_UNKNOWN_WORDS = "look for the repeat on the bolt before matching"
ONE_WAY_WORDS = "lay all pieces one way"


def start_worker() -> None:
    """Hold a worker to one thread: the processes share the cores, not the threads inside each."""
    os.environ.update(ONE_THREAD)
    import cv2

    cv2.setNumThreads(1)


def work(job: Job) -> Outcome:
    """Row of one photo; whatever is wrong with the photo becomes a failed row."""
    if job.problem:
        return failed(job.problem)
    try:
        return _measured(job)
    except PrintcheckError as error:
        return failed(_without_name(str(error), job))
    except OSError as error:
        return failed(f"The file could not be read: {error.strerror or error}.")
    except Exception as error:  # one photo must not end the run
        return failed(f"printcheck met a fault of its own: {type(error).__name__}: {error}.")


def _measured(job: Job) -> Outcome:
    from printcheck.pipeline import Options, measure_photo
    from printcheck.report.drawing.thumbnail import thumbnail

    options = Options(scale=job.scale, selvedge=job.selvedge)
    if "://" in job.path:
        with tempfile.TemporaryDirectory() as folder:
            measured = measure_photo(_fetch(job.path, Path(folder)), options)
    else:
        measured = measure_photo(job.path, options)
    picture, shown_mm = thumbnail(measured.cloth) if job.thumbnail else ("", 0.0)
    return Outcome(cells_of(measured.measurement), _numbers(measured.measurement), picture, shown_mm)


def _without_name(message: str, job: Job) -> str:
    """Message that holds for any photo of this content: the row names the file already."""
    for name in (job.path, job.file, Path(job.path).name):
        message = message.replace(repr(name), "the photo").replace(name, "the photo")
    return message[:1].upper() + message[1:]


def _fetch(address: str, folder: Path) -> Path:
    import fsspec

    here = folder / Path(address).name
    with fsspec.open(address, "rb") as source:
        here.write_bytes(source.read())
    return here


def cells_of(m: Measurement) -> dict[str, str]:
    """Cells of a measured photo, in words and millimetres; empty where there is no such number."""
    larger = max((s for s in (m.motif.width_mm, m.motif.height_mm) if s is not None), default=None)
    cells = {
        "status": "ok",
        "scale_source": m.scale.source if m.scale else "",
        "repeat_across_mm": _mm(m.repeat.across_mm),
        "repeat_along_mm": _mm(m.repeat.along_mm),
        "repeat_error_mm": _mm(m.repeat.error_mm, 2),
        "layout": m.repeat.layout,
        "motif_mm": _mm(larger),
        "way": m.direction.way or "",
        "classes": " ".join(m.classes),
        "difficulty": m.difficulty.level,
        "match_advice": match_advice(m),
        "message": "; ".join(said(f).text for f in m.findings if f.severity != "note"),
    }
    assert tuple(cells) == COLUMNS[1:]
    return cells


def match_advice(m: Measurement) -> str:
    """Advice in a few words: what to match, and whether all pieces lie one way."""
    words = [MATCH_WORDS["none"] if m.seams.verdict == "unseen" else MATCH_WORDS[m.seams.needs]]
    if m.repeat.kind == "beyond-photo" and m.seams.verdict != "unseen":
        words = [REPEAT_UNKNOWN_WORDS]
    if m.direction.way == "one-way":
        words.append(ONE_WAY_WORDS)
    return ", ".join(words)


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
