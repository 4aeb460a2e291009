"""Where the words on a piece go: inside its outline, clear of the seam points, as large as there is room."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from printcheck.report.drawing.primitives import INK, PAPER, Label, Point, text_width

LINE = 1.25  # line height, in letter sizes
MARGIN = 0.4  # letter sizes kept free round the words
# sizes, of the usual one, and whether the words stand: they rather stand than be smaller than 0.7, and
# below 0.45 a name no longer helps
FITS = (
    (1.0, False), (0.85, False), (0.7, False), (1.0, True), (0.85, True), (0.7, True),
    (0.57, False), (0.57, True), (0.45, False), (0.45, True),
)  # fmt: skip
PLACES = 9  # places tried each way


def words_inside(
    choices: Sequence[list[str]],
    ring: tuple[Point, ...],
    taken: Sequence[Point],
    *,
    letter: float,
    dot: float,
) -> list[Label]:
    """First of several texts that finds room in a piece; the last one lies over the outline if need be.

    Parameters
    ----------
    choices : sequence of lists of str
        Lines of each text, the first line in bold.
    ring : tuple of (x, y)
        Outline of the piece in the drawing.
    taken : sequence of (x, y)
        Seam points that no word may cover.
    letter, dot : float
        Usual size of letters, and the radius of a seam point, in drawing units.

    Returns
    -------
    list of Label
        None where even the last text is too large for the piece's box.
    """
    for within in (True, False):
        for lines in choices if within else choices[-1:]:
            for share, upright in FITS:
                size = share * letter
                block = _block(lines, size, upright)
                at = _place(block, ring, taken, dot, within=within, margin=MARGIN * size)
                if at is not None:
                    return _labels(lines, at, size, upright)
    return []


def _block(lines: Sequence[str], size: float, upright: bool) -> Point:
    """Width and height of lines of words."""
    long, high = max(text_width(line, size) for line in lines), LINE * size * len(lines)
    return (high, long) if upright else (long, high)


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
