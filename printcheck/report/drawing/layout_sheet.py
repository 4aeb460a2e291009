"""The cutting layout to scale, in millimetres of washed cloth: what is taken to the cutting table."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from printcheck.core.handover import MeanCell
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.measurement import Motif
from printcheck.core.plan import CutLayout, LengthPlan, Project, SeamEnd
from printcheck.core.units import INCH_MM, UnitSystem
from printcheck.report.drawing.cell_view import ClothView
from printcheck.report.drawing.layout_pieces import SEAM_COLOUR, Pen, placed_items
from printcheck.report.drawing.primitives import (
    FAINT,
    GREY,
    INK,
    Dot,
    Drawing,
    Item,
    Label,
    Line,
    Point,
    Raster,
    arrow,
    box_points,
    text_width,
)
from printcheck.report.words import planned
from printcheck.report.words.content import shown_name
from printcheck.report.words.quantities import size

PAGE_MM = (186.0, 255.0)  # what A4 and US Letter both print inside their margins; either way round
LETTER_MM = 2.9  # letter size on that page: eight points
MOST_PIXELS = 450_000  # of the print behind one layout: about 100 kB in a page
MOST_PX_MM = 1.0
FADE = 0.5  # share of the print's contrast that is kept, so that lines and names stay readable
MOST_MARKS = 4000  # lattice points drawn where no cell was measured; finer prints get none
CUT_COLOUR = "#0b4f8a"


@dataclass(frozen=True)
class Backdrop:
    """What is known of the print's looks: its cell and motifs as measured, or nothing."""

    cell: MeanCell | None = None
    motif: Motif | None = None


@dataclass(frozen=True)
class _Sheet:
    """What every part of the drawing needs to know."""

    plan: LengthPlan
    project: Project
    backdrop: Backdrop
    units: UnitSystem
    letter: float

    @property
    def selvedge(self) -> float:
        """Width of one selvedge after washing."""
        washed = self.plan.cloth.width_mm * (1 - self.plan.cloth.shrink_across)
        return max(0.0, (washed - self.plan.cloth.usable_width_mm) / 2)

    @property
    def usable(self) -> float:
        return self.plan.cloth.usable_width_mm

    @property
    def border(self) -> bool:
        """Whether a border runs along the right selvedge: then pieces lie crosswise, their feet there."""
        return any(spot.crosswise for spot in self.plan.one_way.placements)


def layout_drawing(
    plan: LengthPlan,
    project: Project,
    *,
    backdrop: Backdrop | None = None,
    units: UnitSystem = "metric",
    upright: bool = False,
) -> Drawing:
    """Matched layout, or the one-way layout where nothing can match, with the plain one beside it.

    Parameters
    ----------
    plan : LengthPlan
        The checked answer: the drawing is made from it and from nothing else.
    project : Project
        Outlines and seam points of the pieces.
    backdrop : Backdrop, optional
        The measured cell, to draw the print behind the pieces.
    units : {"metric", "imperial"}
    upright : bool
        Whether the page it is printed on stands upright; otherwise it may also lie.

    Returns
    -------
    Drawing
        One drawing unit is one millimetre of washed cloth. Each piece is a polygon with ``data-piece``
        and ``data-layout``; the usable cloth of each layout is a polygon with ``data-cloth``.
    """
    found = dict(planned.layouts(plan))
    main = "matched" if "matched" in found else "one_way"
    shown = [(main, found[main]), ("plain", found["plain"])]
    pages = (PAGE_MM,) if upright else (PAGE_MM, PAGE_MM[::-1])
    across = len(shown) * plan.cloth.width_mm
    along = max(layout.length_mm for _, layout in shown)
    letter = min(_letter_on(page, across, along) for page in pages)
    sheet = _Sheet(plan, project, backdrop or Backdrop(), units, letter)
    items: list[Item] = []
    left, bottom = 4.5 * letter, 0.0
    for key, layout in shown:
        origin = (left + sheet.selvedge, 4.2 * letter)
        items += _strip(sheet, key, layout, origin)
        left = origin[0] + sheet.usable + sheet.selvedge + 8.5 * letter
        bottom = max(bottom, origin[1] + layout.length_mm)
    width = left - 3.6 * letter
    legend, height = _legend(sheet, bottom + 2.2 * letter, width)
    page = max(min(page[0], page[1] * width / height) for page in pages)
    items += [*legend, *_scale_note(sheet, (0.5 * letter, height - 0.6 * letter), width / page)]
    title = f"Cutting layout for {shown_name(plan.project)}"
    return Drawing(width, height, tuple(items), title, said(plan, units), page)


