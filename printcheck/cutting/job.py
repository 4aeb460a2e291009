"""What was asked of a plan, how its time is shared out, and what its layouts lose at the start."""

from __future__ import annotations

from dataclasses import dataclass

from printcheck.core.plan import CutLayout, Print, Project, Seam
from printcheck.cutting.check import Centre, print_centre
from printcheck.cutting.demand.demands import Match, demands_of, kept_seams, washed_lattice
from printcheck.cutting.start_allowance import start_allowance_mm

FREE_TIME = 0.45  # of the time, for layouts without the print, whatever is asked for beside them
ERROR_TIME = 0.15  # of the time, where the repeat has an error to be carried through
MATCHES: tuple[Match, ...] = ("all", "visible", "none")
CHOICE_TIME = 0.1  # of the time, for each further problem: matching the visible seams alone, say


@dataclass(frozen=True)
class Job:
    """What was asked for, and how the time is shared out."""

    project: Project
    print_: Print
    seconds: float
    match: Match
    start_allowance: bool | None

    @property
    def seams(self) -> tuple[Seam, ...]:
        """Seams the matched layout keeps."""
        return kept_seams(self.project, self.print_, self.match)

    @property
    def error_seconds(self) -> float:
        """Seconds for the repeat's error."""
        wanted = self.print_.lattice is not None and self.print_.error_share > 0 and self.seams
        return ERROR_TIME * self.seconds if wanted else 0.0

    @property
    def other_choices(self) -> tuple[Match, ...]:
        """Choices of matching that keep seams and are not the one planned, each once."""
        own: set[tuple[Seam, ...]] = {self.seams, ()}
        others: list[Match] = []
        for match in MATCHES:
            seams = kept_seams(self.project, self.print_, match)
            if seams not in own and self.print_.lattice is not None:
                own.add(seams)
                others.append(match)
        return tuple(others)

    @property
    def free_seconds(self) -> float:
        """Seconds for the layouts without the print."""
        return FREE_TIME * self.seconds

    @property
    def main_seconds(self) -> float:
        """Seconds for the three layouts."""
        further = len(self.other_choices) + self.print_.turns_alone + self.print_.border
        return self.seconds * (1 - CHOICE_TIME * further) - self.error_seconds

    @property
    def _columns_known(self) -> bool:
        """Whether a layout's place across is that of the print, so that it may not slide aside."""
        return not self.project.places or self.print_.motif_from_selvedge_mm is not None

    def centre_of(self, layout: CutLayout) -> Centre | None:
        """Where a layout asks for a centre of the print, because one side of a seam is turned."""
        return print_centre(self.project, {s.piece: s for s in layout.placements}, self.seams)

    def allowance_mm(self, layout: CutLayout | None) -> float:
        """What a layout loses at its start, where a point of it is put on the print or the user asks."""
        lattice = washed_lattice(self.project, self.print_)
        if layout is None or lattice is None:
            return 0.0
        centred = self.centre_of(layout) is not None
        wanted = self.project.places or centred if self.start_allowance is None else self.start_allowance
        if not wanted:
            return 0.0
        demand = demands_of(self.project, self.print_).plain
        if centred:  # centres of a half turn lie half a translation apart
            lattice = lattice.scaled(0.5, 0.5)
            return start_allowance_mm(demand, layout, lattice, columns_known=False)
        return start_allowance_mm(demand, layout, lattice, columns_known=self._columns_known)
