"""Full widths of cloth sewn side by side: how many, where their seam lines lie, and what is left of them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from printcheck.core.plan import MATCH_TOLERANCE_MM, Cloth, Print, Seam
from printcheck.project.kinds.draft import SEAM_MM, PieceRow, Room, sewn

WHOLE = 1e-9  # rounding of a division: no cloth
ERROR_SIGMAS = 2.0  # how far a measured repeat is believed to be off: 95 of 100 are nearer
BY_CHANCE = 0.1  # share of all widths that would seem whole columns by chance: more proves nothing
MATCH_AT = 0.5  # share of the length: where joins are matched; any height will do, rows repeat


def count_of_widths(total_mm: float, usable_mm: float) -> int:
    """Widths of cloth that cover a total, rounded up (180 x 2.0 over 137 takes 3).

    Examples
    --------
    >>> count_of_widths(2 * 1370, 1370), count_of_widths(2 * 1370.01, 1370)
    (2, 3)
    """
    return max(1, math.ceil(total_mm / usable_mm - WHOLE))


@dataclass(frozen=True)
class Breadth:
    """Seam lines of a full width of cloth, from the left edge of the usable width.

    Furnishing cloth is printed so that the figure runs on when widths are joined at the selvedge's inner
    edge; the selvedge is the seam allowance. Elsewhere the second width is laid over the first until the
    figure meets: the seam lines lie as many whole columns apart as the width holds, and the selvedge serves
    as allowance as far as it reaches.
    """

    usable_mm: float
    start_mm: float
    end_mm: float

    @classmethod
    def of(cls, room: Room) -> Breadth:
        """Seam lines on this cloth with this print."""
        usable, column = room.usable_mm, room.column_mm
        if (whole := _whole_columns_mm(room)) is not None and room.join != "lap":
            return cls(usable, 0.0, whole)
        if room.join == "selvedge":
            return cls(usable, 0.0, usable)
        allowance = max(0.0, SEAM_MM - room.selvedge_mm)
        span = usable - 2 * allowance
        if column is not None and span >= column:
            span = math.floor(span / column + WHOLE) * column
        return cls(usable, allowance, allowance + span)

    @property
    def span_mm(self) -> float:
        """Cloth that one width adds."""
        return self.end_mm - self.start_mm

    def join(self, left: str, right: str, length_mm: float, *, visible: bool = True) -> Seam:
        """Seam of two full widths."""
        at = length_mm * MATCH_AT
        return sewn("join", left, (self.end_mm, at), right, (self.start_mm, at), "both", visible)


def _whole_columns_mm(room: Room) -> float | None:
    """Width of the whole columns that fill the usable width; None where they do not, or are not known."""
    column = room.column_mm
    if column is None or not room.selvedge_mm:
        return None
    columns = round(room.usable_mm / column) * column
    return columns if abs(room.usable_mm - columns) <= MATCH_TOLERANCE_MM else None


def from_selvedge_to_selvedge(print_: Print, cloth: Cloth) -> Print:
    """Print whose columns fill the usable width, where the measurement says so within its error.

    Furnishing cloth is printed that way, and a repeat measured a little too large would otherwise cost a
    whole column at every join. Where whole columns would come that near by chance the print is left alone.
    """
    usable = cloth.width_mm - 2 * cloth.selvedge_mm
    column = print_.lattice.column_mm if print_.lattice is not None else None
    if column is None or not cloth.selvedge_mm or cloth.join == "lap":
        return print_
    columns, error = round(usable / column), ERROR_SIGMAS * print_.error_share * usable
    if abs(usable - columns * column) > error or 2 * error > BY_CHANCE * column:
        return print_
    assert print_.lattice is not None
    return replace(print_, lattice=print_.lattice.scaled(usable / (columns * column), 1.0))


def panel_rows(
    name: str, width_mm: float, length_mm: float, room: Room, *, visible: bool = True
) -> tuple[tuple[PieceRow, ...], tuple[Seam, ...]]:
    """One piece where the cloth is wide enough, else full widths in the middle and two equal sides.

    The two sides are cut from the edges of the widths they continue, so that both come out of one length
    of cloth where they fit side by side.
    """
    if width_mm <= room.usable_mm:
        return (PieceRow(name, width_mm, length_mm),), ()
    breadth = Breadth.of(room)
    # a seam down the middle shows most: an odd number of full widths leaves none there
    middles = 1
    while (width_mm - middles * breadth.span_mm) / 2 > breadth.span_mm:
        middles += 2
    side = (width_mm - middles * breadth.span_mm) / 2
    beyond = min(SEAM_MM, breadth.usable_mm - breadth.end_mm)  # allowance of the left side's seam
    left_mm, right_mm = side + beyond, side + breadth.start_mm
    names = [f"{name}#{n}" for n in range(1, middles + 1)]
    left, right = f"left {name}", f"right {name}"
    at = length_mm * MATCH_AT
    seams = [
        sewn("join", f"{left}#1", (side, at), names[0], (breadth.start_mm, at), "both", visible),
        *(breadth.join(a, b, length_mm, visible=visible) for a, b in pairwise(names)),
        sewn("join", names[-1], (breadth.end_mm, at), f"{right}#1", (breadth.start_mm, at), "both", visible),
    ]
    rows = (
        PieceRow(left, left_mm, length_mm),
        PieceRow(name, room.usable_mm, length_mm, middles),
        PieceRow(right, right_mm, length_mm),
    )
    return rows, tuple(seams)
