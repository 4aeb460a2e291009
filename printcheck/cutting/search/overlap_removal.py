"""Layouts made shorter: on a cloth cut a little too short, overlapping parts are moved until none overlap.

The cloth is cut a little shorter than the best layout. Parts that overlap are moved one after another to
the allowed place where they run least into the others; overlaps that stay weigh more and more, so that
the search does not turn in circles. What is left is pressed apart. A cut that fails is tried again from
where it failed, two parts exchanged, or from another layout.
(Guided local search as in Umetani and others, Int. Trans. Oper. Res. 2009; trying again from what failed,
disturbed, as in Gardeyn and Wauters, 2025.)
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from printcheck.cutting.demand.demands import Spot
from printcheck.cutting.search.compact import Pressed, shapes_of
from printcheck.cutting.search.matched_outlines import Matching, drawn_to, settled
from printcheck.cutting.search.moves import move
from printcheck.cutting.shape.strip import Board

CUTS = (0.02, 0.01)  # shares by which the cloth is cut shorter: bolder tries fail more often than they gain
SWEEPS = 150  # rounds of moving parts before a cut is given up
PATIENCE = 40  # rounds in a row without less overlap than before: a try seldom succeeds after them
HEAVIER, LIGHTER = 1.5, 0.95  # overlaps that stay weigh more, the others less
LOOSE_MM = 30.0  # mm of overlap in all that pressing may still take apart
PRESS_AGAIN = 0.7  # of the overlap at the last pressing: with less, it is worth pressing again
ROUNDS = 10  # of pressing
REACH_MM = 30.0  # mm a part may move in one round of pressing: few parts come near in it, so it is quick
AGAIN_SHARE = 0.8  # of tries after one that failed start from where it failed, two parts exchanged
OTHER_SHARE = 0.1  # of tries start from a layout made without the print
GIVEN_UP = 100  # tries in a row that failed: with few parts, the layout is as good as it gets
LARGE_SHARE = 0.5  # of the parts, the larger ones, may be exchanged


@dataclass(frozen=True)
class _Try:
    """Where a try ended: the parts' places with least overlap, sound or not."""

    spots: tuple[Spot, ...]
    found: Pressed | None


def improve(matching: Matching, seed: int, *, stop: float = math.inf) -> None:
    """Make the best layout shorter until the time is up or no cut has helped for long.

    Parameters
    ----------
    matching : Matching
        The best layout so far, which other threads and processes may better, too.
    seed : int
        Another search for every seed.
    stop : float
        Time on the monotonic clock; the search's own is kept as well.
    """
    rng = np.random.default_rng(seed)
    failures, failed = 0, None
    while matching.best is not None and failures < GIVEN_UP and matching.left > 0:
        if time.monotonic() > stop:
            return
        start, exchange = _start(matching, matching.best, failed, rng)
        cut = CUTS[failures % len(CUTS)]
        ended = _shorter(
            matching, start, matching.best.length_mm * (1 - cut), rng, exchange=exchange, stop=stop
        )
        if ended.found is not None and matching.note(ended.found):
            failures, failed = 0, None
        else:
            failures, failed = failures + 1, ended.spots


def _start(
    matching: Matching, best: Pressed, failed: Sequence[Spot] | None, rng: np.random.Generator
) -> tuple[Sequence[Spot], bool]:
    """Layout that the next try starts from, and whether two of its parts are exchanged."""
    chance = rng.random()
    if failed is not None and chance < AGAIN_SHARE:
        return failed, True
    if matching.free and chance > 1 - OTHER_SHARE:
        free = matching.free[int(rng.integers(len(matching.free)))]
        return drawn_to(matching, free, best.length_mm), False
    return best.spots, False


def _shorter(
    matching: Matching,
    start: Sequence[Spot],
    length_mm: float,
    rng: np.random.Generator,
    *,
    exchange: bool,
    stop: float,
) -> _Try:
    """Try for a layout no longer than the one that a cut has made too short a cloth for."""
    board = _cut_short(matching, start, length_mm)
    if exchange:
        _exchange(board, rng)
    tried = least = math.inf
    spots, since = board.spots(), 0
    for sweep in range(SWEEPS):
        depth = board.depths.sum() / 2
        if depth < least:
            least, spots, since = depth, board.spots(), sweep
        elif sweep - since > PATIENCE or not depth:  # what the pictures do not show was pressed in vain
            break
        if depth <= LOOSE_MM and depth < PRESS_AGAIN * tried:
            tried = depth
            found = settled(
                matching.demand, board.spots(), rounds=ROUNDS, reach=REACH_MM, deadline=matching.stop
            )
            if found is not None and found.sound and _is_shorter(matching, found):
                return _Try(found.spots, found)
        if not _sweep(matching, board, rng, stop):
            break
    return _Try(tuple(spots), None)


def _is_shorter(matching: Matching, found: Pressed) -> bool:
    return matching.best is None or found.length_mm < matching.best.length_mm


def _sweep(matching: Matching, board: Board, rng: np.random.Generator, stop: float) -> bool:
    """Weigh the overlaps anew and move every part that has one; False when the time is up."""
    heavier = np.maximum(1.0, board.weight * LIGHTER)
    board.weight = np.where(board.depths > 0, board.weight * HEAVIER, heavier)
    for n in rng.permutation(np.flatnonzero(board.depths.any(axis=0))):
        if matching.left <= 0 or time.monotonic() > stop:
            return False
        if board.depths[n].any():
            move(board, int(n), rng)
    return True


def _exchange(board: Board, rng: np.random.Generator) -> None:
    """Let two large parts change places, each with its family."""
    area = [s.width_mm * s.length_mm for s in board.shapes]
    large = np.argsort(area)[-max(2, int(LARGE_SHARE * len(area))) :]
    if len(area) < 2:
        return
    one, two = (int(n) for n in rng.choice(large, 2, replace=False))
    by = board.at[two] - board.at[one]
    for n, shift in ((one, by), (two, -by)):
        board.shift(board.kin[n], shift)


def _cut_short(matching: Matching, start: Sequence[Spot], length_mm: float) -> Board:
    """A layout on a cloth that is too short for it; what sticks out is pushed back."""
    shapes = shapes_of(matching.demand, start)
    at = np.array([(s.x_mm, s.y_mm) for s in start])
    target = max(length_mm, *(s.length_mm for s in shapes))
    turned = [s.turned for s in start]
    board = Board(matching.demand, shapes, turned, at, target)
    done: set[int] = set()
    for n in range(len(shapes)):
        if n not in done:
            kin = board.kin[n]
            done.update(kin)
            board.shift(kin, np.zeros(2))
    return board
