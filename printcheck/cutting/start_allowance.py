"""Where the shop's cut falls: what a layout that is tied to the print itself loses at its start.

A seam only asks that two points lie alike on the print, so a layout of seams may begin anywhere. A point
put on a motif asks for the motif, and the cloth is cut at the shop's end, not at the motif: the layout
slides down, and aside where there is room, until its points meet the print.
"""

from __future__ import annotations

from itertools import pairwise

from printcheck.core.lattice import Lattice
from printcheck.core.plan import CutLayout
from printcheck.cutting.demand.demands import Demand
from printcheck.cutting.shape.box_points import points_within


def start_allowance_mm(demand: Demand, layout: CutLayout, lattice: Lattice, *, columns_known: bool) -> float:
    """Length lost at the start at worst, mm of washed cloth: the widest gap between rows that will do.

    Parameters
    ----------
    demand : Demand
        Parts and width.
    layout : CutLayout
        Layout whose points lie on the print.
    lattice : Lattice
        The print on washed cloth.
    columns_known : bool
        Whether the layout's place across is that of the print. Otherwise up to one column of its room
        is taken by moving it there, and only what is left helps to find a nearer row.

    Examples
    --------
    A half-drop of columns 16 apart offers a row every half repeat to a layout that can move aside.

    >>> from printcheck.core.plan import Placement
    >>> from printcheck.cutting.demand.demands import Part
    >>> demand = Demand("matched", (Part("front", 480.0, 480.0),), 1400.0)
    >>> layout = CutLayout(480.0, 480.0, True, 0.0, (Placement("front", 0.0, 0.0),))
    >>> half_drop = Lattice.of_steps(160.0, 640.0, 0.5)
    >>> start_allowance_mm(demand, layout, half_drop, columns_known=False)
    320.0
    """
    row = lattice.shortest_along_axis(1)
    if lattice.is_stripe or row is None:
        return row or 0.0
    left, right = room_across_mm(demand, layout)
    if not columns_known:  # wherever it comes to lie, this much is left on one side or the other
        left, right = 0.0, max(0.0, left + right - (lattice.column_mm or 0.0))
    _, points = points_within(lattice.basis_mm, (-left, 0.0), (right, row))
    rows = sorted({round(float(y), 6) for _, y in points} | {0.0, row})
    return max(low - high for high, low in pairwise(rows))


def room_across_mm(demand: Demand, layout: CutLayout) -> tuple[float, float]:
    """Room of the whole layout towards the left and the right edge of the usable width.

    A border print has its pieces against the border, where they stay.
    """
    if any(part.crosswise for part in demand.parts):
        return 0.0, 0.0
    spots = layout.placements
    ends = (s.x_mm + part.width_mm for s, part in zip(spots, demand.parts, strict=True))
    return min(s.x_mm for s in spots), demand.width_mm - max(ends)
