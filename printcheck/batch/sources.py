"""Which photos to tag and how they are read: a folder, a CSV list, or what fsspec opens (http, s3, memory).

A list gives each row a scale of its own.
"""

from __future__ import annotations

import csv
import hashlib
import io
import os
import re
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import Any, TypeVar

from printcheck.batch.jobs import COLUMNS, Job
from printcheck.core.errors import InputError
from printcheck.core.request import SCALES, ScaleRequest, one_scale

T = TypeVar("T")

READ_PAUSES_S = (0.5, 2.0, 8.0)  # before a store is asked again: one that is busy recovers in seconds
# what stores say of an object's version besides its size
VERSION_KEYS = ("etag", "content-md5", "digest", "last-modified", "lastmodified", "mtime", "created")
NOT_FOUND = 404  # HTTP's status
HASH_CHUNK = 1 << 20  # bytes read at a time


def is_address(path: str) -> bool:
    """Whether fsspec opens it."""
    return "://" in path


def file_system(address: str) -> tuple[Any, str]:
    """Return fsspec's file system of an address and the path in it, or say what to install.

    Raises
    ------
    InputError
        If fsspec or the part of it for this kind of address is missing, or there is no such kind.
    """
    scheme = address.split("://", 1)[0]
    try:
        import fsspec

        system, path = fsspec.core.url_to_fs(address)
    except ImportError:
        raise InputError(
            "fsspec-missing",
            f"{scheme}:// addresses need a part that is not installed.",
            f'Install it: pip install "printcheck[cluster]" "fsspec[{scheme}]".',
        ) from None
    except ValueError as error:
        raise InputError("bad-address", f"{address}: {error}.", "Check the address.") from None
    return system, path


def patiently(ask: Callable[[], T]) -> T:
    """What a store answers, asked again after growing pauses while it fails; not where nothing is there."""
    for pause in READ_PAUSES_S:
        try:
            return ask()
        except Exception as error:  # each store has errors of its own
            if _is_final(error):
                raise
            time.sleep(pause)
    return ask()


def _is_final(error: Exception) -> bool:
    """Whether asking again is of no use. HTTP's every failure comes as a missing file, with its cause."""
    status = getattr(error.__cause__, "status", NOT_FOUND)
    return isinstance(error, InputError) or (isinstance(error, FileNotFoundError) and status == NOT_FOUND)


def fetched(address: str, folder: Path) -> Path:
    """Copy of a photo in a local folder."""
    system, path = file_system(address)
    here = folder / (PurePosixPath(path.split("?", 1)[0]).name or "photo")
    here.write_bytes(patiently(lambda: system.cat_file(path)))
    return here


def fingerprint(path: str) -> str:
    """Digest of a local photo's content; of an object in a store its address, size and version.

    A store that tells no version has its objects read and hashed.
    """
    if not is_address(path):
        digest = hashlib.sha256()
        with Path(path).open("rb") as photo:
            while chunk := photo.read(HASH_CHUNK):
                digest.update(chunk)
        return digest.hexdigest()
    system, at = file_system(path)
    known = {key.lower(): str(value) for key, value in patiently(lambda: system.info(at)).items()}
    version = [known[key] for key in VERSION_KEYS if known.get(key) not in (None, "", "None")]
    if not version:
        version = [hashlib.sha256(patiently(lambda: system.cat_file(at))).hexdigest()]
    return str([path, known.get("size", ""), *version])


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
    except InputError as error:  # in the list's own words: its columns are the options' names
        return default, re.sub(r"--([a-z-]+)", lambda option: option[1].replace("-", "_"), str(error))


def _plain(column: str) -> str:
    """Column name in the one spelling used inside: mm-per-px, MM per px and mm_per_px are one."""
    name = column.strip()
    low = name.lower().replace("-", "_").replace(" ", "_")
    return low if low in (*SCALE_COLUMNS, "file") else name
