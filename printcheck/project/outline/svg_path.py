"""SVG path data as lines and curves, its transforms, and flattening to points in millimetres.

Follows SVG 1.1, sections 7.6 (transforms), 8.3 (path data) and F.6 (arcs).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import pairwise

from printcheck.core.errors import InputError
from printcheck.core.lattice import Vector

Affine = tuple[float, float, float, float, float, float]  # x' = a x + c y + e, y' = b x + d y + f
Curve = tuple[Vector, ...]  # control points of a line (2), a quadratic (3) or a cubic curve (4)

FLAT_MM = 0.1  # mm: how far the flattened outline may be from the curve; a pencil line is wider
CLOSED_MM = 0.1  # mm: a path whose ends are nearer than this is closed without saying so
MOST_SEGMENTS = 20_000  # path segments: a pattern piece has dozens
MOST_STEPS = 400  # chords to one curve: a metre-wide circle needs about forty a quarter

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_TOKEN = re.compile(rf"\s*,?\s*(?:([MmZzLlHhVvCcSsQqTtAa])|({_NUMBER}))")
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_REMEDY = "Save the drawing again with absolute path data, or simplify the path."


def times(outer: Affine, inner: Affine) -> Affine:
    """Affine map that applies ``inner`` first."""
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (
        a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f,
    )  # fmt: skip


def parse_transform(text: str, *, place: str) -> Affine:
    """Affine map of a ``transform`` attribute.

    Examples
    --------
    >>> parse_transform("translate(3,4) scale(2)", place="here")
    (2.0, 0.0, 0.0, 2.0, 3.0, 4.0)
    """
    result: Affine = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
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
        result = times(result, one)
        at = match.end()
    return result


def _one_transform(name: str, n: list[float]) -> Affine | None:
    if name == "matrix" and len(n) == 6:
        return (n[0], n[1], n[2], n[3], n[4], n[5])
    if name == "translate" and len(n) in (1, 2):
        return (1.0, 0.0, 0.0, 1.0, n[0], n[1] if len(n) == 2 else 0.0)
    if name == "scale" and len(n) in (1, 2):
        return (n[0], 0.0, 0.0, n[-1], 0.0, 0.0)
    if name == "rotate" and len(n) in (1, 3):
        c, s = math.cos(math.radians(n[0])), math.sin(math.radians(n[0]))
        x, y = (n[1], n[2]) if len(n) == 3 else (0.0, 0.0)
        return (c, s, -s, c, x - c * x + s * y, y - s * x - c * y)
    if name in ("skewX", "skewY") and len(n) == 1:
        t = math.tan(math.radians(n[0]))
        return (1.0, 0.0, t, 1.0, 0.0, 0.0) if name == "skewX" else (1.0, t, 0.0, 1.0, 0.0, 0.0)
    return None


def parse_path(data: str, *, place: str) -> list[Curve]:
    """Curves of one closed subpath, end to end.

    Raises
    ------
    InputError
        If the data is broken, or has more than one subpath.
    """
    pen = _Pen(place)
    for command, numbers in _commands(data, place):
        pen.draw(command, numbers)
        if len(pen.curves) > MOST_SEGMENTS:
            raise InputError("svg-path-too-long", f"{place}: the path has too many segments.", _REMEDY)
    if not pen.curves:
        raise InputError("svg-path-empty", f"{place}: the path draws nothing.", "Check the id.")
    return pen.curves


def flattened(curves: list[Curve], matrix: Affine, *, place: str) -> tuple[Vector, ...]:
    """Points in mm within ``FLAT_MM`` of the closed path.

    Raises
    ------
    InputError
        If the path is open.
    """
    mapped = [tuple(_apply(matrix, p) for p in curve) for curve in curves]
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


class _Pen:
    """Draws commands into curves; keeps the point, the start and the last control point."""

    def __init__(self, place: str) -> None:
        self.place = place
        self.curves: list[Curve] = []
        self.at: Vector = (0.0, 0.0)
        self.start: Vector = (0.0, 0.0)
        self.closed = False
        self.last = ""  # the command before, for smooth curves
        self.control: Vector = (0.0, 0.0)

    def draw(self, command: str, n: list[float]) -> None:
        kind, relative = command.upper(), command.islower()
        ox, oy = self.at if relative else (0.0, 0.0)
        if kind == "M":
            self._move((ox + n[0], oy + n[1]))
        elif kind == "Z":
            self._line(self.start)
            self.closed = True
        elif self.closed:
            raise InputError("svg-many-paths", f"{self.place}: the path goes on after it is closed.", _REMEDY)
        elif kind == "H":
            self._line((ox + n[0], self.at[1]))
        elif kind == "V":
            self._line((self.at[0], oy + n[0]))
        elif kind == "L":
            self._line((ox + n[0], oy + n[1]))
        elif kind == "A":
            self._arc(n, (ox + n[5], oy + n[6]))
        else:
            self._curve(kind, [(ox + n[i], oy + n[i + 1]) for i in range(0, len(n), 2)])
        self.last = kind

    def _move(self, to: Vector) -> None:
        if self.curves:
            raise InputError(
                "svg-many-paths", f"{self.place}: the path has more than one part.",
                "Take holes and marks out of it, so that one closed line is left.",
            )  # fmt: skip
        self.at = self.start = to

    def _line(self, to: Vector) -> None:
        if to != self.at:
            self.curves.append((self.at, to))
        self.at = to

    def _curve(self, kind: str, points: list[Vector]) -> None:
        if kind in "ST":
            family = "CS" if kind == "S" else "QT"
            smooth = self.last != "" and self.last in family
            ax, ay = self.at
            first = (2 * ax - self.control[0], 2 * ay - self.control[1]) if smooth else self.at
            points = [first, *points]
        self.curves.append((self.at, *points))
        self.control, self.at = points[-2], points[-1]

    def _arc(self, n: list[float], to: Vector) -> None:
        for cubic in _arc_curves(self.at, to, radii=(abs(n[0]), abs(n[1])), turn=n[2], flags=(n[3], n[4])):
            self.curves.append(cubic)
        self.at = to


def _commands(data: str, place: str) -> Iterator[tuple[str, list[float]]]:
    """Commands with their numbers; implied ones (L after M, repeats) written out."""
    command = ""
    numbers: list[float] = []
    at, end = 0, len(data.rstrip())
    while at < end:
        flag = command in ("A", "a") and len(numbers) in (3, 4)  # arc flags may stand without a gap
        match = (re.compile(r"\s*,?\s*()([01])") if flag else _TOKEN).match(data, at)
        if match is None:
            raise InputError(
                "svg-path-broken", f"{place}: the path data breaks off at {data[at : at + 12]!r}.", _REMEDY
            )
        at = match.end()
        if match[1]:
            if numbers:
                break
            command = match[1]
            if command in "Zz":
                yield command, []
            continue
        numbers.append(float(match[2]))
        if not command or command in "Zz" or not math.isfinite(numbers[-1]):
            raise InputError("svg-path-broken", f"{place}: a number stands where a command should.", _REMEDY)
        if len(numbers) == _TAKES[command.upper()]:
            yield command, numbers
            numbers = []
            command = {"M": "L", "m": "l"}.get(command, command)
    if numbers:
        raise InputError("svg-path-broken", f"{place}: the path data lacks a number.", _REMEDY)


def _arc_curves(start: Vector, end: Vector, *, radii: Vector, turn: float, flags: Vector) -> Iterator[Curve]:
    """Cubic curves of an elliptical arc (SVG 1.1, F.6.5 and F.6.6); a quarter turn or less each."""
    rx, ry = radii
    if start == end:
        return
    if rx == 0 or ry == 0:
        yield (start, end)
        return
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    hx, hy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    x, y = c * hx + s * hy, -s * hx + c * hy
    grow = math.sqrt(max(1.0, (x / rx) ** 2 + (y / ry) ** 2))
    rx, ry = rx * grow, ry * grow
    under = (rx * ry) ** 2 / ((rx * y) ** 2 + (ry * x) ** 2) - 1
    root = math.sqrt(max(0.0, under)) * (1 if bool(flags[0]) != bool(flags[1]) else -1)
    cx, cy = root * rx * y / ry, -root * ry * x / rx
    first = math.atan2((y - cy) / ry, (x - cx) / rx)
    sweep = math.atan2((-y - cy) / ry, (-x - cx) / rx) - first
    sweep %= 2 * math.pi
    if not flags[1]:
        sweep -= 2 * math.pi
    mx, my = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    ellipse: Affine = (c * rx, s * rx, -s * ry, c * ry, c * cx - s * cy + mx, s * cx + c * cy + my)
    count = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
    step = sweep / count
    k = 4 / 3 * math.tan(step / 4)  # handle of the usual cubic for a circular arc
    for i in range(count):
        a, b = first + i * step, first + (i + 1) * step
        unit = (
            (math.cos(a), math.sin(a)),
            (math.cos(a) - k * math.sin(a), math.sin(a) + k * math.cos(a)),
            (math.cos(b) + k * math.sin(b), math.sin(b) - k * math.cos(b)),
            (math.cos(b), math.sin(b)),
        )
        yield tuple(_apply(ellipse, p) for p in unit)


def _apply(m: Affine, p: Vector) -> Vector:
    return (m[0] * p[0] + m[2] * p[1] + m[4], m[1] * p[0] + m[3] * p[1] + m[5])


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
