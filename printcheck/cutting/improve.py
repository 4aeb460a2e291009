"""A sound layout made shorter: parts that stick out are moved to where they fit best on their lattice.

The cloth is cut a little shorter than the layout. Parts that no longer fit, and then all that overlap,
are moved one after another to the allowed place where they run least into the others; overlaps that
stay weigh more and more, so that the search does not turn in circles. What is left is pressed apart.
(Guided local search, as in the overlap removal of Umetani and others, Int. Trans. Oper. Res. 2009.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from printcheck.cutting.demands import Demand
from printcheck.cutting.depth import depth_map
from printcheck.cutting.greedy import Spot
from printcheck.cutting.matching import Matching, settled
from printcheck.cutting.press import Pressed, shapes_of
from printcheck.cutting.shapes import Shape

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

CUTS = (0.04, 0.02, 0.01, 0.005)  # shares by which the cloth is cut shorter, from bold to careful
SWEEPS = 30  # rounds of moving parts before a cut is given up
PLACES = 400  # places looked at for one part
NEAR_SHARE = 0.4  # of a free part's places lie near it
NEAR_MM = 60.0  # mm: how near
HEAVIER, LIGHTER = 1.5, 0.95  # overlaps that stay weigh more, the others less
LOOSE_MM = 60.0  # mm of overlap in all that pressing may still take apart
PRESS_AGAIN = 0.7  # of the overlap at the last pressing: with less, it is worth pressing again
ROUNDS = 10  # of pressing
FAMILY_SHARE = 0.3  # of moves of a tied part take its whole family along
MOST_STEPS = 60  # lattice steps each way


@dataclass
class _Board:
    """Parts on a strip of a given length, with weights for pairs that overlap."""

    demand: Demand
    shapes: list[Shape]  # as they lie
    turned: list[bool]
    at: Floats  # (n, 2)
    length_mm: float
    weight: Floats  # (n, n)

    def overlaps(self, n: int, own: Shape, places: Floats) -> Floats:
        """Weighted overlap of one part, in a given shape, with all others at each place."""
        total = np.zeros(len(places))
        for other, shape in enumerate(self.shapes):
            if other != n:
                depth = depth_map(shape, own).depth_mm(places - self.at[other])
                total += self.weight[n, other] * depth
        return total

    def settle(self, n: int, places: Floats, *, may_turn: bool) -> None:
        """Put one part where it runs least into the others, turned end for end where that is better."""
        best = np.inf
        own = self.shapes[n]
        for turn, shape in ((False, own), (True, own.turned))[: 2 if may_turn else 1]:
            overlaps = self.overlaps(n, shape, places)
            k = int(overlaps.argmin())
            if overlaps[k] < best:
                best = overlaps[k]
                self.at[n], self.shapes[n] = places[k], shape
                self.turned[n] ^= turn

    def depths(self) -> Floats:
        """Overlap of every pair, in mm, symmetric."""
        sizes = np.array([(s.width_mm, s.length_mm) for s in self.shapes])
        gap = self.at[:, None] - (self.at + sizes)[None]  # corner of the first to foot of the second
        meet = np.triu(np.maximum(gap, gap.transpose(1, 0, 2)).max(axis=2) < 0, 1)
        found = np.zeros(meet.shape)
        for i, j in zip(*np.nonzero(meet), strict=True):
            pair = depth_map(self.shapes[j], self.shapes[i])
            found[i, j] = found[j, i] = pair.depth_mm((self.at[i] - self.at[j])[None])[0]
        return found

    def room(self, n: int) -> tuple[float, float]:
        """How far a part's corner may move across and along."""
        return (
            max(0.0, self.demand.width_mm - self.shapes[n].width_mm),
            max(0.0, self.length_mm - self.shapes[n].length_mm),
        )


def improve(matching: Matching, seed: int) -> None:
    """Make the best layout shorter until the time is up or no cut helps any more."""
    rng = np.random.default_rng(seed)
    cut = 0
    while matching.left > 0 and matching.best is not None:
        start = matching.best
        found = _shorter(matching, start, CUTS[cut % len(CUTS)], rng)
        if found is None or not matching.note(found):
            cut += 1


def _shorter(matching: Matching, start: Pressed, cut: float, rng: np.random.Generator) -> Pressed | None:
    """Layout shorter than a given one, or None where it was not found."""
    demand = matching.demand
    shapes = shapes_of(demand, start.spots)
    at = np.array([(s.x_mm, s.y_mm) for s in start.spots])
    tallest = max(s.length_mm for s in shapes)
    target = max(start.length_mm * (1 - cut), tallest)
    turned = [s.turned for s in start.spots]
    board = _Board(demand, shapes, turned, at, target, np.ones((len(shapes), len(shapes))))
    out = [n for n, s in enumerate(shapes) if at[n, 1] + s.length_mm > target]
    for n in sorted(out, key=lambda n: -shapes[n].length_mm):
        _move(board, n, rng, forced=True)
    tried = np.inf
    for _ in range(SWEEPS):
        depths = board.depths()
        if matching.left <= 0:
            return None
        depth = depths.sum() / 2
        if depth <= LOOSE_MM and depth < PRESS_AGAIN * tried:
            tried = depth
            found = settled(demand, _spots(board), rounds=ROUNDS)
            if found is not None and found.sound and found.length_mm < start.length_mm:
                return found
        board.weight = np.where(depths > 0, board.weight * HEAVIER, np.maximum(1.0, board.weight * LIGHTER))
        crowded = [n for n in range(len(shapes)) if depths[n].sum() > 0]
        rng.shuffle(crowded)
        for n in crowded:
            _move(board, n, rng)
    return None


