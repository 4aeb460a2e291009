"""The scale card to print: boxes, lines and words in millimetres, as PDF, SVG or PNG at true size."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Literal
from xml.sax.saxutils import escape

from printcheck.core.atomic import shown, write_atomic
from printcheck.core.errors import InputError
from printcheck.core.reference.scalecard import BAR_MM, BOARDS, Board
from printcheck.core.units import INCH_MM

# mm: as wide as A4 (ISO 216) and as high as US Letter, so that neither paper needs shrinking to fit
PAGE_MM = (210.0, 279.4)
# px: 635 dots per inch, as fine as office printers draw, and every square starts on a whole pixel
PNG_PX_PER_MM = 25
POINT_MM = INCH_MM / 72
CAPITAL_PER_EM = 0.72  # height of a capital per size of the letters, usual for sans-serif
BOLD_SHARE = 0.03  # stroke added to each side of a bold letter, per height: the one font has no bold
_ANCHOR_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}
_SVG_NAME = "http://www.w3.org/2000/svg"
INK = "#1b264f"  # dark enough for the finder in grey, and prints dark without colour too
FAINT = "#8a90a6"  # crop marks and small words
WHITE = "#ffffff"
MARGIN_MM = 8.0  # mm round the card: room for the crop marks
CROP_MARK_MM = 4.5  # mm long
CROP_GAP_MM = 1.5  # mm between card and mark, so that the cut leaves none behind
BAR_HEIGHT_MM = 3.0  # mm
BAR_STEP_MM = 10.0  # mm between the light ticks in the bar
BAR_TICK_MM = 0.3  # mm wide
HAIRLINE_MM = 0.15  # mm: the thinnest line that office printers keep whole
WORDS_MM = 2.6  # mm: height of the letters of a line of words, about 7 points
WRITE_IN_MM = 16.0  # mm: a line to write on
FOOT_SHARE = 0.45  # share of the room under the squares above the card's name
WORDS_STEP_MM = 4.0  # mm from line to line
HOW_TO_USE = (
    "1  Print at actual size (100 %), not fitted to the page.",
    f"2  Measure this bar from end to end: it should be {BAR_MM:.1f} mm.",
    "    If it is not, pass its length, such as --bar 98.5mm.",
    "3  Cut along the marks, lay the card flat on the cloth,",
    "    and photograph both from straight above.",
)


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


@dataclass(frozen=True)
class Box:
    """A rectangle filled with one colour."""

    left: float
    top: float
    width: float
    height: float
    fill: str = INK


@dataclass(frozen=True)
class Words:
    """A line of words; ``size`` is the height of its letters, ``top`` that of its baseline, in mm."""

    left: float
    top: float
    size: float
    text: str
    fill: str = INK
    bold: bool = False
    anchor: Literal["start", "middle", "end"] = "start"


Mark = Box | Words


@dataclass(frozen=True)
class Sheet:
    """A drawing of a given size, in mm, whose marks are drawn in order."""

    title: str
    width: float
    height: float
    marks: tuple[Mark, ...]


def draw_sheet(board: Board) -> Sheet:
    """The sheet to print: card, crop marks, bar to measure, and how to use it."""
    width = max(board.width_mm, BAR_MM) + 2 * MARGIN_MM
    left, top = (width - board.width_mm) / 2, MARGIN_MM
    below = top + board.height_mm + MARGIN_MM + BAR_HEIGHT_MM
    words = below + BAR_HEIGHT_MM + WORDS_STEP_MM
    marks = (
        *_card(board, left, top),
        *_crop_marks(left, top, board.width_mm, board.height_mm),
        *_bar((width - BAR_MM) / 2, below),
        *(
            Words((width - BAR_MM) / 2, words + k * WORDS_STEP_MM, WORDS_MM * 0.9, text)
            for k, text in enumerate(HOW_TO_USE)
        ),
    )
    height = below + BAR_HEIGHT_MM + (len(HOW_TO_USE) + 1) * WORDS_STEP_MM + CROP_GAP_MM
    return Sheet(f"printcheck scale card, {board.name} size", width, height, marks)


def _card(board: Board, left: float, top: float) -> list[Mark]:
    marks: list[Mark] = [Box(left + x, top + y, w, h) for x, y, w, h in board.dark_boxes_mm()]
    start, end = left + board.left_mm, left + board.width_mm - board.left_mm
    foot = board.top_mm + board.rows * board.square_mm
    base = top + foot + FOOT_SHARE * (board.height_mm - foot)
    low, small = base + WORDS_STEP_MM, WORDS_MM * 0.8
    marks += [
        Words(start, base, WORDS_MM * 1.5, "printcheck", bold=True),
        Words(end, base, WORDS_MM * 0.9, "scale card: lay me flat on the cloth", anchor="end"),
        Words(end, low, small, "mm", FAINT, anchor="end"),
        Box(end - 5 - WRITE_IN_MM, low, WRITE_IN_MM, HAIRLINE_MM, FAINT),
        Words(end - 6 - WRITE_IN_MM, low, small, "the printed bar measures", FAINT, anchor="end"),
    ]
    return marks


def _crop_marks(left: float, top: float, width: float, height: float) -> list[Mark]:
    marks: list[Mark] = []
    half = HAIRLINE_MM / 2
    outward = {True: CROP_GAP_MM, False: -CROP_GAP_MM - CROP_MARK_MM}  # to the right or down, or not
    for x in (left, left + width):
        for y in (top, top + height):
            start_x, start_y = x + outward[x > left], y + outward[y > top]
            marks.append(Box(start_x, y - half, CROP_MARK_MM, HAIRLINE_MM, FAINT))
            marks.append(Box(x - half, start_y, HAIRLINE_MM, CROP_MARK_MM, FAINT))
    return marks


def _bar(left: float, top: float) -> list[Mark]:
    marks: list[Mark] = [Box(left, top, BAR_MM, BAR_HEIGHT_MM)]
    for k in range(1, round(BAR_MM / BAR_STEP_MM)):
        centre = left + k * BAR_STEP_MM
        marks.append(Box(centre - BAR_TICK_MM / 2, top, BAR_TICK_MM, BAR_HEIGHT_MM / 2, WHITE))
    return marks
