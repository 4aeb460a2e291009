"""Long-range order: how well a lattice foretells where the correlation surface is high.

A lattice says that the print comes again at every node, near and far. For each node the highest place near
it is taken, and its rank p among all places of the surface. Where the lattice has nothing to do with the
print, -ln p is distributed exponentially with mean one, so its mean over the nodes, in nats, is the
evidence. Ranks need no absolute correlation: worn, hand-made and folded cloth correlates badly with itself,
but better at the nodes than anywhere else.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors
from printcheck.repeat.surface.correlation import FARTHEST as REACH
from printcheck.repeat.surface.correlation import Surface

FARTHEST = 0.67  # of each side: a shift beyond has less than one and a half repeats behind it
LEAST_OVERLAP = 0.17  # of the seen pixels
JITTER = 0.14  # of the shorter vector: how far from its node a repeat is looked for
MOST_NODES = 400  # the nearest: they say what all say
REFINED_STEPS = (2, 5)  # nodes up to so many steps away that a basis is fitted to, round by round
EVERY = 5  # places of the surface to one that is ranked
# Share of the nats that a perfect lattice reaches, beyond which a node speaks for the lattice: between chance
# (one nat) and what hand-made prints reach. A finer lattice looks nearer its nodes, and is asked for more.
ASKED = 0.58
LINE_ASKED = 2.0  # nats, of the multiples of one vector, whose perfect lattice is not known


@dataclass(frozen=True)
class OrderEvidence:
    """Evidence of long-range order of one lattice: its nodes as far as order reaches, and their mean -ln p.

    A fold or a bend ends the order; the nodes beyond, where their sum only falls, are not asked.
    """

    nodes: int
    nats: float
    asked: float

    @property
    def weight(self) -> float:
        """What the nodes say together, in nats beyond what is asked of each."""
        return self.nodes * (self.nats - self.asked)


NO_ORDER = OrderEvidence(0, 0.0, 0.0)


class LongRangeOrder:
    """A correlation surface ready to be asked about lattices."""

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        rx, ry = surface.reach
        y, x = np.mgrid[-ry : ry + 1, -rx : rx + 1]
        half = (y > 0) | ((y == 0) & (x > 0))
        inside = (np.abs(x) * REACH <= FARTHEST * rx) & (np.abs(y) * REACH <= FARTHEST * ry)
        self.asked = half & inside & (surface.overlap >= LEAST_OVERLAP)
        self._ranked: dict[int, tuple[Image, Image]] = {}

    def of(self, basis: Vectors) -> OrderEvidence:
        """Evidence for the lattice of two vectors (2, 2), working pixels."""
        short = float(np.hypot(*basis.T).min())
        near = (2 * _radius(short) + 1) ** 2 / abs(float(np.linalg.det(basis)))  # share of places near a node
        asked = ASKED * (1 - np.log(min(near, 1.0)))
        return self._at(_steps(basis, self.surface.reach) @ basis, short, asked)

    def along(self, vector: Vectors) -> OrderEvidence:
        """Evidence for the multiples of one vector (2,)."""
        length = float(np.hypot(*vector))
        number = int(np.hypot(*self.surface.reach) / length)
        return self._at(np.arange(1, number + 1)[:, None] * vector, length, LINE_ASKED)

    def refined(self, basis: Vectors) -> Vectors:
        """The basis fitted to the highest places near its nodes."""
        for reach in REFINED_STEPS:
            steps = _steps(basis, self.surface.reach)
            steps = steps[np.abs(steps).max(axis=1) <= reach]
            radius = _radius(float(np.hypot(*basis.T).min()))
            found = [(step, top) for step in steps if (top := self._top(step @ basis, radius)) is not None]
            if len(found) > 2:
                at, tops = (np.array(part, dtype=np.float64) for part in zip(*found, strict=True))
                basis = np.asarray(np.linalg.lstsq(at, tops, rcond=None)[0])
        return basis

    def _top(self, node: Vectors, radius: int) -> Vectors | None:
        rx, ry = self.surface.reach
        x, y = (round(float(v)) + r for v, r in zip(node, (rx, ry), strict=True))
        height, width = self.asked.shape
        if not (radius <= x < width - radius and radius <= y < height - radius and self.asked[y, x]):
            return None
        near = self.surface.values[y - radius : y + radius + 1, x - radius : x + radius + 1]
        down, across = divmod(int(near.argmax()), near.shape[1])
        return np.array([x - rx - radius + across, y - ry - radius + down], dtype=np.float64)

    def _at(self, nodes: Vectors, short: float, asked: float) -> OrderEvidence:
        heights = self._heights(nodes, short)
        if not len(heights):
            return NO_ORDER
        reached = int(np.argmax(np.cumsum(heights - asked))) + 1
        return OrderEvidence(reached, float(heights[:reached].mean()), asked)

    def _heights(self, nodes: Vectors, short: float) -> Vectors:
        """-ln p at the nodes that are asked, the nearest first."""
        highest, ranked = self._near(_radius(short))
        reach = np.array(self.surface.reach)
        places = np.round(nodes).astype(int) + reach
        height, width = self.asked.shape
        places = places[((places >= 0) & (places < (width, height))).all(axis=1)]
        places = places[self.asked[places[:, 1], places[:, 0]]]
        nearest = np.argsort(np.square(places - reach).sum(axis=1), kind="stable")[:MOST_NODES]
        x, y = places[nearest].T
        # places near one peak share its height, and heights end at 1: equals rank in their middle
        below = (np.searchsorted(ranked, highest[y, x], side=side) for side in ("left", "right"))
        above = len(ranked) - sum(below) / 2
        return np.asarray(-np.log((above + 0.5) / (len(ranked) + 0.5)), dtype=np.float64)

    def _near(self, radius: int) -> tuple[Image, Image]:
        """Highest value within a radius of each place, and such values in order."""
        if radius not in self._ranked:
            known = max((r for r in self._ranked if r < radius), default=0)  # grown from there, at less cost
            values = self._ranked[known][0] if known else self.surface.values
            highest = cv2.dilate(values, np.ones((2 * (radius - known) + 1,) * 2, np.uint8))
            self._ranked[radius] = np.asarray(highest), np.sort(highest[self.asked][::EVERY])
        return self._ranked[radius]


def _radius(short: float) -> int:
    """How far from its node a repeat is looked for, pixels."""
    return max(1, round(JITTER * short))


def _steps(basis: Vectors, reach: tuple[int, int]) -> Vectors:
    """Whole-number steps of the lattice over the surface, one of each opposite pair twice at most."""
    corners = np.array([[1, 1], [1, -1]]) * reach @ np.linalg.inv(basis)
    far = np.ceil(np.abs(corners).max(axis=0)).astype(int)
    i, j = np.mgrid[-far[0] : far[0] + 1, -far[1] : far[1] + 1]
    return np.stack([i.ravel(), j.ravel()], axis=1)
