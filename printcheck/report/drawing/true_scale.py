"""The print beside things everyone knows the size of, and seams matched and not, drawn to scale."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.handover import Bgr, MeanCell
from printcheck.core.units import INCH_MM, UnitSystem
from printcheck.report.drawing.cell_view import ClothView, unlucky_shifts
from printcheck.report.drawing.primitives import (
    GREY,
    INK,
    OUTLINES,
    Drawing,
    Item,
    Label,
    Line,
    Point,
    Raster,
    box_of,
    box_points,
)
from printcheck.report.words.quantities import size

PAGE_MM = 180.0  # width that A4 and US Letter both print inside their margins
LIFE_SIZE_MM = (PAGE_MM, 225.0)  # height fits US Letter with a heading
FINE_PX_MM, COARSE_PX_MM = 4.0, 1.2  # picture pixels to a millimetre of cloth
GAP_MM = 40.0  # between the things compared
READING_M = 0.5  # metres: how far a page is held from the eye, common practice
SEAM_HEIGHT_SHARE = (
    0.24  # of its width: a strip of seam, so that three fit on a page below the things compared
)
SEAM_LETTER_SHARE = 0.034
CUSHION_MM = 450.0


def life_size(cell: MeanCell, *, units: UnitSystem) -> Drawing:
    """The print at true size on a sheet of paper, with the outline of a hand laid on it."""
    width, height = LIFE_SIZE_MM
    hand = hand_outline(width / 2 + 8, height - 18)
    items: list[Item] = [
        _cloth(cell, 0, 0, width, height, FINE_PX_MM),
        Line(hand, "#ffffff", 1.1, closed=True, fill="#ffffff", opacity=0.25, halo=INK),
        *_ruler(8, height - 8, units),
    ]
    return Drawing(
        width, height, tuple(items), "The print at true size, with a hand",
        "Printed at 100 per cent, the print and the hand have their true size.", width,
    )  # fmt: skip


def compared(cell: MeanCell, *, units: UnitSystem) -> Drawing:
    """A hand, a yoke and a cushion to one scale, with the print on them."""
    letter, base = 40.0, CUSHION_MM + 10
    hand_left, yoke_left = 20.0, 240.0
    cushion_left = yoke_left + 400 + GAP_MM
    width = cushion_left + CUSHION_MM + 10
    yoke = tuple((x + yoke_left, y + base - 175.0) for x, y in OUTLINES["yoke"])
    square = box_points(cushion_left, 10, CUSHION_MM, CUSHION_MM)
    hand_box = box_points(hand_left, base - 235, 180, 235)
    items: list[Item] = []
    for outline in (hand_box, yoke, square):
        items.append(_cut_out(cell, outline))
        items.append(Line(outline, INK, 2.5, closed=True))
    hand = hand_outline(hand_left + 98, base - 22)
    items.append(Line(hand, "#ffffff", 3, closed=True, fill="#ffffff", opacity=0.3, halo=INK))
    names = (
        (hand_left + 90, "hand", size(185, units)),
        (yoke_left + 200, "yoke", size(400, units)),
        (cushion_left + 225, "cushion", size(CUSHION_MM, units)),
    )
    for x, name, extent in names:
        items.append(Label((x, base + 1.3 * letter), name, letter, "middle", bold=True))
        items.append(Label((x, base + 2.5 * letter), extent, letter, "middle"))
    said = "The print on a patch under a hand, on a shirt's yoke and on a cushion, all to one scale."
    return Drawing(width, base + 3.2 * letter, tuple(items), "How large the print looks", said, PAGE_MM)


def seam_preview(cell: MeanCell, *, viewing_distance_m: float) -> Drawing:
    """Two panels joined at a seam three times: matched, rows level only, and at an unlucky shift.

    Held at half a metre, the printed page looks as the seam does from the viewing distance.
    """
    reduction = max(1.0, viewing_distance_m / READING_M)
    width = PAGE_MM * reduction
    height, letter = SEAM_HEIGHT_SHARE * width, SEAM_LETTER_SHARE * width
    unlucky, level = unlucky_shifts(cell)
    strips = (
        ("Matched: the print runs on", (0.0, 0.0)),
        ("Rows level, columns as they fall", level),
        ("Not matched, at an unlucky place", unlucky),
    )
    items: list[Item] = []
    top = 0.0
    for text, shift in strips:
        items.append(Label((0, top + 1.1 * letter), text, letter))
        top += 1.5 * letter
        items += _seam(cell, shift, top, (width, height), letter)
        top += height + letter
    told = "; ".join(text for text, _ in strips)
    said = f"Two panels of the print joined by an upright seam, three times: {told}."
    return Drawing(width, top, tuple(items), "What a seam looks like", said, PAGE_MM)


def hand_outline(x: float, y: float) -> tuple[Point, ...]:
    """Outline of a hand whose wrist's middle lies at (x, y), fingers up; mm."""
    fine, left, high = 4, 90, 200  # samples to a mm; room left of and above the wrist's middle
    mask = np.zeros((fine * (high + 30), fine * 2 * left), np.uint8)
    for start, end, radius in OUTLINES["hand"]:
        a, b = ((round(fine * (px + left)), round(fine * (high - py))) for px, py in (start, end))
        cv2.line(mask, a, b, 255, round(2 * fine * radius), cv2.LINE_AA)
        for centre in (a, b):
            cv2.circle(mask, centre, round(fine * radius), 255, -1)
    mask[fine * high :] = 0  # a straight wrist
    web = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (4 * fine + 1, 4 * fine + 1))
    mask = np.asarray(cv2.morphologyEx(mask, cv2.MORPH_CLOSE, web), np.uint8)
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = max(contours, key=cv2.contourArea)
    smooth = cv2.approxPolyDP(largest, 0.25 * fine, True)[:, 0]
    return tuple((float(px) / fine - left + x, float(py) / fine - high + y) for px, py in smooth)


