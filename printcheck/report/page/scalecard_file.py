"""The scale card as a file to print: PDF, SVG or PNG at true size."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Literal
from xml.sax.saxutils import escape

from printcheck.core.atomic import shown, write_atomic
from printcheck.core.errors import InputError
from printcheck.core.reference.scalecard import BOARDS
from printcheck.core.units import INCH_MM
from printcheck.report.drawing.scalecard_sheet import WHITE, Box, Mark, Sheet, Words, draw_sheet

# mm: as wide as A4 (ISO 216) and as high as US Letter, so that neither paper needs shrinking to fit
PAGE_MM = (210.0, 279.4)
# px: 635 dots per inch, as fine as office printers draw, and every square starts on a whole pixel
PNG_PX_PER_MM = 25
POINT_MM = INCH_MM / 72
CAPITAL_PER_EM = 0.72  # height of a capital per size of the letters, usual for sans-serif
BOLD_SHARE = 0.03  # stroke added to each side of a bold letter, per height: the one font has no bold
_ANCHOR_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}
_SVG_NAME = "http://www.w3.org/2000/svg"


def write_scalecard(path: Path, *, size: Literal["card", "A5"] = "card") -> None:
    """Write a card to print and lay on the cloth; see :mod:`printcheck.core.reference.scalecard`.

    Parameters
    ----------
    path : Path
        File to write; its ending, ``.pdf``, ``.svg`` or ``.png``, says how.
    size : {"card", "A5"}, keyword-only
        A card for the purse, or one whose corners also show the lens's bending.

    Raises
    ------
    InputError
        For an unknown ending or size, or a place that cannot be written to.

    Notes
    -----
    All three are at true size. The PDF has a page that fits both A4 and US Letter; SVG and PNG hold the
    card with its crop marks and bar alone, the PNG at 25 pixels a millimetre (635 dots per inch).
    """
    pens = {".pdf": _pdf, ".svg": _svg, ".png": _png}
    pen = pens.get(Path(path).suffix.lower())
    if pen is None:
        raise InputError(
            "unknown-ending",
            f"scalecard: {shown(path)} does not end in .pdf, .svg or .png.",
            "End the file name in .pdf (best for printing), .svg or .png.",
        )
    if size not in BOARDS:
        raise InputError(
            "unknown-card-size",
            f"scalecard: {size!r} is not a size of the scale card.",
            f"Choose {' or '.join(BOARDS)}.",
        )
    write_atomic(path, pen(draw_sheet(BOARDS[size])), place="scalecard")


def _pdf(sheet: Sheet) -> bytes:
    from fpdf import FPDF
    from fpdf.prefs import ViewerPreferences

    pdf = FPDF(unit="mm", format=PAGE_MM)
    pdf.set_title(sheet.title)
    pdf.set_auto_page_break(False)
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None")  # asks the viewer not to shrink
    pdf.add_page()
    left, top = (PAGE_MM[0] - sheet.width) / 2, (PAGE_MM[1] - sheet.height) / 2
    for mark in sheet.marks:
        if isinstance(mark, Box):
            pdf.set_fill_color(*_rgb(mark.fill))
            pdf.rect(left + mark.left, top + mark.top, mark.width, mark.height, style="F")
        else:
            pdf.set_text_color(*_rgb(mark.fill))
            pdf.set_font("helvetica", style="B" if mark.bold else "", size=_em_mm(mark) / POINT_MM)
            width = pdf.get_string_width(mark.text)
            pdf.text(left + mark.left - _ANCHOR_SHARE[mark.anchor] * width, top + mark.top, mark.text)
    return bytes(pdf.output())


def _svg(sheet: Sheet) -> bytes:
    width, height = f"{sheet.width:.3f}", f"{sheet.height:.3f}"
    lines = [
        f'<svg xmlns="{_SVG_NAME}" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">',
        f"<title>{escape(sheet.title)}</title>",
        f'<rect width="{width}" height="{height}" fill="{WHITE}"/>',
        '<g font-family="Helvetica, Arial, sans-serif" shape-rendering="crispEdges">',
        *(_svg_mark(mark) for mark in sheet.marks),
        "</g>",
        "</svg>",
    ]
    return ("\n".join(lines) + "\n").encode()


def _svg_mark(mark: Mark) -> str:
    if isinstance(mark, Box):
        return (
            f'<rect x="{mark.left:.4f}" y="{mark.top:.4f}" width="{mark.width:.4f}" '
            f'height="{mark.height:.4f}" fill="{mark.fill}"/>'
        )
    weight = ' font-weight="bold"' if mark.bold else ""
    return (
        f'<text x="{mark.left:.3f}" y="{mark.top:.3f}" font-size="{_em_mm(mark):.3f}" '
        f'text-anchor="{mark.anchor}" fill="{mark.fill}"{weight}>{escape(mark.text)}</text>'
    )


def _png(sheet: Sheet) -> bytes:
    from PIL import Image, ImageDraw, ImageFont

    per_mm = PNG_PX_PER_MM
    picture = Image.new("RGB", (round(sheet.width * per_mm), round(sheet.height * per_mm)), WHITE)
    pen = ImageDraw.Draw(picture)
    for mark in sheet.marks:
        if isinstance(mark, Box):
            start = (round(mark.left * per_mm), round(mark.top * per_mm))
            end = (round((mark.left + mark.width) * per_mm), round((mark.top + mark.height) * per_mm))
            pen.rectangle((start, (max(end[0], start[0] + 1) - 1, max(end[1], start[1] + 1) - 1)), mark.fill)
        else:
            font = ImageFont.load_default(_em_mm(mark) * per_mm)
            place = (mark.left * per_mm, mark.top * per_mm)
            bold = round(mark.size * per_mm * BOLD_SHARE) if mark.bold else 0
            anchor = {"start": "ls", "middle": "ms", "end": "rs"}[mark.anchor]
            pen.text(place, mark.text, mark.fill, font, anchor, stroke_width=bold, stroke_fill=mark.fill)
    stream = io.BytesIO()
    picture.save(stream, "PNG", dpi=(per_mm * INCH_MM, per_mm * INCH_MM))
    return stream.getvalue()


def _em_mm(words: Words) -> float:
    """Size of the letters as fonts state it, from the height of a capital."""
    return words.size / CAPITAL_PER_EM


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
