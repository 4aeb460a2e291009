"""From the length on washed cloth to what the shop cuts and what it costs."""

from __future__ import annotations

import math

from printcheck.core.plan import Buy, Cloth

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


def buy_of(
    cloth: Cloth, plain_mm: float, one_way_mm: float, matched_mm: float | None, allowance_mm: float = 0.0
) -> Buy:
    """Return what to buy for the three washed lengths; the allowance is for matched cloth alone."""
    plain, one_way = to_buy_mm(cloth, plain_mm), to_buy_mm(cloth, one_way_mm)
    matched = None if matched_mm is None else to_buy_mm(cloth, matched_mm + allowance_mm)
    return Buy(
        plain,
        one_way,
        matched,
        cost_of(cloth, plain),
        cost_of(cloth, one_way),
        None if matched is None else cost_of(cloth, matched),
        cloth.currency,
        allowance_mm,
    )
