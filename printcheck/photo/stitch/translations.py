"""What a layout says of the repeat: two places of one photo on another differ by a vector of the lattice.

A photo may fit another elsewhere than where it lies: the print comes again there. The shift between both
places is known as well as the places are, however few repeats all photos together show.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from printcheck.core.handover import Translation
from printcheck.photo.stitch.placing import Join, Layout
from printcheck.photo.stitch.view import Matrix, moved

SAME_NOISE = 1.6  # times the joins' own residual: what is printed again leaves what one photo twice leaves
STRAY_ODD = 0.03  # share of the print, beyond the joins' own, that may look otherwise: a fold, not a motif
LEAST_SHIFT = 0.05  # of the place's own photo: a nearer place is the same one, bent


def translations_of(layout: Layout, moves: Mapping[int, Matrix], to_flat: Matrix) -> tuple[Translation, ...]:
    """Shifts of the print that the layout's other places show, in flat pixels.

    Parameters
    ----------
    layout : Layout
    moves : mapping of int to (3, 3) float64
        From each view's whole pixels to the first one's.
    to_flat : (3, 3) float64
        From those to flat pixels, a change of size and origin.

    Notes
    -----
    A place counts where what is left between the photos is no more than where one lies on the other as
    laid: of motifs that are nearly alike more is left.
    """
    joins = [join.place for join in layout.joins]
    if not joins:
        return ()
    usual = float(np.median([place.residual for place in joins]))
    odd = max(place.odd for place in joins) + STRAY_ODD
    alike = [
        join
        for join in layout.found
        if join.place.residual - join.place.scatter <= SAME_NOISE * usual and join.place.odd <= odd
    ]
    found = (_translation(join, moves, to_flat) for join in alike)
    return tuple(one for one in found if one is not None)


def _translation(join: Join, moves: Mapping[int, Matrix], to_flat: Matrix) -> Translation | None:
    """The shift from the place that the layout gives to this one; None where they are one."""
    pairs = join.place.pairs
    ends = moved(pairs[:, 1], to_flat @ moves[join.old]), moved(pairs[:, 0], to_flat @ moves[join.new])
    apart = ends[0] - ends[1]
    vector = np.median(apart, axis=0)
    side = float(np.hypot(*np.ptp(ends[1], axis=0)))
    if np.hypot(*vector) < LEAST_SHIFT * side:
        return None
    spread = float(np.median(np.abs(apart - vector).max(axis=1)))
    return Translation(np.asarray(vector, np.float64), spread)
