"""Curtains and roman blinds."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from printcheck.core.findings import Finding, finding
from printcheck.core.plan import MATCH_TOLERANCE_MM, MatchKind, Seam
from printcheck.project.kinds.breadth import MATCH_AT, Breadth, count_of_widths, panel_rows
from printcheck.project.kinds.draft import Draft, PieceRow, Room, Values, sewn
from printcheck.project.kinds.rows import kind

LEAST_FULLNESS = 0.95  # of what was asked: where laps take more, another width is cut


def draw_curtain(size: Values, room: Room) -> Draft:
    """Panels of full width, half panels where the number of widths is odd, and their joins."""
    if size["railroaded"] or room.border:
        return _railroaded(size, room)
    curtains, length, flat = int(size["curtains"]), _cut_drop(size), _flat(size)
    asked = size["track"] * size["fullness"] + flat
    breadth = Breadth.of(room)
    widths = count_of_widths(asked, room.usable_mm)
    while _joined_mm(widths, curtains, breadth) < LEAST_FULLNESS * asked:
        widths += 1
    full, halves = (widths, 0) if curtains == 1 else (widths - widths % 2, 2 * (widths % 2))
    rows = []
    if full:
        rows.append(PieceRow("width", room.usable_mm, length, full))
    if halves:
        rows.append(PieceRow("half width", room.usable_mm / 2, length, halves))
    each = _curtains(full, halves, curtains)
    seams = [_seam(a, b, breadth, length) for names in each for a, b in pairwise(names)]
    if curtains == 2:  # where the two curtains meet, rows stand level
        seams.append(_seam(each[0][-1], each[1][0], breadth, length, "meeting edges", "level"))
        if full and room.dropped:  # level rows alone would let one curtain hang half a repeat lower
            seams.append(_alike(each[0][-1], f"width#{full // 2 + 1}", length))
    real = (_joined_mm(widths, curtains, breadth) - flat) / size["track"]
    return Draft(tuple(rows), tuple(seams), findings=tuple(_findings(widths, curtains, real, room, breadth)))


def _cut_drop(size: Values) -> float:
    """Drop with the heading, and with the hem turned up twice."""
    return size["drop"] + size["heading"] + 2 * size["hem"]


def _flat(size: Values) -> float:
    """Width of cloth that is not gathered: side hems, returns and overlap."""
    return size["curtains"] * (2 * size["side_hem"] + size["return"] + size["overlap"])


def _joined_mm(widths: int, curtains: int, breadth: Breadth) -> float:
    """Cloth in all curtains together once their widths are joined."""
    pieces = max(widths, curtains) if widths % 2 == 0 or curtains == 1 else widths + 1
    return widths * breadth.usable_mm - (pieces - curtains) * (breadth.usable_mm - breadth.span_mm)


def _curtains(full: int, halves: int, curtains: int) -> list[list[str]]:
    """Copies of each curtain from left to right; half widths hang at the outer edges."""
    panels = [f"width#{n}" for n in range(1, full + 1)]
    if curtains == 1:
        return [panels]
    half = len(panels) // 2
    left, right = panels[:half], panels[half:]
    if halves:
        left, right = ["half width#1", *left], [*right, "half width#2"]
    return [left, right]


def _seam(
    left: str, right: str, breadth: Breadth, length: float, name: str = "join", match: MatchKind = "both"
) -> Seam:
    """Seam of two panels, or the meeting edges of two curtains.

    The half width at the left is the right half of a width slit down its middle, and the half at the right
    is the left half, so that each is joined where that width was, and both come out of one drop.
    """
    at = length * MATCH_AT
    slit = breadth.usable_mm / 2 if left.startswith("half") else 0.0
    return sewn(name, left, (breadth.end_mm - slit, at), right, (breadth.start_mm, at), match)


def _alike(left: str, right: str, length: float) -> Seam:
    """Full widths beside the meeting edges are cut from the same place of the repeat (common practice)."""
    at = (0.0, length * MATCH_AT)
    return sewn("pair", left, at, right, at, "both")


def _railroaded(size: Values, room: Room) -> Draft:
    """Cloth turned sideways: the drop lies across it, so that no width need be joined.

    What is level on the hanging curtain is one column on the cloth. The design of a border print runs
    along the selvedge, so its curtains hang that way by themselves, level along their feet.
    """
    curtains = int(size["curtains"])
    wide, drop = (size["track"] * size["fullness"] + _flat(size)) / curtains, _cut_drop(size)
    if room.border:
        border = PieceRow("curtain", wide, drop, curtains, turn="none")
        return Draft((border,), findings=(finding("curtain-border"),))
    row = PieceRow("curtain", drop, wide, curtains, turn="none")
    seams: tuple[Seam, ...] = ()
    if curtains == 2:
        at = drop * MATCH_AT
        seams = (sewn("meeting edges", "curtain#1", (at, wide / 2), "curtain#2", (at, wide / 2), "upright"),)
    return Draft((row,), seams, findings=(finding("curtain-railroaded"),))


def _findings(widths: int, curtains: int, real: float, room: Room, breadth: Breadth) -> Iterator[Finding]:
    """What the sizes come to: how many widths, how full, and how they are joined."""
    yield finding("curtain-widths", widths=widths, curtains=curtains, fullness=real)
    column = room.column_mm
    if widths == 1 or column is None or breadth.span_mm < column:
        return
    if breadth.start_mm == 0 and abs(breadth.span_mm - room.usable_mm) <= MATCH_TOLERANCE_MM:
        yield finding("curtain-selvedge")
    else:
        yield finding("curtain-joins", columns=round(breadth.span_mm / column))


def draw_blind(size: Values, room: Room) -> Draft:
    """One flat panel, joined where it must be."""
    wide = size["width"] + 2 * size["side_hem"]
    rows, seams = panel_rows("blind", wide, size["drop"] + size["top"] + size["hem"], room)
    return Draft(rows, seams)


KINDS = kind("curtain", draw_curtain), kind("blind", draw_blind)
