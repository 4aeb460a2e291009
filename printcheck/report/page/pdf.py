"""A report as PDF: the same content and the same drawings as the page."""

from __future__ import annotations

from typing import Any

from printcheck.report.drawing.pdf_pen import MARGIN_MM, Sheet, put
from printcheck.report.page.figures import Figure, Part, light_enough
from printcheck.report.words.content import Content, Row, Section, Table

TITLE_MM, HEAD_MM, TEXT_MM = 6.2, 4.6, 3.6  # letter sizes: 17, 13 and 10 points
LINE = 1.45  # line height in letter sizes
LABEL_SHARE = 0.24  # of the width, for the labels of rows
SPACE_MM = 4.0
LEAST_SHARE = 0.6  # of a picture's width: smaller it goes on a page of its own
NARROWEST, WIDEST = 7, 30  # letters: columns of a table keep between them
STEP_MM = 9.0  # room for a step's number: three figures and a point


def report(content: Content, parts: list[Part]) -> bytes:
    """PDF of a report; see :func:`printcheck.report.page.html.report`."""
    sheet = Sheet(content.title)
    sheet.pdf.add_page()
    _lines(sheet, content.title, TITLE_MM, bold=True)
    _space(sheet)
    _rows(sheet, content.answers, bold=True)
    for part in light_enough(parts):
        put_part(sheet, part)
    return sheet.bytes()


def put_part(sheet: Sheet, part: Part) -> None:
    """Put a part down below what stands on the page already."""
    if isinstance(part, Figure):
        _figure(sheet, part)
    else:
        _section(sheet, part)


def _section(sheet: Sheet, part: Section) -> None:
    _room_for(sheet, HEAD_MM * LINE + 3 * TEXT_MM * LINE)
    _space(sheet)
    _lines(sheet, part.title, HEAD_MM, bold=True)
    for sentence in part.sentences:
        _lines(sheet, sentence, TEXT_MM)
    for number, step in enumerate(part.steps, start=1):
        _step(sheet, number, step)
    _rows(sheet, part.rows)
    for point in part.points:
        _lines(sheet, f"- {point}", TEXT_MM)
    for table in part.tables:
        _table(sheet, table)


def _step(sheet: Sheet, number: int, text: str) -> None:
    _room_for(sheet, 2 * TEXT_MM * LINE)
    top = sheet.pdf.get_y()
    sheet.face(TEXT_MM, bold=True)
    sheet.pdf.cell(STEP_MM, TEXT_MM * LINE, f"{number}.")
    sheet.pdf.set_xy(MARGIN_MM, top)
    _lines(sheet, text, TEXT_MM, left=STEP_MM)


def _lines(sheet: Sheet, text: str, size: float, *, bold: bool = False, left: float = 0.0) -> None:
    sheet.face(size, bold=bold)
    sheet.pdf.set_text_color(20)
    sheet.pdf.set_x(MARGIN_MM + left)
    sheet.pdf.multi_cell(
        sheet.width - left, size * LINE, sheet.tame(text), new_x="LMARGIN", new_y="NEXT", align="L"
    )


def _rows(sheet: Sheet, rows: tuple[Row, ...], *, bold: bool = False) -> None:
    left = LABEL_SHARE * sheet.width
    for row in rows:
        _room_for(sheet, 2 * TEXT_MM * LINE)
        top = sheet.pdf.get_y()
        sheet.face(TEXT_MM, bold=bold)
        sheet.pdf.set_text_color(20 if bold else 90)
        sheet.pdf.cell(left, TEXT_MM * LINE, sheet.tame(row.label))
        sheet.pdf.set_xy(MARGIN_MM, top)
        _lines(sheet, row.text, TEXT_MM, left=left)


def _table(sheet: Sheet, table: Table) -> None:
    _room_for(sheet, 5 * TEXT_MM * LINE)
    sheet.pdf.ln(1)
    _lines(sheet, table.caption, TEXT_MM)
    sheet.face(TEXT_MM * 0.92)
    sheet.pdf.set_draw_color(190)
    sheet.pdf.set_fill_color(255)
    with sheet.pdf.table(
        borders_layout="HORIZONTAL_LINES",
        text_align="LEFT",
        line_height=TEXT_MM * LINE,
        padding=0.6,
        col_widths=_column_widths(table),
    ) as grid:
        for cells in (table.head, *table.rows):
            line = grid.row()
            for cell in cells:
                line.cell(sheet.tame(cell))


def _column_widths(table: Table) -> tuple[int, ...]:
    """Shares of the width: as the longest cell of each column, within bounds."""
    columns = zip(table.head, *table.rows, strict=True)
    return tuple(min(WIDEST, max(NARROWEST, *(len(cell) for cell in column))) for column in columns)


def _figure(sheet: Sheet, figure: Figure) -> None:
    """A drawing as wide as its scale or the page allows, with the words below it on the same page."""
    drawing, pdf = figure.drawing, sheet.pdf
    sheet.face(TEXT_MM)
    caption = f"{drawing.title}. {figure.caption}"
    lines: Any = pdf.multi_cell(sheet.width, text=sheet.tame(caption), dry_run=True, output="LINES")
    words = (len(lines) + 0.5) * TEXT_MM * LINE + SPACE_MM
    left, shape = float(pdf.h) - MARGIN_MM - float(pdf.get_y()), drawing.width / drawing.height
    wanted = min(sheet.width, drawing.width_mm or sheet.width, (float(pdf.eph) - words) * shape)
    here = min(wanted, (left - words) * shape)
    width = here if here >= LEAST_SHARE * wanted else wanted  # rather smaller than a half empty page
    _room_for(sheet, width / shape + words)
    top = pdf.get_y() + SPACE_MM
    height = put(sheet, drawing, MARGIN_MM, top, width)
    pdf.set_xy(MARGIN_MM, top + height + 1)
    _lines(sheet, caption, TEXT_MM)


def _room_for(sheet: Sheet, height: float) -> None:
    if sheet.pdf.get_y() + height > sheet.pdf.h - MARGIN_MM:
        sheet.pdf.add_page()


def _space(sheet: Sheet) -> None:
    sheet.pdf.ln(SPACE_MM)
