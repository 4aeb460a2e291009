"""Where the words on a photo go: beside what they name, or into the legend below where there is no room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from printcheck.report.drawing.primitives import BOLDER, Box, Item, Label, Line, Point, text_width

ASCENT, DESCENT = 0.85, 0.3  # of a letter's size, above and below its base line
STEP, FARTHEST = 0.65, 5  # letter sizes: places tried about the one wished, and how many steps off
GAP = 0.15  # letter sizes kept free round a word


def label_box(label: Label) -> Box:
    """What an upright label covers."""
    wide = BOLDER * text_width(label.text, label.size)
    left = label.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor] * wide
    return left, label.at[1] - ASCENT * label.size, left + wide, label.at[1] + DESCENT * label.size


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def placed(
    words: Sequence[Label], obstacles: Sequence[Box], width: float, height: float
) -> tuple[list[Label], list[Label]]:
    """Words moved to free places near those wished, and the words that found none.

    Parameters
    ----------
    words : sequence of Label
        The most important first: it chooses first.
    obstacles : sequence of (left, top, right, bottom)
        Motifs, the cell and lines that no word may cover.
    width, height : float
        Of the picture, which no word may leave.
    """
    taken, found, homeless = list(obstacles), list[Label](), list[Label]()
    for word in words:
        spot = next((w for w in _about(word) if _free(w, taken, width, height)), None)
        if spot is None:
            homeless.append(word)
        else:
            found.append(spot)
            taken.append(label_box(spot))
    return found, homeless


def _about(word: Label) -> list[Label]:
    """The word where it was wished, then ever farther off."""
    span = range(-FARTHEST, FARTHEST + 1)
    shifts = sorted(((i, j) for i in span for j in span), key=lambda s: s[0] ** 2 + s[1] ** 2)
    step = STEP * word.size
    return [replace(word, at=(word.at[0] + i * step, word.at[1] + j * step)) for i, j in shifts]


def _free(word: Label, taken: Sequence[Box], width: float, height: float) -> bool:
    left, top, right, bottom = label_box(word)
    gap = GAP * word.size
    if left < gap or top < gap or right > width - gap or bottom > height - gap:
        return False
    wider = (left - gap, top - gap, right + gap, bottom + gap)
    return not any(overlap(wider, box) for box in taken)


def legend(
    words: Sequence[Label], dashes: Mapping[str, tuple[float, float]], corner: Point, halo: str
) -> tuple[list[Item], float]:
    """The words that found no place, each behind a sample of its line, and where they end."""
    x, y = corner
    items: list[Item] = []
    for word in words:
        y += 1.45 * word.size
        middle = y - 0.3 * word.size
        ends = ((x, middle), (x + 2.4 * word.size, middle))
        items.append(Line(ends, word.colour, word.size / 7, dash=dashes.get(word.colour), halo=halo))
        items.append(Label((x + 3 * word.size, y), word.text, word.size))
    return items, y
