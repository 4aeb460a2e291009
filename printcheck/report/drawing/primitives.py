"""A drawing as data: lines, dots, labels and pictures, which pens (SVG, PNG, PDF) put down.

Coordinates are in the drawing's own units, x to the right and y down; sizes of lines and letters are in
the same units. A halo is a wider line of the other brightness below, so that a line can be read on any
print.
"""

from __future__ import annotations

import base64
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from printcheck.core.handover import Bgr

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom
Anchor = Literal["start", "middle", "end"]

INK, PAPER, GREY, FAINT = "#1a1a1a", "#ffffff", "#6b6b6b", "#d9d9d9"
HALO = 2.2  # widths of a line: its halo then shows more than half a width on each side
LETTER_HALO = 0.28  # of a letter's size: width of its halo, half of which shows
BOLDER = 1.15  # width of bold words, of plain ones
JPEG_QUALITY = 82  # per cent: below about 75 fine dots ring


@dataclass(frozen=True)
class Line:
    """Line or, if closed, polygon; dashes and gaps are in drawing units."""

    points: tuple[Point, ...]
    stroke: str | None = INK
    width: float = 1.0
    closed: bool = False
    fill: str | None = None
    opacity: float = 1.0  # of the fill
    dash: tuple[float, float] | None = None
    halo: str | None = None
    data: dict[str, str] = field(default_factory=dict)  # data-* attributes for programs that read the SVG

    @property
    def halo_width(self) -> float:
        """Width of the line of the other brightness below."""
        return HALO * self.width


@dataclass(frozen=True)
class Dot:
    """Filled circle, or a ring where ``fill`` is None."""

    at: Point
    radius: float
    fill: str | None = INK
    stroke: str | None = None
    width: float = 1.0
    data: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Label:
    """One line of text; ``at`` is on its base line. ``turn_deg`` turns it clockwise about ``at``."""

    at: Point
    text: str
    size: float
    anchor: Anchor = "start"
    colour: str = INK
    halo: str | None = None
    turn_deg: float = 0.0
    bold: bool = False

    @property
    def halo_width(self) -> float:
        """Width of the line of the other brightness round its letters."""
        return LETTER_HALO * self.size


@dataclass(frozen=True)
class Raster:
    """Picture stretched over a box (left, top, width, height)."""

    box: tuple[float, float, float, float]
    bgr: Bgr
    quality: int = JPEG_QUALITY


Item = Line | Dot | Label | Raster


@dataclass(frozen=True)
class Drawing:
    """Items from back to front on a ground of width by height.

    ``title`` names the drawing, ``said`` tells a reader who cannot see it what it shows; ``width_mm`` is
    its width on paper where it is drawn to a scale.
    """

    width: float
    height: float
    items: tuple[Item, ...]
    title: str
    said: str = ""
    width_mm: float | None = None
    ground: str | None = PAPER


def arrow(
    start: Point,
    end: Point,
    *,
    width: float,
    head: float,
    stroke: str = INK,
    halo: str | None = None,
    both: bool = False,
) -> tuple[Line, ...]:
    """Line with a head at its end, or at both; ``head`` is the head's length."""
    tip, neck = _head(start, end, head)
    items = [Line(tip, halo, width, closed=True, fill=stroke)]
    if both:
        other, start = _head(end, start, head)
        items.append(Line(other, halo, width, closed=True, fill=stroke))
    return Line((start, neck), stroke, width, halo=halo), *items


def _head(start: Point, end: Point, head: float) -> tuple[tuple[Point, ...], Point]:
    """Triangle of an arrow's head, and the middle of its base."""
    length = math.dist(start, end) or 1.0
    u = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    neck = (end[0] - head * u[0], end[1] - head * u[1])
    side = (-u[1] * head * 0.5, u[0] * head * 0.5)
    return (end, (neck[0] + side[0], neck[1] + side[1]), (neck[0] - side[0], neck[1] - side[1])), neck


def box_points(left: float, top: float, width: float, height: float) -> tuple[Point, ...]:
    """Corners of a box, in order round it."""
    return (left, top), (left + width, top), (left + width, top + height), (left, top + height)


def text_width(text: str, size: float) -> float:
    """Width a label will take, about: letters of a sans serif face are 0.55 of their size wide."""
    return 0.55 * size * len(text)


def box_of(points: Sequence[Point]) -> Box:
    """Box round points."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def extent(item: Item) -> Box:
    """What an item covers, a little too large rather than too small."""
    if isinstance(item, Raster):
        left, top, width, height = item.box
        return left, top, left + width, top + height
    if isinstance(item, Label):
        reach = BOLDER * text_width(item.text, item.size) + item.size
        (x, y) = item.at
        return x - reach, y - reach, x + reach, y + reach
    points, pad = ((item.at,), item.radius) if isinstance(item, Dot) else (item.points, 0.0)
    pad += 2.2 * item.width
    left, top, right, bottom = box_of(points)
    return left - pad, top - pad, right + pad, bottom + pad


SCALED = {"at", "points", "box", "dash", "width", "radius", "size"}  # what of an item is counted in units


def scaled(drawing: Drawing, factor: float) -> Drawing:
    """The same drawing in units ``factor`` times as fine; its size on paper stays."""

    def grown(value: Any) -> Any:  # noqa: ANN401 - a number, or points
        return tuple(map(grown, value)) if isinstance(value, tuple) else value and value * factor

    items = tuple(
        replace(item, **{name: grown(value) for name, value in vars(item).items() if name in SCALED})
        for item in drawing.items
    )
    return replace(drawing, width=drawing.width * factor, height=drawing.height * factor, items=items)


def encoded(raster: Raster) -> bytes:
    """JPEG of a raster."""
    import cv2

    ok, data = cv2.imencode(".jpg", raster.bgr, [cv2.IMWRITE_JPEG_QUALITY, raster.quality])
    if not ok:
        raise ValueError("the picture could not be encoded")
    return data.tobytes()


def data_uri(raster: Raster) -> str:
    """JPEG of a raster as a ``data:`` address, for pages that need no second file."""
    return "data:image/jpeg;base64," + base64.b64encode(encoded(raster)).decode("ascii")


def dashes(points: Sequence[Point], dash: tuple[float, float]) -> list[tuple[Point, Point]]:
    """Strokes of a dashed line, for pens that know no dashes."""
    strokes: list[tuple[Point, Point]] = []
    phase, on, gap = 0.0, dash[0], dash[1]
    for a, b in itertools.pairwise(points):
        length, at = math.dist(a, b), 0.0
        while at < length and length > 0:
            drawn = phase < on
            step = min((on if drawn else on + gap) - phase, length - at)
            if drawn:
                strokes.append((_between(a, b, at / length), _between(a, b, (at + step) / length)))
            at, phase = at + step, phase + step
            phase = 0.0 if phase >= on + gap - 1e-9 else phase
            if step <= 1e-9:  # a rounding remainder: step over it, or the loop would never end
                phase = on if drawn else 0.0
    return strokes


def _between(a: Point, b: Point, share: float) -> Point:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
