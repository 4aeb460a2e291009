"""The cutting layout as PDF: a page to look at, the steps, sheets at full size to join, one to project."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from printcheck.core.handover import PlannedLength
from printcheck.core.units import UnitSystem
from printcheck.report.drawing.layout.layout_sheet import KEY_ROWS, cloth_drawing
from printcheck.report.drawing.pdf_pen import MARGIN_MM, PAPER_MM, Sheet, put
from printcheck.report.drawing.primitives import Box, Drawing, Line
from printcheck.report.page import layout_file
from printcheck.report.page import pdf as pages
from printcheck.report.words import steps

Paper = Literal["both", "A4", "letter", "A0"]
PAPERS_MM: dict[Paper, tuple[float, float]] = {
    "both": PAPER_MM,
    "A4": (210.0, 297.0),  # ISO 216
    "letter": (215.9, 279.4),  # from memory
    "A0": (841.0, 1189.0),  # ISO 216
}
OVERLAP_MM = 10.0  # that neighbouring sheets share
MARK_MM, JOINT_MM = 4.0, 4.5  # arm of a mark to join by; letters of its name
LONGEST_PAGE_MM = 5000.0  # PDF pages end at 200 inches, 5080 mm (ISO 32000-1, Annex C)
SQUARE_MM = 100.0  # of the test square


@dataclass(frozen=True)
class Grid:
    """Sheets that a drawing at full size takes."""

    columns: int
    rows: int
    room: tuple[float, float]  # mm within the margins

    @classmethod
    def of(cls, drawing: Drawing, room: tuple[float, float]) -> Grid:
        """Grid of a drawing whose unit is a millimetre."""
        extent = (drawing.width, drawing.height)
        columns, rows = (
            max(1, math.ceil((extent[i] - OVERLAP_MM) / (room[i] - OVERLAP_MM) - 1e-9)) for i in (0, 1)
        )
        return cls(columns, rows, room)

    def corner(self, column: int, row: int) -> tuple[float, float]:
        """Point of the drawing that lies in a sheet's corner, at the margins."""
        return column * (self.room[0] - OVERLAP_MM), row * (self.room[1] - OVERLAP_MM)

    def joints(self, column: int, row: int) -> list[tuple[str, tuple[float, float], bool]]:
        """Joints of a sheet: name, the mark's place on the sheet, and whether the joint stands upright.

        Both sheets of a joint name it by the sheet before it, so that equal names meet.
        """
        (w, h), half = self.room, OVERLAP_MM / 2
        found = []
        if column:
            found.append((f"{row + 1}.{column}", (half, h / 2), True))
        if column < self.columns - 1:
            found.append((f"{row + 1}.{column + 1}", (w - half, h / 2), True))
        if row:
            found.append((f"{row}.{column + 1}", (w / 2, half), False))
        if row < self.rows - 1:
            found.append((f"{row + 1}.{column + 1}", (w / 2, h - half), False))
        return found


def layout_pdf(planned: PlannedLength, *, units: UnitSystem = "metric", paper: Paper = "both") -> bytes:
    """PDF of a plan's cutting layout.

    The layout on one page; the steps; a page with the order of the sheets and a test square; the sheets at
    full size on this paper ("both" prints on A4 and on US Letter); and the whole cloth on one page (one for
    each five metres), to be projected.
    """
    few = len(planned.plan.steps) <= KEY_ROWS  # of more the steps tell
    whole = layout_file.drawing(planned, units=units, key=few)
    sheet = Sheet(whole.title)
    _overview(sheet, whole)
    sheet.pdf.add_page(orientation="portrait")
    pages.put_part(sheet, steps.section(planned.plan, units))
    sheet.pdf.set_auto_page_break(False)
    cloth = cloth_drawing(planned.plan, planned.project, units=units)
    size_mm = PAPERS_MM[paper]
    grid = Grid.of(cloth, (size_mm[0] - 2 * MARGIN_MM, size_mm[1] - 2 * MARGIN_MM))
    _plan_of_sheets(sheet, grid, size_mm)
    for row in range(grid.rows):
        for column in range(grid.columns):
            _tile(sheet, cloth, grid, (column, row), size_mm)
    _projected(sheet, cloth)
    return sheet.bytes()


def _overview(sheet: Sheet, drawing: Drawing) -> None:
    lies = drawing.width > drawing.height
    sheet.pdf.add_page(orientation="landscape" if lies else "portrait")
    room = (float(sheet.pdf.epw), float(sheet.pdf.eph))
    width = min(room[0], room[1] * drawing.width / drawing.height)
    put(sheet, drawing, MARGIN_MM, MARGIN_MM, width)


def _plan_of_sheets(sheet: Sheet, grid: Grid, size_mm: tuple[float, float]) -> None:
    """How the sheets lie, and a square to measure before the rest is printed."""
    pdf = sheet.pdf
    pdf.add_page(orientation="portrait", format=size_mm)
    _note(sheet, MARGIN_MM + 4, "Print the next pages at 100 per cent, without fitting them to the page.", 5)
    _test_square(sheet, MARGIN_MM, MARGIN_MM + 12)
    top = MARGIN_MM + SQUARE_MM + 24
    count = grid.columns * grid.rows
    text = (
        f"{count} sheets follow: rows 1 to {grid.rows}, columns 1 to {grid.columns}. "
        "Trim along the broken lines; equal marks meet."
    )
    _note(sheet, top, text, 4)
    cell = min(grid.room[0] / grid.columns, (grid.room[1] - SQUARE_MM - 32) / grid.rows, 25.0)
    pdf.set_draw_color(120)
    pdf.set_line_width(0.2)
    for row in range(grid.rows):
        for column in range(grid.columns):
            x, y = MARGIN_MM + column * cell, top + 5 + row * cell
            pdf.rect(x, y, cell, cell)
            sheet.face(min(3.5, 0.3 * cell))
            pdf.text(x + 0.15 * cell, y + 0.6 * cell, f"{row + 1}.{column + 1}")


