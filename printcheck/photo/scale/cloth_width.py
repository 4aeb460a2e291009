"""Scale from the cloth's own width: both its edges found as straight lines against what lies beside it.

What lies beside the cloth is known from the outermost strip at each side of the photo. In every row the
cloth begins where the colour leaves that strip's for good; a straight line is fitted through these places.
The strip's colours must not come again between the two lines: a photo that the cloth fills would show a
stripe's own side as its edge.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.handover import Floats, Picture
from printcheck.core.request import ClothWidth
from printcheck.photo.scale.sighting import Sighting, to_photo_px, untilted

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Lab = NDArray[np.float32]

WORKING_PX = 800  # width looked at: edges to a thousandth of the cloth's width after the fit
STRIP = 0.015  # of the width, at each side: taken for what lies beside the cloth
LEFT_BEHIND = 12.0  # CIELAB: a change that shading and grain beside the cloth do not make (own drawings)
RUN_PX = 4  # pixels in a row that must have left, so that no speck counts
STRAIGHT_PX = 2.0  # of the line: places further off are not on it
LEAST_ON_LINE = 0.7  # share of rows whose place lies on the line
COMES_AGAIN = 0.02  # share of the cloth that may look like what lies beside it
LEAST_WIDTH = 0.3  # of the photo's width: a narrower cloth is no whole width photographed as such
STATED_ERROR = 0.005  # share, one sigma: a width sold as 140 cm is 139 to 141; common practice


def cloth_width(request: ClothWidth, picture: Picture, *, selvedge: str = "vertical") -> Sighting:
    """Scale of ``--cloth-width``.

    Raises
    ------
    NoAnswerError
        ``no-cloth-edges`` where the two edges are not both seen.
    """
    bgr = picture.bgr if selvedge == "vertical" else np.ascontiguousarray(picture.bgr.transpose(1, 0, 2))
    shrink = min(1.0, WORKING_PX / bgr.shape[1])
    size = (round(bgr.shape[1] * shrink), max(1, round(bgr.shape[0] * shrink)))
    lab = _lab(np.asarray(cv2.resize(bgr, size, interpolation=cv2.INTER_AREA), np.uint8))
    found = _edges(lab)
    if found is None:
        raise NoAnswerError(
            "no-cloth-edges",
            f"{picture.facts.file}: the two edges of the cloth were not both found.",
            "Lay the cloth on something of another colour, with some of it in view at both sides, and "
            "photograph it from straight above.",
        )
    height, width = lab.shape[:2]
    top, bottom = (np.array([line[0] + line[1] * y for line in found]) for y in (0.0, height - 1.0))
    wide = (top[1] - top[0] + bottom[1] - bottom[0]) / 2
    lean = math.atan((found[0][1] + found[1][1]) / 2)
    across_px = wide * math.cos(lean) * bgr.shape[1] / width * picture.reduction
    narrowing = abs(float((top[1] - top[0]) - (bottom[1] - bottom[0]))) / float(wide)
    error = math.hypot(STATED_ERROR, narrowing / 4)
    corners = np.array([[top[0], 0], [top[1], 0], [bottom[1], height - 1], [bottom[0], height - 1]])
    sides = [
        np.array([[0, 0], [top[0], 0], [bottom[0], height - 1], [0, height - 1]]),
        np.array([[top[1], 0], [width - 1, 0], [width - 1, height - 1], [bottom[1], height - 1]]),
    ]

    def in_photo(points: Floats) -> Floats:
        full = (points + 0.5) / shrink - 0.5
        return to_photo_px(full if selvedge == "vertical" else full[:, ::-1], picture)

    return Sighting(
        "span",
        f"the cloth's width, stated as {request.width_mm:g} mm",
        untilted(request.width_mm / float(across_px)),
        error,
        outline_px=in_photo(corners),
        hidden_px=tuple(in_photo(side) for side in sides),
        findings=(finding("scale-tilt-unknown", what="the width of the cloth", percent=100 * error),),
    )


def _lab(bgr: NDArray[np.uint8]) -> Lab:
    return np.asarray(cv2.cvtColor(bgr.astype(np.float32) / 255, cv2.COLOR_BGR2Lab), np.float32)


def _edges(lab: Lab) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Place at the top row and lean of the left and the right edge; None where they are not both seen."""
    right_lab = np.ascontiguousarray(lab[:, ::-1])
    left, mirrored = _edge(lab), _edge(right_lab)
    if left is None or mirrored is None:
        return None
    width = lab.shape[1]
    right = (width - 1 - mirrored[0], -mirrored[1])
    rows = np.arange(len(lab))
    first, last = left[0] + left[1] * rows, right[0] + right[1] * rows
    if float((last - first).min()) < LEAST_WIDTH * width:
        return None
    columns = np.arange(width)
    inside = (columns > first[:, None] + STRAIGHT_PX) & (columns < last[:, None] - STRAIGHT_PX)
    for beside in (_beside(lab), _beside(right_lab)):
        if float((_away(lab, beside)[inside] < LEFT_BEHIND).mean()) > COMES_AGAIN:
            return None
    return left, right


def _beside(lab: Lab) -> Lab:
    """Colour of the outermost strip at the left, row by row, (H, 1, 3), smoothed down the photo."""
    strip = np.median(lab[:, : max(3, round(STRIP * lab.shape[1]))], axis=1)
    return np.asarray(cv2.GaussianBlur(strip, (1, 1 + 2 * (len(lab) // 20)), 0)[:, None], np.float32)


def _away(lab: Lab, beside: Lab) -> NDArray[np.float32]:
    return np.asarray(np.linalg.norm(lab - beside, axis=2), np.float32)


def _edge(lab: Lab) -> tuple[float, float] | None:
    """Place at the top row and lean, in pixels and pixels a row, of the left edge."""
    away = _away(lab, _beside(lab)) > LEFT_BEHIND
    run = cv2.erode(away.astype(np.uint8), np.ones((1, RUN_PX), np.uint8), anchor=(0, 0)).astype(bool)
    seen = run.any(axis=1)
    rows = np.flatnonzero(seen)
    if len(rows) < LEAST_ON_LINE * len(lab):
        return None
    places = run[seen].argmax(axis=1).astype(float)
    line = _line(rows.astype(float), places)
    on = np.abs(places - line[0] - line[1] * rows) <= STRAIGHT_PX
    if on.sum() < LEAST_ON_LINE * len(lab) or places[on].min() < STRIP * lab.shape[1]:
        return None
    lean, start = np.polyfit(rows[on], places[on], 1)
    return float(start) - 0.5, float(lean)  # the edge lies before the first pixel that shows the cloth


def _line(rows: Floats, places: Floats) -> tuple[float, float]:
    """Median of slopes between far rows, and of what is left (Theil and Sen)."""
    half = len(rows) // 2
    lean = float(np.median((places[half : 2 * half] - places[:half]) / (rows[half : 2 * half] - rows[:half])))
    return float(np.median(places - lean * rows)), lean
