"""Which pictures a report shows, with what is said below each, and how heavy they may be together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from printcheck.core.handover import MeasuredPhoto, PlannedLength
from printcheck.core.units import UnitSystem
from printcheck.report.drawing import as_sewn, photo_overlay, seam_preview
from printcheck.report.drawing.layout.layout_sheet import MAIN, main_layout, unmatched_layout
from printcheck.report.drawing.primitives import Drawing, Label, Line, Raster, box_of, encoded
from printcheck.report.page import layout_file
from printcheck.report.words import measured as say_measured
from printcheck.report.words.content import Section, piece_name
from printcheck.report.words.quantities import distance

MOST_BYTES = 950_000  # of all JPEGs together: a page stays below 1.5 MB, base64 adding a third
READABLE_PX = 11.5  # letters on a screen: the smallest that a phone's reader makes out, and a little
SMALLER_SHARE = 50  # one label in so many may be smaller: letters squeezed into slivers of pieces
MOST_WIDE_PX = 3200  # of a drawing on a screen
LIGHTER = 0.85  # of each side and step, until the pictures fit


@dataclass(frozen=True)
class Figure:
    """A drawing and the words below it.

    A wide one is not squeezed into a narrow screen but moves sideways under the finger, from piece to piece.
    """

    drawing: Drawing
    caption: str
    wide: bool = False

    @property
    def least_px(self) -> int:
        """Width on a screen at which the usual words of the drawing can be read."""
        sizes = sorted(item.size for item in self.drawing.items if isinstance(item, Label))
        usual = sizes[len(sizes) // SMALLER_SHARE] if sizes else math.inf
        return min(MOST_WIDE_PX, math.ceil(READABLE_PX / usual * self.drawing.width))

    @property
    def stops(self) -> tuple[Stop, ...]:
        """Pieces of the layout that is cut by, to be gone to one after another."""
        lines = [i for i in self.drawing.items if isinstance(i, Line) and i.data.get("layout") == MAIN]
        pieces = [line.data["piece"] for line in lines]
        lines.sort(key=lambda line: (len(line.data["letter"]), line.data["letter"]))
        return tuple(Stop.of(line, self.drawing, pieces) for line in lines)


@dataclass(frozen=True)
class Stop:
    """A piece in a drawing: its name and its box in per cent of the drawing."""

    id: str
    name: str
    left: float
    top: float
    width: float
    height: float

    @classmethod
    def of(cls, line: Line, drawing: Drawing, pieces: Sequence[str]) -> Stop:
        """Stop of a piece's outline."""
        left, top, right, bottom = box_of(line.points)
        wide, high = drawing.width / 100, drawing.height / 100
        shares = (left / wide, top / high, (right - left) / wide, (bottom - top) / high)
        letter, piece = line.data.get("letter", ""), piece_name(line.data["piece"], pieces)
        return cls(f"piece-{letter or piece}", f"{letter} {piece}".strip(), *(round(v, 2) for v in shares))


Part = Section | Figure  # of a report, in the order it is read


def of_measured(measured: MeasuredPhoto, *, units: UnitSystem) -> list[Figure]:
    """Pictures of a measurement: the photo, the sizes felt, the seams."""
    drawn = photo_overlay.drawing(measured, units=units)
    figures = [Figure(drawn, say_measured.picture_caption(measured.measurement), wide=True)]
    if measured.cell is None or measured.measurement.scale is None:
        return figures
    far = measured.measurement.seams.viewing_distance_m
    held = "half a metre" if units == "metric" else "20 in"
    seams = seam_preview.drawing(measured.cell, viewing_distance_m=far)
    words = f"Printed and held at {held}, it looks as the seam does from {distance(far, units)}."
    return [*figures, Figure(seams, words)]


def of_planned(planned: PlannedLength, *, units: UnitSystem) -> list[Figure]:
    """Pictures of a plan: its cutting layout, and the print as it is sewn."""
    drawn = layout_file.drawing(planned, units=units, upright=True, key=False)
    figures = [Figure(drawn, f"{drawn.said} Both points of a seam bear the same number.", wide=True)]
    plan = planned.plan
    view, free = layout_file.backdrop_of(planned).view(plan), unmatched_layout(plan)[1]
    if view is None or plan.matched is None:
        return figures
    if sewn := as_sewn.drawing(view, planned.project, main_layout(plan), free):
        words = "Look along the broken lines before you cut: so the print will meet."
        figures.append(Figure(sewn, words, wide=True))
    return figures


def light_enough(parts: list[Part], most: int = MOST_BYTES) -> list[Part]:
    """The same parts with their pictures reduced until they fit a page together."""
    while sum(len(encoded(raster)) for part in parts for raster in _rasters(part)) > most:
        parts = [replace(p, drawing=_lighter(p.drawing)) if isinstance(p, Figure) else p for p in parts]
    return parts


def _rasters(part: Part) -> list[Raster]:
    return [i for i in part.drawing.items if isinstance(i, Raster)] if isinstance(part, Figure) else []


def _lighter(drawing: Drawing) -> Drawing:
    return replace(drawing, items=tuple(_smaller(i) if isinstance(i, Raster) else i for i in drawing.items))


def _smaller(raster: Raster) -> Raster:
    rows, columns = (max(1, round(side * LIGHTER)) for side in raster.bgr.shape[:2])
    bgr = cv2.resize(raster.bgr, (columns, rows), interpolation=cv2.INTER_AREA)
    return replace(raster, bgr=np.asarray(bgr, np.uint8))
