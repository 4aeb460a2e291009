"""Which photos to tag: all below a folder, or those of a CSV list with a scale of their own per row."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import Any

from printcheck.batch.jobs import COLUMNS, Job
from printcheck.batch.storage import file_system, is_address, patiently
from printcheck.core.errors import InputError
from printcheck.core.request import SCALES, ScaleRequest, one_scale

JPEG_ENDINGS = (".jpg", ".jpeg", ".jpe", ".jp2")
PICTURE_ENDINGS = frozenset(
    (*JPEG_ENDINGS, ".png", ".webp", ".tif", ".tiff", ".bmp", ".heic", ".heif", ".avif", ".gif")
)
SCALE_COLUMNS = tuple(SCALES)


def find_jobs(source: str, default: Job) -> list[Job]:
    """Jobs of a folder, a CSV list or an fsspec address of either, in the order given.

    Parameters
    ----------
    source : str
        Folder, ``.csv`` file, or address such as ``memory://swatches``.
    default : Job
        Scale, selvedge and the like for every row that says nothing else.

    Raises
    ------
    InputError
        If there is nothing there, or no photo in it.
    """
    if is_address(source):
        jobs = _remote(source, default)
    elif source.lower().endswith(".csv"):
        jobs = _from_list(Path(source), default)
    else:
        jobs = _from_folder(Path(source), default)
    if not jobs:
        raise InputError(
            "no-photos",
            f"{source}: there is no photo in it.",
            "Give a folder with pictures (" + " ".join(sorted(PICTURE_ENDINGS)) + ") or a CSV list.",
        )
    return jobs


def _from_folder(folder: Path, default: Job) -> list[Job]:
    if not folder.is_dir():
        raise InputError("no-folder", f"{folder}: there is no such folder.", "Check the path.")
    names = sorted(str(PurePosixPath(p.relative_to(folder))) for p in _walk(folder))
    return [
        replace(default, index=i, file=name, path=str((folder / name).absolute()))
        for i, name in enumerate(names)
    ]


def _walk(folder: Path) -> Iterator[Path]:
    """Pictures below a folder; links are followed, a folder seen before is not entered again."""
    seen: set[tuple[int, int]] = set()
    for here, folders, files in os.walk(folder, followlinks=True):
        status = Path(here).stat()
        mark = (status.st_dev, status.st_ino)
        if mark in seen:
            folders.clear()
            continue
        seen.add(mark)
        folders.sort()
        yield from (Path(here) / name for name in files if Path(name).suffix.lower() in PICTURE_ENDINGS)


def _remote(address: str, default: Job) -> list[Job]:
    system, root = file_system(address)
    try:
        if address.lower().endswith(".csv"):
            text = io.StringIO(patiently(lambda: system.cat_file(root)).decode("utf-8-sig"), newline="")
            return _rows(text, address, address.rsplit("/", 1)[0], default)
        found = patiently(lambda: system.find(root))
    except (UnicodeDecodeError, csv.Error) as error:
        raise _broken_list(address, error) from None
    except InputError:
        raise
    except Exception as error:  # each store has errors of its own
        raise InputError(
            "store-silent",
            f"{address}: it could not be listed ({type(error).__name__}).",
            "Check the address and your rights there; over http:// give a CSV list.",
        ) from None
    names = sorted(n for n in found if PurePosixPath(n).suffix.lower() in PICTURE_ENDINGS)
    base = system._strip_protocol(root).rstrip("/")
    return [
        replace(default, index=i, file=n.removeprefix(base).lstrip("/"), path=system.unstrip_protocol(n))
        for i, n in enumerate(names)
    ]


def _from_list(path: Path, default: Job) -> list[Job]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as text:
            return _rows(text, str(path), str(path.absolute().parent), default)
    except OSError as error:
        raise InputError(
            "no-list", f"{path}: the list cannot be read: {error.strerror}.", "Check the path."
        ) from None
    except (UnicodeDecodeError, csv.Error) as error:
        raise _broken_list(str(path), error) from None


def _broken_list(name: str, error: Exception) -> InputError:
    return InputError(
        "broken-list", f"{name}: this is no CSV list in UTF-8: {error}.", "Save it as CSV UTF-8."
    )


def _rows(text: Any, name: str, base: str, default: Job) -> list[Job]:  # noqa: ANN401  a text stream
    reader = csv.DictReader(text)
    columns = [_plain(c or "") for c in reader.fieldnames or []]
    if "file" not in columns:
        raise InputError(
            "list-without-file",
            f"{name}: the list has no column named file.",
            "Its first line must name the columns: file, and as you like " + ", ".join(SCALE_COLUMNS) + ".",
        )
    return [
        _row(dict(zip(columns, r.values(), strict=False)), i, base, default) for i, r in enumerate(reader)
    ]


def _row(cells: dict[str, Any], index: int, base: str, default: Job) -> Job:
    texts = {c: (v or "").strip() if isinstance(v, str | None) else " ".join(v) for c, v in cells.items()}
    file = texts.pop("file")
    scale, problem = _scale({c: texts.pop(c) for c in SCALE_COLUMNS if c in texts}, default.scale)
    own = tuple((c, v) for c, v in texts.items() if c and c not in COLUMNS)
    if not file:
        problem = "The list names no file in this row."
    path = file if is_address(file) else f"{base}/{file}" if is_address(base) else str(Path(base) / file)
    return replace(default, index=index, file=file, path=path, scale=scale, extra=own, problem=problem)


def _scale(asked: dict[str, str], default: ScaleRequest) -> tuple[ScaleRequest, str]:
    given = {c: v for c, v in asked.items() if v}
    if not given:
        return default, ""
    try:
        return one_scale(**given), ""
    except InputError as error:
        return default, str(error)


def _plain(column: str) -> str:
    """Column name in the one spelling used inside: mm-per-px, MM per px and mm_per_px are one."""
    name = column.strip()
    low = name.lower().replace("-", "_").replace(" ", "_")
    return low if low in (*SCALE_COLUMNS, "file") else name
