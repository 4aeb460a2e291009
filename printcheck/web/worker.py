"""What runs in a worker process: a photo measured, a length planned, each answered as JSON text."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from printcheck.core.plan import Print, Project
    from printcheck.core.request import ScaleRequest
    from printcheck.web.asked import LengthRequest

MEMORY_BYTES = 1 << 30  # bytes of data a worker may hold; a phone's photo takes about 300 million
BEHIND = 5  # steps of niceness behind the process that answers: a third of its weight, which it hardly uses
STAGE_FILE = "stage"  # in a job's folder: how far the work has come
SCALE_STAGE, JOIN_STAGE, REPEAT_STAGE, LAYOUT_STAGE = "scale", "join", "repeat", "layout"


def start() -> None:
    """Take the place behind the page, set the memory limit and load what the work needs."""
    import os

    with contextlib.suppress(AttributeError, OSError):
        os.nice(BEHIND)  # so that the page still opens while every core measures
    try:
        import resource

        # data, not address space: libraries reserve far more of that than they use
        resource.setrlimit(resource.RLIMIT_DATA, (MEMORY_BYTES, MEMORY_BYTES))
    except (ImportError, ValueError, OSError):  # no such limit on this system, or a lower one stands
        pass
    from printcheck import advice, cutting, motif, photo, pipeline, project, repeat  # noqa: F401


def photo_name(number: int, count: int) -> str:
    """File name of a photo in its job's folder, as messages tell it."""
    return "photo" if count == 1 else f"photo {number}"


def measure(folder: str, names: tuple[str, ...], asked: tuple[ScaleRequest, Any, bool]) -> bytes:
    """Document ``printcheck.measurement`` of the photos in a folder."""
    import msgspec

    from printcheck import pipeline
    from printcheck.report import write_json
    from printcheck.web.overlay import overlay

    scale, selvedge, with_overlay = asked
    stage = _stage(folder)
    paths = [Path(folder, photo_name(number, len(names))) for number in range(1, len(names) + 1)]
    stage(SCALE_STAGE)
    options = pipeline.Options(scale, selvedge)
    found = pipeline.measure_photos(
        paths,
        options,
        progress=lambda _, share: stage(REPEAT_STAGE if share >= pipeline.JOINED else JOIN_STAGE),
    )
    document = write_json.document(found.measurement)
    document["photo"]["file"] = ", ".join(names)
    if with_overlay:
        document["overlay"] = overlay(found)
    _give_back()
    return msgspec.json.encode(document)


def length(folder: str, _: tuple[str, ...], asked: LengthRequest) -> bytes:
    """Document ``printcheck.length/1`` of a request."""
    import msgspec

    from printcheck import pipeline
    from printcheck.core.units import parse_positive_length
    from printcheck.report import write_json

    _stage(folder)(LAYOUT_STAGE)
    printed = _print(asked)
    effort = pipeline.Effort(asked.seconds, asked.match, asked.start_allowance)
    have = None if asked.have is None else parse_positive_length(asked.have, place="have")
    planned = pipeline.plan_length(_project(asked, Path(folder)), printed, effort, have_mm=have)
    document = write_json.document(planned.plan)
    if asked.shapes:
        document["pieces"] = msgspec.to_builtins(planned.project.pieces)
    _give_back()
    return msgspec.json.encode(document)


def _print(asked: LengthRequest) -> Print:
    from printcheck.core.errors import InputError
    from printcheck.core.results import read_json
    from printcheck.project import parse_print, print_from_measurement

    if asked.measurement is not None and asked.repeat is None:
        return print_from_measurement(read_json.measurement(asked.measurement))
    if asked.repeat is not None and asked.measurement is None:
        return parse_print(asked.repeat)
    if asked.repeat is not None:
        raise InputError(
            "two-prints", "Two prints at once: measurement and repeat.", "Give only one of them."
        )
    raise InputError("no-print", "There is no print to plan with.", "Give measurement or repeat.")


def _project(asked: LengthRequest, folder: Path) -> Project:
    import msgspec

    from printcheck.core.errors import InputError
    from printcheck.project import built_in, project_of

    cloth = {k: v for k, v in msgspec.to_builtins(asked.cloth).items() if v is not None}
    if asked.project is not None and asked.kind is None:
        stated = asked.project.get("cloth", {})
        raw = {**asked.project, "cloth": {**stated, **cloth}} if isinstance(stated, dict) else asked.project
        return project_of(raw, name="project", folder=folder)  # an empty folder: no file is read
    if asked.kind is not None and asked.project is None:
        return built_in(asked.kind, {**asked.sizes, **{f"cloth.{k}": str(v) for k, v in cloth.items()}})
    raise InputError("no-project", "Give either kind or project, one of the two.", "Such as kind: skirt.")


def _stage(folder: str) -> Callable[[str], None]:
    path = Path(folder, STAGE_FILE)

    def tell(stage: str) -> None:
        path.write_text(stage, "ascii")

    return tell


def _give_back() -> None:
    """Hand freed memory back to the system, where the C library offers it."""
    import ctypes
    import gc

    gc.collect()
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)
