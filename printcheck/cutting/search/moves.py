"""Moves of the search for shorter layouts: one part, a family as it stands, or a tied pair at a new step."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import cv2
import numpy as np

from printcheck.core.handover import Floats, Floats32
from printcheck.core.lattice import Vector
from printcheck.core.match_kinds import MatchedAxes
from printcheck.cutting.demand.lattice_steps import Steps, points_within
from printcheck.cutting.shape.no_fit import depth_map
from printcheck.cutting.shape.strip import CORNERS, Board, Field, into_kin_mm, windows

FAMILY_SHARE = 0.3  # of moves of a tied part take its whole family along
TURN_SHARE = 0.3  # of those turn it end for end before, where the print lets it turn
PAIR_SHARE = 0.1  # of moves of a tied pair look for a new step and place together: the dearest move
MOST_PLACES = 20_000  # lattice places looked at for one part; of more, a sample
MOST_LOOKED_AT = 100_000  # lattice points, before the sample is drawn
LOOKED_AT = 32  # of these, the best by the pictures are looked at more closely, at most
SAME = 1e-6  # of a step: a place this near is on it
ROUNDED_MM = 500.0  # mm: lattice vectors are kept for cloths of about the same size together
MOST_STEPS = 200  # lattice steps looked at for a pair; of more, a sample
PAIR_STEPS = 4.0  # steps of a pair that take as long as one look


def move(board: Board, n: int, rng: np.random.Generator) -> None:
    """Move one part, or some of its family, to the allowed place where it runs least into the others."""
    kin = board.kin[n]
    chance = rng.random()
    if len(kin) == 1:
        _move_free(board, n, rng)
    elif chance < FAMILY_SHARE:
        parts = [board.demand.parts[n] for n in kin]
        whole = all(part.may_turn for part in parts) and len({part.group for part in parts}) == 1
        if chance < TURN_SHARE * FAMILY_SHARE and whole:
            board.turn_family(kin)
        _move_family(board, kin, rng)
    elif chance < FAMILY_SHARE + PAIR_SHARE and len(kin) == 2 and _full(board, kin[0]):
        _move_pair(board, kin[0], kin[1], rng)
    else:
        _move_tied(board, n, rng)


def _move_free(board: Board, n: int, rng: np.random.Generator) -> None:
    corner = int(rng.integers(CORNERS))
    own = board.shapes[n]
    shapes = (own, own.turned) if board.demand.parts[n].may_turn else (own,)
    found = [board.field(n, shape).least(corner) for shape in shapes]
    k = min(range(len(found)), key=lambda k: found[k][0])
    board.put(n, found[k][1], turn=k == 1)


def _move_tied(board: Board, n: int, rng: np.random.Generator) -> None:
    """Move one part by steps that keep it matched to its kin."""
    field = board.field(n, board.shapes[n])
    steps = board.demand.steps
    if _full(board, n):
        around = _steps_within(board, steps, field.low - board.at[n], field.high - board.at[n])
        places = board.at[n] + _sample(around, MOST_PLACES, rng)
        if len(places):
            board.put(n, _least_of(board, n, places, field.values(places)))
        return
    axes = _axes(board, n)
    xs = _line(field, 0, board.at[n][0], steps.column_mm if any(a.across for a in axes) else None)
    ys = _line(field, 1, board.at[n][1], steps.level_mm if any(a.along for a in axes) else None)
    if len(xs) and len(ys):
        columns = np.rint((xs - field.low[0]) / board.cell_mm).astype(int)
        rows = np.rint((ys - field.low[1]) / board.cell_mm).astype(int)
        values = field.cells[np.ix_(rows, columns)]
        least = np.flatnonzero(values.ravel() == values.min())
        row, column = divmod(int(rng.choice(least)), len(xs))
        board.put(n, np.array([xs[column], ys[row]]))


def _least_of(board: Board, n: int, places: Floats, values: Floats32) -> Floats:
    """Place of least overlap among some in any order: as pictured, but exact where kin are concerned."""
    best, found = math.inf, places[0]
    for k in np.argsort(values, kind="stable")[:LOOKED_AT]:
        if values[k] >= best:
            break
        value = float(values[k])
        for other in board.kin[n]:
            if other != n:
                depth = into_kin_mm(board.shapes[other], board.shapes[n], places[k] - board.at[other])
                value += board.weight[n, other] * depth / board.cell_mm
        if value < best:
            best, found = value, places[k]
    return np.asarray(found)


def _move_family(board: Board, kin: Sequence[int], rng: np.random.Generator) -> None:
    """Shift a whole family to where it runs least into the others, its steps kept."""
    fields = [board.field(n, board.shapes[n], kin) for n in kin]
    cut, low = windows(fields, [board.at[n] for n in kin])
    if not cut[0].size:
        return
    total = Field(np.sum(cut, axis=0), np.zeros(2), np.full(2, np.inf), board.cell_mm)
    _, place = total.least(int(rng.integers(CORNERS)))
    board.shift(kin, low * board.cell_mm + place)


def _move_pair(board: Board, a: int, b: int, rng: np.random.Generator) -> None:
    """Lay two matched parts anew: at the lattice step and the place where both fit best."""
    steps = board.demand.steps
    one, two = (board.field(n, board.shapes[n], (a, b)) for n in (a, b))
    now = board.at[b] - board.at[a]
    near = _steps_within(board, steps, two.low - one.high - now, two.high - one.low - now)
    apart = now + _sample(near, MOST_STEPS, rng)
    if not len(apart):
        return
    weight, shapes = board.weight[a, b] / board.cell_mm, (board.shapes[a], board.shapes[b])
    depths = weight * depth_map(*shapes, board.cell_mm).depth_mm(apart)
    leaning = one.leaning(int(rng.integers(CORNERS)))
    board.looks += len(apart) / PAIR_STEPS
    cells = np.rint((one.low + apart - two.low) / board.cell_mm).astype(int).tolist()
    best, found = math.inf, None
    for k in np.argsort(depths, kind="stable"):
        if depths[k] >= best or best < 1:  # cells: overlap with none
            break
        value, place = _least_together(leaning, two.cells, cells[k])
        if depths[k] + value < best and not depths[k]:
            value += weight * into_kin_mm(*shapes, apart[k])
        if depths[k] + value < best:
            best, found = depths[k] + value, (place, apart[k])
    if found is not None:
        (column, row), step = found
        low, high = np.maximum(one.low, two.low - step), np.minimum(one.high, two.high - step)
        start = np.clip(one.place(row, column), low, np.maximum(low, high))
        board.put(a, start)
        board.put(b, start + step)


def _least_together(one: Floats32, two: Floats32, by: list[int]) -> tuple[float, tuple[int, int]]:
    """Least sum of one field and another a number of cells away, and the cell of the first."""
    right, down = by
    left, top = max(0, -right), max(0, -down)
    end = min(one.shape[1], two.shape[1] - right)
    foot = min(one.shape[0], two.shape[0] - down)
    if end <= left or foot <= top:
        return math.inf, (0, 0)
    value, _, (column, row), _ = cv2.minMaxLoc(
        cv2.add(one[top:foot, left:end], two[top + down : foot + down, left + right : end + right])
    )
    return value, (left + column, top + row)


def _full(board: Board, n: int) -> bool:
    """Whether a part's ties leave it the steps of a lattice in two directions."""
    return board.demand.steps.two_ways and any(a.full for a in _axes(board, n))