def said(plan: LengthPlan, units: UnitSystem) -> str:
    """What the drawing shows, for those who cannot see it."""
    parts = [
        f"{planned.LAYOUT_NAMES[key]}: {len(layout.placements)} pieces on {size(layout.length_mm, units)}"
        for key, layout in planned.layouts(plan)
    ]
    return f"{'; '.join(parts)}. Where each piece lies stands in the table."


def _letter_on(page: Vector, across: float, along: float) -> float:
    """Letter size for a page: 21 letters are margins and rulers at the sides, 14 headings and notes."""
    by_width = LETTER_MM * across / (page[0] - 21 * LETTER_MM)
    return max(by_width, LETTER_MM * along / (page[1] - 14 * LETTER_MM))


def _strip(sheet: _Sheet, key: str, layout: CutLayout, origin: Point) -> list[Item]:
    letter, (x, y) = sheet.letter, origin
    head = f"{planned.LAYOUT_NAMES[key]}: {size(layout.length_mm, sheet.units)}"
    room = (sheet.usable + 2 * sheet.selvedge) / text_width(head, 1.0)
    at = (x - sheet.selvedge, y - 2.2 * letter)
    items: list[Item] = [Label(at, head, min(1.25 * letter, room), bold=True)]
    items += _cloth(sheet, key, layout, origin)
    items += _ruler(sheet, layout.length_mm, origin)
    pieces = {piece.name: piece for piece in sheet.project.pieces}
    placed = [(pieces[spot.piece], spot) for spot in layout.placements if spot.piece in pieces]
    items += placed_items(placed, sheet.project.seams, Pen(origin, key, letter, sheet.units))
    return items


def _cloth(sheet: _Sheet, key: str, layout: CutLayout, origin: Point) -> list[Item]:
    (x, y), letter, band = origin, sheet.letter, sheet.selvedge
    length = layout.length_mm
    items: list[Item] = []
    if sheet.backdrop.cell is not None:
        items.append(_print_behind(sheet, sheet.backdrop.cell, length, origin))
    else:
        items += _marks(sheet, length, origin)
    for left in (x - band, x + sheet.usable) if band else ():
        items.append(Line(box_points(left, y, band, length), None, closed=True, fill=FAINT))
    whole = box_points(x - band, y, sheet.usable + 2 * band, length)
    usable = box_points(x, y, sheet.usable, length)
    items.append(Line(whole, GREY, letter / 9, closed=True))
    items.append(Line(usable, GREY, letter / 14, closed=True, data={"cloth": key}))
    cut = ((x - band - letter, y), (x + sheet.usable + band + letter, y))
    items.append(Line(cut, CUT_COLOUR, letter / 6, dash=(letter, letter / 2)))
    items.append(Label((x + sheet.usable / 2, y - 0.5 * letter), "cut end", letter, "middle", CUT_COLOUR))
    side = x + sheet.usable + band + 0.9 * letter
    words = "selvedge with the border" if sheet.border else "selvedge"
    items.append(Label((side, y + length / 2), words, letter, "middle", GREY, turn_deg=90))
    return items + _way(sheet, (side + 1.9 * letter, y), length)


def _way(sheet: _Sheet, at: Point, length: float) -> list[Item]:
    """Arrow beside the cloth: the print's up where it has one, otherwise the lengthwise direction.

    On a border print the pieces' up is across the cloth, away from the border.
    """
    letter, (x, y) = sheet.letter, at
    reach = min(length, 9 * letter)
    top, foot = (x, y), (x, y + reach)
    one_way = sheet.plan.print.way == "one-way" and bool(sheet.plan.print.basis_mm) and not sheet.border
    items: list[Item] = [*arrow(foot, top, width=letter / 6, head=letter, both=not one_way)]
    text = "print's up" if one_way else "along the cloth"
    return [*items, Label((x + 0.6 * letter, y + reach / 2), text, letter, "middle", INK, turn_deg=90)]


def _print_behind(sheet: _Sheet, cell: MeanCell, length: float, origin: Point) -> Raster:
    """The measured cell laid out as the plan has it, paled so that names stay readable."""
    band, cloth = sheet.selvedge, sheet.plan.cloth
    width = sheet.usable + 2 * band
    px_mm = min(MOST_PX_MM, math.sqrt(MOST_PIXELS / (width * length)))
    centre = _motif_centre(sheet.backdrop.motif)
    anchor = sheet.plan.figures.motif_at_mm if sheet.plan.figures else (0.0, 0.0)
    view = ClothView(cell, anchor, centre, (1 - cloth.shrink_across, 1 - cloth.shrink_along))
    bgr = view.laid(-band, 0.0, width, length, 1 / px_mm)
    pale = (255 - FADE * (255.0 - bgr)).astype(np.uint8)
    return Raster((origin[0] - band, origin[1], width, length), pale, 72)


