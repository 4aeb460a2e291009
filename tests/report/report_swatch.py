"""A drawn swatch and all that a measured photo holds of it, made without the picture stages."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from printcheck.core.handover import FlatCloth, MeanCell, PrintLattice
from printcheck.core.measurement import Measurement, PhotoFacts
from printcheck.report.drawing.cell_view import ClothView
from tests.report import report_given as given

MM_PER_PX = 0.5
CELL_PX = 240  # both sides of the drawn cell


@dataclass(frozen=True)
class Photo:
    """The fields of a measured photo, as the writers expect them."""

    measurement: Measurement
    cloth: FlatCloth
    lattice: PrintLattice
    cell: MeanCell | None


def cell(basis_mm: tuple = ((120.2, 156.3), (0.0, 312.6))) -> MeanCell:
    """Cream ground with a red flower, its leaf and a small blue dot."""
    bgr = np.full((CELL_PX, CELL_PX, 3), (205, 232, 240), np.uint8)
    cv2.ellipse(bgr, (70, 80), (40, 26), 20, 0, 360, (50, 40, 190), -1, cv2.LINE_AA)
    cv2.ellipse(bgr, (70, 130), (10, 34), 0, 0, 360, (60, 130, 60), -1, cv2.LINE_AA)
    cv2.circle(bgr, (180, 190), 16, (170, 80, 40), -1, cv2.LINE_AA)
    lab = cv2.cvtColor(bgr.astype(np.float32) / 255, cv2.COLOR_BGR2LAB)
    return MeanCell(lab, np.array(basis_mm), 0.97, 3.0)


def photo(m: Measurement | None = None, tilt: float = 2e-4) -> tuple[Photo, np.ndarray]:
    """A photo 900 by 700 of the swatch seen at a slant, and what was measured of it."""
    m = m or given.flowers()
    printed = cell()
    origin, (width, height) = np.array([440.0, 330.0]), (880, 660)
    view = ClothView(printed, anchor_mm=(origin[0] * MM_PER_PX, origin[1] * MM_PER_PX))
    flat = view.laid(0, 0, width * MM_PER_PX, height * MM_PER_PX, MM_PER_PX)
    to_photo = np.array([[1.0, 0.03, 8.0], [-0.02, 1.0, 30.0], [tilt, 0.0, 1.0]])
    bgr = cv2.warpPerspective(flat, to_photo, (900, 700), borderValue=(90, 90, 90))
    card = np.array([[60, 60], [231, 66], [227, 174], [56, 168]], float)
    cv2.fillPoly(bgr, [card.astype(np.int32)], (230, 230, 230), cv2.LINE_AA)
    m = replace(m, photo=PhotoFacts(m.photo.file, 900, 700))
    mask = np.ones((height, width), bool)
    cloth = FlatCloth(flat, mask, MM_PER_PX, to_photo, m.photo, m.scale, card, photo_bgr=bgr)
    basis_px = np.array(m.repeat.basis_mm).reshape(-1, 2) / MM_PER_PX
    return Photo(m, cloth, PrintLattice(m.repeat, basis_px, origin), printed if len(basis_px) else None), bgr
