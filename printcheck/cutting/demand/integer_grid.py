"""Millimetres turned into whole numbers for the solver, so that its bounds stay bounds.

Where all lengths are whole multiples of some unit, that unit is taken and nothing is lost. Otherwise
sizes and width are rounded down to a fine step: every true layout, its positions rounded down, is then
a layout on the grid, so what the grid cannot do the cloth cannot do either.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from printcheck.cutting.demand.demands import Demand

MICRONS_PER_MM = 1000
WHOLE_MM = 1e-7  # mm: a length this near to whole microns counts as whole
FINEST_EXACT_UM = 20  # micrometres: a finer common unit makes the numbers too large for quick answers
ROUNDED_UNIT_MM = 0.1  # mm: the step where lengths have no common unit


@dataclass(frozen=True)
class Grid:
    """Unit of the whole numbers; ``exact`` when every length of the demand is a multiple of it."""

    unit_mm: float
    exact: bool
    up: bool = False  # sizes rounded up: any answer holds, but its bound is none

    def size(self, mm: float) -> int:
        """Size of a part in units, rounded down (or up, for answers that must hold as they stand)."""
        if self.exact:
            return round(mm / self.unit_mm)
        noise = WHOLE_MM / self.unit_mm
        return math.ceil(mm / self.unit_mm - noise) if self.up else math.floor(mm / self.unit_mm + noise)

    def room(self, mm: float) -> int:
        """Width or length at hand in units, rounded down."""
        return math.floor(mm / self.unit_mm + WHOLE_MM / self.unit_mm)


def grid_for(demand: Demand, *, up: bool = False) -> Grid:
    """Return the coarsest grid that loses nothing, or the fine rounded one."""
    if any(tie.slack_mm > 0 for tie in demand.ties):
        return Grid(ROUNDED_UNIT_MM, exact=False, up=up)
    common = 0
    for mm in _lengths(demand):
        microns = mm * MICRONS_PER_MM
        if abs(microns - round(microns)) > WHOLE_MM * MICRONS_PER_MM:
            return Grid(ROUNDED_UNIT_MM, exact=False, up=up)
        common = math.gcd(common, abs(round(microns)))
    if common < FINEST_EXACT_UM:
        return Grid(ROUNDED_UNIT_MM, exact=False, up=up)
    return Grid(common / MICRONS_PER_MM, exact=True)


def _lengths(demand: Demand) -> Iterable[float]:
    """Every length that must be whole, those of the tied parts' points and steps included."""
    for part in demand.parts:
        yield part.width_mm
        yield part.length_mm
        if part.fixed_x_mm is not None:
            yield part.fixed_x_mm
    for tie in demand.ties:
        for point in (tie.at_first, tie.at_second, tie.offset_mm):
            yield from point
        for equation in demand.steps.equations(tie.kind):
            yield from (equation.across % 1, equation.along % 1)  # a slanting stripe is never whole
            yield from equation.steps_mm
