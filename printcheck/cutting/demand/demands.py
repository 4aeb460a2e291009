"""The washed problem as plain data, and the three demands a layout can be made for.

``plain`` ignores the print, ``one_way`` turns nothing, ``matched`` keeps way, seams and places. Both
solvers, of rectangles and of outlines, take :class:`Demands` and give :class:`Answers`; neither reads
the project itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from printcheck.core.lattice import Lattice, Vector
from printcheck.core.match_kinds import MATCH_KINDS, MatchedAxes, kind_of
from printcheck.core.plan import CutLayout, MatchKind, Piece, Place, Print, Project, Seam
from printcheck.core.results.comparisons import Match
from printcheck.cutting.demand.lattice_steps import PLAIN, Equation, Steps, steps_of

PROOF_MM = 0.1  # mm: length and bound this near are one, the step the answers are counted in

Progress = Callable[[str, float], None]
"""Called with what is being done and the share of the time that is used."""


@dataclass(frozen=True)
class Part:
    """One copy to be cut, in millimetres of washed cloth.

    Parts of one ``group`` turn together. ``outline`` is counted from the box's corner nearest the
    origin, empty for a rectangle. ``fixed_x_mm`` holds the part against a border.
    """

    name: str
    width_mm: float
    length_mm: float
    outline: tuple[Vector, ...] = ()
    mirrored: bool = False
    may_turn: bool = False
    group: int = 0
    fixed_x_mm: float | None = None
    crosswise: bool = False

    def point(self, at: Vector, turned: bool) -> Vector:
        """Where a point of the part lies from its box's corner, turned end for end or not."""
        return (self.width_mm - at[0], self.length_mm - at[1]) if turned else at


@dataclass(frozen=True)
class Spot:
    """Where a part lies: its box's corner, in mm, and whether it is turned."""

    x_mm: float
    y_mm: float
    turned: bool = False


@dataclass(frozen=True)
class Tie:
    """``(first + at_first) - (second + at_second) - offset_mm`` is a vector of the lattice.

    ``seam`` is the seam's number in the project, None for a tie between two places on the print.
    The slacks are how far a solver may miss on each axis, where no exact answer exists within the cloth.
    """

    first: int
    second: int
    at_first: Vector
    at_second: Vector
    kind: MatchKind
    offset_mm: Vector = (0.0, 0.0)
    seam: int | None = None
    slack_across_mm: float = 0.0
    slack_along_mm: float = 0.0

    @property
    def axes(self) -> MatchedAxes:
        """What of the print the tie ties."""
        return MATCH_KINDS[self.kind]

    @property
    def may_miss_share(self) -> float:
        """Share of what a match may miss by: two places may miss the first one on opposite sides."""
        return 0.5 if self.seam is None else 1.0

    @property
    def slack_mm(self) -> float:
        """The larger of the two slacks."""
        return max(self.slack_across_mm, self.slack_along_mm)

    def slack_of(self, equation: Equation) -> float:
        """How far one equation of the tie may be missed."""
        return abs(equation.across) * self.slack_across_mm + abs(equation.along) * self.slack_along_mm


@dataclass(frozen=True)
class Demand:
    """What one layout must keep: parts on a width, tied to one another through the lattice."""

    parts: tuple[Part, ...]
    width_mm: float
    steps: Steps = PLAIN
    ties: tuple[Tie, ...] = ()

    @property
    def turnable(self) -> tuple[int, ...]:
        """Groups that may be turned and whose turning can matter, in order."""
        tied = {self.parts[n].group for tie in self.ties for n in (tie.first, tie.second)}
        shaped = {part.group for part in self.parts if part.outline}
        return tuple(sorted({p.group for p in self.parts if p.may_turn} & (tied | shaped)))


def spots_of(demand: Demand, layout: CutLayout) -> tuple[Spot, ...]:
    """Where the parts of a demand lie in a layout."""
    return with_marks(demand, [Spot(p.x_mm, p.y_mm, p.turned) for p in layout.placements])


def with_marks(demand: Demand, spots: Sequence[Spot]) -> tuple[Spot, ...]:
    """Places of the pieces, and of what stands for the print: at the cut end."""
    return tuple(spots) + tuple(Spot(part.fixed_x_mm or 0.0, 0.0) for part in demand.parts[len(spots) :])


