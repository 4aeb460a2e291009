"""Every layout looked over again, by code that shares nothing with the solvers.

It works from the project, the print and the placements alone, in true millimetres: no overlap, inside
the cloth, nothing turned that must not be, and each seam and place measured against the print's lattice
by trying the lattice vectors near the gap.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from printcheck.core.match_kinds import MATCH_KINDS, sideways
from printcheck.core.plan import (
    MATCH_TOLERANCE_MM,
    CutLayout,
    MatchKind,
    Piece,
    Place,
    Placement,
    Print,
    Project,
    Seam,
    SeamEnd,
    box_on_cloth,
    outline_on_cloth,
    point_on_cloth,
)

OVERLAP_MM = 0.02  # mm: two pieces may run into each other by this much, a fifth of the counting step
OVERLAP_MM2 = 5.0  # mm2: the same for outlines, a sliver along a metre of edge
Point = tuple[float, float]
Centre = tuple[float | None, float | None]


def faults(
    project: Project,
    print_: Print,
    layout: CutLayout,
    *,
    keeps_way: bool,
    seams: Sequence[Seam] = (),
    places: Sequence[Place] = (),
    at_border: bool = False,
) -> list[str]:
    """Return what is wrong with a layout, in words; an empty list for a sound one.

    ``seams`` and ``places`` are those that the layout promises to keep. ``keeps_way``: a one-way print
    forbids turning, which plain layouts do not mind. ``at_border``: the pieces of a border print must lie
    against its selvedge.
    """
    pieces = {piece.name: piece for piece in project.pieces}
    at = {placement.piece: placement for placement in layout.placements}
    if sorted(at) != sorted(pieces) or len(layout.placements) != len(pieces):
        return ["not every piece lies on the cloth once"]
    if not all(math.isfinite(v) for p in layout.placements for v in (p.x_mm, p.y_mm)):
        return ["a piece has no place"]
    found = _off_the_cloth(project, pieces, layout, print_.border and at_border)
    found += _overlaps(pieces, layout)
    found += _wrongly_turned(pieces, at, print_, keeps_way, seams)
    centre = print_centre(project, at, seams)
    for seam in seams:
        miss = seam_residual_mm(project, print_, at, seam, centre)
        if miss > MATCH_TOLERANCE_MM:
            found.append(f"the seam {seam_name(seam.join)} misses by {miss:.2f} mm")
    return found + _places_missed(project, print_, at, places)


def seam_name(join: tuple[SeamEnd, SeamEnd]) -> str:
    """Return the seam's name in texts: the two copies it joins."""
    return f"{join[0].piece} to {join[1].piece}"


def seam_residual_mm(
    project: Project,
    print_: Print,
    at: dict[str, Placement],
    seam: Seam,
    centre: Centre | None = None,
) -> float:
    """Distance of a seam's two points on the cloth from the nearest match, in mm.

    Where one side of it is turned, that side reads the print backwards: the point that it must meet is the
    image of its own about ``centre``, one of the centres at which the print takes a half turn.
    """
    one, two = _ends(project, at, seam)
    if turned_apart(at, seam) and centre is not None:
        two = (2 * (centre[0] or 0.0) - two[0], 2 * (centre[1] or 0.0) - two[1])
    kind = seam.match
    if any(at[end.piece].crosswise for end in seam.join):
        kind = sideways(kind)  # type: ignore[assignment]
    return _away((one[0] - two[0], one[1] - two[1]), _washed(project, print_), kind)


def turned_apart(at: dict[str, Placement], seam: Seam) -> bool:
    """Whether only one side of a seam is turned end for end."""
    one, two = (at[end.piece].turned for end in seam.join)
    return one != two


def print_centre(project: Project, at: dict[str, Placement], seams: Sequence[Seam]) -> Centre | None:
    """Where the print must have a centre of its half turn, for seams of which one side is turned.

    The first such seam says where on each axis that it asks for; None for an axis that none asks for,
    and where there is no such seam.
    """
    apart = [seam for seam in seams if turned_apart(at, seam)]
    if not apart:
        return None
    centre: list[float | None] = [None, None]
    for axis in (0, 1):
        asking = [s for s in apart if (MATCH_KINDS[s.match].across, MATCH_KINDS[s.match].along)[axis]]
        if asking:
            full = max(asking, key=lambda s: MATCH_KINDS[s.match].full)
            centre[axis] = sum(end[axis] for end in _ends(project, at, full)) / 2
    return centre[0], centre[1]


def _ends(project: Project, at: dict[str, Placement], seam: Seam) -> tuple[Point, Point]:
    pieces = {piece.name: piece for piece in project.pieces}
    one, two = (point_on_cloth(pieces[end.piece], at[end.piece], end.at) for end in seam.join)
    return one, two


def _washed(project: Project, print_: Print) -> list[Point]:
    if print_.lattice is None:
        return []
    cloth = project.cloth
    return [(a * (1 - cloth.shrink_across), b * (1 - cloth.shrink_along)) for a, b in print_.lattice.basis_mm]


