"""The PDF pen: a drawing on paper, whole or the part of it that a sheet shows."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING, Any

from printcheck.report.drawing.labels import overlap
from printcheck.report.drawing.primitives import (
    INK,
    Box,
    Dot,
    Drawing,
    Item,
    Label,
    Line,
    Raster,
    encoded,
    extent,
)
from printcheck.report.words.content import one_line, shown_name

if TYPE_CHECKING:
    from fpdf import FPDF

MARGIN_MM = 15.0
PAPER_MM = (210.0, 279.4)  # the width of A4 (ISO 216) and the height of US Letter: fits on both
POINTS_PER_MM = 72 / 25.4
FAMILY = "report"
FONT_PLACES = (  # a face that knows more letters than PDF's own, where the system has one
    ("/usr/share/fonts/truetype/dejavu", "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"),
    ("/usr/share/fonts/dejavu", "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"),
    ("/usr/share/fonts/truetype/noto", "NotoSans-Regular.ttf", "NotoSans-Bold.ttf"),
    ("/Library/Fonts", "Arial Unicode.ttf", "Arial Unicode.ttf"),
    ("C:/Windows/Fonts", "arial.ttf", "arialbd.ttf"),
)


class Sheet:
    """A PDF being written, in millimetres, with a face that shows as many letters as can be had."""

    def __init__(self, title: str) -> None:
        import logging

        from fpdf import FPDF

        logging.getLogger("fpdf").setLevel(logging.ERROR)  # it remarks on every letter a face lacks
        self.pdf: FPDF = FPDF(unit="mm", format=PAPER_MM)
        self.pdf.set_margins(MARGIN_MM, MARGIN_MM, MARGIN_MM)
        self.pdf.set_auto_page_break(True, MARGIN_MM)
        self.pdf.set_title(shown_name(title))
        self.pdf.set_lang("en-GB")
        self.pdf.set_creator("printcheck")
        self._any_letter = self._add_face()
        self._encoded: dict[int, tuple[Raster, bytes]] = {}

    @property
    def width(self) -> float:
        """Width between the margins, mm."""
        return float(self.pdf.epw)

    def face(self, size_mm: float, *, bold: bool = False) -> None:
        """Choose the face for what is written next."""
        family = FAMILY if self._any_letter else "helvetica"
        self.pdf.set_font(family, "B" if bold else "", size_mm * POINTS_PER_MM)

    def tame(self, text: str) -> str:
        """Text with a question mark for each letter that the face cannot show at all."""
        shown = one_line(text)
        return shown if self._any_letter else shown.encode("latin-1", "replace").decode("latin-1")

    def jpeg(self, raster: Raster) -> bytes:
        """JPEG of a raster, made once: the sheets of one drawing share it."""
        if id(raster) not in self._encoded:  # the raster is kept, so that its id stays its own
            self._encoded[id(raster)] = (raster, encoded(raster))
        return self._encoded[id(raster)][1]

    def bytes(self) -> bytes:
        """The finished file."""
        return bytes(self.pdf.output())

    def _add_face(self) -> bool:
        for folder, regular, bold in FONT_PLACES:
            files = (Path(folder) / regular, Path(folder) / bold)
            if all(file.is_file() for file in files):
                self.pdf.add_font(FAMILY, "", files[0])
                self.pdf.add_font(FAMILY, "B", files[1])
                return True
        return False


def put(
    sheet: Sheet, drawing: Drawing, x: float, y: float, width: float, *, window: Box | None = None
) -> float:
    """Put a drawing down with its corner at (x, y); gives its height on paper, mm.

    ``window`` is the part of the drawing that is seen (left, top, right, bottom, in its own units):
    items outside it are left out.
    """
    scale = width / drawing.width
    with sheet.pdf.rect_clip(x, y, width, drawing.height * scale):
        for item in drawing.items:
            if window is None or overlap(extent(item), window):
                _item(sheet, item, x, y, scale)
    return drawing.height * scale


def _item(sheet: Sheet, item: Item, x: float, y: float, scale: float) -> None:
    if isinstance(item, Line):
        _line(sheet.pdf, item, x, y, scale)
    elif isinstance(item, Dot):
        _dot(sheet.pdf, item, x, y, scale)
    elif isinstance(item, Label):
        _label(sheet, item, x, y, scale)
    else:
        left, top, width, height = (v * scale for v in item.box)
        sheet.pdf.image(io.BytesIO(sheet.jpeg(item)), x + left, y + top, width, height)


def _line(pdf: Any, line: Line, x: float, y: float, scale: float) -> None:  # noqa: ANN401 - an FPDF
    points = [(x + px * scale, y + py * scale) for px, py in line.points]
    draw = pdf.polygon if line.closed else pdf.polyline
    if line.halo and line.stroke:
        _stroke(pdf, line.halo, line.halo_width * scale)
        draw(points, style="D")
    if line.fill:
        pdf.set_fill_color(line.fill)
        with pdf.local_context(fill_opacity=line.opacity):
            pdf.polygon(points, style="F")
    if line.stroke:
        _stroke(pdf, line.stroke, line.width * scale)
        if line.dash:
            pdf.set_dash_pattern(dash=line.dash[0] * scale, gap=line.dash[1] * scale)
        draw(points, style="D")
        pdf.set_dash_pattern()


def _stroke(pdf: Any, colour: str, width: float) -> None:  # noqa: ANN401
    pdf.set_draw_color(colour)
    pdf.set_line_width(width)


def _dot(pdf: Any, dot: Dot, x: float, y: float, scale: float) -> None:  # noqa: ANN401
    if dot.fill:
        pdf.set_fill_color(dot.fill)
    if dot.stroke:
        _stroke(pdf, dot.stroke, dot.width * scale)
    style = ("D" if dot.stroke else "") + ("F" if dot.fill else "")
    pdf.circle(x + dot.at[0] * scale, y + dot.at[1] * scale, dot.radius * scale, style=style)


def _label(sheet: Sheet, label: Label, x: float, y: float, scale: float) -> None:
    pdf, text = sheet.pdf, sheet.tame(label.text)
    sheet.face(label.size * scale, bold=label.bold)
    at = (x + label.at[0] * scale, y + label.at[1] * scale)
    shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor]
    start = at[0] - shift * float(pdf.get_string_width(text))
    with pdf.rotation(-label.turn_deg, *at):
        if label.halo:
            with pdf.local_context(
                text_mode="STROKE", draw_color=label.halo, line_width=label.halo_width * scale
            ):
                pdf.text(start, at[1], text)
        pdf.set_text_color(label.colour or INK)
        pdf.text(start, at[1], text)