def pieces_only(demand: Demand) -> Demand:
    """The demand without what stands for the print."""
    count = sum(bool(part.name) for part in demand.parts)
    ties = tuple(tie for tie in demand.ties if max(tie.first, tie.second) < count)
    return replace(demand, parts=demand.parts[:count], ties=ties)


def joined(count: int, ties: Sequence[Tie]) -> list[int]:
    """Group of each part: those that ties join, directly or through others, are one."""
    group = list(range(count))
    for tie in ties:
        old, new = group[tie.first], group[tie.second]
        group = [new if g == old else g for g in group]
    return group


@dataclass(frozen=True)
class Demands:
    """The demands of one project; ``matched`` is None where a seam cannot be met.

    ``unmatched`` is there for a border print alone, whose pieces keep to the border though no seam is
    matched; on other prints it is ``plain`` or ``one_way``, as the print lets pieces turn or not.
    """

    plain: Demand
    one_way: Demand
    matched: Demand | None
    unmatched: Demand | None = None


@dataclass(frozen=True)
class Answers:
    """The layouts, ``plain <= one_way <= matched``.

    ``advised`` keeps the same ties as ``matched`` and turns whatever the print lets it turn, so it may be
    shorter than ``one_way``. ``impossible`` says that both are None because no layout of any sensible
    length keeps all ties.
    """

    plain: CutLayout
    one_way: CutLayout
    matched: CutLayout | None
    advised: CutLayout | None = None
    impossible: bool = False


def demands_of(project: Project, print_: Print, *, match: Match = "all") -> Demands:
    """Return the three demands of a project on a print; the print is as sold and is shrunk here."""
    lattice = washed_lattice(project, print_)
    width = project.cloth.usable_width_mm
    parts = tuple(_part(piece, n, print_.border) for n, piece in enumerate(project.pieces))
    turning = tuple(replace(p, may_turn=project.pieces[n].turn == "half") for n, p in enumerate(parts))
    steps = PLAIN if lattice is None else steps_of(lattice)
    ties = () if lattice is None else ties_of(project, print_, lattice, match=match)
    matched = _matched_parts(project, turning, ties, print_)
    if column := _column_tie(project, print_, lattice):
        mark, tie = column
        matched, ties = (*matched, replace(mark, group=len(parts))), (*ties, tie)
    return Demands(
        plain=Demand(turning, width),
        one_way=Demand(parts, width),
        matched=Demand(matched, width, steps, ties),
        unmatched=Demand(matched, width, steps) if print_.border else None,
    )


def washed_lattice(project: Project, print_: Print) -> Lattice | None:
    """Lattice on washed cloth: the repeat shrinks with the cloth."""
    if print_.lattice is None:
        return None
    return print_.lattice.scaled(1 - project.cloth.shrink_across, 1 - project.cloth.shrink_along)


def ties_of(project: Project, print_: Print, lattice: Lattice, *, match: Match) -> tuple[Tie, ...]:
    """Return the ties of seams and places, in the order of the project."""
    number = {piece.name: n for n, piece in enumerate(project.pieces)}
    ties = []
    for s, seam in enumerate(project.seams):
        kind = kind_wanted(seam, print_, match)
        if kind is not None:
            ends = [(number[end.piece], end.at) for end in seam.join]
            ties.append(Tie(ends[0][0], ends[1][0], ends[0][1], ends[1][1], kind, seam=s))
    ties += _place_ties(project.places, number, lattice)
    if print_.border:
        ties = [_crosswise_tie(tie, project) for tie in ties]
    return tuple(ties)


def kind_wanted(seam: Seam, print_: Print, match: Match) -> MatchKind | None:
    """What must run on at a seam under a choice of matching; None for nothing.

    ``visible`` keeps the seams that are seen when the thing is worn or used, and of each only what the
    print's own needs ask for: a print of level lines needs no columns to meet.
    """
    if match == "all":
        return seam.match
    if match == "none" or not seam.visible or print_.needs == "none":
        return None
    if print_.needs is None:
        return seam.match
    asked, needed = MATCH_KINDS[seam.match], MATCH_KINDS[print_.needs]
    return kind_of(asked.across and needed.across, asked.along and needed.along)  # type: ignore[return-value]


