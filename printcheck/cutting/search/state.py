"""What one search knows: its demand, its effort, the best layout so far and the bound on its length."""

from __future__ import annotations

import math
from dataclasses import dataclass

from printcheck.core.plan import EPS_MM, CutLayout, Placement
from printcheck.cutting.demand.demands import PROOF_MM, Demand, Spot
from printcheck.cutting.demand.ties import keeps_ties
from printcheck.cutting.search.compact import Packing
from printcheck.cutting.search.effort import Effort


@dataclass
class Search:
    """One search for the shortest layout of a demand.

    ``free`` are layouts made without the print, to start from; ``turning`` says whether tied groups may
    be turned. ``impossible`` is set where it is proved that no layout keeps all ties.
    """

    demand: Demand
    effort: Effort
    free: tuple[tuple[Spot, ...], ...] = ()
    turning: bool = False
    bound_mm: float = 0.0  # no layout is shorter
    best: Packing | None = None
    impossible: bool = False

    @property
    def length_mm(self) -> float:
        """Length of the best layout; infinite while there is none."""
        return math.inf if self.best is None else self.best.length_mm

    @property
    def proved(self) -> bool:
        """Whether length and bound meet."""
        return self.length_mm - self.bound_mm <= PROOF_MM

    @property
    def goes_on(self) -> bool:
        """Whether there is something left to find, and effort to find it with."""
        return not (self.proved or self.impossible) and self.effort.left

    def note(self, found: Packing | None) -> bool:
        """Keep a layout if it is sound and the shortest so far."""
        if found is None or not found.sound or found.length_mm >= self.length_mm - EPS_MM:
            return False
        if not keeps_ties(self.demand, found.spots):
            return False
        self.best = found
        return True

    def layout(self, seconds: float) -> CutLayout | None:
        """The best layout as data, parts in the order of the project; None where there is none."""
        if self.best is None:
            return None
        bound = min(self.bound_mm, self.length_mm)
        return CutLayout(
            self.length_mm,
            bound,
            self.proved,
            seconds,
            tuple(
                Placement(part.name, spot.x_mm, spot.y_mm, spot.turned, part.mirrored, part.crosswise)
                for part, spot in zip(self.demand.parts, self.best.spots, strict=True)
                if part.name  # what stands for the print is not cut
            ),
        )
