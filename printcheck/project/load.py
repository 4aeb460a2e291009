"""A project file becomes a project, or one error that holds every mistake in it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import msgspec

from printcheck.errors import InputError
from printcheck.plan import Cloth, Project
from printcheck.project.mistakes import Mistakes
from printcheck.project.pieces import read_pieces
from printcheck.project.prints import read_print
from printcheck.project.seams import Copybook, read_places, read_seams
from printcheck.project.tables import ClothTable, FileTable, read_table
from printcheck.units import format_length, parse_length, parse_positive_length, parse_share

LARGEST_FILE = 4_000_000  # bytes: far more than the largest number of pieces needs
LONGEST_NAME = 200  # characters


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
    raw = _read_toml(path)
    mistakes = Mistakes()
    kind = raw.get("kind")
    if isinstance(kind, str):
        from printcheck.project.kinds import read_kind

        return read_kind(raw, kind, width=width, file=path.name)
    table = read_table(raw, FileTable, place="", mistakes=mistakes)
    cloth = read_cloth(table.cloth, width=width, mistakes=mistakes)
    printed = read_print(table.print, mistakes=mistakes)
    copies = read_pieces(table.piece or (), cloth=cloth, folder=path.parent, mistakes=mistakes)
    if mistakes.found:  # seams are judged only on sound pieces, or one slip would show as ten
        mistakes.raise_any(path.name)
    book = Copybook(copies)
    seams, findings = read_seams(table.seam, book, mistakes=mistakes)
    places = read_places(table.place, book, mistakes=mistakes)
    mistakes.raise_any(path.name)
    assert cloth is not None  # its absence is a mistake
    return Project(
        name=(table.name or path.stem)[:LONGEST_NAME],
        cloth=cloth,
        pieces=tuple(book.piece.values()),
        seams=seams,
        places=places,
        print=printed,
        findings=findings,
    )


def read_cloth(
    raw: Mapping[str, Any] | None, *, width: str | None, mistakes: Mistakes, usual: Cloth | None = None
) -> Cloth | None:
    """Cloth of the ``[cloth]`` table; ``usual`` fills the keys that are left out."""
    before = len(mistakes.found)
    if raw is None and usual is None and width is None:
        mistakes.add("cloth", "there is no [cloth]. Give its width.", code="missing-key")
        return None
    table = read_table(raw or {}, ClothTable, place="cloth", mistakes=mistakes)
    sizes: dict[str, Any] = {}
    for key, (field, parse) in _CLOTH_SIZES.items():
        if (text := getattr(table, key)) is not None:
            with mistakes.noting():
                sizes[field] = parse(text, place=f"cloth.{key}")
    with mistakes.noting():
        if width is not None:
            sizes["width_mm"] = parse_positive_length(width, place="--width")
        elif table.width is None and usual is None:
            raise InputError(
                "missing-key", "cloth.width: width is missing.", "Give it as sold, before washing."
            )
    with mistakes.noting():
        sizes.update(_money(table, usual))
    if len(mistakes.found) > before:
        return None
    cloth = replace(usual, **sizes) if usual is not None else Cloth(**sizes)
    if cloth.usable_width_mm <= 0:
        mistakes.add(
            "cloth.selvedge",
            f"two selvedges of {format_length(cloth.selvedge_mm)} leave nothing of the width "
            f"{format_length(cloth.width_mm)}. Check both.",
            code="no-usable-width",
        )
        return None
    return cloth


def _money(table: ClothTable, usual: Cloth | None) -> dict[str, Any]:
    price, currency = table.price, table.currency.strip()
    if price is None:
        return {"currency": currency} if currency else {}
    if not (math.isfinite(price) and price >= 0):
        raise InputError("bad-price", f"cloth.price: {price} is not a price.", "Give a number such as 12.50.")
    if not currency and not (usual and usual.currency):
        raise InputError(
            "price-without-currency", "cloth.currency: there is a price but no currency.", 'Such as "EUR".'
        )
    return {"price": price, **({"currency": currency} if currency else {})}


def _not_negative(text: object, *, place: str) -> float:
    mm = parse_length(text, place=place)
    if mm < 0:
        raise InputError("length-negative", f"{place}: {text!r} is less than zero.", "Give 0 cm or more.")
    return mm


_CLOTH_SIZES: dict[str, tuple[str, Callable[..., float]]] = {
    "width": ("width_mm", parse_positive_length),
    "selvedge": ("selvedge_mm", _not_negative),
    "shrink_along": ("shrink_along", parse_share),
    "shrink_across": ("shrink_across", parse_share),
    "sold_by": ("sold_by_mm", parse_positive_length),
    "price_per": ("price_per_mm", parse_positive_length),
}


def _read_toml(path: Path) -> dict[str, Any]:
    try:
        if path.stat().st_size > LARGEST_FILE:
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