def _axes(board: Board, n: int) -> set[MatchedAxes]:
    return {t.axes for t in board.demand.ties if n in (t.first, t.second) and t.first != t.second}


def _line(field: Field, axis: int, here: float, step: float | None) -> Floats:
    """Places on one axis: a cell apart, or steps from where a part lies."""
    low, high = field.low[axis], field.high[axis]
    if step is None:
        return np.asarray(np.minimum(low + field.cell_mm * np.arange(field.cells.shape[1 - axis]), high))
    first, last = math.ceil((low - here) / step - SAME), math.floor((high - here) / step + SAME)
    return np.asarray(np.clip(here + step * np.arange(first, last + 1), low, high))


def _steps_within(board: Board, steps: Steps, low: Floats, high: Floats) -> Floats:
    """Lattice vectors in a box, some left out where they are many."""
    reach = math.ceil(max(board.demand.width_mm, board.length_mm) / ROUNDED_MM) * ROUNDED_MM
    around = _steps_around(steps.basis_mm, reach)
    if around is None:
        return points_within(steps.basis_mm, low, high, most=MOST_LOOKED_AT)[1]
    return around[np.all((around >= low - SAME) & (around <= high + SAME), axis=1)]


@lru_cache(maxsize=64)
def _steps_around(basis: tuple[Vector, ...], reach: float) -> Floats | None:
    """All lattice vectors within a reach either way; None where they are too many to look through."""
    (a, b), (c, d) = basis
    if (2 * reach) ** 2 > MOST_LOOKED_AT * abs(a * d - b * c):
        return None
    return points_within(basis, (-reach, -reach), (reach, reach))[1]


def _sample(vectors: Floats, most: int, rng: np.random.Generator) -> Floats:
    """Vectors in any order, some left out where they are many."""
    return np.asarray(rng.permutation(vectors)[:most])
