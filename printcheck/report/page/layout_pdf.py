"""The cutting layout as PDF: a page to look at, then the steps."""

from __future__ import annotations

from printcheck.core.handover import PlannedLength
from printcheck.core.units import UnitSystem
from printcheck.report.drawing.layout.layout_sheet import KEY_ROWS
from printcheck.report.drawing.pdf_pen import MARGIN_MM, Sheet, put
from printcheck.report.page import layout_file, pdf
from printcheck.report.words import steps


def layout_pdf(planned: PlannedLength, *, units: UnitSystem = "metric") -> bytes:
    """PDF of a plan's cutting layout."""
    few = len(planned.plan.steps) <= KEY_ROWS  # of more the steps tell
    drawn = layout_file.drawing(planned, units=units, key=few)
    sheet = Sheet(drawn.title)
    sheet.pdf.add_page(orientation="landscape" if drawn.width > drawn.height else "portrait")
    width = min(sheet.width, float(sheet.pdf.eph) * drawn.width / drawn.height)
    put(sheet, drawn, MARGIN_MM, MARGIN_MM, width)
    sheet.pdf.add_page(orientation="portrait")
    pdf.put_part(sheet, steps.section(planned.plan, units))
    return sheet.bytes()
