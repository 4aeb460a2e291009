"""What a print that lies off square to the selvedge (skew, as ASTM D3882 has it) does to a layout.

Lengths are those of the print as meant. On cloth that is not pulled straight, a seam whose two points lie
some way apart across the cloth misses by that way times the slope of the printed rows.
"""

from __future__ import annotations

import math

from printcheck.core.findings import Finding, finding
from printcheck.core.plan import MATCH_TOLERANCE_MM, Cloth, CutLayout, Print
from printcheck.cutting.demand.demands import Demand, Tie


def off_grain(demand: Demand, layout: CutLayout, print_: Print, cloth: Cloth) -> tuple[Finding, ...]:
    """Say what the skew costs at the seam it hurts most; nothing where every match still holds.

    Parameters
    ----------
    demand : Demand
        The matched demand; its ties name the seams.
    layout : CutLayout
        Its layout, on washed cloth.
    print_, cloth : Print, Cloth
        Print as sold, with its skew, and the cloth, which washing makes another slope of.
    """
    slope = abs(math.tan(math.radians(print_.skew_deg)))
    slope *= (1 - cloth.shrink_along) / (1 - cloth.shrink_across)
    rows = [tie for tie in demand.ties if tie.seam is not None and tie.axes.along]
    if not rows:
        return ()
    worst = max(rows, key=lambda tie: _across_mm(demand, layout, tie))
    miss = slope * _across_mm(demand, layout, worst)
    if miss <= MATCH_TOLERANCE_MM:
        return ()
    return (
        finding(
            "cloth-off-grain",
            degrees=abs(print_.skew_deg),
            lean_mm=slope * demand.width_mm,
            first=demand.parts[worst.first].name,
            second=demand.parts[worst.second].name,
            miss_mm=miss,
        ),
    )


def _across_mm(demand: Demand, layout: CutLayout, tie: Tie) -> float:
    """How far apart across the cloth the two points of a seam lie."""
    first, second = (
        layout.placements[n].x_mm + demand.parts[n].point(at, layout.placements[n].turned)[0]
        for n, at in ((tie.first, tie.at_first), (tie.second, tie.at_second))
    )
    return abs(first - second)
