"""Where words go: inside a piece, or on a photo beside what they name, clear of what they may hide."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from printcheck.report.drawing.primitives import BOLDER, INK, PAPER, Box, Item, Label, Line, Point, text_width

LINE = 1.25  # line height, in letter sizes
MARGIN = 0.4  # letter sizes kept free round the words
# sizes, of the usual one, and whether the words stand: they rather stand than be smaller than 0.7, and
# below 0.45 a name no longer helps
FITS = (
    (1.0, False), (0.85, False), (0.7, False), (1.0, True), (0.85, True), (0.7, True),
    (0.57, False), (0.57, True), (0.45, False), (0.45, True),
)  # fmt: skip
PLACES = 9  # places tried each way
ASCENT, DESCENT = 0.85, 0.3  # of a letter's size, above and below its base line
STEP, FARTHEST = 0.65, 5  # letter sizes: places tried about the one wished, and how many steps off
GAP = 0.15  # letter sizes kept free round a word


def words_inside(
    choices: Sequence[list[str]],
    ring: tuple[Point, ...],
    taken: Sequence[Point],
    *,
    letter: float,
    dot: float,
) -> list[Label]:
    """First of several texts that finds room in a piece; the last one lies over the outline if need be.

    The first line of each text is bold. ``taken`` are seam points, with the radius ``dot``, that no word may
    cover. There are no labels where even the last text is too large for the piece's box.
    """
    for within in (True, False):
        for lines in choices if within else choices[-1:]:
            for share, upright in FITS:
                size = share * letter
                block = max(text_width(line, size) for line in lines), LINE * size * len(lines)
                block = block[::-1] if upright else block
                at = _place(block, ring, taken, dot, within=within, margin=MARGIN * size)
                if at is not None:
                    return _labels(lines, at, size, upright)
    return []


def _place(
    block: Point, ring: tuple[Point, ...], taken: Sequence[Point], dot: float, *, within: bool, margin: float
) -> Point | None:
    """Middle for a block of words, the nearest to the piece's own; None where there is no room."""
    import shapely

    outline = shapely.Polygon(ring)
    low, high = np.array(outline.bounds).reshape(2, 2)
    half = np.array(block) / 2
    edge = half + margin if within else half
    if np.any(high - low < 2 * edge):
        return None
    middle = np.array(outline.centroid.coords[0])
    xs, ys = (np.linspace(low[k] + edge[k], high[k] - edge[k], PLACES) for k in (0, 1))
    places = np.array([middle, *((x, y) for x in xs for y in ys)])
    free = np.ones(len(places), bool)
    for at in taken:
        free &= np.any(np.abs(places - at) >= half + dot, axis=1)
    if within:
        free &= shapely.contains(outline, shapely.box(*(places - edge).T, *(places + edge).T))
    if not free.any():
        return None
    x, y = min(places[free].tolist(), key=lambda p: float(np.hypot(*(p - middle))))
    return x, y


def _labels(lines: Sequence[str], middle: Point, size: float, upright: bool) -> list[Label]:
    labels = []
    for i, line in enumerate(lines):
        down = (i - (len(lines) - 1) / 2) * LINE * size + 0.35 * size
        at = (middle[0] - down, middle[1]) if upright else (middle[0], middle[1] + down)
        turn = 90.0 if upright else 0.0
        labels.append(Label(at, line, size, "middle", INK, PAPER, turn, bold=i == 0))
    return labels


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

    The most important word comes first: it chooses first. No word may cover an obstacle (motifs, the cell,
    lines) or leave the picture of this width and height.
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
