"""Where a tape or ruler may lie: narrow straight bands full of short strokes across them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Floats

if TYPE_CHECKING:
    Grey = np.ndarray[tuple[int, ...], np.dtype[np.uint8]]

LEAST_STEP = 14.0  # grey levels over two pixels: weaker edges are noise
EDGE_SHARE = 0.80  # quantile of the gradient above which an edge counts
MOST_EDGES = 90_000  # edges that vote: more only cost time
CAP_STEP = 60.0  # grey levels: a stronger edge counts no more
SPREAD_DEG = 6  # a stroke of a few pixels shows its direction this well; it votes for all of these
RHO_PX = 3.0  # px: bins across
WIDTHS = (4, 8, 16, 32)  # bins: bands of 12 to 96 px, ticks of 3 to 8 mm at any view
PEAKS_A_WIDTH, MOST_BANDS = 120, 3  # before and after those of one tape are told from one another
LEAST_SCORE = 14.0  # sigmas: tapes have 25 to 160, on checks the least; prints without any 0 to 39
SAME_ANGLE_DEG, SAME_RHO = 4.0, 60.0  # degrees, px: two bands of one tape
FINE = ((4.0, 0.5), (0.5, 0.1))  # degrees: reach and step of the second, finer searches
FINE_BAND_PX = 70.0  # px each side: edges that take part in it


@dataclass(frozen=True)
class Band:
    """A line: its direction from x towards y, radians; its offset along (-sin, cos) from the centre, px."""

    angle: float
    offset: float
    score: float


def find_bands(grey: Grey) -> list[Band]:
    """Bands of strokes, most striking first.

    Notes
    -----
    A Hough transform turned about: every edge votes for the lines that run along its gradient, so that
    strokes side by side all vote for the line that crosses them. The stripes of a cloth vote for all
    lines across them alike; ticks vote for a narrow band of lines.
    """
    x, y, angle, weight = _strokes(grey)
    if len(x) < 50:
        return []
    votes = _votes(x, y, angle, weight, grey.shape)
    return [_refined(band, x, y, angle, weight) for band in _peaks(votes)]


def _strokes(grey: Grey) -> tuple[Floats, Floats, Floats, Floats]:
    """Edges: place from the centre, direction of the gradient (radians), weight."""
    dx = cv2.Sobel(grey, cv2.CV_16S, 1, 0, ksize=3, scale=1)
    dy = cv2.Sobel(grey, cv2.CV_16S, 0, 1, ksize=3, scale=1)
    size = cv2.magnitude(dx.astype(np.float32), dy.astype(np.float32)) / 4
    least = max(LEAST_STEP, float(np.quantile(size[::3, ::3], EDGE_SHARE)))
    rows, columns = np.nonzero(size > least)
    stride = max(1, math.ceil(len(rows) / MOST_EDGES))
    rows, columns = rows[::stride], columns[::stride]
    gx, gy = dx[rows, columns].astype(float), dy[rows, columns].astype(float)
    height, width = grey.shape
    weight = np.minimum(size[rows, columns], CAP_STEP) / CAP_STEP
    x = np.asarray(columns - (width - 1) / 2, float)
    y = np.asarray(rows - (height - 1) / 2, float)
    return x, y, np.asarray(np.arctan2(gy, gx), float), weight.astype(float)


def _votes(x: Floats, y: Floats, angle: Floats, weight: Floats, shape: tuple[int, ...]) -> Floats:
    """Votes (180, bins) over the direction of a line in degrees and its offset."""
    reach = math.hypot(*shape) / 2
    bins = 2 * math.ceil(reach / RHO_PX) + 1
    degree = np.rint(np.degrees(angle)).astype(np.int64) % 180
    table = np.zeros(180 * bins)
    for off in range(-SPREAD_DEG, SPREAD_DEG + 1):
        line = (degree + off) % 180
        turn = np.radians(np.arange(180))
        rho = y * np.cos(turn)[line] - x * np.sin(turn)[line]
        place = np.rint(rho / RHO_PX).astype(np.int64) + bins // 2
        table += np.bincount(line * bins + place, weights=weight, minlength=180 * bins)
    return table.reshape(180, bins)


def _peaks(votes: Floats) -> list[Band]:
    """Bands that hold more votes than what lies beside them, most striking first, one a tape."""
    bins = votes.shape[1]
    total = np.concatenate([np.zeros((180, 1)), np.cumsum(votes, axis=1)], 1)
    found: list[Band] = []
    for width in WIDTHS:
        start = np.arange(width, bins - 2 * width)
        band = total[:, start + width] - total[:, start]
        before = total[:, start] - total[:, start - width]
        after = total[:, start + 2 * width] - total[:, start + width]
        beside = np.maximum(before, after)
        score = (band - beside) / np.sqrt(band + beside + 10.0)
        striking = np.argwhere(score > LEAST_SCORE)
        order = np.argsort(-score[tuple(striking.T)])[:PEAKS_A_WIDTH]
        for degree, k in striking[order]:
            middle = (start[k] + width / 2 - 0.5 - bins // 2) * RHO_PX
            found.append(Band(math.radians(float(degree)), float(middle), float(score[degree, k])))
    kept: list[Band] = []
    for band in sorted(found, key=lambda b: -b.score):
        if len(kept) < MOST_BANDS and not any(_same(band, other) for other in kept):
            kept.append(band)
    return kept


def _same(one: Band, other: Band) -> bool:
    turn = (math.degrees(one.angle - other.angle) + 90) % 360 - 90
    offset = other.offset if turn < 90 else -other.offset  # a line turned half round is on the other side
    return min(turn % 180, -turn % 180) < SAME_ANGLE_DEG and abs(one.offset - offset) < SAME_RHO


def _refined(band: Band, x: Floats, y: Floats, angle: Floats, weight: Floats) -> Band:
    """The same band with its direction to a tenth of a degree: where the votes lie closest together."""
    along = np.abs(np.sin(angle - band.angle)) < math.sin(math.radians(SPREAD_DEG + 2))
    near = np.abs(y * math.cos(band.angle) - x * math.sin(band.angle) - band.offset) < FINE_BAND_PX
    x, y, weight = x[along & near], y[along & near], weight[along & near]
    turn = band.angle
    for reach, step in FINE:
        trials = turn + np.radians(np.arange(-reach, reach + step / 2, step))
        turn = float(trials[int(np.argmax([_closeness(x, y, weight, t, band.offset) for t in trials]))])
    return Band(turn, band.offset, band.score)


def _closeness(x: Floats, y: Floats, weight: Floats, turn: float, offset: float) -> float:
    """How close together the votes lie across a line."""
    rho = y * math.cos(turn) - x * math.sin(turn) - offset
    bins = int(4 * FINE_BAND_PX)
    place = np.clip(np.rint(rho).astype(np.int64) + bins // 2, 0, bins - 1)
    return float(np.sum(np.bincount(place, weights=weight, minlength=bins) ** 2))