def _away(gap: Point, basis: list[Point], kind: MatchKind) -> float:
    """Distance of a gap from the print's nearest translation, in the sense of the match."""
    if not basis:
        return 0.0
    if len(basis) == 1:
        return _away_from_stripe(gap, basis[0], kind)
    (a, b), (c, d) = basis
    axes = MATCH_KINDS[kind]
    if axes.full:
        det = a * d - b * c
        i0, j0 = round((gap[0] * d - gap[1] * c) / det), round((a * gap[1] - b * gap[0]) / det)
        near = itertools.product(range(i0 - _AROUND, i0 + _AROUND + 1), range(j0 - _AROUND, j0 + _AROUND + 1))
        return min(math.hypot(gap[0] - i * a - j * c, gap[1] - i * b - j * d) for i, j in near)
    parts, value = ((b, d), gap[1]) if axes.along else ((a, c), gap[0])
    big, small = sorted(map(abs, parts), reverse=True)
    if big == 0:
        return abs(value)
    return min(
        abs(value - k * small - big * round((value - k * small) / big)) for k in range(-_STEPS, _STEPS + 1)
    )


_AROUND = 3  # lattice vectors tried each way about the one rounded to, enough for slender cells
_STEPS = 200  # steps of the smaller part tried: columns or rows that one cloth holds


def _away_from_stripe(gap: Point, period: Point, kind: MatchKind) -> float:
    size, axes = math.hypot(*period), MATCH_KINDS[kind]
    if axes.full:
        square = (gap[0] * period[0] + gap[1] * period[1]) / size
        return abs(square - size * round(square / size))
    axis = 1 if axes.along else 0
    if abs(period[1 - axis]) > _PARALLEL_MM:  # moving along the stripe reaches any value on this axis
        return 0.0
    return abs(gap[axis] - size * round(gap[axis] / size))


_PARALLEL_MM = 1e-3  # mm: a stripe's period this near to an axis lies on it


def _off_the_cloth(
    project: Project, pieces: dict[str, Piece], layout: CutLayout, at_border: bool
) -> list[str]:
    found, ends = [], []
    for spot in layout.placements:
        left, top, width, length = box_on_cloth(pieces[spot.piece], spot)
        right, bottom = left + width, top + length
        ends.append(bottom)
        off = abs(right - project.cloth.usable_width_mm) > MATCH_TOLERANCE_MM
        if at_border and pieces[spot.piece].on_border and off:
            found.append(f"{spot.piece} does not lie against the border")
        if left < -OVERLAP_MM or top < -OVERLAP_MM or right > project.cloth.usable_width_mm + OVERLAP_MM:
            found.append(f"{spot.piece} hangs over the edge of the cloth")
    if abs(max(ends) - layout.length_mm) > OVERLAP_MM:
        found.append(f"the length is stated as {layout.length_mm:.2f} mm and is {max(ends):.2f} mm")
    return found


def _overlaps(pieces: dict[str, Piece], layout: CutLayout) -> list[str]:
    found = []
    for one, two in itertools.combinations(layout.placements, 2):
        a, b = (box_on_cloth(pieces[spot.piece], spot) for spot in (one, two))
        wide, high = (min(a[k] + a[k + 2], b[k] + b[k + 2]) - max(a[k], b[k]) for k in (0, 1))
        if wide <= OVERLAP_MM or high <= OVERLAP_MM:
            continue
        shaped = pieces[one.piece].outline or pieces[two.piece].outline
        if not shaped or _shared_area(pieces, one, two) > OVERLAP_MM2:
            found.append(f"{one.piece} and {two.piece} overlap")
    return found


def _shared_area(pieces: dict[str, Piece], one: Placement, two: Placement) -> float:
    from shapely.geometry import Polygon

    shapes = [Polygon(outline_on_cloth(pieces[spot.piece], spot)) for spot in (one, two)]
    return float(shapes[0].intersection(shapes[1]).area)


def _wrongly_turned(
    pieces: dict[str, Piece],
    at: dict[str, Placement],
    print_: Print,
    keeps_way: bool,
    seams: Sequence[Seam],
) -> list[str]:
    found = []
    for name, spot in at.items():
        if spot.turned and (pieces[name].turn == "none" or (keeps_way and print_.way == "one-way")):
            found.append(f"{name} is turned and must not be")
        if spot.mirrored != pieces[name].mirrored:
            found.append(f"{name} is mirrored wrongly")
    for seam in seams if print_.lattice is not None and not print_.turns_alone else ():
        if turned_apart(at, seam):
            found.append(f"only one side of the seam {seam_name(seam.join)} is turned")
    return found


def _places_missed(
    project: Project, print_: Print, at: dict[str, Placement], places: Sequence[Place]
) -> list[str]:
    """Places of one kind must all lie at the same phase of the print."""
    basis, found = _washed(project, print_), []
    pieces = {piece.name: piece for piece in project.pieces}
    first: dict[str, Point] = {}
    for place in places:
        here = point_on_cloth(pieces[place.piece], at[place.piece], place.at)
        there = first.setdefault(place.on, here)
        miss = _away((here[0] - there[0], here[1] - there[1]), basis, "both")
        if miss > MATCH_TOLERANCE_MM:
            found.append(f"the place on {place.piece} misses by {miss:.2f} mm")
    if len(first) == 2 and basis:
        gap = tuple(a - b for a, b in zip(first["between"], first["motif"], strict=True))
        if _away((gap[0], gap[1]), basis, "both") < _APART_SHARE * min(math.hypot(*v) for v in basis):
            found.append("a place between motifs lies on a motif")
    return found


_APART_SHARE = 0.25  # of the shortest lattice vector: nearer than this is on a motif, not between two
