"""Repeats of the flat picture as they are seen in the photo."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import FlatCloth, Floats, PrintLattice
from printcheck.photo.flatten import jacobian

if TYPE_CHECKING:
    from printcheck.core.lattice import Vector
    from printcheck.core.measurement import Repeat


def in_photo_px(cloth: FlatCloth, vectors_px: Floats) -> Floats:
    """Photo pixels of vectors of the flat picture, at the photo's middle.

    Parameters
    ----------
    cloth : FlatCloth
    vectors_px : (n, 2) float64
        In flat pixels, x to the right, y down.

    Returns
    -------
    (n, 2) float64
        In photo pixels, x to the right, y down. A tilted photo shows them otherwise elsewhere.
    """
    middle = np.array([(cloth.photo.width_px - 1) / 2, (cloth.photo.height_px - 1) / 2, 1.0])
    flat = np.linalg.inv(cloth.to_photo) @ middle
    at = (float(flat[0] / flat[2]), float(flat[1] / flat[2]))
    return np.asarray(np.asarray(vectors_px, float).reshape(-1, 2) @ jacobian(cloth.to_photo, at).T)


def repeat_in_photo(cloth: FlatCloth, lattice: PrintLattice) -> Repeat:
    """The repeat with its sizes in photo pixels beside those in millimetres."""
    repeat, turn = lattice.repeat, lattice.turn_rad
    across, along = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))

    def length_px(mm: float | None, way: Vector) -> float | None:
        if mm is None:
            return None
        return float(np.hypot(*in_photo_px(cloth, np.array(way) * mm / cloth.mm_per_px)[0]))

    seen = in_photo_px(cloth, lattice.basis_px)
    return replace(
        repeat,
        across_px=length_px(repeat.across_mm, across),
        along_px=length_px(repeat.along_mm, along),
        basis_px=tuple((float(x), float(y)) for x, y in seen),
    )
