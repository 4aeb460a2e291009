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
EVERY = 0.4  # of the usual strength, of all but a quarter of the ticks: as deep as the shortest go
SHORT_SHARE = 0.25  # of the ticks: of half millimetres and sixteenths only every other one is short
SHORTEST, LONGEST = 0.7, 10.0  # periods: depth of the shortest ticks; stripes of a cloth go on for ever
PRESENT = 0.85  # share of the ticks that must be seen
LEAST_TICK_MM, MOST_TICK_MM = (
    1.4,
    9.0,
)  # mm: depth of the shortest ticks of any tape or ruler; half mm have least
REACH = 2.6  # of the shortest ticks' depth: how far beyond it longer ticks are followed
LEAST_REACH_PX = 5  # px: and at least so far
LEAST_TURNS = 1.8  # whole turns of the pattern that must be in view
LEAST_FIT, CHANCE = 0.60, 1.5  # least correlation with the pattern, and more by CHANCE / sqrt(ticks)
LEAST_SECOND = 0.6  # correlation of every second tick, for parts of an inch and half millimetres
LEAST_MARGIN = 0.12  # over the best pattern of another unit
TURN_ABOUT_PX = 0.8  # px: inches and halves differ by this much
MOST = 0.8  # share of the shorter marks that must be shorter than half of the longer ones
PAST_TICKS = 2.0  # px beyond the ends of the longest ticks, where only numbers are
INK = 1.5  # change of grey beside the longest ticks over that between them, where numbers stand
ONE_IN_TWO, EVERY_ONE = (
    0.5,
    0.75,
)  # of the ink of the numbers, at the longest ticks that have less: halves, inches
FLATTEST = 0.6  # px: spread of the lengths, below which all ticks are of one length and mean nothing


UNSURE = "part of an inch"


