"""What results may be written to, checked before the work starts; the writing is in ``core.atomic``."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from printcheck.core.atomic import check_place, shown, write_atomic, writing
from printcheck.core.errors import InputError

if TYPE_CHECKING:
    from printcheck.core.handover import Working

__all__ = ["check_ending", "check_outputs", "shown", "working_writer", "write_atomic", "writing"]

ENDINGS = {  # what each option writes
    "--picture": (".png", ".svg"),
    "--report": (".html", ".pdf"),
    "--layout": (".svg", ".pdf", ".png"),
    "--write": (".toml",),
    "--out": (".csv",),
    "--jsonld": (".jsonld", ".json"),
    "--contact-sheet": (".html",),
}


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
        raise InputError(
            "unknown-ending",
            f"{place}: {shown(path)} does not end in {_either(known)}.",
            f"End the file name in {_either(known)}.",
        )
    return ending


def working_writer(folder: str | Path) -> Callable[[Working], None]:
    """Return what writes each stage's debug picture into a folder, numbered in the order they come."""
    place = Path(folder)
    try:
        place.mkdir(exist_ok=True)
    except OSError as error:
        raise InputError(
            "folder-missing",
            f"--working: the folder {shown(place)} could not be made ({error.strerror or error}).",
            "Name a folder inside one that exists.",
        ) from error
    count = 0

    def write(working: Working) -> None:
        import cv2

        nonlocal count
        count += 1
        name = "".join(c if c.isalnum() or c in "-_" else "-" for c in working.name)
        ok, data = cv2.imencode(".png", working.bgr)
        if ok:
            write_atomic(place / f"{count:02d}-{name}.png", data.tobytes(), place="--working")

    return write


def _same_file(one: Path, other: Path) -> bool:
    try:
        return one.exists() and other.exists() and one.samefile(other)
    except (OSError, ValueError):
        return False


def _either(words: tuple[str, ...]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
