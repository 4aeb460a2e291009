"""``[[seam]]`` and ``[[place]]`` tables: points on named copies, checked against the pieces."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding, finding
from printcheck.core.lattice import Vector
from printcheck.core.plan import Cloth, Piece, Place, Seam, SeamEnd
from printcheck.core.units import format_length
from printcheck.project.outline.polygon import ON_THE_LINE_MM, distance_inside_mm
from printcheck.project.pieces import Copies, parse_point
from printcheck.project.schema import Mistakes, PlaceTable, SeamTable, T, read_table

OFF_THE_PIECE_MM = 0.5  # mm: a point this far outside is rounding of the outline, farther is a mistake
MOST_SEAMS = 1000  # seams, and places: five for each of the largest number of copies
LONGEST_NAME = 60  # characters of the name of a project or a seam: it stands inside sentences
MOST_NAMES_SHOWN = 12  # copies named in a message


class Copybook:
    """The copies by name, to look up the points of seams and places."""

    def __init__(self, copies: Sequence[Copies], cloth: Cloth | None = None) -> None:
        self.usable_mm = cloth.usable_width_mm if cloth is not None and cloth.selvedge_mm else math.inf
        self.piece: dict[str, Piece] = {p.name: p for c in copies for p in c.copies}
        self.copies_of = {p.name: c for c in copies for p in c.copies}
        self.single = {c.base: c.copies[0].name for c in copies if len(c.copies) == 1}

    def end(self, name: str, at: Sequence[object] | None, notch: int | None, *, place: str) -> SeamEnd:
        """Point or notch on a copy, in the coordinates of its box.

        Raises
        ------
        InputError
            If there is no such copy, or the point lies off it.
        """
        copy = self._copy(name, place)
        if (at is None) == (notch is None):
            raise InputError(
                "missing-key", f"{place}: a point is needed: at, or a notch.", "Give one of them."
            )
        if at is None:
            return SeamEnd(copy, self._notch(copy, notch or 0, place))
        x, y = parse_point(at, place=f"{place}.at")
        dx, dy = self.copies_of[copy].moved_by
        point = (x + dx, y + dy)
        inside = distance_inside_mm(self.piece[copy], point)
        if inside < -OFF_THE_PIECE_MM:
            raise InputError(
                "point-off-piece",
                f"{place}.at: the point {format_length(x)}, {format_length(y)} lies "
                f"{format_length(-inside)} outside {copy}.",
                "Give the point across and along from the corner of the piece as cut.",
            )
        return SeamEnd(copy, point)

    def _notch(self, copy: str, number: int, place: str) -> Vector:
        copies, piece = self.copies_of[copy], self.piece[copy]
        if 1 <= number <= len(copies.notches):
            x, y = copies.notches[number - 1]
            return (piece.width_mm - x, y) if piece.mirrored else (x, y)
        listed = "; ".join(
            f"{n} at {format_length(x)}, {format_length(y)}"
            for n, (x, y) in enumerate(copies.notches[:MOST_NAMES_SHOWN], start=1)
        )
        raise InputError(
            "no-such-notch",
            f"{place}.notch: {copies.base} has no notch {number}.",
            f"Its notches are {listed}." if listed else "Only pieces of a DXF file have notches; give at.",
        )

    def on_the_edge(self, end: SeamEnd) -> bool:
        """Whether the point lies on the cutting line itself."""
        return distance_inside_mm(self.piece[end.piece], end.at) <= ON_THE_LINE_MM

    def full_width(self, end: SeamEnd) -> bool:
        """Whether the piece is a full width of cloth, whose selvedges are the seam allowance."""
        return self.piece[end.piece].width_mm >= self.usable_mm - ON_THE_LINE_MM

    def _copy(self, name: str, place: str) -> str:
        known = self.single.get(name, name)
        if known in self.piece:
            return known
        close = difflib.get_close_matches(name, self.piece, n=1)
        names = ", ".join(list(self.piece)[:MOST_NAMES_SHOWN])
        hint = f"Did you mean {close[0]}?" if close else f"The copies are {names}."
        raise InputError("unknown-piece", f"{place}.piece: there is no copy {name!r}.", hint)


def read_seams(
    tables: Sequence[Mapping[str, Any]], book: Copybook, *, mistakes: Mistakes
) -> tuple[tuple[Seam, ...], tuple[Finding, ...]]:
    """Seams of the file, and a finding where a seam's point lies on the cutting line."""
    seams: list[Seam] = []
    on_edge: list[int] = []
    for number, place, table in _sound(tables, "seam", SeamTable, mistakes):
        if table.join is None:
            mistakes.add(f"{place}.join", "join is missing: the two points of the seam.", code="missing-key")
            continue
        ends = []
        for i, end in enumerate(table.join, start=1):
            with mistakes.noting():
                ends.append(book.end(end.piece, end.at, end.notch, place=f"{place}.join[{i}]"))
        if len(ends) == 2:
            seams.append(
                Seam((ends[0], ends[1]), table.match, table.visible, table.name.strip()[:LONGEST_NAME])
            )
            if any(book.on_the_edge(end) for end in ends) and not any(book.full_width(end) for end in ends):
                on_edge.append(number)
    shown = ", ".join(str(n) for n in on_edge[:MOST_NAMES_SHOWN])
    shown += " and others" if len(on_edge) > MOST_NAMES_SHOWN else ""
    return tuple(seams), (finding("seam-on-cutting-line", seams=shown),) if on_edge else ()


def read_places(
    tables: Sequence[Mapping[str, Any]], book: Copybook, *, mistakes: Mistakes
) -> tuple[Place, ...]:
    """Points of pieces to be put on the print."""
    places: list[Place] = []
    for _, place, table in _sound(tables, "place", PlaceTable, mistakes):
        if table.piece is None:
            mistakes.add(place, "piece is missing.", code="missing-key")
            continue
        with mistakes.noting():
            end = book.end(table.piece, table.at, table.notch, place=place)
            places.append(Place(end.piece, end.at, table.on))
    return tuple(places)


def _sound(
    tables: Sequence[Mapping[str, Any]], what: str, shape: type[T], mistakes: Mistakes
) -> Iterator[tuple[int, str, T]]:
    """Tables that hold no mistake, with their numbers and places."""
    if len(tables) > MOST_SEAMS:
        text = f"{len(tables)} are more than {MOST_SEAMS}. Leave some out."
        mistakes.add(what, text, code="too-many-seams")
        return
    for number, raw in enumerate(tables, start=1):
        before, place = len(mistakes.found), f"{what}[{number}]"
        table = read_table(raw, shape, place=place, mistakes=mistakes)
        if len(mistakes.found) == before:
            yield number, place, table