def _motif_centre(motif: Motif | None) -> Vector:
    if motif is None or not motif.boxes_mm:
        return (0.0, 0.0)
    left, top, width, height = max(motif.boxes_mm, key=lambda box: box[2] * box[3])
    return left + width / 2, top + height / 2


def _marks(sheet: _Sheet, length: float, origin: Point) -> list[Item]:
    """Rows and lattice points of a print of which only the repeat is known."""
    basis = sheet.plan.print.basis_mm
    if not basis:
        return []
    start = sheet.plan.figures.motif_at_mm if sheet.plan.figures else (0.0, 0.0)
    rows = Lattice(basis).shortest_along_axis(1)
    items: list[Item] = []
    if rows is not None and length / rows < MOST_MARKS / 40:
        first = math.ceil(-start[1] / rows)
        ys = [start[1] + k * rows for k in range(first, first + int(length / rows) + 2)]
        items += [
            Line(
                ((origin[0], origin[1] + y), (origin[0] + sheet.usable, origin[1] + y)),
                FAINT,
                sheet.letter / 14,
            )
            for y in ys
            if 0 <= y <= length
        ]
    points = _lattice_points(basis, start, (sheet.usable, length))
    return items + [Dot((origin[0] + x, origin[1] + y), sheet.letter / 6, "#a8a8a8") for x, y in points]


def _lattice_points(basis: tuple[Vector, ...], start: Vector, extent: Vector) -> list[Point]:
    if len(basis) < 2:
        return []
    (a, b), (c, d) = Lattice(basis).reduced().basis_mm
    det = a * d - b * c
    if extent[0] * extent[1] / abs(det) > MOST_MARKS:
        return []
    corners = [(x - start[0], y - start[1]) for x in (0.0, extent[0]) for y in (0.0, extent[1])]
    us = [(x * d - y * c) / det for x, y in corners]
    vs = [(a * y - b * x) / det for x, y in corners]
    found = [
        (start[0] + i * a + j * c, start[1] + i * b + j * d)
        for i in range(math.floor(min(us)), math.ceil(max(us)) + 1)
        for j in range(math.floor(min(vs)), math.ceil(max(vs)) + 1)
    ]
    return [(x, y) for x, y in found if 0 <= x <= extent[0] and 0 <= y <= extent[1]]


def _ruler(sheet: _Sheet, length: float, origin: Point) -> list[Item]:
    """Marks down the left edge, counted from the cut end."""
    imperial, letter = sheet.units == "imperial", sheet.letter
    step = 12 * INCH_MM if imperial else 100.0
    while step < 2.2 * letter:
        step *= 2
    x = origin[0] - sheet.selvedge - 0.4 * letter
    items: list[Item] = []
    for k in range(int(length / step + 1e-9) + 1):
        y = origin[1] + k * step
        name = f"{k * step / INCH_MM:.0f}" if imperial else f"{k * step / 10:.0f}"
        items.append(Line(((x - 0.5 * letter, y), (x, y)), GREY, letter / 10))
        items.append(Label((x - 0.7 * letter, y + 0.35 * letter), name, 0.9 * letter, "end", GREY))
    unit = Label((x, origin[1] - 0.9 * letter), "in" if imperial else "cm", 0.9 * letter, "end", GREY)
    return [*items, unit]


def _legend(sheet: _Sheet, top: float, width: float) -> tuple[list[Item], float]:
    """Which points belong together, in two columns; and the drawing's height."""
    letter, seams = sheet.letter, sheet.project.seams
    rows = math.ceil(len(seams) / 2)
    items: list[Item] = []
    for number, seam in enumerate(seams, start=1):
        column, row = divmod(number - 1, rows)
        ends = " to ".join(_end_name(end) for end in seam.join)
        text = f"{number}  {ends}: {planned.MATCH_WORDS[seam.match]}"
        room = (width / 2 - 2 * letter) / text_width(text, 1.0)
        at = (letter + column * width / 2, top + 1.3 * letter * row)
        items.append(Label(at, text, min(letter, room), colour=SEAM_COLOUR))
    return items, top + 1.3 * letter * rows + 2.4 * letter


def _end_name(end: SeamEnd) -> str:
    return shown_name(end.piece, 24)


def _scale_note(sheet: _Sheet, at: Point, share: float) -> list[Item]:
    """Bar of known length, and the scale that a print at 100 per cent has."""
    letter, (x, y) = sheet.letter, at
    length = 12 * INCH_MM if sheet.units == "imperial" else 200.0
    bar = Line(box_points(x, y - 0.7 * letter, length, 0.5 * letter), INK, letter / 10, closed=True, fill=INK)
    words = f"{size(length, sheet.units)} of washed cloth. Printed at 100 per cent: 1 to {share:.1f}."
    return [bar, Label((x + length + 0.6 * letter, y), words, letter)]
