"""The print behind a layout: as measured, or its rows and lattice points where only the repeat is known."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Bgr, MeanCell
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.measurement import Motif
from printcheck.core.plan import LengthPlan
from printcheck.report.drawing.cell_view import ClothView
from printcheck.report.drawing.primitives import FAINT, Dot, Item, Line, Point

MOST_PIXELS = 700_000  # of the print behind one layout: about 150 kB in a page
MOST_PX_MM = 1.0
FADE = 0.28  # share of the print's contrast that is kept on what is left over, so that pieces stand out
MOST_MARKS = 4000  # lattice points drawn where no cell was measured; finer prints get none
BLUR_SHARE = 1 / 16  # of the cell's side: finer detail makes no spot that is found again at a glance


@dataclass(frozen=True)
class Backdrop:
    """What is known of the print's looks: its cell and motifs as measured, or nothing."""

    cell: MeanCell | None = None
    motif: Motif | None = None

    def view(self, plan: LengthPlan) -> ClothView | None:
        """The print as it lies under a plan's layout."""
        if self.cell is None:
            return None
        shrink = (1 - plan.cloth.shrink_across, 1 - plan.cloth.shrink_along)
        return ClothView(self.cell, start_point(plan), self._chosen(plan), shrink)

    def _chosen(self, plan: LengthPlan) -> Vector:
        """Point of the cell that is looked for: the largest motif's middle, or what stands out."""
        assert self.cell is not None
        if self.motif is not None and self.motif.boxes_mm:
            left, top, width, height = max(self.motif.boxes_mm, key=lambda box: box[2] * box[3])
            return left + width / 2, top + height / 2
        return (0.0, 0.0) if plan.start is None else _standing_out(self.cell)


def start_point(plan: LengthPlan) -> Vector:
    """Where the chosen spot of the print lies on the cloth; the corner where the plan leaves that open."""
    if plan.start is None:
        return plan.figures.motif_at_mm if plan.figures else (0.0, 0.0)
    x, y = plan.start.at_mm
    return x or 0.0, y or 0.0


def _standing_out(cell: MeanCell) -> Vector:
    """Point of the cell whose blurred colour is farthest from the mean: a bar, a crossing, a spot."""
    lab = np.asarray(cell.lab, np.float32)
    tiled = np.tile(lab, (3, 3, 1))
    rows, columns = lab.shape[:2]
    soft = cv2.GaussianBlur(tiled, (0, 0), columns * BLUR_SHARE, sigmaY=rows * BLUR_SHARE)
    soft = soft[rows : 2 * rows, columns : 2 * columns]
    far = ((soft - lab.mean((0, 1))) ** 2).sum(2)
    v, u = np.unravel_index(int(np.argmax(far)), far.shape)
    x, y = (u + 0.5) / columns * cell.basis_mm[0] + (v + 0.5) / rows * cell.basis_mm[1]
    return float(x), float(y)


def printed(view: ClothView, corner: Vector, extent: Vector, rings: list[tuple[Point, ...]]) -> Bgr:
    """Picture of a stretch of cloth: the print full inside the pieces, paled on what is left over.

    ``rings`` are the outlines of the pieces on the cloth.
    """
    px_mm = min(MOST_PX_MM, math.sqrt(MOST_PIXELS / (extent[0] * extent[1])))
    bgr = view.laid(*corner, *extent, 1 / px_mm)
    pale = (255 - FADE * (255.0 - bgr)).astype(np.uint8)
    inside = np.zeros(bgr.shape[:2], np.uint8)
    scale = np.array([bgr.shape[1] / extent[0], bgr.shape[0] / extent[1]])
    for ring in rings:
        points = (np.array(ring) - corner) * scale
        cv2.fillPoly(inside, [points.round().astype(np.int32)], 1)
    return np.where(inside[..., None] > 0, bgr, pale).astype(np.uint8)


def marks(plan: LengthPlan, span: Vector, letter: float, at: Point) -> list[Item]:
    """Rows and lattice points on the cloth from ``span[0]`` to ``span[1]`` mm along, its corner at ``at``."""
    basis, width = plan.print.basis_mm, plan.cloth.usable_width_mm
    if not basis:
        return []
    start, (low, high) = start_point(plan), span
    items: list[Item] = []
    rows = Lattice(basis).shortest_along_axis(1)
    if rows is not None and (high - low) / rows < MOST_MARKS / 40:
        first = math.ceil((low - start[1]) / rows)
        ys = [start[1] + k * rows for k in range(first, first + int((high - low) / rows) + 2)]
        items += [
            Line(((at[0], at[1] + y - low), (at[0] + width, at[1] + y - low)), FAINT, letter / 14)
            for y in ys
            if low <= y <= high
        ]
    points = lattice_points(basis, (start[0], start[1] - low), (width, high - low))
    return items + [Dot((at[0] + x, at[1] + y), letter / 6, "#a8a8a8") for x, y in points]


def lattice_points(basis: tuple[Vector, ...], start: Vector, extent: Vector) -> list[Point]:
    """Lattice points in a box from the origin; none of a stripe, or of a print too fine to be drawn."""
    if len(basis) < 2:
        return []
    lattice = Lattice(basis).reduced()
    if extent[0] * extent[1] / lattice.area_mm2 > MOST_MARKS:
        return []
    return list(lattice.points_in((0.0, 0.0), extent, start))
