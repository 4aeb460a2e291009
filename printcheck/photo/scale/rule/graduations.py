"""What the ticks mean: millimetres or parts of an inch, told by how their lengths take turns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.units import INCH_MM

if TYPE_CHECKING:
    from printcheck.core.handover import Floats
    from printcheck.photo.scale.rule.comb import Comb, Strip

    Mask = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

SMOOTH_ROWS = 3  # px of depth over which a tick is judged
SEEN = 0.42  # of the usual strength: a tick goes on down to here
BRIDGE_ROWS = 3  # px: a shorter break in a tick is noise
EVERY = 0.5  # of the usual strength, at the median tick: as deep as all ticks go
SHORTEST, LONGEST = 0.7, 10.0  # periods: depth of the shortest ticks; stripes of a cloth go on for ever
PRESENT = 0.85  # share of the ticks that must be seen
LEAST_TICK_MM, MOST_TICK_MM = 1.8, 9.0  # mm: depth of the shortest ticks of any tape or ruler
REACH = 2.6  # of the shortest ticks' depth: how far beyond it longer ticks are followed
LEAST_REACH_PX = 5  # px: and at least so far
LEAST_TURNS = 1.8  # whole turns of the pattern that must be in view
LEAST_FIT, CHANCE = 0.60, 1.5  # least correlation with the pattern, and more by CHANCE / sqrt(ticks)
LEAST_SECOND = 0.6  # correlation of every second tick, for parts of an inch
LEAST_MARGIN = 0.12  # over the best pattern of another unit
TURN_ABOUT_PX = 0.8  # px: inches and halves differ by this much
DOUBTS, ALL_LONGER = 3.5, 0.97  # sigmas of a test of signs by which they must differ; or nearly all do
SHALLOW = 1.35  # periods: the shortest ticks of eighths; those of sixteenths reach 1.6 and more
FLATTEST = 0.6  # px: spread of the lengths, below which all ticks are of one length and mean nothing


@dataclass(frozen=True)
class Marks:
    """A row of ticks understood.

    Parameters
    ----------
    unit : str
        In words: ``"mm"``, ``"1/16 in"`` or ``"1/8 in"``.
    pitch_mm : float
        From tick to tick.
    fit, margin : float
        Correlation of the lengths with the pattern, and its lead over other units.
    edge_row, deep_row : float
        Rows where the ticks start, and where the shortest end.
    """

    unit: str
    pitch_mm: float
    fit: float
    margin: float
    edge_row: float
    deep_row: float


def _ranks(turns: int, lengths: dict[int, float]) -> Floats:
    """Length of each tick of one turn: that of the largest divisor named."""
    steps = sorted(lengths, reverse=True)
    return np.array([next((lengths[s] for s in steps if k % s == 0), 0.0) for k in range(turns)])


# Lengths beyond the shortest, as share of the longest's: common practice of tapes and rulers. Makers
# differ in whether 5 mm ticks are told from 10 mm ones, and in how many lengths an inch has: all are tried.
METRIC = (_ranks(10, {10: 1.0, 5: 0.5}), _ranks(10, {10: 1.0, 5: 1.0}), _ranks(10, {10: 1.0}))
HALVING = (_ranks(8, {8: 1.0, 4: 0.66, 2: 0.33}), _ranks(8, {8: 1.0, 4: 0.5, 2: 0.5}))


def read_marks(strip: Strip, comb: Comb) -> Marks | None:
    """What a row of ticks means; None where their lengths follow no pattern we know."""
    best: Marks | None = None
    for dark in (True, False):
        strength = _strength(strip, comb, dark=dark)
        zone = _zone(strength, comb)
        if zone is None or not _all_there(strength, comb):
            continue
        for deeper in (1, -1):
            lengths = _lengths(strength, zone, deeper)
            read = _recognised(lengths, (zone[1] - zone[0] + 1) / comb.period_px)
            if read is not None and (best is None or read[2] > best.fit):
                unit, pitch, fit, margin = read
                if not LEAST_TICK_MM <= (zone[1] - zone[0] + 1) / comb.period_px * pitch <= MOST_TICK_MM:
                    continue
                edge, deep = (zone[0], zone[1]) if deeper > 0 else (zone[1], zone[0])
                best = Marks(unit, pitch, fit, margin, float(edge), float(deep))
    return best


def tick_columns(comb: Comb, *, shift: float = 0.0) -> tuple[Floats, Floats]:
    """Whole numbers of ticks, and the columns where the count passes them (``shift`` ticks on)."""
    columns = np.arange(comb.middle - comb.half, comb.middle + comb.half + 1)
    number = comb.number(columns)
    ticks = np.arange(np.ceil(number[0] - shift), np.floor(number[-1] - shift) + 1)
    return ticks, np.asarray(np.interp(ticks + shift, number, columns))


def _strength(strip: Strip, comb: Comb, *, dark: bool) -> Floats:
    """How much each tick stands out from the gaps beside it (ticks, rows); 1 is usual at the comb's row.

    The comb counts whole numbers at the lightest place; so a dark tick is at the halves.
    """
    _, gaps = tick_columns(comb)
    _, ticks = tick_columns(comb, shift=0.5)
    ticks = ticks[(ticks > gaps[0]) & (ticks < gaps[-1])]
    at_gap, at_tick = _sampled(strip, gaps), _sampled(strip, ticks)
    between = (at_gap[:-1] + at_gap[1:]) / 2
    count = min(len(between), len(at_tick))
    out = between[:count] - at_tick[:count]
    if not dark:
        out = at_gap[1 : 1 + count] - (at_tick[:count] + np.roll(at_tick, -1, 0)[:count]) / 2
    row = int(np.clip(comb.row, 2, out.shape[1] - 3))
    usual = float(np.median(out[:, row - 2 : row + 3]))
    if usual <= 0:
        return np.zeros_like(out)
    return np.asarray(cv2.blur(out.astype(np.float32), (SMOOTH_ROWS, 1)) / usual, float)


def _all_there(strength: Floats, comb: Comb) -> bool:
    """Whether there is a tick at every count: the overtones of a coarser row leave every other one out."""
    row = int(np.clip(comb.row, 2, strength.shape[1] - 3))
    return float(np.mean(strength[:, row - 2 : row + 3].mean(1) > SEEN)) >= PRESENT


def _sampled(strip: Strip, columns: Floats) -> Floats:
    """Grey (columns, rows) of the strip at columns between pixels."""
    left = np.clip(columns.astype(int), 0, strip.grey.shape[1] - 2)
    share = (columns - left).astype(np.float32)
    picked = strip.grey[:, left] * (1 - share) + strip.grey[:, left + 1] * share
    return np.asarray(picked.T, float)


def _zone(strength: Floats, comb: Comb) -> tuple[int, int] | None:
    """First and last row to which all ticks go; None where that is no tick's depth."""
    every = np.median(strength, axis=0) > EVERY
    row = int(np.clip(comb.row, 0, len(every) - 1))
    near = [r for r in range(max(0, row - 3), min(len(every), row + 4)) if every[r]]
    if not near:
        return None
    low = high = min(near, key=lambda r: abs(r - row))
    while low > 0 and every[low - 1]:
        low -= 1
    while high < len(every) - 1 and every[high + 1]:
        high += 1
    depth = high - low + 1
    return (low, high) if SHORTEST * comb.period_px <= depth <= LONGEST * comb.period_px else None


