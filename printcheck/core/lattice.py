"""The lattice: all shifts under which a print falls on itself, as plain arithmetic.

A lattice is given by two basis vectors ``(across, along)`` in millimetres on the cloth's own axes. A
stripe has one vector, square to the stripes, and every translation along the stripe besides. A print
matches across a seam exactly when the two seam points differ by a vector of the lattice.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

Vector = tuple[float, float]

FARTHEST_MULTIPLE = 12  # steps: how far the shortest straight translations are looked for
SLIVER = 1e-9  # relative: below this two vectors count as parallel


@dataclass(frozen=True)
class Lattice:
    """Two-dimensional lattice of a print, or the one period of a stripe.

    Parameters
    ----------
    basis_mm : tuple of (across, along)
        Two independent vectors; one vector, square to the stripes, for a stripe.
    """

    basis_mm: tuple[Vector, ...]

    def __post_init__(self) -> None:
        if len(self.basis_mm) not in (1, 2):
            raise ValueError("a lattice has two basis vectors, a stripe has one")
        if len(self.basis_mm) == 2 and self.area_mm2 <= SLIVER * _length(self.basis_mm[0]) * _length(
            self.basis_mm[1]
        ):
            raise ValueError("the two basis vectors must not be parallel")

    @classmethod
    def of_steps(cls, across_mm: float, along_mm: float, drop: float = 0.0) -> Lattice:
        """Lattice of columns ``across_mm`` apart, each let down by ``drop * along_mm`` from the last.

        For a half-drop ``across_mm`` is the step from one column to the next, half of the shortest
        purely crosswise translation.

        Examples
        --------
        >>> Lattice.of_steps(32, 64, 0.5).basis_mm
        ((32, 32.0), (0.0, 64))
        """
        return cls(((across_mm, drop * along_mm), (0.0, along_mm)))

    @property
    def is_stripe(self) -> bool:
        """Whether there is only one period."""
        return len(self.basis_mm) == 1

    @property
    def area_mm2(self) -> float:
        """Area of the smallest cell, the same for every basis; 0 for a stripe."""
        if self.is_stripe:
            return 0.0
        (a, b), (c, d) = self.basis_mm
        return abs(a * d - b * c)

    def reduced(self) -> Lattice:
        """Return the same lattice with its two shortest vectors (Lagrange and Gauss)."""
        if self.is_stripe:
            return self
        return Lattice(shortest_vectors(*self.basis_mm))

    def coordinates(self, vector: Vector) -> tuple[float, ...]:
        """Return the vector as multiples of the basis; whole numbers exactly for lattice vectors."""
        if self.is_stripe:
            (only,) = self.basis_mm
            return (_dot(vector, only) / _dot(only, only),)
        (a, b), (c, d) = self.basis_mm
        det = a * d - b * c
        return ((vector[0] * d - vector[1] * c) / det, (a * vector[1] - b * vector[0]) / det)

    def residual_mm(self, vector: Vector) -> float:
        """Distance from the vector to the nearest lattice vector, in mm."""
        return math.hypot(*self.residual(vector))

    def residual(self, vector: Vector) -> Vector:
        """What the vector is more than the nearest lattice vector; of a stripe, square to its bars."""
        if self.is_stripe:
            ((a, b),) = self.basis_mm
            (m,) = self.coordinates(vector)
            return ((m - round(m)) * a, (m - round(m)) * b)
        low = self.reduced()
        i, j = (round(m) for m in low.coordinates(vector))
        (a, b), (c, d) = low.basis_mm
        # the nearest lattice point is a corner of the reduced cell around the rounded one
        corners = itertools.product((i - 1, i, i + 1), (j - 1, j, j + 1))
        return min(
            ((vector[0] - p * a - q * c, vector[1] - p * b - q * d) for p, q in corners),
            key=lambda left: math.hypot(*left),
        )

    def shortest_along_axis(self, axis: int, tolerance: float = 1e-6) -> float | None:
        """Shortest translation along one cloth axis, in mm; None where there is none.

        Parameters
        ----------
        axis : int
            0 for across, 1 for along.
        tolerance : float
            Sideways part allowed, as a share of the length.
        """
        if self.is_stripe:
            (a,) = self.basis_mm
            along, other = abs(a[axis]), abs(a[1 - axis])
            # every translation along the stripe is one, so only the part square to it counts
            return _dot(a, a) / along if along > other * tolerance and along > 0 else None
        a, b = self.reduced().basis_mm
        best = None
        for i in range(-FARTHEST_MULTIPLE, FARTHEST_MULTIPLE + 1):
            for j in range(FARTHEST_MULTIPLE + 1):
                v = (i * a[0] + j * b[0], i * a[1] + j * b[1])
                size = abs(v[axis])
                if size > 0 and abs(v[1 - axis]) <= tolerance * size and (best is None or size < best):
                    best = size
        return best

    def points_in(
        self, low: Vector, high: Vector, start: Vector = (0.0, 0.0), *, most: int | None = None
    ) -> Iterator[Vector]:
        """Points ``start`` plus a lattice vector in a box, its edges included.

        Parameters
        ----------
        low, high : (across, along)
            Corners of the box, mm.
        start : (across, along)
            A point that the lattice is counted from, mm.
        most : int, optional
            About so many points are looked at: of a finer lattice a coarser part of it.

        Examples
        --------
        >>> list(Lattice(((20.0, 10.0), (0.0, 20.0))).points_in((0.0, 0.0), (20.0, 20.0)))
        [(0.0, 0.0), (0.0, 20.0), (20.0, 10.0)]
        """
        (a, b), (c, d) = self.basis_mm
        corners = [(x - start[0], y - start[1]) for x in (low[0], high[0]) for y in (low[1], high[1])]
        steps = [
            range(math.floor(min(of)), math.ceil(max(of)) + 1)
            for of in zip(*map(self.coordinates, corners), strict=True)
        ]
        every = 1 if most is None else max(1, math.isqrt(len(steps[0]) * len(steps[1]) // most))
        for i in steps[0][::every]:
            for j in steps[1][::every]:
                x, y = start[0] + i * a + j * c, start[1] + i * b + j * d
                if low[0] <= x <= high[0] and low[1] <= y <= high[1]:
                    yield (x, y)

    @property
    def column_mm(self) -> float | None:
        """Step from one column to the next, mm; None where there are no columns."""
        along = None if self.is_stripe else self.shortest_along_axis(1)
        return self.shortest_along_axis(0) if along is None else self.area_mm2 / along

    def scaled(self, across: float, along: float) -> Lattice:
        """Return the lattice of cloth shrunk by these factors (0.97 for 3 % of shrinkage)."""
        return Lattice(tuple((v[0] * across, v[1] * along) for v in self.basis_mm))


def drop_of(lattice: Lattice, largest_denominator: int = 8, tolerance: float = 1e-3) -> Fraction | None:
    """Drop of the next column as a fraction of the lengthwise repeat; None when it is no small fraction.

    Examples
    --------
    >>> drop_of(Lattice(((60.0, 40.0), (0.0, 80.0))))
    Fraction(1, 2)
    """
    along = lattice.shortest_along_axis(1)
    if lattice.is_stripe or along is None:
        return None
    a, b = lattice.basis_mm
    column = lattice.area_mm2 / along
    # Bezout by search: the combination whose across part is one column
    for i in range(-FARTHEST_MULTIPLE, FARTHEST_MULTIPLE + 1):
        for j in range(-FARTHEST_MULTIPLE, FARTHEST_MULTIPLE + 1):
            if math.isclose(i * a[0] + j * b[0], column, rel_tol=1e-6):
                share = ((i * a[1] + j * b[1]) / along) % 1.0
                near = Fraction(share).limit_denominator(largest_denominator)
                return near % 1 if abs(share - near) <= tolerance else None
    return None


def shortest_vectors(a: Vector, b: Vector) -> tuple[Vector, Vector]:
    """The two shortest vectors of the lattice of two, the shorter first (Lagrange and Gauss).

    Examples
    --------
    >>> shortest_vectors((60, 100), (0, 80))
    ((60, 20), (0, 80))
    """
    while True:  # ends: each round makes the longer vector shorter
        if _dot(a, a) > _dot(b, b):
            a, b = b, a
        size = _dot(a, a)
        times = round(_dot(a, b) / size) if size > 0 else 0
        if times == 0:
            return a, b
        b = (b[0] - times * a[0], b[1] - times * a[1])


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _length(a: Vector) -> float:
    return math.hypot(a[0], a[1])
