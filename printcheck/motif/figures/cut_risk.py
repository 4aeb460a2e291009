"""The beheading figure: how many whole figures a seam cuts, laid at random and laid best."""

from __future__ import annotations

import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.core.lattice import Lattice
from printcheck.core.measurement import FiguresAtRisk
from printcheck.motif.figures.segmentation import Separation
from printcheck.motif.way.headings import Headings

SEAM_ALLOWANCE_MM = 15.0  # common practice, 1.5 cm or 5/8 in: smaller figures vanish in the seam anyway
SHARE_OF_LARGEST = 0.25  # of the largest motif's area: smaller ones are filling, not figures
HEADED = 0.25  # share of the motifs' area with an up or a heading: dots are no figures
PLACES = 200  # seam places tried over one repeat


def figures_at_risk(cell: MeanCell, separation: Separation, headings: Headings) -> FiguresAtRisk | None:
    """Share of figures cut by a lengthwise seam; None where there are no whole figures of size.

    Notes
    -----
    Along a seam that runs lengthwise every figure passes whose box spans the seam's crosswise place,
    modulo the distance of the lattice's columns. The share cut by a seam at random is the mean over all
    places, that of the best seam the smallest; a seam hides nothing of a figure it does not cross.
    """
    motifs = separation.motifs
    if not motifs or headings.headed_area < HEADED or motifs[0].longest_mm <= SEAM_ALLOWANCE_MM:
        return None
    largest = max(m.area_mm2 for m in motifs)
    figures = [m for m in motifs if m.area_mm2 >= SHARE_OF_LARGEST * largest]
    basis = Lattice(tuple((float(a), float(b)) for a, b in cell.basis_mm))
    along = basis.shortest_along_axis(1, tolerance=0.03)
    column = basis.area_mm2 / along if along else float(np.hypot(*cell.basis_mm[0]))
    place = np.arange(PLACES) / PLACES * column
    cut = np.mean([_cut(m.box_mm[0], m.box_mm[2], place, column) for m in figures], axis=0)
    return FiguresAtRisk(float(cut.mean()), float(cut.min()))


def _cut(left: float, width: float, place: Array, column: float) -> Array:
    """Share of this figure's copies that a seam at each place cuts.

    Copies stand ``column`` apart, each in a row of its own; a seam crosses the rows in turn, and a figure
    wider than a column is cut in more than one of them.
    """
    inside = (place - left) % column
    whole, rest = divmod(width, column)
    cut: Array = np.minimum(whole + (inside < rest), 1.0)
    return cut
