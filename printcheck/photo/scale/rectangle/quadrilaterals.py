"""Quadrilaterals that a rectangle of known proportion may show as, from straight edges, best first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import Array, Floats, Ints, Mask

if TYPE_CHECKING:
    from printcheck.photo.scale.rectangle.segments import EdgeLines

PARALLEL_RAD, CONVERGING_RAD = math.radians(5), 0.8  # between opposite sides: at least, and per picture's
# long side of distance between them (25 degrees of tilt seen through a wide lens)
SQUARE_RAD = math.radians(18)  # off the right angle, likewise
RATIO_LOW, RATIO_HIGH = 0.76, 1.30  # times the side ratio: what tilt makes of it, from the reference study
OUTSIDE_SHARE = 0.2  # of the long side: how far a corner may lie outside the picture
CORNERS_INSIDE = 2  # at least, of four
ROUNDED_SHARE = 0.07  # of a side, left out at each end: rounded corners
BEYOND_NEAR, BEYOND_FAR = 0.04, 0.30  # of a side: where an edge that runs on past the corner is looked for
LEAST_SUPPORT = 0.30  # of the weakest side
LEAST_SEEN = 0.35  # share of each side inside the picture
CUT_LEAST_SEEN = 0.5  # likewise of the two that are cut, where the fourth is unseen: half a thing is none
CHUNK = 25_000  # combinations at a time, to bound memory
MOST_COMBINATIONS = 100_000  # more (dense checks) are thinned by taking the strongest lines only
MOST_LINES = 130  # the strongest, of which pairs are made
MOST_CUT_LINES, CUT_HANDICAP = 50, 0.2  # lines tried for cut ones; taken from their rank
FIRST_SLACK = 1.4  # on the shape while only distances between lines are known
PARALLEL_SINE = 1e-3  # of the angle below which two lines are taken as parallel
WEAKEST_WEIGHT, BEYOND_WEIGHT = 0.5, 0.3  # in the rank, beside the mean support
HINT_WEIGHT = 0.6  # in the rank: what lies within is found nowhere else
HINT_PLACES = (0.2, 0.5, 0.8)  # of both sides, where the hint is read

PLACES_ALONG, PLACES_OF_SIDE = 12, 4  # of a side, where the hint is read; least of them in the picture


@dataclass(frozen=True)
class Quads:
    """Candidates, best first.

    Parameters
    ----------
    corners : (N, 4, 2) float64
        In order round, the first side a long one; pixels of the working picture.
    rank : (N,) float64
    guessed : (N,) int64
        Which side lies outside the picture and was put where the proportion has it; -1 for none.
    """

    corners: Floats
    rank: Floats
    guessed: Ints


NO_QUADS = Quads(np.zeros((0, 4, 2)), np.zeros(0), np.zeros(0, np.int64))


def quads(
    lines: EdgeLines,
    ratios: tuple[float, float],
    *,
    long_px: tuple[float, float],
    most: int,
    hint: Array,
) -> Quads:
    """Quadrilaterals with four supported sides.

    Parameters
    ----------
    lines : EdgeLines
    ratios : tuple of float
        Least and greatest long side over short side of the rectangles looked for.
    long_px : tuple of float, keyword-only
        Shortest and longest long side looked for, in px.
    most : int, keyword-only
        Return at most this many.
    hint : (h, w) float32, keyword-only
        How much each place looks like part of a thing seen once, 0 to 1, at any smaller size.
    """
    wanted = _Wanted(*ratios, *long_px)
    pairs = _parallel_pairs(lines, wanted)
    p, q = _square_pairs(pairs, wanted)
    sides = np.stack([pairs.first[p], pairs.first[q], pairs.second[p], pairs.second[q]])  # in order round
    crossing = _crossings(lines)
    kept = [
        _measured(lines, crossing, sides[:, i : i + CHUNK], wanted, hint) for i in range(0, len(p), CHUNK)
    ]
    if not kept:
        return NO_QUADS
    corners, rank = (np.concatenate(parts).astype(float) for parts in zip(*kept, strict=True))
    order = np.argsort(-rank)[:most]
    return Quads(corners[order], rank[order], np.full(len(order), -1))


@dataclass(frozen=True)
class _Wanted:
    least: float  # long side over short side
    most: float
    shortest: float  # px of the long side
    longest: float

    def shaped(self, one: Array, two: Array, slack: float = 1.0) -> Mask:
        """Whether two neighbouring sides could be those of the rectangle."""
        long, short = np.maximum(one, two), np.minimum(one, two)
        fits = (long > RATIO_LOW / slack * self.least * short) & (
            long < RATIO_HIGH * slack * self.most * short
        )
        return np.asarray(fits & (long > self.shortest / slack) & (long < self.longest * slack))


@dataclass(frozen=True)
class _Pairs:
    """Pairs of nearly parallel lines: which, their mean angle in [0, pi), nearest and farthest distance."""

    first: Ints
    second: Ints
    axis: Array
    apart: Array


@dataclass(frozen=True)
class _Crossings:
    """(N, N) tables of where line i meets line j, and the place of that along i."""

    x: Array
    y: Array
    along: Array


def _parallel_pairs(lines: EdgeLines, wanted: _Wanted, most: int = MOST_LINES) -> _Pairs:
    first, second = np.triu_indices(min(len(lines.angle), most), 1)
    turn = (lines.angle[second] - lines.angle[first] + math.pi / 2) % math.pi - math.pi / 2
    dx, dy = lines.foot_x[first] - lines.foot_x[second], lines.foot_y[first] - lines.foot_y[second]
    one = np.abs(dx * np.cos(lines.angle[second]) + dy * np.sin(lines.angle[second]))
    two = np.abs(dx * np.cos(lines.angle[first]) + dy * np.sin(lines.angle[first]))
    near, far = wanted.shortest / wanted.most * 0.6, wanted.longest * 1.6
    converging = CONVERGING_RAD * (one + two) / 2 / max(lines.edges.support.shape)
    kept = (
        (np.abs(turn) < PARALLEL_RAD + converging)
        & (np.maximum(one, two) > near)
        & (np.minimum(one, two) < far)
    )
    first, second = first[kept], second[kept]
    axis = np.mod(lines.angle[first] + turn[kept] / 2, np.float32(math.pi))
    return _Pairs(first, second, axis, (one + two)[kept] / 2)


def _square_pairs(pairs: _Pairs, wanted: _Wanted) -> tuple[Ints, Ints]:
    """Pairs of pairs that stand nearly square on each other at fitting distances; strongest first."""
    order = np.argsort(pairs.axis)
    ordered = pairs.axis[order]
    low = np.searchsorted(ordered, pairs.axis + (math.pi / 2 - SQUARE_RAD))
    high = np.searchsorted(ordered, pairs.axis + (math.pi / 2 + SQUARE_RAD))
    count = high - low
    p = np.repeat(np.arange(len(order)), count)
    within = np.arange(len(p)) - np.repeat(np.cumsum(count) - count, count)
    q = order[np.repeat(low, count) + within]
    fits = wanted.shaped(pairs.apart[p], pairs.apart[q], FIRST_SLACK)
    p, q = p[fits], q[fits]
    if len(p) > MOST_COMBINATIONS:
        # lines are numbered by strength, so low numbers are strong
        weakness = pairs.second[p] + pairs.second[q]
        strongest = np.argpartition(weakness, MOST_COMBINATIONS)[:MOST_COMBINATIONS]
        p, q = p[strongest], q[strongest]
    return p, q


def _crossings(lines: EdgeLines) -> _Crossings:
    c, s = np.cos(lines.angle), np.sin(lines.angle)
    r = lines.foot_x * c + lines.foot_y * s
    cross = c[:, None] * s - s[:, None] * c
    cross = np.where(np.abs(cross) < PARALLEL_SINE, np.float32(PARALLEL_SINE), cross)  # never asked for
    x = (r[:, None] * s - s[:, None] * r) / cross
    y = (c[:, None] * r - r[:, None] * c) / cross
    along = -(x - lines.foot_x[:, None]) * s[:, None] + (y - lines.foot_y[:, None]) * c[:, None]
    return _Crossings(x, y, along)


def _measured(
    lines: EdgeLines, crossing: _Crossings, sides: Ints, wanted: _Wanted, hint: Array
) -> tuple[Array, Array]:
    """Corners and rank of those combinations of four lines that pass."""
    before, after = np.roll(sides, 1, axis=0), np.roll(sides, -1, axis=0)
    start, end = crossing.along[sides, before], crossing.along[sides, after]
    length = np.abs(start - end)
    one, two = (length[0] + length[2]) / 2, (length[1] + length[3]) / 2
    fits = np.nonzero(wanted.shaped(one, two))[0]
    sides, before, start, end = sides[:, fits], before[:, fits], start[:, fits], end[:, fits]
    x, y = crossing.x[sides, before], crossing.y[sides, before]  # corner k is where side k starts
    placed = _placed(lines, x, y, np.maximum(one, two)[fits])
    sides, start, end, x, y, fits = _picked(placed, sides, start, end, x, y, fits)
    low, high = np.minimum(start, end), np.maximum(start, end)
    size = high - low
    support, seen = lines.support(sides, low + ROUNDED_SHARE * size, high - ROUNDED_SHARE * size)
    kept = (support.min(0) > LEAST_SUPPORT) & (seen.min(0) > LEAST_SEEN)
    sides, low, high, size, support, fits = _picked(kept, sides, low, high, size, support, fits)
    ahead, _ = lines.support(sides, low - BEYOND_FAR * size, low - BEYOND_NEAR * size)
    behind, _ = lines.support(sides, high + BEYOND_NEAR * size, high + BEYOND_FAR * size)
    beyond = (ahead + behind).mean(0) / 2
    rank = support.mean(0) + WEAKEST_WEIGHT * support.min(0) - BEYOND_WEIGHT * beyond
    x, y = x[:, kept], y[:, kept]
    rank = rank + HINT_WEIGHT * hinted(
        hint, x / lines.edges.support.shape[1], y / lines.edges.support.shape[0]
    )
    corners = np.stack([x.T, y.T], 2)
    long_first = (one >= two)[fits][:, None, None]
    return np.where(long_first, corners, np.roll(corners, -1, axis=1)), rank


def hinted_along(hint: Array, x: Array, y: Array, grow: float | Array) -> tuple[Array, Array]:
    """Mean of the hint along (4, n) outlines grown about their middles, and of the side where it is least.

    Terms as for :func:`hinted`; sides of which next to nothing is in the picture are left out of the least.
    """
    height, width = hint.shape
    x, y = (middle + grow * (v - middle) for v, middle in ((x, x.mean(0)), (y, y.mean(0))))
    share = np.arange(PLACES_ALONG)[:, None, None] / PLACES_ALONG
    column, row = (
        np.floor((v + (np.roll(v, -1, 0) - v) * share) * side).astype(np.int64)
        for v, side in ((x, width), (y, height))
    )
    inside = (column >= 0) & (row >= 0) & (column < width) & (row < height)
    found = np.where(inside, hint[np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)], 0).sum(0)
    count = inside.sum(0)
    each = np.where(count >= PLACES_OF_SIDE, found / np.maximum(count, 1), 1.0)
    return np.asarray(found.sum(0) / np.maximum(count.sum(0), 1)), np.asarray(each.min(0))


def hinted(hint: Array, x: Array, y: Array) -> Array:
    """Mean of the hint within (4, n) corners given as shares of the picture's width and height."""
    height, width = hint.shape
    total = np.zeros(x.shape[1], np.float32)
    for u in HINT_PLACES:
        for v in HINT_PLACES:
            share = np.array([(1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v], np.float32)
            column = np.clip((share @ x) * width, 0, width - 1).astype(np.int64)
            row = np.clip((share @ y) * height, 0, height - 1).astype(np.int64)
            total += hint[row, column]
    return total / len(HINT_PLACES) ** 2


def cut_quads(
    lines: EdgeLines, ratio: float, *, long_px: tuple[float, float], most: int, hint: Array
) -> Quads:
    """Quadrilaterals of which one side lies outside the picture: two edges that leave it, one across.

    Terms as for :func:`quads`. The far side is put where the proportion has it. Both a short and a long
    side across are given: which it is, how far the other two run on and how round its corners are tells.
    """
    wanted = _Wanted(ratio, ratio, *long_px)
    pairs = _parallel_pairs(lines, wanted, MOST_CUT_LINES)
    count = min(len(lines.angle), MOST_CUT_LINES)
    if not len(pairs.first) or count < 3:
        return NO_QUADS
    p, across = (grid.ravel() for grid in np.meshgrid(np.arange(len(pairs.first)), np.arange(count)))
    turn = np.abs((lines.angle[across] - pairs.axis[p] + math.pi / 2) % math.pi - math.pi / 2)
    square = turn > math.pi / 2 - SQUARE_RAD
    first, second, across = pairs.first[p[square]], pairs.second[p[square]], across[square]
    crossing = _crossings(lines)
    sides = np.stack([first, second, across])
    guesses = [(way, across_is_long) for way in (1.0, -1.0) for across_is_long in (False, True)]
    found = [_cut(lines, crossing, sides, (wanted, *guess), hint) for guess in guesses]
    corners, rank = (np.concatenate(parts).astype(float) for parts in zip(*found, strict=True))
    far = np.repeat([2 if long else 1 for _, long in guesses], [len(part[1]) for part in found])
    order = np.argsort(-rank)[:most]
    return Quads(corners[order], rank[order], far[order])


def _cut(
    lines: EdgeLines, crossing: _Crossings, sides: Ints, guess: tuple[_Wanted, float, bool], hint: Array
) -> tuple[Array, Array]:
    """Corners and rank of the cut ones whose far side lies along ``way`` of the first line."""
    wanted, way, across_is_long = guess
    first, second, across = sides
    height, width = lines.edges.support.shape
    near = [np.stack([table[line, across] for table in (crossing.x, crossing.y)]) for line in (first, second)]
    gap = np.hypot(*(near[1] - near[0]))
    reach = gap / wanted.most if across_is_long else gap * wanted.most
    long = np.maximum(gap, reach)
    way_two = np.where(np.cos(lines.angle[first] - lines.angle[second]) < 0, -way, way)
    far = [
        point + reach * sign * np.stack([-np.sin(lines.angle[line]), np.cos(lines.angle[line])])
        for point, line, sign in zip(near, (first, second), (way, way_two), strict=True)
    ]
    inside = [((v >= 0) & (v <= np.array([[width - 1], [height - 1]]))).all(0) for v in (*near, *far)]
    fits = np.nonzero(
        inside[0] & inside[1] & ~(inside[2] & inside[3]) & (long > wanted.shortest) & (long < wanted.longest)
    )[0]
    first, second, across, reach, way_two = _picked(fits, first, second, across, reach, way_two)
    corners = np.stack([near[0], near[1], far[1], far[0]])[..., fits]  # (4, 2, n), the seen side first
    support, seen = [], []
    for line, sign in ((first, way), (second, way_two)):
        start = crossing.along[line, across]
        values = lines.support(line, *_between(start, start + sign * reach, ROUNDED_SHARE))
        support.append(values[0])
        seen.append(values[1])
    ends = crossing.along[across, first], crossing.along[across, second]
    support.append(lines.support(across, *_between(*ends, ROUNDED_SHARE))[0])
    table = np.stack(support)
    kept = (table.min(0) > LEAST_SUPPORT) & (np.stack(seen).min(0) > CUT_LEAST_SEEN)
    corners, table = corners[..., kept], table[:, kept]
    rank = table.mean(0) + WEAKEST_WEIGHT * table.min(0)
    rank = rank + HINT_WEIGHT * hinted(hint, corners[:, 0] / width, corners[:, 1] / height) - CUT_HANDICAP
    seen_first = np.moveaxis(corners, 2, 0)
    return seen_first if across_is_long else np.roll(seen_first, -1, axis=1), rank


def _between(start: Array, end: Array, left_out: float) -> tuple[Array, Array]:
    low, high = np.minimum(start, end), np.maximum(start, end)
    return low + left_out * (high - low), high - left_out * (high - low)


def _picked(which: Array, *tables: Array) -> list[Array]:
    return [table[..., which] for table in tables]


def _placed(lines: EdgeLines, x: Array, y: Array, long: Array) -> Mask:
    """Whether enough of the corners lie in the picture, and the others not far off."""
    height, width = lines.edges.support.shape
    room = OUTSIDE_SHARE * long
    inside = (x > -0.5) & (y > -0.5) & (x < width - 0.5) & (y < height - 0.5)
    near = (np.minimum(x.min(0), y.min(0)) > -room) & (x.max(0) < width + room) & (y.max(0) < height + room)
    return np.asarray(near & (inside.sum(0) >= CORNERS_INSIDE))
