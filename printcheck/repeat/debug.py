"""Debug pictures: what the search saw, so that a person can see why it chose."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np

from printcheck.core.handover import FlatCloth, PrintLattice, Working
from printcheck.repeat.arrays import Bgr, Vectors
from printcheck.repeat.part.extent import steps_of
from printcheck.repeat.surface.candidates import Peaks
from printcheck.repeat.surface.correlation import Surface
from printcheck.repeat.surface.illumination import View

MOST_PEAKS = 30
CELL_BGR = (40, 40, 230)
SMALL_DOT = 3  # pixels
LONGEST_SIDE_PX = 1200  # of the picture with the cells
MOST_CELLS = 40  # each way from the middle


def show(
    working: Callable[[Working], None],
    cloth: FlatCloth,
    view: View,
    surface: Surface,
    peaks: Peaks,
    answer: PrintLattice,
) -> None:
    """Hand on three pictures: the cloth in even light, the correlation with its peaks, the cells."""
    working(Working("repeat-1-even-light", _even_light(view)))
    working(Working("repeat-2-correlation", _correlation(surface, peaks)))
    working(Working("repeat-3-cells", _cells(cloth, answer)))


def _even_light(view: View) -> Bgr:
    lab = np.clip(view.lab + view.mean, (0, -127, -127), (100, 127, 127)).astype(np.float32)
    return np.asarray(np.clip(cv2.cvtColor(lab, cv2.COLOR_LAB2BGR) * 255, 0, 255), dtype=np.uint8)


def _correlation(surface: Surface, peaks: Peaks) -> Bgr:
    grey = np.clip(surface.values * 255, 0, 255).astype(np.uint8)
    picture = np.asarray(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR), dtype=np.uint8)
    for shift in peaks.shifts[:MOST_PEAKS]:
        at = np.round(shift + surface.reach).astype(int)
        cv2.circle(picture, (int(at[0]), int(at[1])), SMALL_DOT, CELL_BGR, 1, cv2.LINE_AA)
    return picture


def _cells(cloth: FlatCloth, answer: PrintLattice) -> Bgr:
    scale = min(1.0, LONGEST_SIDE_PX / max(cloth.bgr.shape[:2]))
    seen = np.where(cloth.mask[..., None], cloth.bgr, cloth.bgr // 3)
    picture = np.asarray(
        cv2.resize(seen, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), dtype=np.uint8
    )
    if len(answer.basis_px):
        for start, end in _lines(answer, steps_of(answer)):
            ends = [tuple(int(v) for v in np.round(point * scale * 16)) for point in (start, end)]
            cv2.line(picture, ends[0], ends[1], CELL_BGR, 1, cv2.LINE_AA, 4)
    return picture


def _lines(answer: PrintLattice, basis: Vectors) -> list[tuple[Vectors, Vectors]]:
    """Lines through the nodes: along the second vector, and for a lattice along the first as well."""
    both = [(basis[0], basis[1] * MOST_CELLS), (basis[1], basis[0] * MOST_CELLS)]
    steps = range(-MOST_CELLS, MOST_CELLS + 1)
    return [
        (answer.origin_px + n * step - reach, answer.origin_px + n * step + reach)
        for step, reach in both[: len(answer.basis_px)]
        for n in steps
    ]
