"""``[[piece]]`` tables become copies: front#1, front#2, every second one mirrored where asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding
from printcheck.core.lattice import Vector
from printcheck.core.plan import EPS_MM, MOST_PIECES, Cloth, Piece
from printcheck.core.units import format_length, parse_length, parse_positive_length
from printcheck.project.cloth_table import parse_from_zero
from printcheck.project.outline.polygon import (
    DrawnPiece,
    Shape,
    mirrored,
    opened,
    shape_of_points,
    symmetrical,
)
from printcheck.project.schema import Mistakes, PieceTable, read_table

OUTLINES = ("outline", "outline_svg", "outline_dxf")
AGREE_MM = 0.5  # mm: how far an outline's extent may be from a width and length given beside it


@dataclass(frozen=True)
class Copies:
    """The copies of one piece, and by how much the file's coordinates were moved into the box."""

    base: str
    copies: tuple[Piece, ...]
    moved_by: Vector = (0.0, 0.0)
    notches: tuple[Vector, ...] = ()  # of the piece as drawn, in its box
    findings: tuple[Finding, ...] = ()


def copies_of(piece: Piece, *, count: int = 1, alternate: bool = False) -> tuple[Piece, ...]:
    """Copies of a piece, named name#1, name#2; with ``alternate`` every second one is mirrored."""
    made = []
    for number in range(1, count + 1):
        name = f"{piece.name}#{number}"
        if alternate and number % 2 == 0:
            made.append(mirrored(piece, name))
        else:
            made.append(replace(piece, name=name, mirrored=False))
    return tuple(made)


def read_pieces(
    tables: Sequence[Mapping[str, Any]],
    *,
    cloth: Cloth | None,
    border: bool,
    folder: Path,
    mistakes: Mistakes,
) -> tuple[Copies, ...]:
    """Copies of every piece of the file; mistakes are noted and their pieces left out."""
    if not tables:
        mistakes.add("piece", "the project has no pieces. Add a [[piece]] for each.", code="no-pieces")
        return ()
    total = sum(t["count"] if type(t.get("count")) is int else 1 for t in tables)
    if total > MOST_PIECES or len(tables) > MOST_PIECES:
        _refuse_too_many(max(total, len(tables)), mistakes)
        return ()
    # where no piece asks for the border, all but those that decline lie on it
    chosen = any(raw.get("border") is True for raw in tables)
    found: dict[str, Copies] = {}
    for number, raw in enumerate(tables, start=1):
        raw = raw if chosen else {"border": True, **raw}
        made = _one(raw, place=f"piece[{number}]", folder=folder, mistakes=mistakes)
        if made is None:
            continue
        if made.base in found:
            mistakes.add(
                f"piece[{number}].name",
                f"{made.base!r} is used twice. Give each piece its own name, or use count for equal ones.",
                code="duplicate-name",
            )
        elif cloth is not None:
            first = made.copies[0]
            if text := too_wide(first, cloth, border=border):
                key = "outline" if first.outline else "length" if border and first.on_border else "width"
                mistakes.add(f"piece[{number}].{key}", text, code="piece-too-wide")
        found.setdefault(made.base, made)
    if (total := sum(len(copies.copies) for copies in found.values())) > MOST_PIECES:  # as a drawing says
        _refuse_too_many(total, mistakes)
        return ()
    return tuple(found.values())


def _refuse_too_many(total: int, mistakes: Mistakes) -> None:
    mistakes.add(
        "piece",
        f"{total} pieces are more than the {MOST_PIECES} that one layout can hold. "
        "Plan a part of them at a time.",
        code="too-many-pieces",
    )


def too_wide(piece: Piece, cloth: Cloth, *, border: bool = False) -> str | None:
    """What to say of a piece that is wider than the usable width of the washed cloth, or None.

    On a border print pieces lie crosswise, so that their length must fit the width.
    """
    usable = cloth.usable_width_mm
    crosswise = border and piece.on_border
    size, word = (piece.length_mm, "long") if crosswise else (piece.width_mm, "wide")
    if size <= usable + EPS_MM:
        return None
    why = "a border print lays pieces crosswise" if crosswise else "pieces keep their grain"
    return (
        f"the piece is {format_length(size)} {word}, but only {format_length(usable)} of the cloth "
        f"can be used after washing, and {why}. Join it from two panels, or take wider cloth."
    )


