"""Which pictures a report shows, with what is said below each, and how heavy they may be together."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from printcheck.core.units import UnitSystem
from printcheck.report.drawing import photo_overlay, true_scale
from printcheck.report.drawing.photo_overlay import Measured
from printcheck.report.drawing.primitives import Drawing, Raster, encoded
from printcheck.report.page import layout_file
from printcheck.report.page.layout_file import Planned
from printcheck.report.words import measured as say_measured
from printcheck.report.words.content import Section
from printcheck.report.words.quantities import distance

MOST_BYTES = 950_000  # of all JPEGs together: a page stays below 1.5 MB, base64 adding a third
LIGHTER = 0.85  # of each side and step, until the pictures fit


@dataclass(frozen=True)
class Figure:
    """A drawing and the words below it.

    A narrow one is not stretched over a wide screen; a wide one is not squeezed into a narrow screen
    but moves sideways under the finger.
    """

    drawing: Drawing
    caption: str
    narrow: bool = False
    wide: bool = False


Part = Section | Figure  # of a report, in the order it is read


def of_measured(measured: Measured, *, photo: Path | None, units: UnitSystem) -> list[Figure]:
    """Pictures of a measurement: the photo, the sizes felt, the seams."""
    picture = photo_overlay.read_photo(photo, measured.cloth)
    drawn = photo_overlay.drawing(measured, picture=picture, units=units)
    figures = [Figure(drawn, say_measured.picture_caption(measured.measurement))]
    if measured.cell is None:
        return figures
    far = measured.measurement.seams.viewing_distance_m
    held = "half a metre" if units == "metric" else "20 in"
    compared = true_scale.compared(measured.cell, units=units)
    seams = true_scale.seam_preview(measured.cell, viewing_distance_m=far)
    life = true_scale.life_size(measured.cell, units=units)
    at_life_size = "Print this page at 100 per cent and lay your hand on it; check the bar with a ruler."
    return [
        *figures,
        Figure(compared, "A hand, a shirt's yoke and a cushion, all to one scale."),
        Figure(seams, f"Printed and held at {held}, it looks as the seam does from {distance(far, units)}."),
        Figure(life, at_life_size, narrow=True),
    ]


def of_planned(planned: Planned, *, units: UnitSystem) -> list[Figure]:
    """Picture of a plan: its cutting layout."""
    drawn = layout_file.drawing(planned, units=units, upright=True)
    return [Figure(drawn, f"{drawn.said} Both points of a seam bear the same number.", wide=True)]


def light_enough(parts: list[Part], most: int = MOST_BYTES) -> list[Part]:
    """The same parts with their pictures reduced until they fit a page together."""
    while sum(_weight(part.drawing) for part in parts if isinstance(part, Figure)) > most:
        parts = [
            replace(part, drawing=_lighter(part.drawing)) if isinstance(part, Figure) else part
            for part in parts
        ]
    return parts


def _weight(drawing: Drawing) -> int:
    return sum(len(encoded(item)) for item in drawing.items if isinstance(item, Raster))


def _lighter(drawing: Drawing) -> Drawing:
    return replace(drawing, items=tuple(_smaller(i) if isinstance(i, Raster) else i for i in drawing.items))


def _smaller(raster: Raster) -> Raster:
    import cv2
    import numpy as np

    rows, columns = (max(1, round(side * LIGHTER)) for side in raster.bgr.shape[:2])
    bgr = cv2.resize(raster.bgr, (columns, rows), interpolation=cv2.INTER_AREA)
    return replace(raster, bgr=np.asarray(bgr, np.uint8))