def _lengths(strength: Floats, zone: tuple[int, int], deeper: int) -> Floats:
    """How many rows each tick goes on beyond the shortest."""
    reach = max(LEAST_REACH_PX, int(REACH * (zone[1] - zone[0] + 1)))
    beyond = strength[:, zone[1] + 1 : zone[1] + 1 + reach]
    if deeper < 0:
        beyond = strength[:, max(0, zone[0] - reach) : zone[0]][:, ::-1]
    if beyond.shape[1] < LEAST_REACH_PX:
        return np.zeros(len(strength))
    seen = cv2.morphologyEx(
        (beyond > SEEN).astype(np.uint8), cv2.MORPH_CLOSE, np.ones((1, BRIDGE_ROWS), np.uint8)
    )
    return np.asarray(np.cumprod(seen, axis=1).sum(1), float)


def _recognised(lengths: Floats, depth: float) -> tuple[str, float, float, float] | None:
    """Unit, pitch, correlation and lead of the pattern that the lengths follow.

    ``depth`` is that of the shortest ticks, in periods.
    """
    if len(lengths) < LEAST_TURNS * 10 or float(np.std(lengths)) < FLATTEST:
        return None
    capped = np.minimum(lengths, np.quantile(lengths, 0.97))
    metric = max(_correlation(capped, pattern)[0] for pattern in METRIC)
    halving, start = max(_correlation(capped, pattern) for pattern in HALVING)
    fit, margin = max(metric, halving), abs(metric - halving)
    if fit < LEAST_FIT + CHANCE / np.sqrt(len(lengths)) or margin < LEAST_MARGIN:
        return None
    if metric > halving:
        return "mm", 1.0, fit, margin
    if _every_second(capped, start) < LEAST_SECOND:
        return None
    parts = _parts_of_inch(lengths[start % 8 :: 8], depth)
    return None if parts is None else (f"1/{parts} in", INCH_MM / parts, fit, margin)


def _every_second(lengths: Floats, start: int) -> float:
    """Correlation of every second tick with its share of the pattern.

    Long and short by turns alone (5 and 10 mm where no single mm is seen, stripes of a cloth) already go
    well with the whole pattern; halves, quarters and eighths of an inch show here.
    """
    return max(_correlation(lengths[start % 2 :: 2], pattern[::2])[0] for pattern in HALVING)


def _parts_of_inch(longest: Floats, depth: float) -> int | None:
    """Parts of an inch, from the lengths of every eighth tick: sixteenths have inches and halves by turns.

    Halves as long as inches leave eighths and sixteenths to the depth of the shortest ticks, which is
    about 3 mm on any tape; in between nothing is said.
    """
    if len(longest) < 4:
        return None
    over = (
        longest[1:-1] - (longest[:-2] + longest[2:]) / 2
    )  # against its two neighbours, as a tape may lie askew
    over[1::2] *= -1
    by_turns = abs(float(np.mean(np.sign(over))))  # 1: every other one is longer, without exception
    gap = abs(float(np.median(over)))
    if gap >= TURN_ABOUT_PX and by_turns > min(ALL_LONGER, DOUBTS / float(np.sqrt(len(over)))):
        return 16
    return 8 if depth < SHALLOW else None


def _correlation(lengths: Floats, pattern: Floats) -> tuple[float, int]:
    """Highest correlation of the lengths with the pattern, and the tick at which a turn starts."""
    turns = len(pattern)
    place = (np.arange(len(lengths))[None] + np.arange(turns)[:, None]) % turns
    expected = pattern[place]
    expected = expected - expected.mean(1, keepdims=True)
    centred = lengths - lengths.mean()
    size = np.linalg.norm(expected, axis=1) * np.linalg.norm(centred) + 1e-9
    fits = expected @ centred / size
    best = int(np.argmax(fits))
    return float(fits[best]), (turns - best) % turns
