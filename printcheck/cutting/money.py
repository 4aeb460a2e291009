"""From the length on washed cloth to what the shop cuts and what it costs."""

from __future__ import annotations

import math

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, LengthPlan, Piece, Project
from printcheck.cutting.demand.demands import Part

CENTS = 2  # decimals of a price
STEP_NOISE = 1e-6  # of the shop's step: an exact multiple stays one


def to_buy_mm(cloth: Cloth, washed_mm: float) -> float:
    """Length to buy for a washed length: divided by what is left after washing, up to the shop's step.

    Examples
    --------
    >>> round(to_buy_mm(Cloth(1400, shrink_along=0.03, sold_by_mm=1), 3000))
    3093
    """
    unwashed = washed_mm / (1 - cloth.shrink_along)
    if cloth.sold_by_mm <= 0:
        return unwashed
    return math.ceil(unwashed / cloth.sold_by_mm - STEP_NOISE) * cloth.sold_by_mm


def waste_share(project: Project, buy_mm: float) -> float:
    """Share of the bought cloth that lies between the pieces, at its ends and in its selvedges."""
    cloth = project.cloth
    whole = cloth.width_mm * (1 - cloth.shrink_across) * buy_mm * (1 - cloth.shrink_along)
    return 1 - sum(area_mm2(piece) for piece in project.pieces) / whole


def area_mm2(piece: Piece | Part) -> float:
    """Area of a piece as cut.

    Examples
    --------
    >>> area_mm2(Piece("flag", 200.0, 250.0, ((100.0, 0.0), (200.0, 250.0), (0.0, 250.0))))
    25000.0
    """
    if not piece.outline:
        return piece.width_mm * piece.length_mm
    ends = zip(piece.outline, (*piece.outline[1:], piece.outline[0]), strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in ends)) / 2


def worst_to_buy_mm(plan: LengthPlan, cloth: Cloth) -> float:
    """Most that a plan can come to: it holds for every repeat within the error, and starts a row lower.

    A cutter who sees no motif at the shop's cut goes on to the next whole one, so a row of the print is
    added (common practice); what the repeat's error takes is never more than the trade's rule allows.
    """
    if plan.matched is None or plan.layout is None or not plan.print.basis_mm or not plan.seams:
        return plan.buy.advised_mm
    length, error = plan.layout.length_mm, plan.repeat_error
    rule = plan.one_way.length_mm + plan.rule_of_thumb.extra_mm
    safe = length if error is None or error.safe_mm is None else min(error.safe_mm, rule)
    row = Lattice(plan.print.basis_mm).shortest_along_axis(1) or 0.0
    longest = max(length, safe) + max(row, plan.start_allowance_mm)
    return max(plan.buy.advised_mm, to_buy_mm(cloth, longest))


def cost_of(cloth: Cloth, buy_mm: float) -> float | None:
    """Cost of a bought length, None where no price is known."""
    return None if cloth.price is None else round(buy_mm / cloth.price_per_mm * cloth.price, CENTS)
