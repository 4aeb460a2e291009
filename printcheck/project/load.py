"""A project file becomes a project, or one error that holds every mistake in it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec

from printcheck.core.errors import InputError
from printcheck.core.plan import Project
from printcheck.core.system.limits import MOST_TEXT_BYTES
from printcheck.project.built_in import read_kind
from printcheck.project.cloth_table import read_cloth
from printcheck.project.pieces import read_pieces
from printcheck.project.print_spec import read_print
from printcheck.project.schema import FileTable, Mistakes, read_table
from printcheck.project.seams import LONGEST_NAME, Copybook, read_places, read_seams


def load_project(path: Path, *, width: str | None = None) -> Project:
    """Project from its TOML file, every copy of a piece written out.

    Parameters
    ----------
    path : Path
        The file.
    width : str, keyword-only
        Width of the cloth in place of the file's, such as ``"110cm"``.

    Returns
    -------
    Project
        With a finding where something is worth a thought.

    Raises
    ------
    InputError
        One line ``place: message`` for each mistake.
    """
    return project_of(_read_toml(path), name=path.stem, file=path.name, folder=path.parent, width=width)


def project_of(
    raw: dict[str, Any], *, name: str, folder: Path, file: str = "project", width: str | None = None
) -> Project:
    """Project from the tables of a file, wherever they were read; see :func:`load_project`.

    ``name`` is that of a project that states none, ``folder`` where outlines that it names are looked for,
    ``file`` how messages call it.
    """
    mistakes = Mistakes()
    if isinstance(raw.get("kind"), str):
        return read_kind(raw, width=width, file=file)
    table = read_table(raw, FileTable, place="", mistakes=mistakes)
    cloth = read_cloth(table.cloth, width=width, mistakes=mistakes)
    printed = read_print(table.print, mistakes=mistakes)
    border = printed is not None and printed.border
    copies = read_pieces(table.piece or (), cloth=cloth, border=border, folder=folder, mistakes=mistakes)
    if mistakes.found:  # seams are judged only on sound pieces, or one slip would show as ten
        mistakes.raise_any(file)
    book = Copybook(copies, cloth)
    seams, findings = read_seams(table.seam, book, mistakes=mistakes)
    places = read_places(table.place, book, mistakes=mistakes)
    mistakes.raise_any(file)
    assert cloth is not None  # its absence is a mistake
    return Project(
        name=(table.name or name)[:LONGEST_NAME],
        cloth=cloth,
        pieces=tuple(book.piece.values()),
        seams=seams,
        places=places,
        print=printed,
        findings=(*(f for c in copies for f in c.findings), *findings),
    )


def _read_toml(path: Path) -> dict[str, Any]:
    try:
        if path.stat().st_size > MOST_TEXT_BYTES:
            raise InputError(
                "project-too-large", f"{path.name} is larger than 4 MB.", "Check that it is a project file."
            )
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        reason = "does not exist" if isinstance(error, FileNotFoundError) else "cannot be read"
        raise InputError("project-not-found", f"{path}: the file {reason}.", "Check its name.") from None
    except UnicodeDecodeError:
        raise InputError(
            "not-a-project", f"{path.name} is not a text file in UTF-8.", "Save it as UTF-8 text."
        ) from None
    try:
        raw = msgspec.toml.decode(text)
    except (msgspec.DecodeError, RecursionError, ValueError) as error:
        raise InputError(
            "not-a-project", f"{path.name} is not sound TOML: {error}.", "Correct the line it names."
        ) from None
    assert isinstance(raw, dict)  # a TOML document is a table
    return raw
