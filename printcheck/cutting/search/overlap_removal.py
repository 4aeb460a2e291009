"""Layouts made shorter: on a cloth cut a little too short, overlapping parts are moved until none overlap.

The cloth is cut a little shorter than the best layout. Parts that overlap are moved one after another to
the allowed place where they run least into the others; overlaps that stay weigh more and more, so that
the search does not turn in circles. What is left is pressed apart. A cut that fails is tried again from
where it failed, two parts exchanged, or from another layout.
(Guided local search as in Umetani and others, Int. Trans. Oper. Res. 2009; trying again from what failed,
disturbed, as in Gardeyn and Wauters, 2025.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from printcheck.cutting.demand.demands import Demand, Spot
from printcheck.cutting.demand.ties import snapped
from printcheck.cutting.search.compact import Packing, pressed
from printcheck.cutting.search.moves import move
from printcheck.cutting.search.state import Search
from printcheck.cutting.shape.simplify import shapes_of
from printcheck.cutting.shape.strip import Board

# shares by which the cloth is cut shorter: half as much after one that failed
FIRST_CUT, LEAST_CUT = 0.08, 0.01
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


def improve(search: Search, seed: int) -> Packing | None:
    """Make the best layout shorter until the effort is spent or no cut has helped for long.

    It gives the best layout there is then; ``seed``: another search for every one.
    """
    rng = np.random.default_rng(seed)
    failures, failed, cut = 0, None, FIRST_CUT
    while search.best is not None and failures < GIVEN_UP and search.goes_on:
        start, exchange = _start(search, search.best, failed, rng)
        board = _cut_short(search.demand, start, search.best.length_mm * (1 - cut))
        if exchange:
            _exchange(board, rng)
        ended = _freed(search, board, rng)
        if isinstance(ended, Packing) and search.note(ended):
            failures, failed = 0, None
        else:
            failures, cut = failures + 1, max(LEAST_CUT, cut / 2)
            failed = ended.spots if isinstance(ended, Packing) else ended
    return search.best


def _start(
    search: Search, best: Packing, failed: Sequence[Spot] | None, rng: np.random.Generator
) -> tuple[Sequence[Spot], bool]:
    """Layout that the next try starts from, and whether two of its parts are exchanged."""
    chance = rng.random()
    if failed is not None and chance < AGAIN_SHARE:
        return failed, True
    if search.free and chance > 1 - OTHER_SHARE:
        free = search.free[int(rng.integers(len(search.free)))]
        length = max(s.y_mm + p.length_mm for s, p in zip(free, search.demand.parts, strict=True))
        return snapped(search.demand, drawn_out(free, max(0.0, best.length_mm / length - 1))), False
    return best.spots, False


def drawn_out(spots: Sequence[Spot], stretch: float) -> list[Spot]:
    """A layout with all parts farther apart along the cloth, by a share."""
    return [replace(spot, y_mm=spot.y_mm * (1 + stretch)) for spot in spots]


def _freed(search: Search, board: Board, rng: np.random.Generator) -> Packing | Sequence[Spot]:
    """Move parts until none overlap: a layout shorter than the best, or else the least overlap there was."""
    tried = least = np.inf
    spots, since = board.spots(), 0
    for sweep in range(SWEEPS):
        depth = board.depths.sum() / 2
        if depth < least:
            least, spots, since = depth, board.spots(), sweep
        elif sweep - since > PATIENCE or not depth:  # what the pictures do not show was pressed in vain
            break
        if depth <= LOOSE_MM and depth < PRESS_AGAIN * tried:
            tried = depth
            found = pressed(search.demand, board.spots(), rounds=ROUNDS, reach=REACH_MM, effort=search.effort)
            if found is not None and found.sound and found.length_mm < search.length_mm:
                return found
        if not _sweep(search, board, rng):
            break
    return spots


def _sweep(search: Search, board: Board, rng: np.random.Generator) -> bool:
    """Weigh the overlaps anew and move every part that has one; False when the effort is spent."""
    heavier = np.maximum(1.0, board.weight * LIGHTER)
    board.weight = np.where(board.depths > 0, board.weight * HEAVIER, heavier)
    for n in rng.permutation(np.flatnonzero(board.depths.any(axis=0))):
        if not search.effort.left:
            return False
        if board.depths[n].any():
            move(board, int(n), rng)
            search.effort.spend(board.looks)
            board.looks = 0.0
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


def _cut_short(demand: Demand, start: Sequence[Spot], length_mm: float) -> Board:
    """A layout on a cloth that is too short for it; what sticks out is pushed back."""
    shapes = shapes_of(demand, start)
    at = np.array([(s.x_mm, s.y_mm) for s in start])
    target = max(length_mm, *(s.length_mm for s in shapes))
    board = Board(demand, shapes, [s.turned for s in start], at, target)
    done: set[int] = set()
    for n in range(len(shapes)):
        if n not in done:
            done.update(board.kin[n])
            board.shift(board.kin[n], np.zeros(2))
    return board