def _cloth(cell: MeanCell, left: float, top: float, width: float, height: float, px_mm: float) -> Raster:
    return Raster((left, top, width, height), ClothView(cell).laid(left, top, width, height, 1 / px_mm))


def _cut_out(cell: MeanCell, outline: tuple[Point, ...]) -> Raster:
    """The print inside an outline, white outside."""
    left, top, right, bottom = box_of(outline)
    width, height = right - left, bottom - top
    bgr: Bgr = ClothView(cell).laid(left, top, width, height, 1 / COARSE_PX_MM)
    outside = np.full(bgr.shape[:2], 255, np.uint8)
    scaled = np.array([((x - left) * COARSE_PX_MM, (y - top) * COARSE_PX_MM) for x, y in outline])
    cv2.fillPoly(outside, [scaled.round().astype(np.int32)], 0)
    bgr[outside > 0] = 255
    return Raster((left, top, width, height), bgr)


def _seam(cell: MeanCell, shift: Point, top: float, extent: tuple[float, float], letter: float) -> list[Item]:
    width, height = extent
    px_mm = 900 / width  # pixels to a mm of cloth: sharp across a page or a screen
    left_half = ClothView(cell).laid(0, 0, width / 2, height, 1 / px_mm)
    right_half = ClothView(cell, cell_mm=shift).laid(width / 2, 0, width / 2, height, 1 / px_mm)
    joined = np.ascontiguousarray(np.hstack([left_half, right_half]))
    middle = width / 2
    marks = [
        Line(((middle, y), (middle, y + 0.35 * letter)), GREY, letter / 12)
        for y in (top - 0.35 * letter, top + height)
    ]
    return [Raster((0, top, width, height), joined), *marks]


def _ruler(x: float, y: float, units: UnitSystem) -> list[Item]:
    length = 4 * INCH_MM if units == "imperial" else 100.0
    steps = 4 if units == "imperial" else 10
    items: list[Item] = [Line(box_points(x - 2, y - 7, length + 22, 10), None, closed=True, fill="#ffffff")]
    for k in range(steps):
        part = box_points(x + length * k / steps, y - 2.5, length / steps, 3)
        items.append(Line(part, INK, 0.3, closed=True, fill=INK if k % 2 == 0 else "#ffffff"))
    items.append(Label((x + length + 2, y + 0.5), "4 in" if units == "imperial" else "10 cm", 6.4))
    return items
