"""The trade's rule of thumb, worked out for the same project, to stand beside the computed length."""

from __future__ import annotations

import math

from printcheck.core.plan import CutLayout, RuleOfThumb
from printcheck.cutting.demand.demands import Demand

ROUNDING = 1e-6  # mm, and lengths


def rule_of_thumb(demand: Demand, plain: CutLayout) -> RuleOfThumb:
    """Return one extra repeat for each length cut, "often" enough (Lancaster Farming, 17 August 1968, p. 15).

    A length cut is a place in the longest column of matched pieces lying one below another in the plain
    layout; there are never more than times the longest piece goes into it.
    """
    repeat = None if demand.steps is None else demand.steps.row_mm
    tied = {n for tie in demand.ties if tie.seam is not None for n in (tie.first, tie.second)}
    if not tied or repeat is None:
        return RuleOfThumb(0.0, None if repeat is None else 0)
    longest = max(part.length_mm for part in demand.parts)
    lengths = min(_deepest(demand, plain, tied), math.ceil(plain.length_mm / longest - ROUNDING))
    return RuleOfThumb(lengths * repeat, lengths)


def _deepest(demand: Demand, plain: CutLayout, tied: set[int]) -> int:
    """Most matched pieces that lie one below another."""
    deep: dict[int, int] = {}
    for n in sorted(tied, key=lambda n: plain.placements[n].y_mm):
        part, spot = demand.parts[n], plain.placements[n]
        above = [
            deep[m]
            for m in deep
            if plain.placements[m].y_mm + demand.parts[m].length_mm <= spot.y_mm + ROUNDING
            and plain.placements[m].x_mm < spot.x_mm + part.width_mm
            and spot.x_mm < plain.placements[m].x_mm + demand.parts[m].width_mm
        ]
        deep[n] = 1 + max(above, default=0)
    return max(deep.values())
