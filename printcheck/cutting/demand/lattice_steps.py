"""The print's lattice on washed cloth as the solvers want it: column form, steps, linear equations.

A lattice that holds a purely lengthwise vector is written in column form ``{(A, s), (0, B)}``: columns
``A`` apart, each let down by ``s`` from the last, rows ``B`` apart. Every kind of match then is a small
set of linear equations with whole-number unknowns, the lattice steps.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from printcheck.core.handover import Floats, Ints
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.match_kinds import MATCH_KINDS
from printcheck.core.plan import EPS_MM, MatchKind

STRAIGHT_MM = 1e-3  # mm: a lattice vector counts as upright when its sideways part is below this
NEAR_COLUMN = 0.01  # of a column: vectors this near to it are looked through
LARGEST_DENOMINATOR = 12  # of a drop; beyond it a row is asked for that some column really has
DROP_TOLERANCE_MM = 1e-3  # mm: how far a drop may lie from its fraction; it adds up over the columns


@dataclass(frozen=True)
class Equation:
    """``across * dx + along * dy = sum(step * k)`` with whole-number k; dx, dy between the seam points."""

    across: float
    along: float
    steps_mm: tuple[float, ...]


@dataclass(frozen=True)
class Steps:
    """Lattice of washed cloth: two vectors, one for a stripe, none where there is no print.

    A lengthwise stripe has columns alone, a crosswise stripe rows alone, a slanting stripe or a lattice askew
    neither. ``level_mm`` is the step between rows when columns do not matter: ``row / q`` for a drop of
    ``p / q``; None where the drop is no small fraction.
    """

    basis_mm: tuple[Vector, ...] = ()
    column_mm: float | None = None
    drop_mm: float = 0.0
    row_mm: float | None = None
    level_mm: float | None = None

    @property
    def in_columns(self) -> bool:
        """Whether it is a full lattice in column form."""
        return self.column_mm is not None and self.row_mm is not None

    @property
    def askew(self) -> bool:
        """Whether neither columns nor rows run with the cloth."""
        return bool(self.basis_mm) and self.column_mm is None and self.row_mm is None

    @property
    def two_ways(self) -> bool:
        """Whether it repeats both ways."""
        return len(self.basis_mm) == 2

    def equations(self, kind: MatchKind) -> tuple[Equation, ...]:
        """Linear equations of a match; none where the print asks for nothing."""
        if not self.two_ways:
            return self._stripe_equations(kind) if self.basis_mm else ()
        axes = MATCH_KINDS[kind]
        (a, b), (c, d) = self.basis_mm
        across, along = Equation(1, 0, (a, c)), Equation(0, 1, (b, d))
        if self.column_mm is not None and self.row_mm is not None:
            across = Equation(1, 0, (self.column_mm, 0.0) if axes.full else (self.column_mm,))
            in_any_column = axes.rows_alone and self.level_mm is not None
            rows = (self.level_mm or 0.0,) if in_any_column else (self.drop_mm, self.row_mm)
            along = Equation(0, 1, rows)
        return tuple(e for e, tied in ((across, axes.across), (along, axes.along)) if tied)

    def _stripe_equations(self, kind: MatchKind) -> tuple[Equation, ...]:
        axes = MATCH_KINDS[kind]
        if self.column_mm is not None:
            return (Equation(1, 0, (self.column_mm,)),) if axes.across else ()
        if self.row_mm is not None:
            return (Equation(0, 1, (self.row_mm,)),) if axes.along else ()
        # a slanting stripe: every height, and every column, is met somewhere along it
        ((a, b),) = self.basis_mm
        size = math.hypot(a, b)
        return (Equation(a / size, b / size, (size,)),) if axes.full else ()


PLAIN = Steps()  # of cloth without a print


def steps_of(lattice: Lattice) -> Steps:
    """Return the steps of a lattice, in column form where it has one.

    Examples
    --------
    >>> steps_of(Lattice(((32.0, 32.0), (0.0, 64.0)))).level_mm
    32.0
    """
    if lattice.is_stripe:
        ((a, b),) = lattice.basis_mm
        if abs(b) <= STRAIGHT_MM:
            return Steps(lattice.basis_mm, column_mm=abs(a))
        if abs(a) <= STRAIGHT_MM:
            return Steps(lattice.basis_mm, row_mm=abs(b), level_mm=abs(b))
        return Steps(lattice.basis_mm)
    longest = max(math.hypot(a, b) for a, b in lattice.basis_mm)
    row = lattice.shortest_along_axis(1, STRAIGHT_MM / longest)
    if row is None:
        return Steps(lattice.basis_mm)
    column = lattice.area_mm2 / row
    near = column * NEAR_COLUMN
    _, points = points_within(lattice.reduced().basis_mm, (column - near, 0.0), (column + near, row))
    drop = float(points[np.abs(points[:, 0] - column).argmin(), 1]) % row  # of the vector one column across
    if row - drop < STRAIGHT_MM:
        drop = 0.0
    share = Fraction(drop / row).limit_denominator(LARGEST_DENOMINATOR)
    if abs(float(share) * row - drop) > DROP_TOLERANCE_MM:
        return Steps(lattice.basis_mm, column, drop, row, None)
    return Steps(lattice.basis_mm, column, float(share) * row, row, row / share.denominator)


def points_within(
    basis: tuple[Vector, ...],
    low: Sequence[float] | Floats,
    high: Sequence[float] | Floats,
    *,
    most: float = math.inf,
) -> tuple[Ints, Floats]:
    """Numbers (n, 2) in a basis of the lattice points in a box, and the points (n, 2) in mm.

    A lattice point lies at the origin. Of a lattice with more points than about ``most``, every second or
    third each way is taken.

    Examples
    --------
    >>> numbers, points = points_within(((30.0, 10.0), (0.0, 40.0)), (0, 0), (30, 50))
    >>> points.tolist()
    [[0.0, 0.0], [30.0, 10.0], [0.0, 40.0], [30.0, 50.0]]
    """
    (a, b), (c, d) = basis
    det = a * d - b * c
    x, y = np.array([(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])]).T
    i, j = (x * d - y * c) / det, (a * y - b * x) / det
    every = max(1, math.isqrt(int(np.ptp(i) * np.ptp(j) / most)))
    m, n = np.meshgrid(
        np.arange(math.floor(i.min()), math.ceil(i.max()) + 1, every),
        np.arange(math.floor(j.min()), math.ceil(j.max()) + 1, every),
    )
    numbers = np.column_stack([m.ravel(), n.ravel()])
    points = numbers @ np.array(basis)
    inside = np.all((points >= np.asarray(low) - EPS_MM) & (points <= np.asarray(high) + EPS_MM), axis=1)
    return numbers[inside], points[inside]
