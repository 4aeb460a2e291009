"""How far shifts, and lattices of them, stand out of what chance makes the print fall on itself.

A correlation by chance scatters the more the less is compared. Fisher's transform of it, times the root of
the share of detail in the overlap, has the same scatter for all shifts, which the surface itself shows: so a
strip along the picture's edge can be weighed with an overlap of nearly the whole. A strip of plain ground
weighs nothing, one of dense detail that agrees is proof.
"""

from __future__ import annotations

import itertools
import math
from functools import cached_property

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Places, Vectors
from printcheck.repeat.surface.candidates import reduced, spans
from printcheck.repeat.surface.correlation import Surface

CHANCE = 4.0  # sigmas: as far as the best lattice of a picture without a repeat stands out (own trials)
HIGHEST = 0.99  # correlation: noise leaves no more
LEAST_OVERLAP = 0.04  # of the seen pixels: less is a few motifs
SHIFTS = 24  # that stand out most and are paired
APART_PX = 9  # working pixels: of nearer shifts the highest is asked
SAME_PX = 2.0  # working pixels between the vectors of one lattice seen through two pairs
REFINED_STEPS = (2, 5)  # nodes up to so many steps away that a lattice is fitted to, round by round
JITTER = 0.14  # of the shorter vector: how far from its node a repeat is looked for
MOST_JITTER_PX = 8  # what lens and wrinkles bend over a whole picture
MOST_NODES = 400  # the nearest
EVERY = 5  # places of the surface to one whose height is asked for the usual one

Nodes = tuple[Places, Places, int]


