"""The key of a layout: each piece under its letter with its size and corners, each notch with its partner."""

from __future__ import annotations

from printcheck.core.match_kinds import MATCH_KINDS
from printcheck.core.plan import CuttingStep, LengthPlan
from printcheck.core.units import UnitSystem
from printcheck.report.drawing.layout.layout_pieces import SEAM_COLOUR
from printcheck.report.drawing.primitives import FAINT, GREY, Item, Label, Line, Point, text_width
from printcheck.report.words import planned
from printcheck.report.words.content import piece_name
from printcheck.report.words.quantities import size
from printcheck.report.words.steps import AT_EDGE_MM
from printcheck.report.words.text import wrapped

ROW = 1.4  # letter sizes from one row to the next
HEAD = ("", "Piece", "Size as cut", "Upper left corner", "Lower right corner", "Lies")
SHARES = (0.04, 0.24, 0.19, 0.2, 0.2, 0.13)  # of the width, for each column
CAPTION = (
    "Corners of the box round each piece, on washed cloth: from the outer edge of the left selvedge, "
    "then from the cut end."
)


def _row(step: CuttingStep, plan: LengthPlan, units: UnitSystem) -> tuple[str, ...]:
    """A piece: size, two corners of its box, and how it lies."""
    left = step.x_mm + plan.cloth.selvedge_mm
    near = f"{size(left, units)}, {'0' if abs(step.y_mm) < AT_EDGE_MM else size(step.y_mm, units)}"
    far = f"{size(left + step.width_mm, units)}, {size(step.y_mm + step.length_mm, units)}"
    ways = (("turned", step.turned), ("mirrored", step.mirrored), ("crosswise", step.crosswise))
    lies = ", ".join(word for word, on in ways if on) or "-"
    width, length = (step.length_mm, step.width_mm) if step.crosswise else (step.width_mm, step.length_mm)
    cut = f"{size(width, units)} x {size(length, units)}"
    name = piece_name(step.piece, (other.piece for other in plan.steps))
    return (step.letter, name, cut, near, far, lies)


def notches(plan: LengthPlan) -> list[str]:
    """Each notch under its number with the two pieces that meet there."""
    return [
        f"{number}  {planned.seam_name(plan, seam)}: {MATCH_KINDS[seam.match].words}"
        for number, seam in enumerate(plan.seams, start=1)
    ]


def key_items(
    plan: LengthPlan, units: UnitSystem, corner: Point, width: float, letter: float
) -> tuple[list[Item], float]:
    """The key drawn under a layout, and where it ends."""
    x, y = corner
    items: list[Item] = []
    rows = [HEAD, *(_row(step, plan, units) for step in plan.steps)] if plan.steps else []
    for number, row in enumerate(rows):
        y += ROW * letter
        at, lines = x, 0
        for share, text in zip(SHARES, row, strict=True):
            letters = int((share * width - 0.6 * letter) / text_width("n", 0.9 * letter))
            for line, part in enumerate(wrapped(text, letters)):
                low = y + 1.1 * letter * line
                items.append(Label((at, low), part, 0.9 * letter, bold=not number or at == x))
                lines = max(lines, line)
            at += share * width
        y += 1.1 * letter * lines
        rule = ((x, y + 0.4 * letter), (x + width, y + 0.4 * letter))
        items.append(Line(rule, GREY if not number else FAINT, letter / 14))
    if plan.steps:
        y += ROW * letter
        items.append(Label((x, y), CAPTION, 0.8 * letter, colour=GREY))
    found, columns = notches(plan), 2
    lines = -(-len(found) // columns)
    y += 0.6 * letter
    for number, text in enumerate(found):
        column, line = divmod(number, lines)
        room = (width / columns - letter) / text_width(text, 1.0)
        at_y = y + ROW * letter * (line + 1)
        items.append(
            Label((x + column * width / columns, at_y), text, min(0.9 * letter, room), colour=SEAM_COLOUR)
        )
    return items, y + ROW * letter * lines


def legend(one_way: bool, fold: bool) -> str:
    """What the signs on the pieces mean."""
    arrow = "Arrow: the grain, its head towards the print's up." if one_way else "Arrow: the grain."
    line = " Broken line: the middle, on the fold of the paper pattern." if fold else ""
    return f"{arrow}{line} Ringed number: a notch; equal numbers meet. Cross: where the print begins."
