"""Outlines of pieces: closed polygons, checked, put into the corner of their box, mirrored, laid open."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding
from printcheck.core.lattice import Vector
from printcheck.core.plan import Piece
from printcheck.core.units import LONGEST_MM

Fold = Literal["left", "right", "top", "bottom"]
Ring = tuple[Vector, ...]

SAME_POINT_MM = 0.01  # mm: points nearer than a tenth of a pencil line are one point
MOST_POINTS = 5000  # points an outline: curves flattened to 0.1 mm need a few hundred
SMALLEST_AREA_MM2 = 1.0  # mm^2: less is a slip, not a piece
SYMMETRY_MM = 0.5  # mm: mean difference of the two halves, the width of a pencil line
ON_THE_LINE_MM = 0.05  # mm: how near a point must be to count as lying on the outline


@dataclass(frozen=True)
class Shape:
    """Width, length and outline (empty for a rectangle) in the corner of the box, and what was moved."""

    width_mm: float
    length_mm: float
    outline: Ring = ()
    moved_by: Vector = (0.0, 0.0)  # from the coordinates of the file to those of the box


@dataclass(frozen=True)
class DrawnPiece:
    """A piece as drawn, and its notches in order round it, in the corner of its box.

    ``count`` and ``mirrored`` are what the drawing itself says, ``on_fold`` that it was laid open
    about its lengthwise middle.
    """

    shape: Shape
    notches: tuple[Vector, ...] = ()
    findings: tuple[Finding, ...] = ()
    count: int = 1
    mirrored: bool = False
    on_fold: bool = False


def shape_of_points(points: Ring, *, place: str) -> Shape:
    """Shape of a closed polygon, its box put into the corner.

    Raises
    ------
    InputError
        If it has fewer than three points or too many, no area, or crosses itself.
    """
    if not all(math.isfinite(c) and abs(c) <= LONGEST_MM for point in points for c in point):
        raise InputError(
            "length-out-of-range",
            f"{place}: the outline reaches farther than ten kilometres.",
            "Check the units.",
        )
    ring = _without_doubles(points)
    if len(ring) < 3:
        raise InputError(
            "outline-too-few-points",
            f"{place}: an outline needs three points or more that differ.",
            "List the corners in order round the piece.",
        )
    if len(ring) > MOST_POINTS:
        raise InputError(
            "outline-too-many-points",
            f"{place}: the outline has {len(ring)} points, more than {MOST_POINTS}.",
            "Draw it with fewer points; a point every few millimetres is plenty.",
        )
    _refuse_crossing(ring, place)
    left, top = min(x for x, _ in ring), min(y for _, y in ring)
    ring = tuple((x - left, y - top) for x, y in ring)
    width, length = max(x for x, _ in ring), max(y for _, y in ring)
    return Shape(width, length, ring, (-left, -top))


def laid_open(shape: Shape, fold: Fold, *, place: str) -> Shape:
    """Shape of a piece cut on the fold, laid open: its mirror image joined on along that edge.

    Points of seams are given on the piece laid open, from the corner of its box.
    """
    if not shape.outline:
        wide = fold in ("left", "right")
        return Shape(shape.width_mm * (2 if wide else 1), shape.length_mm * (1 if wide else 2))
    from shapely import unary_union
    from shapely.geometry import Polygon

    axis = 0 if fold in ("left", "right") else 1
    at = 0.0 if fold in ("left", "top") else (shape.width_mm, shape.length_mm)[axis]
    image = [tuple(2 * at - c if i == axis else c for i, c in enumerate(p)) for p in shape.outline]
    whole = unary_union([Polygon(shape.outline), Polygon(image)])
    if whole.geom_type != "Polygon" or whole.interiors:
        raise InputError(
            "fold-off-the-edge",
            f"{place}: the outline has no straight edge along its {fold} side to lay on the fold.",
            "Give the side that lies on the fold, or draw the whole piece and leave fold out.",
        )
    ring = tuple((float(x), float(y)) for x, y in whole.exterior.coords)
    opened = shape_of_points(_without_straights(ring), place=place)
    return replace(opened, moved_by=(0.0, 0.0))


def opened(drawn: DrawnPiece, fold: Fold, *, place: str) -> DrawnPiece:
    """Half a piece and its notches laid open; see :func:`laid_open`."""
    axis, far = 0 if fold in ("left", "right") else 1, fold in ("right", "bottom")
    size = (drawn.shape.width_mm, drawn.shape.length_mm)[axis]
    moved = [_along(p, axis, 0.0 if far else size) for p in drawn.notches]
    images = [_along(p, axis, 2 * size - 2 * p[axis]) for p in moved]
    both = [*moved, *(q for p, q in zip(moved, images, strict=True) if math.dist(p, q) > SAME_POINT_MM)]
    return replace(drawn, shape=laid_open(drawn.shape, fold, place=place), notches=tuple(both))


def _along(point: Vector, axis: int, by: float) -> Vector:
    return (point[0] + by, point[1]) if axis == 0 else (point[0], point[1] + by)


def mirrored(piece: Piece, name: str) -> Piece:
    """Piece turned over left to right in its own box; the mark of being a mirror image changes."""
    ring = tuple((piece.width_mm - x, y) for x, y in reversed(piece.outline))
    return replace(piece, name=name, outline=ring, mirrored=not piece.mirrored)


def symmetrical(piece: Piece) -> bool:
    """Whether the left and right halves of the piece are mirror images, within a pencil line."""
    if not piece.outline:
        return True
    from shapely.geometry import Polygon

    image = Polygon(mirrored(piece, "").outline)
    return bool(Polygon(piece.outline).symmetric_difference(image).area <= SYMMETRY_MM * image.length)


def distance_inside_mm(piece: Piece, point: Vector) -> float:
    """How far inside the piece a point lies, in mm; negative outside, 0 on the outline."""
    x, y = point
    if not piece.outline:
        return min(x, piece.width_mm - x, y, piece.length_mm - y)
    from shapely.geometry import Point, Polygon

    polygon = Polygon(piece.outline)
    far = float(polygon.exterior.distance(Point(point)))
    return far if polygon.contains(Point(point)) else -far


def _refuse_crossing(ring: Ring, place: str) -> None:
    from shapely.geometry import Polygon
    from shapely.validation import explain_validity

    polygon = Polygon(ring)
    if not polygon.is_valid:
        where = explain_validity(polygon)
        point = where[where.find("[") + 1 : where.find("]")].split() if "[" in where else []
        near = f" near {float(point[0]):.1f} mm, {float(point[1]):.1f} mm" if len(point) == 2 else ""
        raise InputError(
            "outline-crosses-itself",
            f"{place}: the outline crosses or touches itself{near}.",
            "List the corners in order round the piece, each once.",
        )
    if polygon.area < SMALLEST_AREA_MM2:
        raise InputError(
            "outline-without-area", f"{place}: the outline encloses nothing.", "Check the units."
        )


def _without_doubles(points: Ring) -> Ring:
    """Points without those that lie on their forerunner, and without a closing copy of the first."""
    kept: list[Vector] = []
    for point in points:
        if not kept or math.dist(point, kept[-1]) > SAME_POINT_MM:
            kept.append(point)
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) <= SAME_POINT_MM:
        kept.pop()
    return tuple(kept)


def _without_straights(points: Ring) -> Ring:
    """Points without those on a straight line between their neighbours (left by joining at a fold)."""
    ring = _without_doubles(points)
    around = zip(ring[-1:] + ring[:-1], ring, ring[1:] + ring[:1], strict=True)
    return tuple(b for a, b, c in around if not _between(a, b, c))


def _between(a: Vector, b: Vector, c: Vector) -> bool:
    base = math.dist(a, c)
    if base == 0:
        return False
    height = abs((c[0] - a[0]) * (b[1] - a[1]) - (c[1] - a[1]) * (b[0] - a[0])) / base
    return height <= 1e-6 and math.dist(a, b) <= base and math.dist(b, c) <= base
