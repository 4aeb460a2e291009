"""The scale card to print: boxes, lines and words in millimetres, as PDF, SVG or PNG at true size."""

from __future__ import annotations

from pathlib import Path

from printcheck.core.reference.scalecard import BAR_MM, BOARDS, Board, BoardName
from printcheck.core.system import atomic
from printcheck.report.drawing import svg_pen
from printcheck.report.drawing.pdf_pen import PAPER_MM, Sheet, put
from printcheck.report.drawing.primitives import (
    PAPER,
    Anchor,
    Drawing,
    Item,
    Label,
    Line,
    box_points,
    scaled,
)

# px: 508 dots per inch, about as fine as office printers draw, and every square starts on a whole pixel
PNG_PX_PER_MM = 20
INK = "#1b264f"  # dark enough for the finder in grey, and prints dark without colour too
FAINT = "#8a90a6"  # crop marks and small words
MARGIN_MM = 8.0  # mm round the card: room for the crop marks
CROP_MARK_MM = 4.5  # mm long
CROP_GAP_MM = 1.5  # mm between card and mark, so that the cut leaves none behind
BAR_HEIGHT_MM = 3.0  # mm
BAR_STEP_MM = 10.0  # mm between the light ticks in the bar
BAR_TICK_MM = 0.3  # mm wide
HAIRLINE_MM = 0.15  # mm: the thinnest line that office printers keep whole
LETTER_MM = 3.6  # mm: size of the letters of a line of words, 10 points
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


def write_scalecard(path: Path, *, size: BoardName = "card") -> None:
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
        For an unknown ending, or a place that cannot be written to.

    Notes
    -----
    All three are at true size. The PDF has a page that fits both A4 and US Letter; SVG and PNG hold the
    card with its crop marks and bar alone, the PNG at 20 pixels a millimetre (508 dots per inch).
    """
    ending = atomic.check_ending(path, place="scalecard")
    drawn = draw_sheet(BOARDS[size])
    if ending == ".pdf":
        content: str | bytes = _pdf(drawn)
    elif ending == ".png":
        from printcheck.report.drawing import png_pen

        content = png_pen.png(scaled(drawn, PNG_PX_PER_MM))
    else:
        content = svg_pen.svg(drawn)
    atomic.write_atomic(path, content, place="scalecard")


def _pdf(drawn: Drawing) -> bytes:
    from fpdf.prefs import ViewerPreferences

    sheet = Sheet(drawn.title)
    sheet.pdf.viewer_preferences = ViewerPreferences(print_scaling="None")  # asks the viewer not to shrink
    sheet.pdf.add_page()
    put(sheet, drawn, (PAPER_MM[0] - drawn.width) / 2, (PAPER_MM[1] - drawn.height) / 2, drawn.width)
    return sheet.bytes()


def draw_sheet(board: Board) -> Drawing:
    """The sheet to print: card, crop marks, bar to measure, and how to use it."""
    width = max(board.width_mm, BAR_MM) + 2 * MARGIN_MM
    left, top = (width - board.width_mm) / 2, MARGIN_MM
    below = top + board.height_mm + MARGIN_MM + BAR_HEIGHT_MM
    words = below + BAR_HEIGHT_MM + WORDS_STEP_MM
    items = (
        *_card(board, left, top),
        *_crop_marks(left, top, board.width_mm, board.height_mm),
        *_bar((width - BAR_MM) / 2, below),
        *(
            _words((width - BAR_MM) / 2, words + k * WORDS_STEP_MM, 0.9, text)
            for k, text in enumerate(HOW_TO_USE)
        ),
    )
    height = below + BAR_HEIGHT_MM + (len(HOW_TO_USE) + 1) * WORDS_STEP_MM + CROP_GAP_MM
    title = f"printcheck scale card, {board.name} size"
    said = "A chessboard with markers to lay on the cloth, and a bar to measure after printing."
    return Drawing(width, height, items, title, said, width)


def _box(left: float, top: float, width: float, height: float, fill: str = INK) -> Line:
    return Line(box_points(left, top, width, height), None, closed=True, fill=fill)


def _words(
    left: float, base: float, share: float, text: str, colour: str = INK, anchor: Anchor = "start"
) -> Label:
    return Label((left, base), text, share * LETTER_MM, anchor, colour, bold=share > 1)


def _card(board: Board, left: float, top: float) -> list[Item]:
    items: list[Item] = [_box(left + x, top + y, w, h) for x, y, w, h in board.dark_boxes_mm()]
    start, end = left + board.left_mm, left + board.width_mm - board.left_mm
    foot = board.top_mm + board.rows * board.square_mm
    base = top + foot + FOOT_SHARE * (board.height_mm - foot)
    low = base + WORDS_STEP_MM
    return [
        *items,
        _words(start, base, 1.5, "printcheck"),
        _words(end, base, 0.9, "scale card: lay me flat on the cloth", anchor="end"),
        _words(end, low, 0.8, "mm", FAINT, "end"),
        _box(end - 5 - WRITE_IN_MM, low, WRITE_IN_MM, HAIRLINE_MM, FAINT),
        _words(end - 6 - WRITE_IN_MM, low, 0.8, "the printed bar measures", FAINT, "end"),
    ]


def _crop_marks(left: float, top: float, width: float, height: float) -> list[Item]:
    items: list[Item] = []
    half = HAIRLINE_MM / 2
    outward = {True: CROP_GAP_MM, False: -CROP_GAP_MM - CROP_MARK_MM}  # to the right or down, or not
    for x in (left, left + width):
        for y in (top, top + height):
            start_x, start_y = x + outward[x > left], y + outward[y > top]
            items.append(_box(start_x, y - half, CROP_MARK_MM, HAIRLINE_MM, FAINT))
            items.append(_box(x - half, start_y, HAIRLINE_MM, CROP_MARK_MM, FAINT))
    return items


def _bar(left: float, top: float) -> list[Item]:
    items: list[Item] = [_box(left, top, BAR_MM, BAR_HEIGHT_MM)]
    for k in range(1, round(BAR_MM / BAR_STEP_MM)):
        centre = left + k * BAR_STEP_MM
        items.append(_box(centre - BAR_TICK_MM / 2, top, BAR_TICK_MM, BAR_HEIGHT_MM / 2, PAPER))
    return items