@dataclass(frozen=True)
class Marks:
    """A row of ticks understood.

    Parameters
    ----------
    unit : str
        In words: ``"mm"``, ``"half mm"``, ``"1/16 in"`` or ``"1/8 in"``; UNSURE for a part of an inch that
        is one of the last two.
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
HALF_METRIC = (
    _ranks(20, {20: 1.0, 10: 0.8, 2: 0.6}),
    _ranks(20, {20: 1.0, 10: 1.0, 2: 0.6}),
    _ranks(20, {20: 1.0, 2: 0.6}),
)
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
            reach = max(LEAST_REACH_PX, int(REACH * (zone[1] - zone[0] + 1)))
            ends = (zone[1] if deeper > 0 else zone[0]) + deeper * (
                float(lengths.max(initial=0)) + PAST_TICKS
            )
            gaps, ticks = _gaps_and_ticks(comb)
            read = _recognised(
                lengths, _ink(strip, comb, ticks if dark else gaps[1:], (ends, deeper * reach))
            )
            if read is not None and (best is None or read[2] > best.fit):
                unit, pitch, fit, margin = read
                if (
                    unit != UNSURE
                    and not LEAST_TICK_MM <= (zone[1] - zone[0] + 1) / comb.period_px * pitch <= MOST_TICK_MM
                ):
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
    gaps, ticks = _gaps_and_ticks(comb)
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


def _gaps_and_ticks(comb: Comb) -> tuple[Floats, Floats]:
    """Columns of the lightest places, and of the darkest ones between them."""
    _, gaps = tick_columns(comb)
    _, ticks = tick_columns(comb, shift=0.5)
    return gaps, ticks[(ticks > gaps[0]) & (ticks < gaps[-1])]


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
    every = np.quantile(strength, SHORT_SHARE, axis=0) > EVERY
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


def _ink(strip: Strip, comb: Comb, columns: Floats, beyond: tuple[float, int]) -> Floats:
    """Change of grey about each tick, where numbers stand: ``beyond`` a row, so many rows from it."""
    near, far = sorted((int(beyond[0]), int(beyond[0]) + beyond[1]))
    rows = strip.grey[max(0, near) : max(0, far)]
    if len(rows) < LEAST_REACH_PX:
        return np.zeros(len(columns))
    off = np.abs(np.diff(rows, axis=1)).mean(0)
    wide = max(3, int(3 * comb.period_px) | 1)
    return np.asarray(np.interp(columns, np.arange(len(off)), cv2.blur(off[None], (wide, 1))[0]), float)


def _recognised(lengths: Floats, ink: Floats) -> tuple[str, float, float, float] | None:
    """Unit, pitch, correlation and lead of the pattern that the lengths follow; ``ink`` as :func:`_ink`."""
    if len(lengths) < LEAST_TURNS * 10 or float(np.std(lengths)) < FLATTEST:
        return None
    capped = np.minimum(lengths, np.quantile(lengths, 0.97))
    fits = {name: _best(capped, patterns) for name, patterns in PATTERNS.items()}
    name = max(fits, key=lambda key: fits[key][0])
    fit, start = fits[name]
    margin = fit - max(other[0] for key, other in fits.items() if key != name)
    if name != "mm":
        # long and short by turns alone (5 and 10 mm where no single mm is seen, stripes of a cloth) go well
        # with either, so that the longer ticks among themselves have to tell
        seconds = {key: _best(capped[start % 2 :: 2], SECONDS[key])[0] for key in SECONDS}
        name = max(seconds, key=lambda key: seconds[key])
        margin = seconds[name] - min(seconds.values())
        fit, start = fits[name]
        if seconds[name] < LEAST_SECOND:
            return None
    if fit < LEAST_FIT + CHANCE / np.sqrt(len(lengths)) or margin < LEAST_MARGIN:
        return None
    if name == "mm" and _by_turns(lengths[start % 10 :: 10]):
        return None  # every other ten longer: half millimetres whose single marks were not seen
    if name != "inch":
        return name, {"mm": 1.0, "half mm": 0.5}[name], fit, margin
    parts = _parts_of_inch(lengths[start % 8 :: 8], ink[start % 8 :: 8], ink[(start + 4) % 8 :: 8])
    return (
        (UNSURE, INCH_MM / 8, fit, margin)
        if parts is None
        else (f"1/{parts} in", INCH_MM / parts, fit, margin)
    )


PATTERNS = {"mm": METRIC, "half mm": HALF_METRIC, "inch": HALVING}
SECONDS = {"half mm": METRIC, "inch": tuple(pattern[::2] for pattern in HALVING)}  # of every second tick


def _best(lengths: Floats, patterns: tuple[Floats, ...]) -> tuple[float, int]:
    return max(_correlation(lengths, pattern) for pattern in patterns)


def _parts_of_inch(longest: Floats, ink: Floats, between: Floats) -> int | None:
    """Parts of an inch, from the lengths of every eighth tick and the ink beside them and ``between`` them.

    Sixteenths have inches and halves there, by turns: the inches are longer, or they alone have numbers. Of
    eighths, all are inches and have numbers. Where neither shows, nothing is said.
    """
    if len(longest) < 4:
        return None
    by_numbers = _by_numbers(ink, between)
    if _by_turns(longest):
        return 16 if by_numbers != 8 else None
    return by_numbers


def _by_turns(longest: Floats) -> bool:
    """Whether every other one is longer: at least half of these than most of the others, drift taken out.

    Numbers that touch their marks lengthen some of them, and repeat with their digits, so that a mean or a
    count of signs is no test. What is short by turns has no numbers.
    """
    if len(longest) < 4:
        return False
    place = np.arange(len(longest), dtype=float)
    level = longest - np.polynomial.polynomial.polyval(
        place, np.polynomial.polynomial.polyfit(place, longest, 1)
    )
    shorter, longer = sorted((level[::2], level[1::2]), key=lambda part: float(np.median(part)))
    return float(np.median(longer) - np.quantile(shorter, MOST)) >= TURN_ABOUT_PX


def _by_numbers(ink: Floats, between: Floats) -> int | None:
    ground = float(np.median(between))
    less, more = sorted((float(np.median(ink[::2])) - ground, float(np.median(ink[1::2])) - ground))
    if more < (INK - 1) * ground:
        return None
    share = less / more
    return 16 if share < ONE_IN_TWO else 8 if share > EVERY_ONE else None


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
