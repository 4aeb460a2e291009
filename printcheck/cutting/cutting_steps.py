"""The order in which the pieces of a layout are laid, and what each is laid by."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from printcheck.core.lattice import Lattice, Vector
from printcheck.core.match_kinds import MATCH_KINDS
from printcheck.core.plan import (
    CutLayout,
    CuttingStep,
    Piece,
    Placement,
    Print,
    PrintStart,
    Project,
    Seam,
    StepMatch,
    box_on_cloth,
    point_on_cloth,
)
from printcheck.cutting.check import Centre
from printcheck.cutting.demand.demands import between_mm

NOISE_MM = 0.05  # half a counting step: boxes that run into each other by less lie side by side
STRAIGHT = 1e-3  # of a stripe's step: less off the selvedge is none


def steps_of(
    project: Project, layout: CutLayout, seams: Sequence[Seam], lattice: Lattice | None = None
) -> tuple[CuttingStep, ...]:
    """Steps of a layout: families of matched pieces first, each piece by one that lies already.

    ``seams`` are those that the layout keeps, in the order of their numbers; ``lattice`` is that of the
    washed cloth: a piece still matches a whole repeat off. A piece laid by the print itself opens its family,
    otherwise its largest piece does; pieces tied to nothing come last. Letters run A to Z, then AA.
    """
    pieces = {piece.name: piece for piece in project.pieces}
    spots = {spot.piece: spot for spot in layout.placements}
    placed = {place.piece for place in project.places} if seams or project.places else set()
    order: list[str] = []
    for name in sorted(spots, key=lambda n: (n not in placed, not _tied(n, seams), -_area(pieces[n]))):
        if name not in order:
            order += _family(name, seams, pieces, set(order))
    boxes = {name: box_on_cloth(pieces[name], spot) for name, spot in spots.items()}
    rooms = {name: _room(name, boxes, project.cloth.usable_width_mm, layout.length_mm) for name in order}
    return tuple(
        CuttingStep(
            _letters(number),
            name,
            spots[name].x_mm,
            spots[name].y_mm,
            boxes[name][2],
            boxes[name][3],
            spots[name].turned,
            spots[name].mirrored,
            spots[name].crosswise,
            tuple(_matches(name, order[:number], seams, pieces, spots, lattice)),
            tuple(
                (*point_on_cloth(pieces[name], spots[name], place.at), place.on)
                for place in project.places
                if place.piece == name
            ),
            rooms[name],
            not _tied(name, seams) and name not in placed,
            _whole_repeats(rooms[name], lattice, at_border=spots[name].crosswise),
            pieces[name].on_fold,
        )
        for number, name in enumerate(order)
    )


def start_of(
    project: Project,
    print_: Print,
    layout: CutLayout,
    lattice: Lattice | None,
    motif_at: Vector | None,
    centre: Centre | None = None,
) -> PrintStart | None:
    """Where the print must lie under a matched layout; None where it leaves that open.

    ``motif_at`` is the middle of a motif where the fewest are cut; a place of the project overrules it.
    ``centre`` is where seams ask for a middle of the print, because one side of them is turned about it.
    """
    pieces = {piece.name: piece for piece in project.pieces}
    spots = {spot.piece: spot for spot in layout.placements}
    if lattice is not None and project.places:
        place = project.places[0]
        x, y = point_on_cloth(pieces[place.piece], spots[place.piece], place.at)
        hole = between_mm(lattice) if place.on == "between" else (0.0, 0.0)
        motif_at = (x - hole[0], y - hole[1])
    if centre is not None:
        motif_at = (centre[0] or 0.0, centre[1] or 0.0)
    if lattice is None or motif_at is None or print_.border:
        return None
    known = print_.motif_from_selvedge_mm is not None and bool(project.places)
    boxes = [box_on_cloth(pieces[spot.piece], spot) for spot in layout.placements]
    slide = (
        min(x for x, _, _, _ in boxes),
        project.cloth.usable_width_mm - max(x + width for x, _, width, _ in boxes),
    )
    margin = (
        (print_.motif_width_mm or 0.0) / 2 * (1 - project.cloth.shrink_across),
        (print_.motif_height_mm or 0.0) / 2 * (1 - project.cloth.shrink_along),
    )
    step = 0.0 if known else lattice.column_mm or 0.0
    at = _near_corner(lattice, motif_at, margin)
    feature = print_.feature
    if centre is not None:
        at = tuple(None if c is None else a for a, c in zip(at, centre, strict=True))  # type: ignore[assignment]
        feature = "bar" if None in centre and feature == "crossing" else feature
    tied = centre is not None or bool(project.places)
    return PrintStart(feature, at, tied, (max(0.0, slide[0]), max(0.0, slide[1])), step)


def _near_corner(lattice: Lattice, at: Vector, margin: Vector) -> tuple[float | None, float | None]:
    """The same place of the print nearest the cut end's left corner, whole within the cloth."""
    if lattice.is_stripe:
        sides = [lattice.shortest_along_axis(axis) for axis in (0, 1)]
        x, y = (
            None if side is None else at[k] + side * math.ceil((margin[k] - at[k] - NOISE_MM) / side)
            for k, side in enumerate(sides)
        )
        return (x, None) if x is not None else (None, y)
    low = (margin[0] - NOISE_MM, margin[1] - NOISE_MM)
    # the nearest of all lies no farther than the two shortest vectors reach
    cell = lattice.reduced()
    reach = 2 * sum(math.hypot(*vector) for vector in cell.basis_mm)
    return min(cell.points_in(low, (low[0] + reach, low[1] + reach), at), key=sum)


