"""The trade's rule of thumb, worked out for the same project, to stand beside the computed length."""

from __future__ import annotations

from printcheck.core.plan import CutLayout, RuleOfThumb
from printcheck.cutting.demand.demands import Demand, Demands

SOURCE = "Lancaster Farming, 17 August 1968, p. 15"
NONE_TEXT = "The print has no repeat along the cloth, so the rule of thumb adds nothing."


def rule_of_thumb(demands: Demands, plain: CutLayout) -> RuleOfThumb:
    """Return one extra repeat for each length cut, "often" enough says the source.

    A length cut is a place in the longest column of pieces lying one below another in the plain layout.
    The text holds no length: whoever tells it in other units would round a rounded one.
    """
    demand = demands.matched or demands.plain
    repeat = None if demand.steps is None else demand.steps.row_mm
    if repeat is None or not demand.ties:
        return RuleOfThumb(0.0, NONE_TEXT if repeat is None else "No seam is to be matched.")
    lengths = _lengths_cut(demand, plain)
    each = "the one length cut" if lengths == 1 else f"each of {lengths} lengths cut"
    return RuleOfThumb(lengths * repeat, f"One more repeat for {each} ({SOURCE}).")


def _lengths_cut(demand: Demand, plain: CutLayout) -> int:
    parts = {part.name: part for part in demand.parts}
    deep: dict[str, int] = {}
    for spot in sorted(plain.placements, key=lambda s: s.y_mm):
        part = parts[spot.piece]
        above = [
            other
            for other in plain.placements
            if other.piece in deep
            and other.y_mm + parts[other.piece].length_mm <= spot.y_mm + 1e-6
            and other.x_mm < spot.x_mm + part.width_mm
            and spot.x_mm < other.x_mm + parts[other.piece].width_mm
        ]
        deep[spot.piece] = 1 + max((deep[other.piece] for other in above), default=0)
    return max(deep.values())
