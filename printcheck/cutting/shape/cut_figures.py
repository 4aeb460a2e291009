"""Motifs that the cut lines cross, and a layout of the same length that crosses fewer.

A group of tied parts may move as one, as far as cloth and neighbours allow, without the length or a
match changing; and where no place fixes it, so may the print's phase under the whole layout.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from printcheck.core.handover import Floats, Ints
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.plan import CutLayout, FiguresCut, Place, Print, Project
from printcheck.cutting.demand.demands import Demand, between_mm, joined, spots_of
from printcheck.cutting.demand.lattice_steps import points_within
from printcheck.cutting.shape.motif_raster import Numbers, as_set, exactly, marks_of
from printcheck.cutting.shape.no_fit import no_fit, stretches
from printcheck.cutting.shape.simplify import Shape, shapes_of

SMALLEST_FIGURE_MM = 12.7  # mm: motifs of half an inch and under count as small (Kight, p. 26)
PHASES = 12  # places of the print tried each way over one repeat, where the work allows
MOST_LOOKS = 200_000  # motifs looked at in all: about a quarter of a second
SHIFTS = 7  # places tried within the room a group has, on each axis
ROUNDS = 2  # times that all groups are gone through
LEAST_ROOM_MM = 0.5  # mm: less room than this is not worth moving for
COUNTED = 5  # of the best phases are counted by the true outlines


@dataclass
class _Scene:
    """The layout being bettered: parts as they lie, groups that move as one, the print's phase."""

    demand: Demand
    lattice: Lattice
    motif: Vector
    corners: list[Vector]
    groups: list[list[int]]
    length_mm: float
    shapes: list[Shape] = field(default_factory=list)  # as they lie
    phase: Vector = (0.0, 0.0)


