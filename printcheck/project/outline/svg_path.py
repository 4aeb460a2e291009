"""SVG path data and transforms, by fontTools' parser, flattened to points in millimetres."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import pairwise

from fontTools.misc.transform import Transform
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path as parse_into

from printcheck.core.errors import InputError
from printcheck.core.lattice import Vector

Curve = tuple[Vector, ...]  # control points of a line (2), a quadratic (3) or a cubic curve (4)

FLAT_MM = 0.1  # mm: how far the flattened outline may be from the curve; a pencil line is wider
CLOSED_MM = 0.1  # mm: a path whose ends are nearer than this is closed without saying so
MOST_DATA = 2_000_000  # characters of path data: a pattern piece has a few thousand
MOST_STEPS = 400  # chords to one curve: a metre-wide circle needs about forty a quarter

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_PATH = re.compile(rf"(?:[MmZzLlHhVvCcSsQqTtAa]|{_NUMBER}|[\s,])*")
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")
_REMEDY = "Save the drawing again with absolute path data, or simplify the path."


def parse_transform(text: str, *, place: str) -> Transform:
    """Affine map of a ``transform`` attribute.

    Examples
    --------
    >>> tuple(parse_transform("translate(3,4) scale(2)", place="here"))
    (2.0, 0.0, 0.0, 2.0, 3.0, 4.0)
    """
    result = Transform()
    at = 0
    while at < len(text.rstrip()):
        match = _TRANSFORM.match(text, at)
        numbers = [float(n) for n in re.findall(_NUMBER, match[2])] if match else []
        one = _one_transform(match[1], numbers) if match else None
        if match is None or one is None or not all(math.isfinite(n) for n in one):
            raise InputError(
                "svg-transform", f"{place}: the transform {text[:40]!r} is not understood.",
                "Apply the transform in the drawing program.",
            )  # fmt: skip
        result = result.transform(one)
        at = match.end()
    return result


def _one_transform(name: str, n: list[float]) -> Transform | None:
    match name, n:
        case "matrix", [_, _, _, _, _, _]:
            return Transform(*n)
        case "translate", [_] | [_, _]:
            return Transform().translate(*n)
        case "scale", [_] | [_, _]:
            return Transform().scale(*n)
        case "rotate", [turn]:
            return Transform().rotate(math.radians(turn))
        case "rotate", [turn, x, y]:
            return Transform().translate(x, y).rotate(math.radians(turn)).translate(-x, -y)
        case "skewX", [angle]:
            return Transform().skew(math.radians(angle))
        case "skewY", [angle]:
            return Transform().skew(0, math.radians(angle))
    return None


def parse_path(data: str, *, place: str) -> list[Curve]:
    """Curves of one closed subpath, end to end.

    Raises
    ------
    InputError
        If the data is broken, or has more than one subpath.
    """
    if len(data) > MOST_DATA:
        raise InputError("svg-path-too-long", f"{place}: the path has too many segments.", _REMEDY)
    pen = RecordingPen()
    read = _PATH.match(data)
    end = read.end() if read else 0
    if end < len(data):
        raise InputError("svg-path-broken", f"{place}: the path breaks off at {data[end:][:12]!r}.", _REMEDY)
    try:
        parse_into(data, pen)
    except (ValueError, IndexError, OverflowError, ZeroDivisionError, AssertionError) as error:
        raise InputError("svg-path-broken", f"{place}: the path data is broken ({error}).", _REMEDY) from None
    curves = list(_curves(pen.value, place))
    if not curves:
        raise InputError("svg-path-empty", f"{place}: the path draws nothing.", "Check the id.")
    if not all(math.isfinite(c) for curve in curves for point in curve for c in point):
        raise InputError("svg-path-broken", f"{place}: the path data holds a number too large.", _REMEDY)
    return curves


def _curves(drawn: list[tuple[str, tuple[Vector, ...]]], place: str) -> Iterator[Curve]:
    """Lines and curves that move the pen, each from where the last one ended."""
    at: Vector | None = None
    moved = False
    for command, points in drawn:
        if command == "moveTo" and moved:
            raise InputError(
                "svg-many-paths", f"{place}: the path has more than one part.",
                "Take holes and marks out of it, so that one closed line is left.",
            )  # fmt: skip
        if at is not None and points and (len(points) > 1 or points[0] != at):
            yield (at, *points)
            moved = True
        at = points[-1] if points else at


def flattened(curves: list[Curve], matrix: Transform, *, place: str) -> tuple[Vector, ...]:
    """Points in mm within ``FLAT_MM`` of the closed path.

    Raises
    ------
    InputError
        If the path is open.
    """
    mapped = [tuple(matrix.transformPoints(curve)) for curve in curves]
    gap = math.dist(mapped[0][0], mapped[-1][-1])
    if gap > CLOSED_MM:
        raise InputError(
            "svg-path-open", f"{place}: the path is open, its ends are {gap:.1f} mm apart.",
            "Close the path in the drawing program.",
        )  # fmt: skip
    points = [mapped[0][0]]
    for curve in mapped:
        steps = _steps(curve)
        points += [_at(curve, i / steps) for i in range(1, steps + 1)]
    return tuple(points[:-1])


def _steps(curve: Curve) -> int:
    """Chords that keep within ``FLAT_MM``: a chord errs by at most |second derivative| / 8 n^2."""
    if len(curve) == 2:
        return 1
    degree = len(curve) - 1
    bends = (
        math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1])
        for a, b, c in zip(curve, curve[1:], curve[2:], strict=False)
    )
    second = degree * (degree - 1) * max(bends)
    return min(MOST_STEPS, max(1, math.ceil(math.sqrt(second / (8 * FLAT_MM)))))


def _at(curve: Curve, t: float) -> Vector:
    points = list(curve)
    while len(points) > 1:  # de Casteljau
        points = [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for a, b in pairwise(points)]
    return points[0]