def _test_square(sheet: Sheet, x: float, y: float) -> None:
    sheet.pdf.set_draw_color(0)
    sheet.pdf.set_line_width(0.3)
    sheet.pdf.rect(x, y, SQUARE_MM, SQUARE_MM)
    _note(sheet, y + SQUARE_MM / 2, "10 cm by 10 cm: measure it first.", 5, left=x + 6)


def _note(sheet: Sheet, y: float, text: str, size_mm: float, *, left: float = MARGIN_MM) -> None:
    sheet.face(size_mm)
    sheet.pdf.set_text_color(20)
    sheet.pdf.text(left, y, text)


def _tile(
    sheet: Sheet, cloth: Drawing, grid: Grid, at: tuple[int, int], size_mm: tuple[float, float]
) -> None:
    pdf, (left, top) = sheet.pdf, grid.corner(*at)
    pdf.add_page(orientation="portrait", format=size_mm)
    window = (left, top, left + grid.room[0], top + grid.room[1])
    with pdf.rect_clip(MARGIN_MM, MARGIN_MM, *grid.room):
        put(sheet, cloth, MARGIN_MM - left, MARGIN_MM - top, cloth.width, window=window)
    pdf.set_draw_color(160)
    pdf.set_line_width(0.2)
    pdf.rect(MARGIN_MM, MARGIN_MM, *grid.room)
    for name, (x, y), upright in grid.joints(*at):
        _joint(sheet, name, (MARGIN_MM + x, MARGIN_MM + y), upright, grid.room)
    note = f"Sheet {at[1] + 1}.{at[0] + 1} of {grid.rows}.{grid.columns} (row.column), full size"
    shown = letters_in(cloth, window)
    _note(sheet, MARGIN_MM - 4, f"{note}: {', '.join(shown)}" if shown else note, 3.5)


def letters_in(cloth: Drawing, window: Box) -> list[str]:
    """Letters of the pieces that a part of the drawing shows, in their order."""
    import shapely

    seen = shapely.box(*window)
    pieces = [item for item in cloth.items if isinstance(item, Line) and "piece" in item.data]
    found = {line.data["letter"] for line in pieces if shapely.Polygon(line.points).intersects(seen)}
    return sorted(found, key=lambda letter: (len(letter), letter))


def _joint(
    sheet: Sheet, name: str, at: tuple[float, float], upright: bool, room: tuple[float, float]
) -> None:
    """Broken line to trim along, and a cross with the joint's name that its neighbour bears too."""
    pdf, (x, y) = sheet.pdf, at
    pdf.set_draw_color(0)
    pdf.set_line_width(0.25)
    pdf.set_dash_pattern(dash=3, gap=2)
    ends = (x, MARGIN_MM, x, MARGIN_MM + room[1]) if upright else (MARGIN_MM, y, MARGIN_MM + room[0], y)
    pdf.line(*ends)
    pdf.set_dash_pattern()
    pdf.set_line_width(0.5)
    pdf.line(x - MARK_MM, y - MARK_MM, x + MARK_MM, y + MARK_MM)
    pdf.line(x - MARK_MM, y + MARK_MM, x + MARK_MM, y - MARK_MM)
    sheet.face(JOINT_MM)
    inward = MARK_MM if x < MARGIN_MM + room[0] / 2 else -MARK_MM - float(pdf.get_string_width(name))
    if upright:
        _note(sheet, y + JOINT_MM / 3, name, JOINT_MM, left=x + inward)
    else:
        below = -0.5 if y > MARGIN_MM + room[1] / 2 else 1.2
        _note(sheet, y + below * JOINT_MM, name, JOINT_MM, left=x + MARK_MM)


def _projected(sheet: Sheet, cloth: Drawing) -> None:
    """The whole cloth at full size, five metres a page, with the square below it."""
    pdf = sheet.pdf
    pages = math.ceil(cloth.height / (LONGEST_PAGE_MM - SQUARE_MM - 4 * MARGIN_MM))
    part = cloth.height / pages
    for k in range(pages):
        height = part + SQUARE_MM + 3 * MARGIN_MM
        pdf.add_page(orientation="portrait", format=(cloth.width + 2 * MARGIN_MM, height))
        with pdf.rect_clip(MARGIN_MM, MARGIN_MM, cloth.width, part):
            window = (0.0, k * part, cloth.width, (k + 1) * part)
            put(sheet, cloth, MARGIN_MM, MARGIN_MM - k * part, cloth.width, window=window)
        _test_square(sheet, MARGIN_MM, part + 2 * MARGIN_MM)
        note = f"To be projected at full size: page {k + 1} of {pages}."
        _note(sheet, part + 2 * MARGIN_MM + SQUARE_MM - 4, note, 8, left=2 * MARGIN_MM + SQUARE_MM)
