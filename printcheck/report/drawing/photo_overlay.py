"""The photo with what was found on it: repeat, lattice points, motifs, way, clumps, scale bar, card."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import Bgr, FlatCloth, MeasuredPhoto, Picture, PrintLattice
from printcheck.core.lattice import Vector
from printcheck.core.measurement import Measurement
from printcheck.core.system import atomic
from printcheck.core.units import INCH_MM, UnitSystem
from printcheck.report.drawing import svg_pen
from printcheck.report.drawing.labels import label_box, legend, placed
from printcheck.report.drawing.photo_map import PhotoMap
from printcheck.report.drawing.primitives import (
    BOLDER,
    PAPER,
    Anchor,
    Box,
    Dot,
    Drawing,
    Item,
    Label,
    Line,
    Point,
    Raster,
    arrow,
    box_of,
    box_points,
    text_width,
)
from printcheck.report.words import measured as say_measured
from printcheck.report.words.quantities import box, size, with_error
from printcheck.report.words.text import wrapped
from printcheck.report.words.verdicts import FAIRLY_SURE

LONGEST_SIDE = 1400  # pixels of the written picture: sharp on a phone, small enough for a page
LINES_TO_A_LETTER = 9.0  # thickness of a line, as a share of a letter
SHORTEST_ARROW = 5.0  # letter sizes: the arrow of a smaller repeat goes over several
SMALL_MOTIF = 0.45  # of the largest motif's longer side: smaller ones get no box, which would hide them
MOST_BOXES = 10  # boxes of motifs: more hide the print
CAPTION_LINE = 1.45  # line height of the caption, in letter sizes
LETTER_SHARE = 1 / 36  # letter size as a share of the picture's shorter side, not below 13 pixels
SMALLEST_LETTER = 13.0  # pixels
THIN = 1.0  # letter sizes: a line in a box no wider is kept clear of words
NODE_SPACING = 3.2  # letter sizes: closer lattice points would cover the print and are left out
BAR_SHARE = 0.3  # the scale bar takes at most this share of the picture's width
BARS_MM = (200.0, 100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0)
BARS_IN = (8.0, 4.0, 2.0, 1.0, 0.5, 0.25, 0.125)

CELL, MOTIF, CLUMP, OBJECT = "#ffffff", "#ffe14d", "#7ee8fa", "#ffb3d9"  # light cores on a dark halo
HALO = "#101010"


def write(path: Path, measured: MeasuredPhoto, *, units: UnitSystem = "metric") -> None:
    """Write the picture of a measurement; the ending is looked at first."""
    atomic.check_ending(path, place="--picture")
    write_drawing(path, drawing(measured, units=units))


def write_drawing(path: Path, drawn: Drawing) -> None:
    """Write a picture on a photo as PNG or SVG, by the file's ending."""
    ending = atomic.check_ending(path, place="--picture")
    if ending == ".svg":
        atomic.write_atomic(path, svg_pen.svg(drawn), place="--picture")
        return
    from printcheck.report.drawing import png_pen

    atomic.write_atomic(path, png_pen.png(drawn), place="--picture")


def write_question(path: Path, picture: Picture, error: NoAnswerError) -> None:
    """Write the photo with what a refusal is about outlined, and what would settle it below."""
    shown = fitted(picture.bgr)
    height, width = shown.shape[:2]
    share, letter = width / picture.facts.width_px, max(SMALLEST_LETTER, LETTER_SHARE * min(width, height))
    outline = tuple(((x + 0.5) * share - 0.5, (y + 0.5) * share - 0.5) for x, y in error.outline_px)
    ground, words, high = _written([str(error)], width, height, height, letter)
    line = Line(outline, OBJECT, letter / LINES_TO_A_LETTER, closed=True, halo=HALO)
    items: tuple[Item, ...] = (Raster((0, 0, width, height), shown), line, ground, *words)
    title = f"A question about {picture.facts.file}"
    write_drawing(path, Drawing(width, height + high, items, title, str(error)))