def spared(
    project: Project,
    print_: Print,
    demand: Demand,
    layout: CutLayout,
    lattice: Lattice,
) -> tuple[CutLayout, FiguresCut] | None:
    """Return the layout with fewest motifs cut at its length, and how many are; None for small motifs."""
    width, height = _washed_motif(project, print_)
    if lattice.is_stripe or width is None or height is None or max(width, height) <= SMALLEST_FIGURE_MM:
        return None
    corners = [(p.x_mm, p.y_mm) for p in layout.placements]
    of = joined(len(demand.parts), demand.ties)  # parts tied in any way move together
    groups = [[n for n, g in enumerate(of) if g == root] for root in sorted(set(of))]
    scene = _Scene(demand, lattice, (width, height), corners, groups, layout.length_mm)
    scene.shapes = shapes_of(demand, spots_of(demand, layout))
    fixed = _placed_phase(project.places, demand, layout, lattice)
    phases = _choose_phase(scene, fixed)
    placed = {place.piece for place in project.places}  # moving these would move the print with them
    free = [g for g in scene.groups if not any(demand.parts[n].name in placed for n in g)]
    for _ in range(min(ROUNDS, MOST_LOOKS // (4 * SHIFTS * _motif_count(scene)))):
        if not sum(_shift(scene, group) for group in free):
            break
        phases = _choose_phase(scene, fixed)
    moved = tuple(
        replace(p, x_mm=x, y_mm=y) for p, (x, y) in zip(layout.placements, scene.corners, strict=True)
    )
    turned = [p.turned for p in layout.placements]
    (cut, touched), scene.phase = min((_counted(replace(scene, phase=p), turned), p) for p in phases)
    return replace(layout, placements=moved), FiguresCut(cut, touched, scene.phase)


def _washed_motif(project: Project, print_: Print) -> tuple[float | None, float | None]:
    cloth = project.cloth
    width, height = print_.motif_width_mm, print_.motif_height_mm
    return (
        None if width is None else width * (1 - cloth.shrink_across),
        None if height is None else height * (1 - cloth.shrink_along),
    )


def _placed_phase(
    places: Sequence[Place], demand: Demand, layout: CutLayout, lattice: Lattice
) -> Vector | None:
    """Centre of a motif as the first place fixes it; None without places."""
    if not places:
        return None
    place = places[0]
    n = next(k for k, part in enumerate(demand.parts) if part.name == place.piece)
    part, spot = demand.parts[n], layout.placements[n]
    at = (place.at[1], part.length_mm - place.at[0]) if part.crosswise else place.at
    x, y = part.point(at, spot.turned)
    hole = between_mm(lattice) if place.on == "between" else (0.0, 0.0)
    return (spot.x_mm + x - hole[0], spot.y_mm + y - hole[1])


def _choose_phase(scene: _Scene, fixed: Vector | None) -> list[Vector]:
    """Take the phase of the print that cuts fewest motifs by the pictures; the best few, the best first."""
    if fixed is not None:
        scene.phase = fixed
        return [fixed]
    (a, b), (c, d) = scene.lattice.basis_mm
    x, y = scene.phase
    phases = max(1, min(PHASES, math.isqrt(MOST_LOOKS // (2 * _motif_count(scene)))))
    found = []
    for i, j in itertools.product(range(phases), repeat=2):
        u, v = i / phases, j / phases
        scene.phase = (x + u * a + v * c, y + u * b + v * d)
        found.append((_cut(scene, range(len(scene.corners))), i, j, scene.phase))
    best = [phase for _, _, _, phase in sorted(found)[:COUNTED]]
    scene.phase = best[0]
    return best


def _motif_count(scene: _Scene) -> int:
    """About how many motifs lie on all parts, with what looking at a part costs besides."""
    area = sum(p.width_mm * p.length_mm for p in scene.demand.parts)
    return math.ceil(area / scene.lattice.area_mm2) + _PART_LOOKS * len(scene.demand.parts)


_PART_LOOKS = 10  # looks that the arithmetic around one part costs


def _cut(scene: _Scene, parts: Sequence[int] | range) -> int:
    """Motifs cut by the edges of these parts, read off pictures; shared ones count once."""
    cut: Numbers = set()
    for n in parts:
        numbers, centres = _motifs_about(scene, n)
        marks = marks_of(scene.shapes[n], scene.motif).read(centres - scene.corners[n])
        cut |= as_set(numbers[marks == 1])
    return len(cut)


def _counted(scene: _Scene, turned: Sequence[bool]) -> tuple[int, int]:
    """Motifs cut and touched, counted by the true outlines."""
    cut: Numbers = set()
    touched: Numbers = set()
    for n, part in enumerate(scene.demand.parts):
        (x, y), w, h = scene.corners[n], part.width_mm, part.length_mm
        ring = part.outline or ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))
        numbers, centres = _motifs_about(scene, n)
        on_cloth = [(x + px, y + py) for px, py in (part.point(at, turned[n]) for at in ring)]
        marks = exactly(on_cloth, scene.motif, centres, scene.demand.width_mm)
        cut |= as_set(numbers[marks == 1])
        touched |= as_set(numbers[marks > 0])
    return len(cut), len(touched)


def _motifs_about(scene: _Scene, n: int) -> tuple[Ints, Floats]:
    """Numbers and centres of the motifs that a part's box may touch."""
    (x, y), (w, h), part = scene.corners[n], scene.motif, scene.demand.parts[n]
    low = (x - w / 2, y - h / 2)
    high = (x + part.width_mm + w / 2, y + part.length_mm + h / 2)
    phase = np.array(scene.phase)
    numbers, points = points_within(scene.lattice.basis_mm, low - phase, high - phase)
    return numbers, points + phase


def _shift(scene: _Scene, group: list[int]) -> bool:
    """Move one group within its room where that cuts fewer motifs; whether it did."""
    moved = False
    for axis in (0, 1):
        low, high = _room(scene, group, axis)
        if high - low < LEAST_ROOM_MM:
            continue
        corners, best = list(scene.corners), _cut(scene, group)
        for k in range(SHIFTS):
            by = low + (high - low) * k / (SHIFTS - 1)
            trial = list(corners)
            for n in group:
                x, y = corners[n]
                trial[n] = (x, y + by) if axis else (x + by, y)
            before, scene.corners = scene.corners, trial
            cut = _cut(scene, group)
            if cut < best:
                best, moved = cut, True
            else:
                scene.corners = before
    return moved


def _room(scene: _Scene, group: list[int], axis: int) -> tuple[float, float]:
    """How far a group may move back and forth along one axis."""
    size = [(p.width_mm, p.length_mm) for p in scene.demand.parts]
    low, high = -math.inf, math.inf
    edge = scene.length_mm if axis else scene.demand.width_mm
    for n in group:
        if scene.demand.parts[n].fixed_x_mm is not None and axis == 0:
            return 0.0, 0.0
        at = scene.corners[n]
        low, high = max(low, -at[axis]), min(high, edge - at[axis] - size[n][axis])
        for m in range(len(scene.corners)):
            if m in group:
                continue
            back, forth = _room_beside(scene, n, m, axis)
            low, high = max(low, back), min(high, forth)
    return min(low, 0.0), max(high, 0.0)


def _room_beside(scene: _Scene, n: int, m: int, axis: int) -> tuple[float, float]:
    """How far part n may move back and forth along one axis before it meets the outline of part m."""
    apart = [scene.corners[n][k] - scene.corners[m][k] for k in (0, 1)]
    fit = no_fit(scene.shapes[m], scene.shapes[n])
    low, high = -math.inf, math.inf
    for start, end in stretches(fit, axis, np.array([apart[1 - axis]]))[0].tolist():
        if start >= end:  # apart
            continue
        if start + end < 2 * apart[axis]:
            low = max(low, end - apart[axis])
        else:
            high = min(high, start - apart[axis])
    return low, high
