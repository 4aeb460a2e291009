"""Two panels joined at a seam, matched and not, as they look from the viewing distance."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.handover import Floats, MeanCell
from printcheck.core.lattice import Vector
from printcheck.report.drawing.cell_view import ClothView
from printcheck.report.drawing.primitives import GREY, Drawing, Item, Label, Line, Point, Raster

PAGE_MM = 180.0  # width that A4 and US Letter both print inside their margins
READING_M = 0.5  # metres: how far a page is held from the eye, common practice
HEIGHT_SHARE = 0.24  # of its width: a strip of seam, so that three fit on a page
LETTER_SHARE = 0.034  # of the width
PIXELS = 900  # across a strip: sharp across a page or a screen
COARSE_CELLS = 64  # samples along each side of the cell in the search for unlucky shifts
NEAR_MATCH_MM = 2.0  # shifts this close to a match are matches to the eye (study of seams)


def drawing(cell: MeanCell, *, viewing_distance_m: float) -> Drawing:
    """Two panels joined at a seam three times: matched, rows level only, and at an unlucky shift.

    Held at half a metre, the printed page looks as the seam does from the viewing distance.
    """
    reduction = max(1.0, viewing_distance_m / READING_M)
    width = PAGE_MM * reduction
    height, letter = HEIGHT_SHARE * width, LETTER_SHARE * width
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


def unlucky_shifts(cell: MeanCell) -> tuple[Vector, Vector]:
    """Shift that shows most at a seam, and the one that shows most while the rows stay level; mm.

    From the cell's structure function: twice the variance less the autocovariance, over L, a and b.
    """
    lab = cv2.resize(
        np.asarray(cell.lab, np.float32), (COARSE_CELLS, COARSE_CELLS), interpolation=cv2.INTER_AREA
    )
    spectrum = np.fft.fft2(lab - lab.mean((0, 1)), axes=(0, 1))
    likeness = np.fft.ifft2((np.abs(spectrum) ** 2).sum(2)).real / COARSE_CELLS**2
    difference = 2 * (likeness[0, 0] - likeness)
    share = np.fft.fftfreq(COARSE_CELLS)
    v, u = np.meshgrid(share, share, indexing="ij")
    shifts = u[..., None] * cell.basis_mm[0] + v[..., None] * cell.basis_mm[1]
    worst = shifts.reshape(-1, 2)[int(np.argmax(difference))]
    return (float(worst[0]), float(worst[1])), (_worst_across(cell, difference), 0.0)


def _worst_across(cell: MeanCell, difference: Floats) -> float:
    """Purely crosswise shift that shows most, mm."""
    (a, b), (c, d) = cell.basis_mm
    det = a * d - b * c
    reach = max(np.hypot(a, b), np.hypot(c, d))
    across = np.arange(NEAR_MATCH_MM, max(reach, NEAR_MATCH_MM + 1), reach / (2 * COARSE_CELLS))
    u = np.round(across * d / det * COARSE_CELLS).astype(int) % COARSE_CELLS
    v = np.round(-across * b / det * COARSE_CELLS).astype(int) % COARSE_CELLS
    return float(across[int(np.argmax(difference[v, u]))])


def _seam(cell: MeanCell, shift: Point, top: float, extent: tuple[float, float], letter: float) -> list[Item]:
    width, height = extent
    mm_per_px = width / PIXELS
    left_half = ClothView(cell).laid(0, 0, width / 2, height, mm_per_px)
    right_half = ClothView(cell, cell_mm=shift).laid(width / 2, 0, width / 2, height, mm_per_px)
    joined = np.ascontiguousarray(np.hstack([left_half, right_half]))
    middle = width / 2
    marks = [
        Line(((middle, y), (middle, y + 0.35 * letter)), GREY, letter / 12)
        for y in (top - 0.35 * letter, top + height)
    ]
    return [Raster((0, top, width, height), joined), *marks]