def measured(
    picture_bgr: Bgr, cloth: FlatCloth, lattice: PrintLattice, m: Measurement, units: UnitSystem
) -> Drawing:
    """Drawing of the photo with what was found on it.

    ``picture_bgr`` (H, W, 3) is upright; it may be smaller than the photo that was measured, but of its
    shape.
    """
    shown = fitted(picture_bgr)
    to = PhotoMap(cloth, lattice, shown.shape[1] / cloth.photo.width_px)
    height, width = shown.shape[:2]
    letter = max(SMALLEST_LETTER, LETTER_SHARE * min(width, height))
    sketch = _Sketch(to, m, units, width, height, letter)
    drawn, homeless = sketch.everything()
    items: list[Item] = [Raster((0, 0, width, height), shown), *drawn]
    caption, caption_height = _caption(m, units, width, height, letter, homeless)
    return Drawing(
        width, height + caption_height, (*items, *caption), f"The print in {m.photo.file}", said(m, units)
    )


def drawing(measured_photo: MeasuredPhoto, *, units: UnitSystem) -> Drawing:
    """Drawing on the photo, or on the flat cloth where several photos were laid together."""
    cloth, lattice, m = measured_photo.cloth, measured_photo.lattice, measured_photo.measurement
    if cloth.photo_bgr is not None:
        return measured(cloth.photo_bgr, cloth, lattice, m, units)
    return measured(cloth.bgr, flat_only(cloth), lattice, m, units)


def flat_only(cloth: FlatCloth) -> FlatCloth:
    """The flat picture as if it were the photo, seen straight from above."""
    rows, columns = cloth.bgr.shape[:2]
    facts = replace(cloth.photo, width_px=columns, height_px=rows)
    return replace(cloth, photo=facts, to_photo=np.eye(3), outline_px=None)


def said(m: Measurement, units: UnitSystem) -> str:
    """What the picture shows, for those who cannot see it."""
    answer = say_measured.content(m, units).answers[0].text
    return f"{answer} The photo with the repeat, its lattice points, motif sizes and a scale bar drawn on it."


def fitted(picture: Bgr) -> Bgr:
    """The picture, no larger than it is shown."""
    share = LONGEST_SIDE / max(picture.shape[:2])
    if share >= 1:
        return picture
    size_px = (round(picture.shape[1] * share), round(picture.shape[0] * share))
    return np.asarray(cv2.resize(picture, size_px, interpolation=cv2.INTER_AREA), np.uint8)


def _caption(
    m: Measurement, units: UnitSystem, width: float, height: float, letter: float, homeless: list[Label]
) -> tuple[list[Item], float]:
    """What stands below the picture: words that found no room on it, the answer, and how sure it is."""
    dashes = {MOTIF: _dashed(letter), CLUMP: (letter / 3, letter / 2)}
    listed, top = legend(homeless, dashes, (letter, height), HALO)
    told = (say_measured.content(m, units).answers[0].text, say_measured.how_sure_in_short(m, units))
    ground, words, high = _written(told, width, height, top, letter)
    return [ground, *listed, *words], high


def _written(
    told: Sequence[str], width: float, height: float, top: float, letter: float
) -> tuple[Line, list[Label], float]:
    """Sentences from ``top`` on, below a picture of this height; the ground under them, and its height."""
    columns = max(20, int(width / text_width("n", letter)) - 4)
    lines = [line for text in told for line in wrapped(text, columns)]
    step = CAPTION_LINE * letter
    high = round(top - height + step * (len(lines) + 0.6))
    ground = Line(box_points(0, height, width, high), None, closed=True, fill=PAPER)
    words = [Label((letter, top + (i + 1) * step), line, letter) for i, line in enumerate(lines)]
    return ground, words, high


def _dashed(letter: float) -> tuple[float, float]:
    """Dashes of a motif's box."""
    return 2.5 * letter / 4, 1.5 * letter / 4


