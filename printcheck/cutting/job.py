"""What was asked of a plan, how its time is shared out, and what its layouts lose at the start.

A seam only asks that two points lie alike on the print, so a layout of seams may begin anywhere. A point
put on a motif asks for the motif, and the cloth is cut at the shop's end, not at the motif: the layout
slides down, and aside where there is room, until its points meet the print.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from printcheck.core.errors import InputError
from printcheck.core.lattice import Lattice
from printcheck.core.plan import EPS_MM, MOST_PIECES, CutLayout, Print, Project, Seam
from printcheck.core.results.comparisons import Match
from printcheck.cutting.check import Centre, print_centre
from printcheck.cutting.demand.demands import Demand, demands_of, kept_seams, washed_lattice
from printcheck.cutting.demand.lattice_steps import points_within

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
    def lattice(self) -> Lattice | None:
        """Lattice of the washed cloth."""
        return washed_lattice(self.project, self.print_)

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

    def centre_of(self, layout: CutLayout) -> Centre | None:
        """Where a layout asks for a centre of the print, because one side of a seam is turned."""
        return print_centre(self.project, {s.piece: s for s in layout.placements}, self.seams)

    def allowance_mm(self, layout: CutLayout | None) -> float:
        """What a layout loses at its start, where a point of it is put on the print or the user asks."""
        lattice = self.lattice
        if layout is None or lattice is None:
            return 0.0
        centred = self.centre_of(layout) is not None
        wanted = self.project.places or centred if self.start_allowance is None else self.start_allowance
        if not wanted:
            return 0.0
        demand = demands_of(self.project, self.print_).plain
        # whether the layout's place across is that of the print, so that it may not slide aside
        known = not self.project.places or self.print_.motif_from_selvedge_mm is not None
        if centred:  # centres of a half turn lie half a translation apart
            lattice, known = lattice.scaled(0.5, 0.5), False
        return start_allowance_mm(demand, layout, lattice, columns_known=known)


def start_allowance_mm(demand: Demand, layout: CutLayout, lattice: Lattice, *, columns_known: bool) -> float:
    """Length lost at the start at worst, mm of washed cloth: the widest gap between rows that will do.

    ``columns_known``: the layout's place across is that of the print. Otherwise up to one column of its room
    is taken by moving it there, and only what is left helps to find a nearer row.

    Examples
    --------
    A half-drop of columns 16 apart offers a row every half repeat to a layout that can move aside.

    >>> from printcheck.core.plan import Placement
    >>> from printcheck.cutting.demand.demands import Part
    >>> demand = Demand((Part("front", 480.0, 480.0),), 1400.0)
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


def check_project(project: Project, print_: Print, seconds: float) -> None:
    """Refuse what no layout can be made of."""
    cloth = project.cloth
    if not project.pieces:
        raise InputError("no-pieces", f"{project.name}: there is no piece to cut.", "Add a [[piece]].")
    if len(project.pieces) > MOST_PIECES:
        raise InputError(
            "too-many-pieces",
            f"{project.name}: {len(project.pieces)} pieces; at most {MOST_PIECES} can be laid at once.",
            "Split the project, or lay one set of pieces and buy it several times.",
        )
    numbers = [cloth.width_mm, cloth.selvedge_mm, cloth.shrink_along, cloth.shrink_across, seconds]
    numbers += [v for p in project.pieces for v in (p.width_mm, p.length_mm)]
    numbers += [v for seam in project.seams for end in seam.join for v in end.at]
    numbers += [v for place in project.places for v in place.at]
    numbers += [v for vector in (print_.lattice.basis_mm if print_.lattice else ()) for v in vector]
    if not all(map(math.isfinite, numbers)) or seconds <= 0:
        raise InputError(
            "not-a-number", f"{project.name}: a size is not a finite number.", "Correct the sizes."
        )
    _check_fit(project, print_)


def _check_fit(project: Project, print_: Print) -> None:
    usable = project.cloth.usable_width_mm
    names = {piece.name for piece in project.pieces}
    if len(names) < len(project.pieces):
        raise InputError("piece-name-twice", f"{project.name}: two pieces share a name.", "Rename one.")
    for piece in project.pieces:
        across = piece.length_mm if print_.border else piece.width_mm
        if min(piece.width_mm, piece.length_mm) <= 0:
            raise InputError("piece-without-size", f"{piece.name}: a side is not above zero.", "Correct it.")
        if across > usable + EPS_MM:
            side = "long (pieces lie crosswise on a border print)" if print_.border else "wide"
            raise InputError(
                "piece-too-wide",
                f"{piece.name}: {across / 10:.1f} cm {side}, and {usable / 10:.1f} cm of width can be used.",
                "Take a wider cloth, or split the piece and join it with a seam.",
            )
    named = [(end.piece, "seam") for seam in project.seams for end in seam.join]
    for name, what in [*named, *((place.piece, "place") for place in project.places)]:
        if name not in names:
            raise InputError("unknown-piece", f"{what}: there is no piece {name}.", "Use the name of a copy.")
