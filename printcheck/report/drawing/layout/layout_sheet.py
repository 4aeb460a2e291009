"""The cutting layout to scale, in millimetres of washed cloth: what is taken to the cutting table."""

from __future__ import annotations

from dataclasses import replace

from printcheck.core.lattice import Vector
from printcheck.core.plan import CutLayout, LengthPlan, Project
from printcheck.core.units import INCH_MM, UnitSystem
from printcheck.report.drawing.layout.backdrop import Backdrop
from printcheck.report.drawing.layout.cloth_strip import (
    LEFT_LETTERS,
    RIGHT_LETTERS,
    TOP_LETTERS,
    Context,
    Stretch,
    small_strip,
    stretches,
    strip,
)
from printcheck.report.drawing.layout.layout_key import ROW, key_items, legend
from printcheck.report.drawing.layout.start_view import start_items
from printcheck.report.drawing.primitives import (
    GREY,
    INK,
    Drawing,
    Item,
    Label,
    Line,
    Point,
    box_points,
    text_width,
)
from printcheck.report.words import planned
from printcheck.report.words.content import shown_name
from printcheck.report.words.quantities import size
from printcheck.report.words.text import wrapped

PAGE_MM = (186.0, 255.0)  # what A4 and US Letter both print inside their margins; either way round
LETTER_MM = 2.9  # letter size on that page: eight points
SMALL_SCALE = 0.3  # of the unmatched layout, beside the matched one
KEY_ROWS = 20  # of the key that a page keeps room for; a longer one goes on below
MOST_STRIPS = 6  # parts that a long layout is laid side by side in
FULL_SIZE_LETTER = 9.0  # mm: on cloth at full size, read while standing at the table


def layout_drawing(
    plan: LengthPlan,
    project: Project,
    *,
    backdrop: Backdrop | None = None,
    units: UnitSystem = "metric",
    upright: bool = False,
    key: bool = True,
) -> Drawing:
    """Matched layout, or the one-way layout where nothing can match, with the unmatched one small beside it.

    ``upright``: the page it is printed on stands upright; otherwise it may also lie. ``key``: the key of
    pieces and notches stands below.

    One drawing unit is one millimetre of washed cloth. Each piece is a polygon with ``data-piece`` and
    ``data-layout``; the usable cloth of each stretch of a layout is a polygon with ``data-cloth``,
    ``data-from-mm`` (where along the cloth it begins) and ``data-scale``.
    """
    main = main_layout(plan)
    pages = (PAGE_MM,) if upright else (PAGE_MM, PAGE_MM[::-1])
    rows = min(KEY_ROWS, len(plan.steps) + len(plan.seams) / 2 if key else 0) + 5
    draft = Context(plan, project, backdrop or Backdrop(), units, 1.0)
    ways = [stretches(MAIN, main, draft.placed(main), count) for count in range(1, MOST_STRIPS + 1)]
    scale, parts = max(
        ((_fitted(plan, parts, page, rows), parts) for page in pages for parts in ways),
        key=lambda way: way[0],
    )
    context = replace(draft, letter=LETTER_MM / scale)
    letter = context.letter
    items, width, bottom = _strips(context, parts)
    beside, right, low = _beside(context, (width, 0.0))
    items += beside
    width, bottom = right, max(bottom, low)
    wide = max(width - 2 * letter, 40 * letter)
    below, height = _below(context, (letter, bottom + letter), wide, key=key)
    width = max(width, wide + 2 * letter)
    page = max(min(page[0], page[1] * width / height) for page in pages)
    scale_note = _scale_note(context, (letter, height - 0.6 * letter), width / page)
    title = f"Cutting layout for {shown_name(plan.project)}"
    return Drawing(width, height, (*items, *below, *scale_note), title, said(plan, units), page)


MAIN = "layout"  # key of the layout that is bought and cut by


def main_layout(plan: LengthPlan) -> CutLayout:
    """The layout that is cut by."""
    return plan.layout or plan.matched or plan.one_way


def named(plan: LengthPlan, key: str) -> str:
    """What a layout is called."""
    if key == MAIN and plan.matched is not None and plan.seams:
        return planned.LAYOUT_NAMES["matched"]
    return "Not matched" if key == MAIN else planned.LAYOUT_NAMES[key]


def said(plan: LengthPlan, units: UnitSystem) -> str:
    """What the drawing shows, for those who cannot see it."""
    shown = [(MAIN, main_layout(plan))] + ([unmatched_layout(plan)] if _two(plan) else [])
    parts = (
        f"{named(plan, key)}: {len(layout.placements)} pieces on {size(layout.length_mm, units)}"
        for key, layout in shown
    )
    return f"{'; '.join(parts)}. Where each piece lies stands in the steps."


def cloth_drawing(plan: LengthPlan, project: Project, *, units: UnitSystem = "metric") -> Drawing:
    """The cloth alone, a unit to a millimetre of washed cloth, for sheets to join and to be projected.

    The print itself is left out, for it would hide the cloth's own: dots lie where the chosen spot falls.
    """
    main = main_layout(plan)
    context = Context(plan, project, Backdrop(), units, FULL_SIZE_LETTER, full_size=True)
    part = Stretch(MAIN, main, 0.0, main.length_mm)
    corner = _corner(context, 0.0)
    items = strip(context, part, corner)
    width, height = _extent(plan, part.length, FULL_SIZE_LETTER)
    title = f"{shown_name(plan.project)}, full size"
    return Drawing(width, height, tuple(items), title, said(plan, units), width)


