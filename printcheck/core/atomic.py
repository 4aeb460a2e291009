"""Files written whole or not at all: into a neighbour first, then renamed into place."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from printcheck.core.errors import InputError

LONGEST_FILE_NAME = 255  # bytes: what the usual file systems take
LONGEST_NAME = 80  # letters of a path shown in a message


def write_atomic(path: str | Path, content: bytes | str, *, place: str = "output") -> None:
    """Write a file whole: into a neighbour first, then renamed, so that no half file is ever seen.

    Raises
    ------
    InputError
        If the disk refuses (full, no rights); nothing is left behind.
    """
    with writing(path, place=place) as stream:
        stream.write(content.encode("utf-8") if isinstance(content, str) else content)


@contextmanager
def writing(path: str | Path, *, place: str = "output") -> Iterator[IO[bytes]]:
    """Open a file for writing in parts, whole or not at all; see :func:`write_atomic`."""
    target = Path(path)
    check_place(target, place)
    neighbour = target.with_name(f".printcheck-{secrets.token_hex(8)}.part")
    try:
        with neighbour.open("xb") as stream:
            yield stream
        neighbour.replace(target)
    except OSError as error:
        raise InputError(
            "cannot-write",
            f"{place}: {shown(target)} could not be written ({error.strerror or error}).",
            "Choose a folder you may write to that has free space.",
        ) from error
    finally:
        neighbour.unlink(missing_ok=True)


def check_place(target: Path, place: str) -> None:
    """Refuse a place that no file can be written to; see :func:`write_atomic`."""
    if "\0" in str(target) or len(os.fsencode(target.name)) > LONGEST_FILE_NAME:
        raise InputError("bad-name", f"{place}: {shown(target)} cannot be a file name.", "Shorten it.")
    try:
        is_folder, parent_exists = target.is_dir(), target.parent.is_dir()
    except (OSError, ValueError):  # a part of the path too long
        is_folder, parent_exists = False, False
    if is_folder:
        raise InputError("is-a-folder", f"{place}: {shown(target)} is a folder.", "Name a file in it.")
    if not parent_exists:
        raise InputError(
            "folder-missing",
            f"{place}: the folder {shown(target.parent)} does not exist.",
            "Make the folder first, or choose another.",
        )
    if not os.access(target.parent, os.W_OK):
        raise InputError(
            "folder-not-writable",
            f"{place}: the folder {shown(target.parent)} cannot be written to.",
            "Choose a folder you may write to.",
        )


def shown(path: str | Path) -> str:
    """Path as a message shows it: quoted, control characters escaped, a long one shortened."""
    text = str(path)
    half = LONGEST_NAME // 2
    return repr(text if len(text) <= LONGEST_NAME else f"{text[: half - 2]}...{text[-half + 1 :]}")
