"""Judging an answer against the truth, with arithmetic of its own (nothing of printcheck is used)."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any

import numpy as np

RIGHT = 0.03  # share: both vectors agree within this, up to the choice of basis and a turn
WHOLE = 0.06  # share: an area this near a whole multiple or fraction of the true one counts as such
SKEW = 0.036  # share: a translation this near an axis is one along it (off grain by up to 2 degrees)
OBLIQUE = 0.3  # share: a stripe leaning more than this shows nothing to set the cloth upright by
FARTHEST = 8

Basis = Sequence[Sequence[float]]
UNIMODULAR = [
    np.array(m).reshape(2, 2)
    for m in itertools.product((-2, -1, 0, 1, 2), repeat=4)
    if abs(m[0] * m[3] - m[1] * m[2]) == 1
]


def reduced(basis: Basis) -> np.ndarray:
    """The two shortest vectors (Lagrange and Gauss)."""
    a, b = (np.array(v, float) for v in basis)
    for _ in range(100):
        if a @ a > b @ b:
            a, b = b, a
        steps = round(float(a @ b / (a @ a)))
        if not steps:
            break
        b = b - steps * a
    return np.stack([a, b])


def lattice_error(true: Basis, got: Basis) -> float:
    """Worse of the two lengths' relative errors and the angle's, over every choice of basis."""
    t, g = reduced(true), reduced(got)
    length, angle = np.hypot(*g.T), _angle(g)
    best = math.inf
    for m in UNIMODULAR:
        v = m @ t
        sizes = np.hypot(*v.T)
        best = min(best, max(float(np.abs(length / sizes - 1).max()), abs(angle - _angle(v))))
    return best


def _angle(pair: np.ndarray) -> float:
    cosine = pair[0] @ pair[1] / np.prod(np.hypot(*pair.T))
    return math.acos(max(-1.0, min(1.0, float(cosine))))


def repeat_verdict(true: Basis, got: Basis) -> tuple[str, float | None]:
    """Verdict and relative error: right, multiple, wrong, missed or spurious."""
    if len(true) != len(got):
        return ("missed" if len(got) < len(true) else "spurious"), None
    if not true:
        return "right", None
    if len(true) == 1:
        ratio = math.hypot(*got[0]) / math.hypot(*true[0])
        error = abs(ratio - 1)
    else:
        error = lattice_error(true, got)
        (a, b), (c, d) = true
        (e, f), (g, h) = got
        ratio = abs(e * h - f * g) / abs(a * d - b * c)
    if error <= RIGHT:
        return "right", error
    times = max(ratio, 1 / max(ratio, 1e-9))
    return ("multiple" if round(times) > 1 and abs(times - round(times)) < WHOLE * times else "wrong"), error


def straight(basis: Basis) -> list[float | None]:
    """Shortest translations across and along the cloth, skew allowed for; None where there is none.

    A stripe leaning by less than a few degrees counts as upright (or level).
    """
    if len(basis) == 1:
        x, y = (abs(v) for v in basis[0])
        size = math.hypot(x, y)
        sides: list[float | None] = [size * size / x if x > SKEW * size else None]
        return [*sides, size * size / y if y > SKEW * size else None]
    best: list[float | None] = [None, None]
    for i in range(-FARTHEST, FARTHEST + 1):
        for j in range(-FARTHEST, FARTHEST + 1):
            v = [i * basis[0][k] + j * basis[1][k] for k in (0, 1)]
            for axis in (0, 1):
                size = abs(v[axis])
                if size > 1e-6 and abs(v[1 - axis]) <= SKEW * size:
                    best[axis] = size if best[axis] is None else min(best[axis] or size, size)
    return best


def axes_right(true: Basis, across: float | None, along: float | None) -> bool | None:
    """Whether both straight translations are right within 3 %; None where no picture can tell the axes."""
    if len(true) == 1 and min(map(abs, true[0])) > OBLIQUE * max(map(abs, true[0])):
        return None
    for want, have in zip(straight(true), (across, along), strict=True):
        if (want is None) != (have is None):
            return False
        if want is not None and have is not None and abs(have / want - 1) > RIGHT:
            return False
    return True


def bars_error_mm(true: list[list[Any]], got: list[dict[str, Any]]) -> float | None:
    """Largest difference of bar widths in mm at the best start and direction; None if the count differs."""
    fits = _bars_paired(true, got)
    return None if fits is None else max(abs(have - want) for want, have, _ in fits)


def bars_as_stated(true: list[list[Any]], got: list[dict[str, Any]], *, least_mm: float) -> bool:
    """Whether every bar is within ``least_mm`` or twice its own stated error."""
    fits = _bars_paired(true, got)
    return fits is not None and all(
        abs(have - want) <= max(least_mm, 2 * sigma) for want, have, sigma in fits
    )


def _bars_paired(true: list[list[Any]], got: list[dict[str, Any]]) -> list[tuple[float, float, float]] | None:
    """True width, found width and its error of every bar, at the start and direction that fit best."""
    wanted = [float(w) for w, _ in true]
    found = [(float(b["width_mm"]), float(b.get("error_mm") or 0.0)) for b in got]
    if len(wanted) != len(found) or not wanted:
        return None
    ways = [order[i:] + order[:i] for order in (found, found[::-1]) for i in range(len(found))]
    best = min(ways, key=lambda way: max(abs(w - v) for w, (v, _) in zip(wanted, way, strict=True)))
    return [(w, v, e) for w, (v, e) in zip(wanted, best, strict=True)]