class _Sketch:
    """Everything drawn over one photo."""

    def __init__(
        self, to: PhotoMap, m: Measurement, units: UnitSystem, width: float, height: float, letter: float
    ) -> None:
        self.to, self.m, self.units = to, m, units
        self.width, self.height, self.letter = width, height, letter
        self.line = letter / LINES_TO_A_LETTER
        repeat = m.repeat
        arms = [(repeat.across_mm, 0.0)] if repeat.across_mm is not None else []
        arms += [(0.0, repeat.along_mm)] if repeat.along_mm is not None else []
        self.corner = to.best_node(width, height, arms) if repeat.basis_mm else (0, 0)

    def everything(self) -> tuple[list[Item], list[Label]]:
        """From back to front, words last; and the words for which there is no room."""
        items = [*self.object(), *self.nodes(), *self.clumps(), *self.motifs()]
        items += [*self.cell(), *self.way(), *self.bar()]
        words = [i for i in items if isinstance(i, Label)]
        lines = [i for i in items if not isinstance(i, Label)]
        own = [word for word in words if word.colour == OBJECT]  # a name may lie on what it names
        named, homeless = placed(own, self._obstacles(lines, OBJECT), self.width, self.height)
        taken = [*self._obstacles(lines), *map(label_box, named)]
        rest = [word for word in words if word.colour != OBJECT]
        found, more = placed(rest, taken, self.width, self.height)
        return [*lines, *named, *found], [*homeless, *more]

    def _obstacles(self, items: Sequence[Item], but: str = "") -> list[Box]:
        """What no word may cover: motifs, the cell, the object, and lines that run straight."""
        found = []
        for item in items:
            if not isinstance(item, Line) or item.stroke == but:
                continue
            box = box_of(item.points)
            thin = min(box[2] - box[0], box[3] - box[1]) < THIN * self.letter
            if (item.closed and item.stroke in (MOTIF, CELL, OBJECT)) or (not item.closed and thin):
                found.append(box)
        return found

    def object(self) -> list[Item]:
        """Outline of the object of known size, with its name."""
        outline = self.to.outline()
        if outline is None:
            return []
        centre = (sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline))
        line = Line(outline, OBJECT, self.line, closed=True, halo=HALO)
        scale = self.m.scale
        return [line] if scale is None else [line, self._word(centre, scale.object or scale.source, OBJECT)]

    def nodes(self) -> list[Item]:
        """Lattice points: places of the same motif. Left out where they would cover the print."""
        if self.m.repeat.kind != "lattice" or self.to.spacing() < NODE_SPACING * self.letter:
            return []
        radius = self.letter / 3.2
        return [Dot(p, radius, CELL, HALO, self.line) for p in self.to.nodes(self.width, self.height)]

    def cell(self) -> list[Item]:
        """The smallest cell, and the crosswise and lengthwise repeat as arrows with their sizes."""
        repeat = self.m.repeat
        items: list[Item] = []
        corner = self.corner
        if len(repeat.basis_mm) == 2:
            ring = self.to.cell(corner)
            dash = None if repeat.confidence >= FAIRLY_SURE else (self.letter, self.letter)
            items.append(Line(ring, CELL, self.line, closed=True, halo=HALO, dash=dash))
        start = self.to.cell_mm(corner) if repeat.basis_mm else (0.0, 0.0)  # the middle, where it has no node
        for mm, way in ((repeat.across_mm, (1.0, 0.0)), (repeat.along_mm, (0.0, 1.0))):
            if mm is not None:
                items += self._measure(start, mm, way)
        return items

    def _measure(self, start: Vector, mm: float, way: Vector) -> list[Item]:
        """Arrow over one repeat, or over as many as give it a length that can be seen."""
        a = self.to.at(start)
        single = math.dist(a, self.to.at((start[0] + mm * way[0], start[1] + mm * way[1])))
        count = max(1, math.ceil(SHORTEST_ARROW * self.letter / max(single, 1.0)))
        b = self.to.at((start[0] + count * mm * way[0], start[1] + count * mm * way[1]))
        head = min(self.letter, 0.4 * math.dist(a, b))
        line = arrow(a, b, width=1.6 * self.line, head=head, stroke=CELL, halo=HALO, both=True)
        text = with_error(mm, self.m.repeat.error_mm, self.units)
        text = f"{text} {'across' if way[0] else 'along'}"
        text = f"{count} x {text}" if count > 1 else text
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        if way[0]:
            return [*line, self._word((middle[0], middle[1] - 0.6 * self.letter), text, CELL)]
        left = middle[0] - 0.6 * self.letter
        if left < BOLDER * text_width(text, self.letter):
            return [*line, self._word((middle[0] + 0.6 * self.letter, middle[1]), text, CELL, "start")]
        return [*line, self._word((left, middle[1]), text, CELL, "end")]

    def motifs(self) -> list[Item]:
        """Boxes of the motifs of one cell; the largest with its size."""
        motif = self.m.motif
        if not motif.boxes_mm or len(self.m.repeat.basis_mm) < 2:
            return []
        start = self.to.cell_mm(self.corner)
        largest = max(motif.boxes_mm, key=lambda b: b[2] * b[3])
        large = [b for b in motif.boxes_mm if max(b[2:]) >= SMALL_MOTIF * max(largest[2:])]
        shown = sorted(large, key=lambda b: -b[2] * b[3])[:MOST_BOXES]
        rings = [self.to.ring(start[0] + left, start[1] + top, *extent) for left, top, *extent in shown]
        dash = _dashed(self.letter)
        items: list[Item] = [
            Line(ring, MOTIF, self.line, closed=True, halo=HALO, dash=dash) for ring in rings
        ]
        if motif.width_mm is not None and motif.height_mm is not None:
            x, y = start[0] + largest[0] + largest[2] / 2, start[1] + largest[1] + largest[3]
            at = self.to.at((x, y))
            text = f"motif {box(motif.width_mm, motif.height_mm, self.units)}"
            items.append(self._word((at[0], at[1] + 1.2 * self.letter), text, MOTIF))
        return items

    def clumps(self) -> list[Item]:
        """Circles where one colour gathers."""
        clump, lattice = self.m.clump, self.m.repeat.basis_mm
        if clump is None or clump.at_mm is None or clump.size_mm is None or len(lattice) < 2:
            return []
        corner = self.corner
        items: list[Item] = []
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                start = self.to.cell_mm((corner[0] + i, corner[1] + j))
                centre = (start[0] + clump.at_mm[0], start[1] + clump.at_mm[1])
                ring = self.to.circle(centre, clump.size_mm / 2)
                if self.to.on_cloth(self.to.at(centre)):
                    dash = (self.letter / 3, self.letter / 2)
                    items.append(Line(ring, CLUMP, self.line, closed=True, halo=HALO, dash=dash))
        start = self.to.cell_mm(corner)
        at = self.to.at((start[0] + clump.at_mm[0], start[1] + clump.at_mm[1] - clump.size_mm / 2))
        return [*items, self._word((at[0], at[1] - 0.5 * self.letter), "one colour gathers", CLUMP)]

    def way(self) -> list[Item]:
        """Arrow along the cloth where the print has an up: the photo's up, kept the same for all pieces."""
        if self.m.direction.way != "one-way" or not self.m.direction.decided:
            return []
        x, low, head = self.width - 2.4 * self.letter, 8.5 * self.letter, 1.6 * self.letter
        ends = ((x, low), (x, 2.2 * self.letter))
        shaft = arrow(*ends, width=2 * self.line, head=head, stroke=CELL, halo=HALO)
        words = "one way: never turn a piece"
        return [*shaft, self._word((x + 1.6 * self.letter, low + 1.5 * self.letter), words, CELL, "end")]

    def bar(self) -> list[Item]:
        """Scale bar, true at the place where it lies; none where the photo tells no scale."""
        if self.m.scale is None:
            return []
        lengths = [inch * INCH_MM for inch in BARS_IN] if self.units == "imperial" else list(BARS_MM)
        start = (1.5 * self.letter, self.height - 2.2 * self.letter)
        origin = self.to.back(start)
        ends = [(mm, self.to.at((origin[0] + mm, origin[1]))) for mm in lengths]
        fitting = [(mm, end) for mm, end in ends if end[0] - start[0] <= BAR_SHARE * self.width]
        if not fitting:
            return []
        mm, end = fitting[0]
        inner = [self.to.at((origin[0] + mm * k / 4, origin[1])) for k in range(5)]
        items: list[Item] = [Line((start, end), HALO, 6 * self.line)]
        items += [Line((inner[k], inner[k + 1]), CELL, 3 * self.line) for k in (0, 2)]
        name = f"{mm / 10:g} cm" if mm >= 10 else f"{mm:g} mm"
        name = size(mm, self.units) if self.units == "imperial" else name
        middle: Point = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2 - 0.9 * self.letter)
        return [*items, self._word(middle, name, CELL)]

    def _word(self, at: Point, text: str, colour: str, anchor: Anchor = "middle") -> Label:
        """Label kept inside the picture."""
        wide = BOLDER * text_width(text, self.letter) + 2
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
        x = max(before, min(at[0], self.width - wide + before))
        y = min(max(at[1], 1.2 * self.letter), self.height - 0.4 * self.letter)
        return Label((x, y), text, self.letter, anchor, colour, HALO, bold=True)
