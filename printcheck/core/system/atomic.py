"""Files written whole or not at all, and checked before the work that they are to hold is begun."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING

from printcheck.core.errors import InputError, listed

if TYPE_CHECKING:
    pass

ENDINGS = {  # what each option writes
    "--picture": (".png", ".svg"),
    "--report": (".html", ".pdf"),
    "--layout": (".svg", ".pdf", ".png"),
    "--write": (".toml",),
    "--out": (".csv",),
    "--jsonld": (".jsonld", ".json"),
    "--contact-sheet": (".html",),
    "scalecard": (".pdf", ".svg", ".png"),
}
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


def check_outputs(
    outputs: Mapping[str, str | Path | None], *, inputs: Iterable[str | Path | None] = ()
) -> None:
    """Refuse, before any work is done, what could not be written after it.

    Parameters
    ----------
    outputs : mapping of str to path or None
        Option that named the file, such as ``"--picture"``, and the file; None where it was not asked.
    inputs : iterable of path or None, keyword-only
        Files that must not be overwritten: the photo, the project.

    Raises
    ------
    InputError
        For an ending the option does not write, a folder that is missing or cannot be written to, a
        path that is a folder, a file that is also an input, or one file named twice.
    """
    asked = {place: Path(path) for place, path in outputs.items() if path is not None}
    sources = [Path(path) for path in inputs if path is not None]
    for place, target in asked.items():
        check_ending(target, place=place)
        check_place(target, place)
        if any(_same_file(target, other) for other in sources):
            raise InputError(
                "same-file", f"{place}: {shown(target)} is the input itself.", "Choose another file name."
            )
    if len({path.absolute() for path in asked.values()}) < len(asked):
        raise InputError(
            "same-output", f"{' and '.join(asked)} name the same file.", "Give each its own file name."
        )


def check_ending(path: str | Path, *, place: str) -> str:
    """Ending of a file (lower case) where the option writes such files; see :func:`check_outputs`."""
    ending, known = Path(path).suffix.lower(), ENDINGS[place]
    if ending not in known:
        either = listed(known, "or")
        raise InputError(
            "unknown-ending",
            f"{place}: {shown(path)} does not end in {either}.",
            f"End the file name in {either}.",
        )
    return ending


def _same_file(one: Path, other: Path) -> bool:
    try:
        return one.exists() and other.exists() and one.samefile(other)
    except (OSError, ValueError):
        return False