def _spots(board: _Board) -> list[Spot]:
    return [Spot(float(x), float(y), turned) for (x, y), turned in zip(board.at, board.turned, strict=True)]


def _move(board: _Board, n: int, rng: np.random.Generator, *, forced: bool = False) -> None:
    """Move one part, or its family, to the best of many allowed places."""
    family = _family(board.demand, n)
    if len(family) > 1 and rng.random() < FAMILY_SHARE:
        _move_family(board, family, rng)
        return
    places = _places(board, n, rng)
    if not forced:
        places = np.vstack([board.at[n], places])
    if len(places):
        board.settle(n, places, may_turn=len(family) == 1 and board.demand.parts[n].may_turn)


def _move_family(board: _Board, family: Sequence[int], rng: np.random.Generator) -> None:
    """Shift a whole family by the best of many shifts that keep it on the cloth."""
    at = board.at[list(family)]
    rooms = np.array([board.room(n) for n in family])
    low, high = (-at).max(axis=0), (rooms - at).min(axis=0)
    if np.any(low > high):
        high = np.maximum(low, high)
    shifts = rng.uniform(low, high, (PLACES // 4, 2))
    shifts = np.vstack([np.clip(np.zeros((1, 2)), low, high), shifts])
    total = np.zeros(len(shifts))
    inside = set(family)
    for n in family:
        for other, shape in enumerate(board.shapes):
            if other not in inside:
                pair = depth_map(shape, board.shapes[n])
                total += board.weight[n, other] * pair.depth_mm(board.at[n] + shifts - board.at[other])
    board.at[list(family)] += shifts[int(total.argmin())]


def _places(board: _Board, n: int, rng: np.random.Generator) -> Floats:
    """Places a part may take while its kin stay: near and far ones, on its lattice where it is tied."""
    demand, (across, along) = board.demand, board.room(n)
    kinds = {t.kind for t in demand.ties if n in (t.first, t.second) and t.first != t.second}
    here = board.at[n]
    part = demand.parts[n]
    xs, ys = rng.uniform(0, across, PLACES), rng.uniform(0, along, PLACES)
    near = int(NEAR_SHARE * PLACES)
    xs[:near] = here[0] + rng.uniform(-NEAR_MM, NEAR_MM, near)
    ys[:near] = here[1] + rng.uniform(-NEAR_MM, NEAR_MM, near)
    xs[: near // 2 : 2], ys[1 : near // 2 : 2] = 0.0, 0.0  # against the edges
    steps = demand.steps
    if kinds and steps is not None:
        if "both" in kinds and len(steps.basis_mm) == 2:
            grid = _lattice(steps.basis_mm, rng)
            xs, ys = here[0] + grid[:, 0], here[1] + grid[:, 1]
        else:
            if kinds & {"both", "upright"} and steps.column_mm is not None:
                xs = here[0] + np.round((xs - here[0]) / steps.column_mm) * steps.column_mm
            if kinds & {"both", "level"} and steps.level_mm is not None:
                ys = here[1] + np.round((ys - here[1]) / steps.level_mm) * steps.level_mm
    if part.fixed_x_mm is not None:
        xs = np.full(len(ys), part.fixed_x_mm)
    fits = (xs >= 0) & (xs <= across) & (ys >= 0) & (ys <= along)
    return np.column_stack([xs, ys])[fits]


def _lattice(basis: tuple[tuple[float, float], ...], rng: np.random.Generator) -> Floats:
    """Lattice vectors about the origin, a sample of them where they are many."""
    found = _all_vectors(basis)
    return found[rng.integers(len(found), size=_MOST_PLACES)] if len(found) > _MOST_PLACES else found


@lru_cache(maxsize=16)
def _all_vectors(basis: tuple[tuple[float, float], ...]) -> Floats:
    (a, b), (c, d) = basis
    i, j = np.meshgrid(np.arange(-MOST_STEPS, MOST_STEPS + 1), np.arange(-MOST_STEPS, MOST_STEPS + 1))
    found = np.column_stack([(i * a + j * c).ravel(), (i * b + j * d).ravel()])
    kept = (np.abs(found) < _FARTHEST_MM).all(axis=1) & np.any(found != 0, axis=1)
    return np.asarray(found[kept], dtype=np.float64)


_FARTHEST_MM = 4000.0  # mm: longer than the layouts that outlines are used for in one piece
_MOST_PLACES = 1200  # lattice places looked at for one part, before those off the cloth are left out


def _family(demand: Demand, n: int) -> list[int]:
    """Parts joined to one through ties of any kind."""
    found, queue = {n}, [n]
    while queue:
        here = queue.pop()
        for tie in demand.ties:
            if here in (tie.first, tie.second):
                for other in {tie.first, tie.second} - found:
                    found.add(other)
                    queue.append(other)
    return sorted(found)
