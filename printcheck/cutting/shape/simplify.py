"""Outlines as the nesting wants them: fewer points, never smaller than the piece, cut into convex parts.

Curved edges of a pattern piece come as hundreds of points. They are thinned outwards: corners that dent
the outline are bridged and short edges between two bulging corners are cut off beyond, so that the
thinned outline holds the true one and is at no point farther than a fraction of a millimetre from it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import Floats
from printcheck.core.lattice import Vector

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from printcheck.cutting.demand.demands import Demand, Spot


THINNED_MM = 0.4  # mm: farthest the thinned outline stands out; a third of a chalk line
FLAT_TURN = 1e-9  # relative: a corner that turns less is on a straight line
FEWEST_POINTS = 3

Ring = tuple[Vector, ...]


@dataclass(frozen=True, eq=False)
class Shape:
    """A part's outline, thinned, counter-clockwise from the corner of its box, and its convex parts.

    Equal parts share one object (:func:`shape_of`), so that what is known of a pair is found at once.
    """

    width_mm: float
    length_mm: float
    ring: Ring
    parts: tuple[Ring, ...]

    @cached_property
    def half_planes(self) -> tuple[tuple[Floats, Floats], ...]:
        """Corners (n, 2) of each convex part and the outward unit normals (n, 2) of its edges."""
        return tuple((np.array(ring), _outward(ring)) for ring in self.parts)

    @cached_property
    def turned(self) -> Shape:
        """The shape turned end for end in its box."""
        made = Shape(
            self.width_mm, self.length_mm, self._turned(self.ring), tuple(map(self._turned, self.parts))
        )
        made.__dict__["turned"] = self  # turned twice it is this very object again
        return made

    def _turned(self, ring: Ring) -> Ring:
        return tuple((self.width_mm - x, self.length_mm - y) for x, y in ring)


@lru_cache(maxsize=1024)
def shape_of(width_mm: float, length_mm: float, outline: Ring) -> Shape:
    """Shape of a part; a rectangle where it has no outline."""
    if not outline:
        box = ((0.0, 0.0), (width_mm, 0.0), (width_mm, length_mm), (0.0, length_mm))
        return Shape(width_mm, length_mm, box, (box,))
    ring = thinned(outline, width_mm, length_mm)
    return Shape(width_mm, length_mm, ring, convex_parts(ring))


def shapes_of(demand: Demand, spots: Sequence[Spot]) -> list[Shape]:
    """Shape of every part as it lies."""
    shapes = [shape_of(p.width_mm, p.length_mm, p.outline) for p in demand.parts]
    return [s.turned if spot.turned else s for s, spot in zip(shapes, spots, strict=True)]


def true_shapes(demand: Demand) -> list[Shape]:
    """Shape of every part, unturned and with all its corners, for what must not be larger than the piece."""
    return [_true_shape(p.width_mm, p.length_mm, p.outline) for p in demand.parts]


@lru_cache(maxsize=1024)
def _true_shape(width_mm: float, length_mm: float, outline: Ring) -> Shape:
    if not outline:
        return shape_of(width_mm, length_mm, outline)
    ring = (
        outline
        if sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise((*outline, outline[0]))) > 0
        else outline[::-1]
    )
    return Shape(width_mm, length_mm, ring, convex_parts(ring))


def thinned(outline: Ring, width_mm: float, length_mm: float) -> Ring:
    """Outline with fewer points that holds the given one, counter-clockwise, within its box."""
    from shapely.geometry import Polygon

    true = Polygon(outline)
    ring = [(float(x), float(y)) for x, y in true.exterior.coords[:-1]]
    if not true.exterior.is_ccw:
        ring.reverse()
    found = _thin(ring, true, (width_mm, length_mm))
    poly = Polygon(found)
    if not poly.is_valid or true.difference(poly).area > FLAT_TURN * true.area:
        return tuple(ring)  # thinning two near edges made them touch: keep every point
    return tuple(found)


def convex_parts(ring: Ring) -> tuple[Ring, ...]:
    """Convex pieces that fill a simple polygon: triangles, joined while they stay convex."""
    from shapely import constrained_delaunay_triangles
    from shapely.geometry import Polygon

    if _is_convex(ring):
        return (ring,)
    triangles = constrained_delaunay_triangles(Polygon(ring)).geoms
    rings = [tuple(t.exterior.coords[:-1]) for t in triangles]
    parts = [ring if _turn(*ring) >= 0 else ring[::-1] for ring in rings]  # counter-clockwise
    return tuple(_joined(parts))


def _thin(ring: list[Vector], true: Polygon, box: Vector) -> list[Vector]:
    """Take away one point after another while one can go."""
    from shapely.geometry import Point

    at = 0
    kept_since = 0
    while len(ring) > FEWEST_POINTS + 1 and kept_since <= len(ring):
        n = len(ring)
        a, b, c, d = (ring[(at + k) % n] for k in range(4))
        if _turn(a, b, c) <= FLAT_TURN * math.dist(a, b) * math.dist(b, c):  # a dent, or straight
            middle = Point((a[0] + c[0]) / 2, (a[1] + c[1]) / 2)
            gone = true.distance(middle) <= THINNED_MM and _depth(a, b, c) <= THINNED_MM
            if gone:
                ring.pop((at + 1) % n)
        else:
            tip = _tip(a, b, c, d)
            gone = (
                tip is not None
                and true.distance(Point(tip)) <= THINNED_MM
                and 0 <= tip[0] <= box[0]
                and 0 <= tip[1] <= box[1]
            )
            if gone and tip is not None:
                ring[(at + 1) % n] = tip
                ring.pop((at + 2) % n)
        kept_since = 0 if gone else kept_since + 1
        at = (at + (0 if gone else 1)) % len(ring)
    return ring


def _turn(a: Vector, b: Vector, c: Vector) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _depth(a: Vector, b: Vector, c: Vector) -> float:
    """How far b stands off the line from a to c."""
    base = math.dist(a, c)
    return abs(_turn(a, b, c)) / base if base > 0 else math.inf


def _tip(a: Vector, b: Vector, c: Vector, d: Vector) -> Vector | None:
    """Where the edges before and behind a short edge meet beyond it, if both its corners bulge."""
    if _turn(b, c, d) <= 0:
        return None
    one, two = (b[0] - a[0], b[1] - a[1]), (c[0] - d[0], c[1] - d[1])
    det = one[0] * two[1] - one[1] * two[0]
    if abs(det) <= FLAT_TURN * math.hypot(*one) * math.hypot(*two):
        return None
    t = ((c[0] - b[0]) * two[1] - (c[1] - b[1]) * two[0]) / det
    s = ((c[0] - b[0]) * one[1] - (c[1] - b[1]) * one[0]) / det
    if t < 0 or s < 0:
        return None
    return (b[0] + t * one[0], b[1] + t * one[1])


def _outward(ring: Ring) -> Floats:
    """Unit normals of a counter-clockwise ring's edges, outwards."""
    points = np.array(ring)
    edge = np.roll(points, -1, axis=0) - points
    size = np.hypot(edge[:, 0], edge[:, 1])
    edge = edge[size > 0] / size[size > 0, None]
    return np.column_stack([edge[:, 1], -edge[:, 0]])


def _is_convex(ring: Ring) -> bool:
    n = len(ring)
    return all(_turn(ring[k - 1], ring[k], ring[(k + 1) % n]) >= -1e-9 for k in range(n))


def _joined(parts: list[Ring]) -> list[Ring]:
    """Join neighbours across a shared edge while the two together are convex (Hertel and Mehlhorn)."""
    edges = {frozenset(edge) for part in parts for edge in pairwise((*part, part[0]))}
    for edge in sorted(edges, key=lambda e: -math.dist(*e) if len(e) == 2 else 0.0):
        owners = [n for n, part in enumerate(parts) if edge <= set(part)]
        if len(owners) != 2:
            continue
        whole = _union(parts[owners[0]], parts[owners[1]], edge)
        if whole is not None and _is_convex(whole):
            parts = [p for n, p in enumerate(parts) if n not in owners] + [whole]
    return parts


def _union(one: Ring, two: Ring, edge: frozenset[Vector]) -> Ring | None:
    for a, b in pairwise((*one, one[0])):
        if {a, b} == edge:
            i, j = one.index(b), two.index(a)
            first = one[i:] + one[:i]  # from b round to a
            second = two[j:] + two[:j]  # from a round to b
            return first + second[1:-1] if second[-1] == b else None
    return None
