"""How sure a movement between two pictures is, from how well its pairs agree: plain propagation of error."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from printcheck.photo.stitch.similarity import Matrix, Overlap, moved

Vector = NDArray[np.float64]

STEP = 1e-6  # of a homography's numbers, all of order one, for derivatives
FREE = 8  # numbers of a homography


@dataclass(frozen=True)
class Sureness:
    """A movement with the covariance of its numbers, those of a picture of unit size."""

    numbers: Vector
    covariance: Matrix
    unit: Matrix

    def sigma(self, value: Callable[[Matrix], Vector]) -> float:
        """One sigma of a value of the movement; of several values, the largest."""
        here = value(self._move(self.numbers))
        slopes = np.stack([(value(self._move(n)) - here) / STEP for n in _nudged(self.numbers)], 1)
        return float(np.sqrt(np.maximum(0.0, np.diag(slopes @ self.covariance @ slopes.T))).max())

    def _move(self, numbers: Vector) -> Matrix:
        return np.asarray(numbers.reshape(3, 3) @ np.linalg.inv(self.unit), np.float64)


def sureness(found: Overlap) -> Sureness:
    """How sure an overlap's movement is, taken as a homography."""
    source, target = found.pairs[:, 0], found.pairs[:, 1]
    size = float(np.abs(source).max())
    unit = np.diag([size, size, 1.0])
    numbers = (found.move @ unit).ravel() / found.move[2, 2]

    def seen(entries: Vector) -> Vector:
        return moved(source / size, entries.reshape(3, 3)).ravel()

    here = seen(numbers)
    jacobian = np.stack([(seen(n) - here) / STEP for n in _nudged(numbers)], 1)
    spread = float(np.square(here - target.ravel()).sum()) / max(1, len(here) - FREE)
    return Sureness(numbers, spread * np.linalg.pinv(jacobian.T @ jacobian), unit)


def _nudged(numbers: Vector) -> list[Vector]:
    return [numbers + STEP * np.eye(9)[n] for n in range(FREE)]
