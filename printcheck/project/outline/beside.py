"""Drawings that a project file names: read from its own folder only."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

from printcheck.core.errors import InputError
from printcheck.core.system.limits import MOST_DRAWING_BYTES


def read_beside(folder: Path, file: str, *, place: str) -> bytes:
    """Content of a file within the project's folder.

    Raises
    ------
    InputError
        If it does not lie there, is too large, or cannot be read.
    """
    inside = PurePosixPath(file.replace("\\", "/"))
    if inside.is_absolute() or ".." in inside.parts or ":" in file or not file.strip():
        raise InputError(
            "drawing-elsewhere",
            f"{place}.file: {file!r} does not lie beside the project file.",
            "Put the drawing into the project's folder and give its name alone.",
        )
    path = folder / inside
    try:
        if path.stat().st_size > MOST_DRAWING_BYTES:
            raise InputError(
                "drawing-too-large", f"{place}.file: {file} is larger than 20 MB.", "Save the outline alone."
            )
        return path.read_bytes()
    except OSError:
        raise InputError(
            "drawing-not-found", f"{place}.file: {file} cannot be read.", "Check its name and folder."
        ) from None
