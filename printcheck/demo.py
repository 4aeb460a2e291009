"""The whole job on the bundled sample images and project, needing nothing else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from printcheck import pipeline
from printcheck.core.errors import InputError, PrintcheckError

if TYPE_CHECKING:
    from printcheck.core.handover import MeasuredPhoto, PlannedLength

PROJECT_FILE = "project.toml"
PLANNED_ON = "half-drop"  # the sample whose name holds this is the cloth of the project: matching costs there
FIRST_PAGE = "report.html"
LINE = "{name:<22} {layout:<10} {repeat:<20} {way:<9} {level}"


def sample_folder() -> Path:
    """Folder of the bundled samples: inside the installed package, or beside it in a checkout."""
    here = Path(__file__).parent
    for folder in (here / "samples", here.parent / "sample_images"):
        if (folder / PROJECT_FILE).is_file():
            return folder
    raise InputError(
        "samples-missing", "The sample images are not installed.", "Install printcheck again, whole."
    )


def run(folder: Path, *, seconds: float, say: Callable[[str], None]) -> None:
    """Measure every sample, plan the project on one of them, and leave a small folder of results.

    Parameters
    ----------
    folder : Path
        Made if it is not there; files of an earlier demo are written anew.
    seconds : float
        Effort for each cutting layout.
    say : callable
        Takes each line for the user.
    """
    samples = sample_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            "folder-unwritable", f"{folder}: the folder cannot be made: {error.strerror}.", "Give --folder."
        ) from None
    photos = sorted(p for p in samples.iterdir() if p.suffix in (".jpg", ".png"))
    say(LINE.format(name="print", layout="layout", repeat="repeat", way="way", level="to sew with"))
    measured = {photo: _measure(photo, folder, say) for photo in photos}
    chosen = next((p for p in photos if PLANNED_ON in p.stem and measured[p]), None)
    if chosen is not None:
        _plan(samples / PROJECT_FILE, chosen, measured[chosen], folder, seconds, say)
    say(f"\nThe results lie in {folder}; open {folder / FIRST_PAGE} first.")


def _measure(photo: Path, folder: Path, say: Callable[[str], None]) -> MeasuredPhoto | None:
    from printcheck.core.system import atomic
    from printcheck.report import write_json
    from printcheck.report.drawing import photo_overlay

    try:
        measured = pipeline.measure_photo(photo)
    except PrintcheckError as error:
        say(f"{photo.stem:<22} {error}")
        return None
    m = measured.measurement
    sides = [f"{s:.1f}" for s in (m.repeat.across_mm, m.repeat.along_mm) if s is not None]
    repeat = " x ".join(sides) + " mm" if sides else "none found"
    way, level = m.direction.way, m.difficulty.level
    say(LINE.format(name=photo.stem, layout=m.repeat.layout, repeat=repeat, way=way, level=level))
    photo_overlay.write(folder / f"{photo.stem}.png", measured)
    atomic.write_atomic(folder / f"{photo.stem}.json", write_json.dumps(write_json.document(m)))
    return measured


def _plan(
    project_file: Path,
    photo: Path,
    measured: MeasuredPhoto | None,
    folder: Path,
    seconds: float,
    say: Callable[[str], None],
) -> PlannedLength:
    from printcheck.core.system import atomic
    from printcheck.project import load_project, print_from_measurement
    from printcheck.report import write_json
    from printcheck.report.page import layout_file, page_file
    from printcheck.report.words import text

    assert measured is not None
    printed = print_from_measurement(measured.measurement)
    effort = pipeline.Effort(seconds)
    planned = pipeline.plan_length(load_project(project_file), printed, effort, measured=measured)
    say(f"\n{planned.plan.project}, cut from {photo.stem}:\n")
    say(text.length(planned.plan))
    atomic.write_atomic(folder / "length.json", write_json.dumps(write_json.document(planned.plan)))
    layout_file.write(folder / "layout.svg", planned)
    page_file.write(folder / FIRST_PAGE, measured=measured, planned=planned)
    return planned