def unmatched_layout(plan: LengthPlan) -> tuple[str, CutLayout]:
    """The layout without matching that the print allows."""
    crosswise = any(spot.crosswise for spot in plan.one_way.placements)
    keeps_way = bool(plan.print.basis_mm) and plan.print.way in ("one-way", None)
    return ("one_way", plan.one_way) if keeps_way or crosswise else ("plain", plan.plain)


def _two(plan: LengthPlan) -> bool:
    """Whether the unmatched layout is another one than that which is cut by."""
    return plan.matched is not None and main_layout(plan) != unmatched_layout(plan)[1]


def _fitted(plan: LengthPlan, parts: list[Stretch], page: Vector, rows: float) -> float:
    """Scale on a page of a layout in strips side by side."""
    across = plan.cloth.width_mm * (len(parts) + (SMALL_SCALE if _has_beside(plan) else 0.0))
    wide = page[0] - LETTER_MM * (len(parts) * (LEFT_LETTERS + RIGHT_LETTERS) + 3)
    high = page[1] - LETTER_MM * (TOP_LETTERS + 4 + ROW * rows)
    return min(wide / across, high / max(part.length for part in parts))


def _has_beside(plan: LengthPlan) -> bool:
    return _two(plan) or plan.start is not None


def _corner(context: Context, left: float) -> Point:
    cloth, letter = context.plan.cloth, context.letter
    return left + LEFT_LETTERS * letter + cloth.selvedge_mm, TOP_LETTERS * letter


def _extent(plan: LengthPlan, length: float, letter: float) -> Vector:
    cloth = plan.cloth
    washed = cloth.usable_width_mm + 2 * cloth.selvedge_mm
    return washed + (LEFT_LETTERS + RIGHT_LETTERS) * letter, length + (TOP_LETTERS + 1) * letter


def _strips(context: Context, parts: list[Stretch]) -> tuple[list[Item], float, float]:
    """All stretches of the main layout side by side under one heading, and how far they reach."""
    letter, left, bottom = context.letter, 0.0, 0.0
    items: list[Item] = []
    for part in parts:
        corner = _corner(context, left)
        if not part.low:
            room = context.plan.cloth.width_mm * len(parts)
            items.append(_heading(context, part.key, part.layout, (corner[0], 1.3 * letter), room))
        items += strip(context, part, corner)
        width, height = _extent(context.plan, part.length, letter)
        left, bottom = left + width, max(bottom, height)
    return items, left, bottom


def _heading(context: Context, key: str, layout: CutLayout, at: Point, room: float) -> Label:
    """Name and length of a layout, washed, and as bought where that differs."""
    cloth, units = context.plan.cloth, context.units
    text = f"{named(context.plan, key)}: {size(layout.length_mm, units)}"
    if cloth.shrink_along:
        text += f" washed, {size(layout.length_mm / (1 - cloth.shrink_along), units)} as bought"
    fits = (room + 4 * context.letter) / text_width(text, 1.1)
    return Label((at[0] - cloth.selvedge_mm, at[1]), text, min(1.25 * context.letter, fits), bold=True)


def _beside(context: Context, corner: Point) -> tuple[list[Item], float, float]:
    """The unmatched layout and where to begin, small, and how far they reach."""
    plan, letter = context.plan, context.letter
    if not _has_beside(plan):
        return [], corner[0], corner[1]
    x, y = corner[0] + letter, TOP_LETTERS * letter
    wide = SMALL_SCALE * plan.cloth.usable_width_mm
    items: list[Item] = []
    key, layout = unmatched_layout(plan)
    if _two(plan):
        head = f"{named(plan, key)}: {size(layout.length_mm, context.units)}"
        small = 0.8 * letter
        lines = wrapped(head, max(8, int(wide / text_width("n", small) / 1.1)))
        y += max(0.0, (len(lines) - 3) * 1.2 * small)
        for k, line in enumerate(reversed(lines)):
            items.append(Label((x, y - (0.6 + 1.2 * k) * small), line, small, bold=True))
        items += small_strip(context, key, layout, (x, y), SMALL_SCALE)
        y += SMALL_SCALE * layout.length_mm + 2.5 * letter
    start, low = start_items(context, (x, y), wide)
    return [*items, *start], x + wide + letter, low


def _below(context: Context, corner: Point, width: float, *, key: bool) -> tuple[list[Item], float]:
    """The key, what the signs mean, and where the drawing ends."""
    letter, fold = context.letter, any(piece.on_fold for piece in context.project.pieces)
    items: list[Item] = []
    y = corner[1]
    if key:
        items, y = key_items(context.plan, context.units, corner, width, letter)
    words = legend(context.one_way, fold)
    fits = min(0.8 * letter, width / text_width(words, 1.0))
    items.append(Label((corner[0], y + ROW * letter), words, fits, colour=GREY))
    return items, y + (ROW + 2.4) * letter


def _scale_note(context: Context, at: Point, share: float) -> list[Item]:
    """Bar of known length, and the scale that a print at 100 per cent has."""
    letter, (x, y) = context.letter, at
    length = 12 * INCH_MM if context.units == "imperial" else 200.0
    bar = Line(box_points(x, y - 0.7 * letter, length, 0.5 * letter), INK, letter / 10, closed=True, fill=INK)
    words = f"{size(length, context.units)} of washed cloth. Printed at 100 per cent: 1 to {share:.1f}."
    return [bar, Label((x + length + 0.6 * letter, y), words, letter)]
