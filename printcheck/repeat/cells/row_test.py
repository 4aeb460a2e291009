"""Is one row of cells in n unlike the others? Graph paper, checks whose every tenth line is heavier.

A wave over the cells spreads such a row thinly over all its harmonics. So the rows themselves are compared:
the mean of every n-th row with that of the others, against what rows of one class differ by among
themselves, and that against the same for rows in a random order.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from printcheck.repeat.arrays import Image, Places, Vectors, summed

FEWEST, MOST = 2, 12  # rows to a period; below four the waves say it better, and these only compete
FEWEST_NAMED = 4
LEAST_PERIODS = 1.5  # so that every row of the period is seen, and half of them twice
LEAST_LIKE = 5  # rows with a like one before them: fewer do not say what like rows differ by
PLACES = 12  # each way in the cell: less detail, less chance of a stray place
SHUFFLES = 5
POOLED = 0.5  # of the usual variance between like rows, lent to every place: few rows say little of theirs
LEAST_WEIGHT = 0.3  # of the best seen row: less is no row


@dataclass(frozen=True)
class Band:
    """One row in ``number`` that stands out.

    Parameters
    ----------
    number : int
        Rows to a period.
    size : float
        Its largest colour difference from the others (CIELAB), discounted at edges.
    ratio : float
        Power of that difference, in units of its error, over that of rows in a random order.
    periods : float
        How many periods are in view.
    """

    number: int
    size: float
    ratio: float
    periods: float


def band_of(residual: Image, weight: Image, discount: Vectors) -> Band | None:
    """The most outstanding band of the rows along the first axis; None where there are too few rows.

    Parameters
    ----------
    residual : (rows, cells, ch, cw, 3) float32
        What each cell shows beyond the mean cell, 0 where not seen.
    weight : (rows, cells, ch, cw) float32
        1 where seen.
    discount : (ch, cw) float64
        Share of the power that counts at each place.
    """
    rows = _rows(residual, weight)
    numbers = [
        n for n in range(FEWEST, MOST + 1) if len(rows.weight) >= max(LEAST_PERIODS * n, n + LEAST_LIKE)
    ]
    if not numbers or numbers[-1] < FEWEST_NAMED:
        return None
    share = _coarse(discount[None, None, ..., None].astype(np.float32)).ravel()
    found = [(n, *_standing_out(rows, np.arange(len(rows.weight)) % n, share)) for n in numbers]
    number, power, size = max(found, key=lambda f: f[1])
    if number < FEWEST_NAMED:
        return None
    rng = np.random.default_rng(5)
    classes = [rng.permutation(len(rows.weight)) % number for _ in range(SHUFFLES)]
    chance = float(np.median([_standing_out(rows, c, share)[0] for c in classes]))
    return Band(number, size, power / max(chance, 1e-9), len(rows.weight) / number)


@dataclass(frozen=True)
class _Rows:
    """Mean residuals (rows, places, 3) with the number of cells behind each (rows, places)."""

    mean: Vectors
    weight: Vectors


def _rows(residual: Image, weight: Image) -> _Rows:
    total = _coarse(residual.sum(axis=1, keepdims=True))[:, 0]
    count = _coarse(weight.sum(axis=1, keepdims=True)[..., None])[:, 0]
    total, count = total.reshape(len(total), -1, 3), count.reshape(len(count), -1)
    seen = count.mean(axis=1) >= LEAST_WEIGHT * count.mean(axis=1).max()
    first, last = np.flatnonzero(seen)[[0, -1]]
    total, count = total[first : last + 1], count[first : last + 1]
    mean = total / np.maximum(count, 1e-6)[..., None]
    return _Rows(mean.astype(np.float64), count.astype(np.float64))


def _coarse(cells: Image) -> Image:
    """Cells with their pixels averaged to a few places each way."""
    for axis in (2, 3):
        edges = np.linspace(0, cells.shape[axis], min(PLACES, cells.shape[axis]) + 1).astype(int)
        sums = np.add.reduceat(cells, edges[:-1], axis=axis)
        sizes = np.expand_dims(np.diff(edges), tuple(n for n in range(5) if n != axis))
        cells = np.asarray(sums / sizes, dtype=np.float32)
    return cells


def _standing_out(rows: _Rows, classes: Places, share: Image) -> tuple[float, float]:
    """Largest power, in units of its error, by which one class differs from the rest, and its size."""
    number = int(classes.max()) + 1
    member = (classes[None] == np.arange(number)[:, None]).astype(np.float64)
    weight = member @ rows.weight
    weighted = rows.mean * rows.weight[..., None]
    total = np.tensordot(member, weighted, axes=1)
    mean = total / np.maximum(weight, 1e-6)[..., None]
    others = weight.sum(axis=0) - weight
    rest = (total.sum(axis=0) - total) / np.maximum(others, 1e-6)[..., None]
    spread = summed(np.square(rows.mean - mean[classes])) * rows.weight
    free = np.maximum(len(classes) - number, 1)
    variance = spread.sum(axis=0) / free
    variance = variance + POOLED * np.median(variance) + 1e-9
    error = variance * (1 / np.maximum(weight, 1e-6) + 1 / np.maximum(others, 1e-6))
    apart = summed(np.square(mean - rest)) * share
    apart[member.sum(axis=1) < 2] = 0  # seen but once, it may be anything
    power = apart / error
    at = np.unravel_index(int(np.argmax(power)), power.shape)
    return float(power[at]), float(np.sqrt(apart[at]))