def _one(raw: Mapping[str, Any], *, place: str, folder: Path, mistakes: Mistakes) -> Copies | None:
    before = len(mistakes.found)
    table = read_table(raw, PieceTable, place=place, mistakes=mistakes)
    drawn = any(key in raw for key in OUTLINES)
    name = (table.name or "").strip()
    if not name:
        mistakes.add(f"{place}.name", "the piece has no name. Give it one.", code="missing-key")
    elif "#" in name:
        mistakes.add(
            f"{place}.name", f"{name!r} holds a #, which counts copies. Leave it out.", code="bad-name"
        )
    if table.count is not None and table.count < 1:
        mistakes.add(
            f"{place}.count", f"{table.count} is not a number of copies. Give 1 or more.", code="bad-count"
        )
    width, length = (
        _side(table, side, drawn, place=place, mistakes=mistakes) for side in ("width", "length")
    )
    made = None
    with mistakes.noting():
        made = _drawn(table, width, length, place=place, folder=folder)
    if len(mistakes.found) > before or made is None:
        return None
    shape = made.shape
    on_fold = table.on_fold or made.on_fold or table.fold in ("left", "right")
    piece = Piece(
        name,
        shape.width_mm,
        shape.length_mm,
        shape.outline,
        turn=table.turn,
        on_border=bool(table.border),
        on_fold=on_fold,
    )
    if on_fold and not symmetrical(piece):
        mistakes.add(
            f"{place}.on_fold",
            "the two halves of the piece differ, so it cannot be cut on the fold. Leave on_fold out.",
            code="not-symmetrical",
        )
        return None
    count = made.count if table.count is None else table.count
    alternate = (table.count is None and made.mirrored) if table.mirrored is None else table.mirrored
    copies = copies_of(piece, count=count, alternate=alternate)
    return Copies(name, copies, shape.moved_by, made.notches, made.findings)


def _side(table: PieceTable, side: str, drawn: bool, *, place: str, mistakes: Mistakes) -> float | None:
    text = getattr(table, side)
    if text is not None:
        with mistakes.noting():
            return parse_positive_length(text, place=f"{place}.{side}")
    elif not drawn:
        mistakes.add(f"{place}.{side}", f"{side} is missing, and there is no outline.", code="missing-key")
    return None


def _drawn(
    table: PieceTable, width: float | None, length: float | None, *, place: str, folder: Path
) -> DrawnPiece | None:
    """Piece as cut, laid open; None where its mistakes are noted already."""
    given = [key for key in OUTLINES if getattr(table, key) is not None]
    if len(given) > 1:
        raise InputError(
            "two-outlines", f"{place}: {' and '.join(given)} are both given.", "Keep one of them."
        )
    made = _outline(table, place=place, folder=folder)
    if made is None and width is not None and length is not None:
        made = DrawnPiece(Shape(width, length))
    if made is None:
        return None
    _refuse_disagreement(made.shape, width, length, place=place)
    return opened(made, table.fold, place=f"{place}.fold") if table.fold else made


def _outline(table: PieceTable, *, place: str, folder: Path) -> DrawnPiece | None:
    """Piece by its outline, from the file itself or from a drawing beside it; the readers load only here."""
    if table.outline is not None:
        where = f"{place}.outline"
        points = tuple(parse_point(point, place=f"{where}[{i}]") for i, point in enumerate(table.outline, 1))
        return DrawnPiece(shape_of_points(points, place=where))
    if table.outline_svg is not None:
        from printcheck.project.outline.svg import outline_from_svg

        where = f"{place}.outline_svg"
        points = outline_from_svg(folder, table.outline_svg.file, table.outline_svg.id, place=where)
        return DrawnPiece(replace(shape_of_points(points, place=where), moved_by=(0.0, 0.0)))
    if table.outline_dxf is not None:
        from printcheck.project.outline.dxf import piece_from_dxf

        where, wanted = f"{place}.outline_dxf", table.outline_dxf
        allowance = wanted.allowance and parse_from_zero(wanted.allowance, place=f"{where}.allowance")
        return piece_from_dxf(folder, wanted, allowance or 0.0, place=where)
    return None


def _refuse_disagreement(shape: Shape, width: float | None, length: float | None, *, place: str) -> None:
    for side, given, drawn in (("width", width, shape.width_mm), ("length", length, shape.length_mm)):
        if given is not None and abs(given - drawn) > AGREE_MM:
            raise InputError(
                "outline-disagrees",
                f"{place}.{side}: {format_length(given)} is given, but the outline measures "
                f"{format_length(drawn)}.",
                f"Leave {side} out, or check the outline's scale.",
            )


def parse_point(point: Sequence[object], *, place: str) -> Vector:
    """Point ``["52 cm", "10 cm"]`` in mm."""
    return parse_length(point[0], place=f"{place}[1]"), parse_length(point[1], place=f"{place}[2]")