def _tied(name: str, seams: Sequence[Seam]) -> bool:
    return any(name == end.piece for seam in seams for end in seam.join)


def _area(piece: Piece) -> float:
    return piece.width_mm * piece.length_mm


def _family(first: str, seams: Sequence[Seam], pieces: dict[str, Piece], done: set[str]) -> list[str]:
    """Pieces that hang together with one by seams, each after one it is matched to; large ones first."""
    order = [first]
    while True:
        known = set(order)
        near = {
            two.piece
            for seam in seams
            for one, two in (seam.join, seam.join[::-1])
            if one.piece in known and two.piece not in known | done
        }
        if not near:
            return order
        order.append(min(near, key=lambda name: (-_area(pieces[name]), name)))


def _matches(
    name: str,
    before: Sequence[str],
    seams: Sequence[Seam],
    pieces: dict[str, Piece],
    spots: dict[str, Placement],
    lattice: Lattice | None,
) -> Iterator[StepMatch]:
    for number, seam in enumerate(seams, start=1):
        for own, other in (seam.join, seam.join[::-1]):
            if own.piece == name and other.piece in before and _asks(seam.match, lattice):
                at = point_on_cloth(pieces[name], spots[name], own.at)
                yield StepMatch(number, other.piece, seam.match, at)


def _asks(kind: str, lattice: Lattice | None) -> bool:
    """Whether a match asks anything of the print: a lengthwise stripe has no rows, a crosswise no columns."""
    if lattice is None or not lattice.is_stripe:
        return True
    across, along = (abs(step) > STRAIGHT * math.hypot(*lattice.basis_mm[0]) for step in lattice.basis_mm[0])
    return (MATCH_KINDS[kind].across and across) or (MATCH_KINDS[kind].along and along)


def _room(
    name: str, boxes: dict[str, tuple[float, float, float, float]], width: float, length: float
) -> tuple[float, float, float, float]:
    """How far a box may move left, right, up and down before it meets another or the cloth's edge."""
    x, y, w, h = boxes[name]
    left, right, up, down = x, width - x - w, y, length - y - h
    for other, (ox, oy, ow, oh) in boxes.items():
        if other == name:
            continue
        if oy < y + h - NOISE_MM and y < oy + oh - NOISE_MM:
            left = min(left, x - ox - ow) if ox + ow <= x + w / 2 else left
            right = min(right, ox - x - w) if ox >= x + w / 2 else right
        if ox < x + w - NOISE_MM and x < ox + ow - NOISE_MM:
            up = min(up, y - oy - oh) if oy + oh <= y + h / 2 else up
            down = min(down, oy - y - h) if oy >= y + h / 2 else down
    return tuple(max(0.0, side) for side in (left, right, up, down))  # type: ignore[return-value]


def _whole_repeats(
    room: tuple[float, float, float, float], lattice: Lattice | None, *, at_border: bool
) -> tuple[float, float, float, float]:
    """How much of the room left, right, up and down is whole repeats; a piece at a border stays there."""
    across, along = (None if lattice is None else lattice.shortest_along_axis(k) for k in (0, 1))
    across = None if at_border else across
    steps = zip(room, (across, across, along, along), strict=True)
    return tuple(step * math.floor((mm + NOISE_MM) / step) if step else 0.0 for mm, step in steps)  # type: ignore[return-value]


def _letters(number: int) -> str:
    """A to Z, then AA, AB.

    Examples
    --------
    >>> _letters(0), _letters(25), _letters(26)
    ('A', 'Z', 'AA')
    """
    head, tail = divmod(number, 26)
    return (_letters(head - 1) if head else "") + chr(ord("A") + tail)
