"""Where to begin: a small picture of the spot of the print that the layout is laid by."""

from __future__ import annotations

from printcheck.core.plan import PrintStart
from printcheck.report.drawing.cell_view import ClothView
from printcheck.report.drawing.layout.backdrop import start_point
from printcheck.report.drawing.layout.cloth_strip import START_COLOUR, Context, cross
from printcheck.report.drawing.primitives import (
    GREY,
    Item,
    Label,
    Line,
    Point,
    Raster,
    box_points,
    text_width,
)
from printcheck.report.words.quantities import size

ROUND_MOTIF = 2.2  # width of the picture, of the repeat's shorter side or so much cloth as shows it again
LEAST_MM, MOST_MM = 60.0, 400.0  # of cloth in the picture
PIXELS = 260  # of the picture's side


def start_items(context: Context, corner: Point, width: float) -> tuple[list[Item], float]:
    """The picture with what it says, ``width`` wide, and where it ends; nothing where all is left open."""
    plan, letter = context.plan, context.letter
    start, view = plan.start, context.backdrop.view(plan)
    if start is None:
        return [], corner[1]
    (x, y), items = corner, list[Item]()
    items.append(Label((x, y), "Begin here", min(letter, width / 8), bold=True))
    y += 0.6 * letter
    if view is not None:
        items += _picture(view, start_point(plan), _shown(context), (x, y), width, letter)
        y += width
    for line in _words(context, start):
        y += 1.3 * letter
        items.append(
            Label((x, y), line, min(0.9 * letter, width / text_width(line, 1.0)), colour=START_COLOUR)
        )
    return items, y + letter


def _words(context: Context, start: PrintStart) -> list[str]:
    """Distances of the spot's middle, a line each."""
    across, along = start.at_mm
    selvedge, units = context.plan.cloth.selvedge_mm, context.units
    lines = ["its middle"] if along is None else ["its middle", f"{size(along, units)} from the cut end"]
    if across is not None:
        lines.append(f"{size(across + selvedge, units)} from the left edge")
    return lines


def _shown(context: Context) -> float:
    """How much cloth the picture shows, mm."""
    motif = context.backdrop.motif
    if motif is not None and motif.width_mm and motif.height_mm:
        wanted = ROUND_MOTIF * max(motif.width_mm, motif.height_mm)
    else:
        wanted = ROUND_MOTIF * max(
            max(map(abs, v)) for v in context.plan.print.basis_mm or ((LEAST_MM, 0.0),)
        )
    return min(MOST_MM, max(LEAST_MM, wanted))


def _picture(
    view: ClothView, middle: Point, shown: float, corner: Point, width: float, letter: float
) -> list[Item]:
    """The print about the chosen spot, with a cross on it."""
    bgr = view.laid(middle[0] - shown / 2, middle[1] - shown / 2, shown, shown, shown / PIXELS)
    centre = (corner[0] + width / 2, corner[1] + width / 2)
    return [
        Raster((*corner, width, width), bgr, 78),
        Line(box_points(*corner, width, width), GREY, letter / 12, closed=True),
        *cross(centre, width / 9, letter / 6, {}),
    ]
