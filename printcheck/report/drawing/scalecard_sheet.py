"""What stands on the sheet of the scale card: boxes, lines and words in millimetres, for any pen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from printcheck.core.reference.scalecard import BAR_MM, Board

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
