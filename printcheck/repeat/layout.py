"""The lattice turned upright and named: straight, half-drop or another drop, across and along.

The cloth's own axes are taken from the lattice when it lies within a few degrees of the photo's: the
along axis (warp) is the straight direction of the print nearest the photo's upright, and what the
crosswise direction lacks of square to it is the skew (cloth off grain, ASTM D3882).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from printcheck.core.lattice import Lattice, Vector
from printcheck.core.measurement import Layout
from printcheck.repeat.arrays import Vectors

MOST_TURN_DEG = 17.0  # a photo is taken up to about 15 degrees askew; more is the print's own slant
ALONG_AXIS_DEG = 3.0  # a vector nearer to an axis than this lies along it, where no reading holds
# Cloth up to 2 degrees off grain (0.035) still has a crosswise repeat to cut by; a little more, for the
# error of the slope. Beyond it nothing repeats straight across.
MOST_SLOPE = 0.04
FARTHEST = 6  # steps in each basis vector
DROPS = tuple(
    sorted({Fraction(p, q) for q in (1, 2, 3, 4, 5) for p in range(q)}, key=lambda f: f.denominator)
)
# What a reading costs, so that the plainest explanation wins (degrees of turn it is worth).
DROP_COST = {1: 0.0, 2: 1.5, 3: 8.0, 4: 9.0, 5: 13.0}
TURN_COST = 0.6  # per degree of turn
SKEW_COST = 2.0  # per degree of skew beyond two sigma: cloth lies off grain and is pulled askew
LENGTH_COST = 1.5  # per doubling of the lengthwise repeat over the shortest vector
MOST_COST = 20.0  # a fifth of a drop, 10 degrees askew: what costs more is the print's own slant


@dataclass(frozen=True)
class Upright:
    """A lattice on the cloth's own axes.

    ``basis_mm`` is snapped to the layout, with the skew kept where it is more than the error.
    ``across_mm`` and ``along_mm`` are those of the print as meant, with the skew taken out.
    """

    layout: Layout
    drop: float | None
    across_mm: float | None
    along_mm: float | None
    basis_mm: tuple[Vector, ...]
    turn_deg: float
    skew_deg: float


@dataclass(frozen=True)
class _Reading:
    cost: float
    turn_deg: float
    skew_deg: float
    column_mm: float
    along_mm: float
    drop: Fraction


def upright_stripe(period_mm: Vectors) -> Upright:
    """Read one period: level, upright or slanting."""
    across, along = (float(v) for v in period_mm)
    length = math.hypot(across, along)
    from_level = _folded(math.degrees(math.atan2(along, across)), 180)
    from_upright = _folded(from_level - 90, 180)
    if abs(from_level) <= MOST_TURN_DEG:
        return _stripe((length, 0.0), from_level)
    if abs(from_upright) <= MOST_TURN_DEG:
        return _stripe((0.0, length), from_upright)
    flip = -1 if across < 0 else 1
    return _stripe((flip * across, flip * along), 0.0)


def upright_lattice(basis_mm: Vectors, *, sigma_deg: float) -> Upright:
    """Read two vectors: choose the turn and the drop that explain them most plainly.

    Parameters
    ----------
    basis_mm : (2, 2) float64
        Rows are vectors in the flat picture's own axes.
    sigma_deg : float
        One sigma of a direction in degrees: less skew than twice that is none.
    """
    turned = ((v, _folded(math.degrees(math.atan2(v[1], v[0])) - 90, 180)) for v in _steps(basis_mm))
    readings = [_reading(basis_mm, v, turn, sigma_deg) for v, turn in turned if abs(turn) <= MOST_TURN_DEG]
    best = min(readings, key=lambda r: r.cost, default=None)
    if best is None or best.cost > MOST_COST:
        return _as_it_lies(basis_mm)
    skew = best.skew_deg if abs(best.skew_deg) > max(2 * sigma_deg, 0.1) else 0.0
    slope = best.column_mm * math.tan(math.radians(skew))
    share = float(best.drop)
    column = (float(best.column_mm), _nearest_zero(share) * best.along_mm + slope)
    straightened = Lattice.of_steps(best.column_mm, best.along_mm, share)
    level = abs(slope) <= MOST_SLOPE * best.column_mm
    layout: Layout = "straight" if share == 0 else "half-drop" if share == 0.5 else "drop"
    return Upright(
        layout,
        share,
        straightened.shortest_along_axis(0) if level else None,
        straightened.shortest_along_axis(1),
        (column, (0.0, best.along_mm)),
        best.turn_deg,
        skew,
    )


def _reading(basis: Vectors, along: Vectors, turn_deg: float, sigma_deg: float) -> _Reading:
    """The plainest reading of the lattice with this vector as the lengthwise repeat."""
    length = math.hypot(*along)
    column = float(abs(basis[0, 0] * basis[1, 1] - basis[0, 1] * basis[1, 0])) / length
    share = _drop_along(basis, along, column)
    shortest = min(math.hypot(*basis[0]), math.hypot(*basis[1]))
    as_it_lies = TURN_COST * abs(turn_deg) + LENGTH_COST * math.log2(max(length, column) / shortest)

    def read_as(drop: Fraction) -> _Reading:
        skew = math.degrees(math.atan2(_folded(share - float(drop), 1.0) * length, column))
        slant = SKEW_COST * max(abs(skew) - 2 * sigma_deg, 0.0)
        return _Reading(
            as_it_lies + DROP_COST[drop.denominator] + slant, turn_deg, skew, column, length, drop
        )

    return min(map(read_as, DROPS), key=lambda r: r.cost)


def _drop_along(basis: Vectors, along: Vectors, column: float) -> float:
    """Share of the lengthwise repeat by which the next column to the right lies lower."""
    length = math.hypot(*along)
    down = along / length if along[1] > 0 else -along / length
    right = np.array([down[1], -down[0]])
    for i in range(-FARTHEST, FARTHEST + 1):
        for j in range(-FARTHEST, FARTHEST + 1):
            v = i * basis[0] + j * basis[1]
            if abs(v @ right - column) < 1e-6 * column:
                return float((v @ down) / length) % 1.0
    return 0.0


def _steps(basis: Vectors) -> list[Vectors]:
    """Lattice vectors that are no multiples of shorter ones, pointing down."""
    found = []
    for i in range(-FARTHEST, FARTHEST + 1):
        for j in range(FARTHEST + 1):
            if math.gcd(i, j) == 1 and (j > 0 or i > 0):
                found.append(i * basis[0] + j * basis[1])
    return found


def _as_it_lies(basis: Vectors) -> Upright:
    """No straight direction lies near the photo's axes: the photo's own axes stand."""
    lattice = Lattice(tuple((float(v[0]), float(v[1])) for v in basis)).reduced()
    tolerance = math.tan(math.radians(ALONG_AXIS_DEG))
    return Upright(
        "drop",
        None,
        lattice.shortest_along_axis(0, tolerance),
        lattice.shortest_along_axis(1, tolerance),
        lattice.basis_mm,
        0.0,
        0.0,
    )


def _stripe(period: Vector, turn_deg: float) -> Upright:
    lattice = Lattice((period,))
    return Upright(
        "stripe",
        None,
        lattice.shortest_along_axis(0),
        lattice.shortest_along_axis(1),
        (period,),
        turn_deg,
        0.0,
    )


def _folded(value: float, period: float) -> float:
    return (value + period / 2) % period - period / 2


def _nearest_zero(share: float) -> float:
    return share - 1 if share > 0.5 else share
