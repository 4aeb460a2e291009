"""Parts joined by full matches laid as one body: each at some lattice step from its neighbour.

The nesting engine knows no print. But once it is chosen how a tied part stands against its kin, the two
can be joined by a thread and nested as one outline; other parts may still lie between them. Which of
the possible steps is best cannot be seen from the pair alone, so several are tried.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from printcheck.core.lattice import Lattice, Vector
from printcheck.cutting.demand.demands import Demand, Tie
from printcheck.cutting.shape.no_fit import no_fit
from printcheck.cutting.shape.simplify import Ring, Shape, shape_of

STEPS_KEPT = 12  # lattice steps tried for a tied part, the tightest first
MOST_SPOTS = 160_000  # lattice points looked at: more than any cloth holds
THREAD_MM = 0.3  # mm: width of the thread that joins two parts into one outline
CLOSE_MM = 0.01  # mm: parts this near are joined as they stand
APART_MM = 1e-6  # mm: overlap that is rounding


@dataclass(frozen=True)
class Body:
    """Parts laid rigidly: their numbers and places, counted from the corner of the body's box."""

    parts: tuple[int, ...]
    at: tuple[Vector, ...]
    ring: Ring
    may_turn: bool = False

    @property
    def width_mm(self) -> float:
        """Width of the body's box."""
        return max(x for x, _ in self.ring)

    @property
    def length_mm(self) -> float:
        """Length of the body's box."""
        return max(y for _, y in self.ring)


def joints(demand: Demand) -> tuple[tuple[Tie, int, int], ...]:
    """Full matches that join parts into bodies, from each family's largest part outwards.

    Each is (tie, part known, part added); ties that only close a ring are left out.
    """
    steps = demand.steps
    if steps is None or len(steps.basis_mm) != 2:
        return ()
    area = [p.width_mm * p.length_mm for p in demand.parts]
    found: list[tuple[Tie, int, int]] = []
    done: set[int] = set()
    for root in sorted(range(len(area)), key=lambda n: -area[n]):
        if root in done:
            continue
        done.add(root)
        queue = [root]
        while queue:
            here = queue.pop(0)
            for tie in demand.ties:
                other = tie.second if tie.first == here else tie.first if tie.second == here else here
                if tie.axes.full and other not in done:
                    done.add(other)
                    queue.append(other)
                    found.append((tie, here, other))
    return tuple(found)


def glued(demand: Demand, picks: Sequence[int | None]) -> list[Body] | None:
    """Bodies for one pick at each joint: the rank of its lattice step, or None to leave it loose.

    Returns None where some part finds no place beside its kin.
    """
    shapes = [shape_of(p.width_mm, p.length_mm, p.outline) for p in demand.parts]
    groups: list[dict[int, Vector]] = [{n: (0.0, 0.0)} for n in range(len(shapes))]
    for (tie, known, added), pick in zip(joints(demand), picks, strict=True):
        if pick is None:
            continue
        body = next(g for g in groups if known in g)
        other = next(g for g in groups if added in g)
        places = _places(demand, shapes, tie, known, added, body)
        if not places or len(other) > 1:
            return None
        body[added] = places[min(pick, len(places) - 1)]
        groups.remove(other)
    return [_body(demand, shapes, group) for group in groups]


def _places(
    demand: Demand, shapes: list[Shape], tie: Tie, known: int, added: int, body: dict[int, Vector]
) -> list[Vector]:
    """Tightest free places of a part against its body, where the tie is met."""
    a = demand.parts[tie.first].point(tie.at_first, False)
    b = demand.parts[tie.second].point(tie.at_second, False)
    own = (a[0] - b[0] - tie.offset_mm[0], a[1] - b[1] - tie.offset_mm[1])
    sign = 1.0 if added == tie.second else -1.0
    start = (body[known][0] + sign * own[0], body[known][1] + sign * own[1])
    assert demand.steps is not None
    kin = tuple((shapes[n], at) for n, at in sorted(body.items()))
    return list(_tightest(kin, shapes[added], start, demand.steps.basis_mm, demand.width_mm))


@lru_cache(maxsize=512)
def _tightest(
    kin: tuple[tuple[Shape, Vector], ...],
    shape: Shape,
    start: Vector,
    basis: tuple[Vector, ...],
    width: float,
) -> tuple[Vector, ...]:
    left, right = min(at[0] for _, at in kin), max(at[0] + s.width_mm for s, at in kin)
    top, foot = min(at[1] for _, at in kin), max(at[1] + s.length_mm for s, at in kin)
    reach = max(math.hypot(*v) for v in basis)
    low = (max(right - width, left - shape.width_mm - reach), top - shape.length_mm - reach)
    high = (min(left + width - shape.width_mm, right + reach), foot + reach)
    low, high = (low[0] - APART_MM, low[1]), (high[0] + APART_MM, high[1])
    spots = np.array(list(Lattice(basis).points_in(low, high, start, most=MOST_SPOTS)))
    if not len(spots):
        return ()
    free = np.ones(len(spots), bool)
    for other, at in kin:
        free &= no_fit(other, shape).apart_mm(spots - np.array(at)) >= -APART_MM
    ranked = sorted(map(tuple, spots[free].tolist()), key=lambda p: _hull_area(kin, shape, p))
    return tuple((float(x), float(y)) for x, y in ranked[:STEPS_KEPT])


def _hull_area(kin: tuple[tuple[Shape, Vector], ...], shape: Shape, at: Vector) -> float:
    from shapely.geometry import MultiPoint

    points = [(x + p[0], y + p[1]) for s, p in (*kin, (shape, at)) for x, y in s.ring]
    return float(MultiPoint(points).convex_hull.area)


def _body(demand: Demand, shapes: list[Shape], group: dict[int, Vector]) -> Body:
    left, top = min(x for x, _ in group.values()), min(y for _, y in group.values())
    at = {n: (x - left, y - top) for n, (x, y) in sorted(group.items())}
    parts = [demand.parts[n] for n in at]
    # parts tied by places turn by themselves, which would break a rigid body: those stay as they lie
    may_turn = all(p.may_turn for p in parts) and len({p.group for p in parts}) == 1
    return Body(tuple(at), tuple(at.values()), _one_ring([(shapes[n], p) for n, p in at.items()]), may_turn)


def _one_ring(members: list[tuple[Shape, Vector]]) -> Ring:
    """Outline round all members, joined by threads."""
    from shapely import affinity
    from shapely.geometry import LineString, Polygon
    from shapely.ops import nearest_points, unary_union

    if len(members) == 1:
        return members[0][0].ring
    whole = None
    for shape, at in members:
        poly = affinity.translate(Polygon(shape.ring), *at)
        if whole is None:
            whole = poly
            continue
        one, two = nearest_points(whole, poly)
        thread = LineString([one, two]).buffer(THREAD_MM, cap_style="square")
        whole = unary_union([whole, poly, thread.buffer(CLOSE_MM)])
    assert whole is not None
    box = (max(s.width_mm + at[0] for s, at in members), max(s.length_mm + at[1] for s, at in members))
    ring = whole.exterior.coords[:-1]
    # a thread may stick out of the box by a hair
    return tuple((min(max(float(x), 0.0), box[0]), min(max(float(y), 0.0), box[1])) for x, y in ring)
