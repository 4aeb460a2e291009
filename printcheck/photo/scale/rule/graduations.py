"""What the ticks mean: millimetres or parts of an inch, told by how their lengths take turns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Floats
from printcheck.core.units import INCH_MM
from printcheck.photo.scale.rule.turns import STRONG, evidence_of_turns

if TYPE_CHECKING:
    from printcheck.photo.scale.rule.comb import Comb, Strip

    Mask = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

SMOOTH_ROWS = 3  # px of depth over which a tick is judged
SEEN = 0.42  # of the usual strength: a tick goes on down to here
BRIDGE_ROWS = 3  # px: a shorter break in a tick is noise
EVERY = 0.4  # of the usual strength, of all but a quarter of the ticks: as deep as the shortest go
SHORT_SHARE = 0.25  # of the ticks: of half millimetres and sixteenths only every other one is short
SHORTEST, LONGEST = 0.7, 10.0  # periods: depth of the shortest ticks; stripes of a cloth go on for ever
PRESENT = 0.85  # share of the ticks that must be seen
LEAST_TICK_MM, MOST_TICK_MM = 0.9, 9.0  # depth of the shortest ticks of any tape or ruler; half mm have least
REACH = 2.6  # of the shortest ticks' depth: how far beyond it longer ticks are followed
LEAST_REACH_PX = 5  # px: and at least so far
LEAST_TURNS = 1.8  # whole turns of the pattern that must be in view
LEAST_FIT, CHANCE = 0.60, 1.5  # least correlation with the pattern, and more by CHANCE / sqrt(ticks)
LEAST_MARGIN = 0.12  # over the best pattern of another unit
PAST_TICKS = 2.0  # px beyond the ends of the longest ticks, where only numbers are
FLATTEST = 0.6  # px: spread of the lengths, below which all ticks are of one length and mean nothing


# Depth of the shortest marks over the pitch, from which millimetres are read as such: real rules have 2.2 and
# more. Tenths of an inch, with which all else goes alike, have 1 to 2; common practice.
LEAST_MM_DEPTH = 2.1
UNSURE, TENTHS = "part of an inch", "millimetre or tenth of an inch"


@dataclass(frozen=True)
class Marks:
    """A row of ticks understood.

    Parameters
    ----------
    unit : str
        In words: ``"mm"``, ``"half mm"``, ``"1/8 in"``, ``"1/16 in"`` or ``"1/32 in"``; UNSURE for a part
        of an inch that is one of the last three, TENTHS for what may be a tenth of it.
    pitch_mm : float
        From tick to tick.
    fit : float
        Correlation of the lengths with the pattern.
    edge_row, deep_row : float
        Rows where the ticks start, and where the shortest end.
    """

    unit: str
    pitch_mm: float
    fit: float
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
            marks = _recognised(strip, comb, strength, zone, deeper)
            if marks is not None and (best is None or marks.fit > best.fit):
                best = marks
    return best


def _strength(strip: Strip, comb: Comb, *, dark: bool) -> Floats:
    """How much each tick stands out from the gaps beside it (ticks, rows); 1 is usual at the comb's row.

    The comb counts whole numbers at the lightest place; so a dark tick is at the halves.
    """
    gaps, ticks = _passed(comb, 0.0), _passed(comb, 0.5)
    ticks = ticks[(ticks > gaps[0]) & (ticks < gaps[-1])]
    at_gap, at_tick = strip.sampled(gaps).T, strip.sampled(ticks).T
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


def _passed(comb: Comb, shift: float) -> Floats:
    """Columns where the count passes whole numbers, ``shift`` ticks on."""
    columns = np.arange(comb.middle - comb.half, comb.middle + comb.half + 1)
    number = comb.number(columns)
    ticks = np.arange(np.ceil(number[0] - shift), np.floor(number[-1] - shift) + 1)
    return np.asarray(np.interp(ticks + shift, number, columns))


def _all_there(strength: Floats, comb: Comb) -> bool:
    """Whether there is a tick at every count: the overtones of a coarser row leave every other one out."""
    row = int(np.clip(comb.row, 2, strength.shape[1] - 3))
    return float(np.mean(strength[:, row - 2 : row + 3].mean(1) > SEEN)) >= PRESENT


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


def _reach(zone: tuple[int, int]) -> int:
    return max(LEAST_REACH_PX, int(REACH * (zone[1] - zone[0] + 1)))


def _lengths(strength: Floats, zone: tuple[int, int], deeper: int) -> Floats:
    """How many rows each tick goes on beyond the shortest."""
    reach = _reach(zone)
    beyond = strength[:, zone[1] + 1 : zone[1] + 1 + reach]
    if deeper < 0:
        beyond = strength[:, max(0, zone[0] - reach) : zone[0]][:, ::-1]
    if beyond.shape[1] < LEAST_REACH_PX:
        return np.zeros(len(strength))
    seen = cv2.morphologyEx(
        (beyond > SEEN).astype(np.uint8), cv2.MORPH_CLOSE, np.ones((1, BRIDGE_ROWS), np.uint8)
    )
    return np.asarray(np.cumprod(seen, axis=1).sum(1), float)


def _recognised(
    strip: Strip, comb: Comb, strength: Floats, zone: tuple[int, int], deeper: int
) -> Marks | None:
    """The marks that go on beyond the zone of the shortest ones, downwards (1) or upwards (-1)."""
    lengths = _lengths(strength, zone, deeper)
    if len(lengths) < LEAST_TURNS * 10 or float(np.std(lengths)) < FLATTEST:
        return None
    capped = np.minimum(lengths, np.quantile(lengths, 0.97))
    fits = {name: max(_correlation(capped, p) for p in patterns) for name, patterns in PATTERNS.items()}
    by_tens, by_turns = fits["mm"], max(fits["half mm"], fits["inch"])
    fit = max(by_tens, by_turns)
    if fit < LEAST_FIT + CHANCE / np.sqrt(len(lengths)) or abs(by_tens - by_turns) < LEAST_MARGIN:
        return None
    unit = _unit(strip, comb, _beyond(zone, deeper, lengths), by_tens > by_turns)
    depth = (zone[1] - zone[0] + 1) / comb.period_px
    if unit == "mm" and depth < LEAST_MM_DEPTH:
        unit = TENTHS
    depth_mm = depth * PITCH_MM.get(unit, 0.0)
    if not unit or (unit != UNSURE and not LEAST_TICK_MM <= depth_mm <= MOST_TICK_MM):
        return None
    edge, deep = zone if deeper > 0 else zone[::-1]
    return Marks(unit, PITCH_MM[unit], fit, float(edge), float(deep))


def _beyond(zone: tuple[int, int], deeper: int, lengths: Floats) -> tuple[range, range]:
    """Rows from the ends of the shortest ticks to those of the longest, and beyond, where numbers are."""
    start = zone[1] + 1 if deeper > 0 else zone[0] - 1
    past = int(start + deeper * (float(lengths.max()) + PAST_TICKS))
    return range(start, past, deeper), range(past, past + deeper * _reach(zone), deeper)


def _unit(strip: Strip, comb: Comb, rows: tuple[range, range], by_tens: bool) -> str:
    """Unit by what is the same again after how many ticks, marks and numbers alike; empty where unclear.

    ``by_tens`` says that the lengths go by tens, not by twos. What is long and short by turns goes with
    half millimetres and with parts of an inch: thirty-seconds where something returns after 32 ticks only,
    sixteenths after 16, eighths where numbers do after 8, if enough is in view to see twice as many twice.
    """
    turns, numbers = evidence_of_turns(strip, comb, *rows)
    if by_tens:  # every other ten longer: half millimetres whose single marks were not seen
        return "mm" if turns[20] < STRONG else ""
    tens, eights = max(turns[10], turns[20]), max(turns[8], turns[16], turns[32])
    if abs(tens - eights) < STRONG:
        return ""
    if tens > eights:
        return "half mm"
    if turns[32] > STRONG:
        return "1/32 in"
    if turns[16] > STRONG:
        return "1/16 in" if comb.ticks >= 2 * 32 or numbers[16] > STRONG else UNSURE
    return "1/8 in" if comb.ticks >= 2 * 16 and numbers[8] > STRONG else UNSURE


PITCH_MM = {"mm": 1.0, TENTHS: 1.0, "half mm": 0.5, UNSURE: INCH_MM / 8} | {
    f"1/{n} in": INCH_MM / n for n in (8, 16, 32)
}
PATTERNS = {"mm": METRIC, "half mm": HALF_METRIC, "inch": HALVING}


def _correlation(lengths: Floats, pattern: Floats) -> float:
    """Highest correlation of the lengths with the pattern, wherever a turn starts."""
    turns = len(pattern)
    expected = pattern[(np.arange(len(lengths))[None] + np.arange(turns)[:, None]) % turns]
    expected = expected - expected.mean(1, keepdims=True)
    centred = lengths - lengths.mean()
    size = np.linalg.norm(expected, axis=1) * np.linalg.norm(centred) + 1e-9
    return float((expected @ centred / size).max())
