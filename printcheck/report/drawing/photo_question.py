"""The photo with what may be the object of known size outlined, and what would settle it below."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from printcheck.core.errors import NoAnswerError
from printcheck.report.drawing.photo_overlay import (
    CAPTION_LINE,
    HALO,
    LETTER_SHARE,
    LINES_TO_A_LETTER,
    OBJECT,
    SMALLEST_LETTER,
    fitted,
    write_drawing,
)
from printcheck.report.drawing.primitives import (
    PAPER,
    Drawing,
    Item,
    Label,
    Line,
    Raster,
    box_points,
    text_width,
)
from printcheck.report.words.text import wrapped

if TYPE_CHECKING:
    from printcheck.core.handover import Picture


def write(path: Path, picture: Picture, error: NoAnswerError) -> None:
    """Write the picture of a refusal that says where it looked, as PNG or SVG, by the file's ending."""
    write_drawing(path, drawing(picture, error))


def drawing(picture: Picture, error: NoAnswerError) -> Drawing:
    """The photo, the outline of what the sentence is about, and the sentence."""
    shown = fitted(picture.bgr)
    height, width = shown.shape[:2]
    share = width / picture.facts.width_px
    letter = max(SMALLEST_LETTER, LETTER_SHARE * min(width, height))
    outline = tuple(((x + 0.5) * share - 0.5, (y + 0.5) * share - 0.5) for x, y in error.outline_px)
    lines = wrapped(str(error), max(20, int(width / text_width("n", letter)) - 4))
    step = CAPTION_LINE * letter
    below = round(step * (len(lines) + 0.6))
    items: tuple[Item, ...] = (
        Raster((0, 0, width, height), shown),
        Line(outline, OBJECT, letter / LINES_TO_A_LETTER, closed=True, halo=HALO),
        Line(box_points(0, height, width, below), None, closed=True, fill=PAPER),
        *(Label((letter, height + (i + 1) * step), line, letter) for i, line in enumerate(lines)),
    )
    return Drawing(width, height + below, items, f"A question about {picture.facts.file}", str(error))
