"""From the length on washed cloth to what the shop cuts and what it costs."""

from __future__ import annotations

import math

from printcheck.core.plan import Cloth

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


def cost_of(cloth: Cloth, buy_mm: float) -> float | None:
    """Cost of a bought length, None where no price is known."""
    return None if cloth.price is None else round(buy_mm / cloth.price_per_mm * cloth.price, CENTS)