def kept_seams(project: Project, print_: Print, match: Match) -> tuple[Seam, ...]:
    """Seams the matched layout promises, each with the match it promises; plain cloth asks for none."""
    if print_.lattice is None:
        return ()
    wanted = ((seam, kind_wanted(seam, print_, match)) for seam in project.seams)
    return tuple(replace(seam, match=kind) for seam, kind in wanted if kind is not None)


def between_mm(lattice: Lattice) -> Vector:
    """Point of the cell farthest from every motif, from a motif's centre (half a step on a stripe)."""
    if lattice.is_stripe:
        ((a, b),) = lattice.basis_mm
        return (a / 2, b / 2)
    (a, b), (c, d) = lattice.reduced().basis_mm
    if a * c + b * d < 0:  # take the acute triangle: its circumcentre is the deepest hole
        c, d = -c, -d
    one, two = (a * a + b * b) / 2, (c * c + d * d) / 2
    det = a * d - b * c
    return ((one * d - two * b) / det, (two * a - one * c) / det)


def _place_ties(places: tuple[Place, ...], number: dict[str, int], lattice: Lattice) -> list[Tie]:
    """Tie every place to the first: all share the one unknown phase of the print on the cloth."""
    hole = between_mm(lattice)
    shift = [hole if place.on == "between" else (0.0, 0.0) for place in places]
    ties = []
    for place, own in zip(places[1:], shift[1:], strict=True):
        offset = (own[0] - shift[0][0], own[1] - shift[0][1])
        ties.append(Tie(number[place.piece], number[places[0].piece], place.at, places[0].at, "both", offset))
    return ties


def _column_tie(project: Project, print_: Print, lattice: Lattice | None) -> tuple[Part, Tie] | None:
    """A part without size where a motif lies from the selvedge, and the first place's tie to its column.

    Printed columns do not slide across the cloth, as rows slide along it with the shop's cut.
    """
    from_selvedge, places = print_.motif_from_selvedge_mm, project.places
    if from_selvedge is None or lattice is None or not places or print_.border:
        return None
    number = [piece.name for piece in project.pieces].index(places[0].piece)
    offset = between_mm(lattice)[0] if places[0].on == "between" else 0.0
    mark = Part("", 0.0, 0.0, fixed_x_mm=from_selvedge * (1 - project.cloth.shrink_across))
    return mark, Tie(number, len(project.pieces), places[0].at, (0.0, 0.0), "upright", (offset, 0.0))


def _part(piece: Piece, n: int, border: bool) -> Part:
    part = Part(piece.name, piece.width_mm, piece.length_mm, piece.outline, piece.mirrored, group=n)
    if not border:
        return part
    ring = tuple((y, piece.width_mm - x) for x, y in piece.outline)
    return replace(part, width_mm=piece.length_mm, length_mm=piece.width_mm, outline=ring, crosswise=True)


def _crosswise_tie(tie: Tie, project: Project) -> Tie:
    """Lie a tie's points down with their pieces: a piece's foot points to the right selvedge."""
    first, second = project.pieces[tie.first], project.pieces[tie.second]
    return replace(
        tie,
        at_first=(tie.at_first[1], first.width_mm - tie.at_first[0]),
        at_second=(tie.at_second[1], second.width_mm - tie.at_second[0]),
        kind=tie.kind if tie.seam is None else kind_of(tie.axes.along, tie.axes.across),  # type: ignore[arg-type]
    )


def _matched_parts(
    project: Project, parts: tuple[Part, ...], ties: tuple[Tie, ...], print_: Print
) -> tuple[Part, ...]:
    """Group the parts that must turn together, and keep each group's right to turn."""
    width, pieces = project.cloth.usable_width_mm, project.pieces
    group = joined(len(parts), [tie for tie in ties if tie.seam is not None])
    free = print_.way != "one-way" and not print_.border
    stays = {group[n] for n, part in enumerate(parts) if not part.may_turn}
    return tuple(
        replace(
            part,
            group=group[n],
            may_turn=free and group[n] not in stays,
            fixed_x_mm=width - part.width_mm if print_.border and pieces[n].on_border else None,
        )
        for n, part in enumerate(parts)
    )