class Significance:
    """A correlation surface in units of chance.

    Parameters
    ----------
    surface : Surface
        As far as it reaches.
    shortest_px : float
        Nearer shifts are one motif's own breadth.
    """

    def __init__(self, surface: Surface, *, shortest_px: float) -> None:
        ry, rx = (n // 2 for n in surface.values.shape)
        above = min(MOST_JITTER_PX, ry)  # a shift and its opposite are one: rows but of one half are asked
        part = np.s_[ry - above :]
        y, x = np.ogrid[-above : ry + 1, -rx : rx + 1]
        half = (y > 0) | ((y == 0) & (x > 0))
        self.middle = rx, above
        self.reach = rx, ry
        far = x * x + y * y >= shortest_px**2
        self.asked = half & far & (surface.overlap[part] >= LEAST_OVERLAP)
        weight = np.sqrt(np.clip(surface.power[part], 0, 1))
        heights = np.arctanh(np.clip(surface.values[part], -HIGHEST, HIGHEST)) * weight
        chance = math.sqrt(float(np.square(heights[self.asked]).mean())) if self.asked.any() else 1.0
        self.heights: Image = heights / np.float32(max(chance, 1e-9))
        self.weight: Image = weight / np.float32(max(chance, 1e-9))
        self._tops: dict[int, Image] = {}

    @cached_property
    def shifts(self) -> Vectors:
        """Shifts (n, 2) that stand out most, the farthest out first."""
        top = cv2.dilate(self.heights, np.ones((APART_PX, APART_PX), np.uint8))
        y, x = np.nonzero(self.asked & (self.heights >= top) & (self.heights > 0))
        first = np.argsort(-self.heights[y, x], kind="stable")[:SHIFTS]
        return np.stack([x - self.middle[0], y - self.middle[1]], axis=1)[first].astype(np.float64)

    def proposals(self, number: int) -> list[Vectors]:
        """Lattices of pairs of shifts, the one that stands out most first, no two nearly the same.

        Each is fitted to the highest places near its nodes. Beyond the first, only such as stand out
        farther than by chance.
        """
        bases: dict[tuple[int, ...], Vectors] = {}
        for pair in map(np.array, itertools.combinations(self.shifts, 2)):
            if spans(pair):
                basis = reduced(pair)
                bases.setdefault(tuple(np.round(basis.ravel() / SAME_PX).astype(int)), basis)
        weighed = [(self.of(basis), basis) for basis in bases.values()]
        found: list[Vectors] = []
        for clear, start in sorted(weighed, key=lambda one: -one[0]):
            if len(found) == number or (found and clear < CHANCE):
                break
            basis = self._refined(start)
            if spans(basis) and not any(np.abs(basis - other).max() <= 2 * _jitter(other) for other in found):
                found.append(basis)
        return found

    def _refined(self, basis: Vectors) -> Vectors:
        for reach in REFINED_STEPS:
            steps, places, radius = self._nodes(basis)
            near = np.abs(steps).max(axis=1, initial=0) <= reach
            tops = np.array([self._top(place, radius) for place in places[near]]).reshape(-1, 2)
            fitted, _, rank, _ = np.linalg.lstsq(steps[near], tops, rcond=None)
            if rank == 2:  # in a narrow view all nodes near may lie on one line
                basis = reduced(fitted)
        return basis

    def _top(self, place: Places, radius: int) -> Vectors:
        """Shift of the highest place near a node."""
        x, y = place
        left, above = max(x - radius, 0), max(y - radius, 0)
        near = self.heights[above : y + radius + 1, left : x + radius + 1]
        down, across = divmod(int(near.argmax()), near.shape[1])
        rx, above_middle = self.middle
        return np.array([left + across - rx, above + down - above_middle], dtype=np.float64)

    def of(self, basis: Vectors) -> float:
        """How far a lattice (2, 2), working pixels, stands out: all its nodes together, in sigmas."""
        _, places, radius = self._nodes(basis)
        return _together(*self._at(places, radius))

    def second(self, basis: Vectors) -> float:
        """The same of the nodes off whichever line of them stands out most: of a second vector alone."""
        steps, places, radius = self._nodes(basis)
        heights, weights = self._at(places, radius)
        lines = {(i // math.gcd(i, j), j // math.gcd(i, j)) for i, j in steps.tolist()}
        off = [steps @ (line[1], -line[0]) != 0 for line in lines]
        return min((_together(heights[beside], weights[beside]) for beside in off), default=0.0)

    def along(self, period: Vectors) -> float:
        """The same of the multiples of one vector (2,)."""
        number = int(np.hypot(*self.reach) / np.hypot(*period))
        steps = np.arange(-number, number + 1)[:, None]
        _, places, radius = self._asked(steps, steps * period, period[None])
        return _together(*self._at(places, radius))

    def _nodes(self, basis: Vectors) -> Nodes:
        basis = reduced(basis)
        corners = np.array([[1, 1], [1, -1]]) * self.reach @ np.linalg.inv(basis)
        far = np.ceil(np.abs(corners).max(axis=0)).astype(int)
        i, j = np.mgrid[-far[0] : far[0] + 1, -far[1] : far[1] + 1]
        steps = np.stack([i.ravel(), j.ravel()], axis=1)
        return self._asked(steps, steps @ basis, basis)

    def _asked(self, steps: Places, shifts: Vectors, basis: Vectors) -> Nodes:
        """Steps that are asked, the nearest first, their places, and how far from there is looked."""
        right, down = np.round(shifts).astype(int).T
        (rx, above), (rows, columns) = self.middle, self.heights.shape
        inside = np.flatnonzero(
            (down >= -above) & (down < rows - above) & (right >= -rx) & (right < columns - rx)
        )
        asked = inside[self.asked[down[inside] + above, right[inside] + rx]]
        far = right[asked] ** 2 + down[asked] ** 2
        nearest = asked[np.argsort(far, kind="stable")[:MOST_NODES]]
        return steps[nearest], np.stack([right[nearest] + rx, down[nearest] + above], axis=1), _jitter(basis)

    def _at(self, places: Places, radius: int) -> tuple[Vectors, Vectors]:
        """How far the places stand out of the usual highest place within the radius, and their weights."""
        if radius not in self._tops:
            tops = np.asarray(cv2.dilate(self.heights, np.ones((2 * radius + 1,) * 2, np.uint8)))
            self._tops[radius] = tops - np.float32(np.median(tops[self.asked][::EVERY]))
        x, y = places.T
        return self._tops[radius][y, x].astype(np.float64), self.weight[y, x].astype(np.float64)


def _jitter(basis: Vectors) -> int:
    """How far from its node a repeat of these vectors (n, 2) is looked for, pixels."""
    return max(1, min(MOST_JITTER_PX, round(JITTER * float(np.hypot(*basis.T).min()))))


def _together(heights: Vectors, weights: Vectors) -> float:
    """Sigmas of one correlation common to all nodes, fitted to them."""
    return float(heights @ weights / max(float(np.sqrt(weights @ weights)), 1e-9))
