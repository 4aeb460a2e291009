"""Ticks along a line: their period and phase as these change along it, from a straightened strip."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Floats

if TYPE_CHECKING:
    from collections.abc import Iterator

    from printcheck.photo.scale.rule.bands import Band, Grey

HALF_HEIGHT_PX = 230  # px of the strip each side of the band: both edges of a tape seen from near
NEAR_PX = 64  # px each side of the band: its strokes lie within, and a little more
SLOW_PX = 31  # px: light and colour of the tape, slower than this, are taken out
CAP = 2.5  # robust sigmas: numbers and shadows count no more than a tick
WINDOW, HOP = 192, 96  # px: short spectra, as perspective changes the period along the tape
PAD = 1024  # points of a short spectrum
ROW_GROUP = 4  # px of depth whose spectra are added
PERIODS_PX = (2.15, 19.0)  # px: below two nothing can be told; 1 mm on 85 mm of cloth is 19
PERIOD_STEP = 1.01  # from trial to trial
SLOPES = np.linspace(-0.12, 0.12, 13)  # change of the frequency from the middle to an end, as a share
SAME_PERIOD = 0.05  # share: two rows have one period; the print under the tape has another
ROWS_A_PERIOD, ROWS_APART = 4, 3  # rows followed up, and groups between two of one period
LEAST_POWER = 4.5  # ln of the power at a period over the usual: ticks have 6 and more, weave and print 4
TRACK_PX = (70.0, 40.0, 30.0)  # px: blur of the phase, pass by pass
LEAST_CLARITY = 0.30  # of the greatest: ticks are read as far along as the comb is this clear
CLARITY = 0.50  # least share of the signal that is the comb's: thin ticks far apart have 0.55
RESIDUAL = 0.06  # ticks: most scatter of the phase; a print's stripes by chance have 0.1 and more
LEAST_TICKS = 24  # in view
CUBIC = 3  # degree of the tick count along the tape: perspective and lens


@dataclass(frozen=True)
class Strip:
    """A straightened strip: rows across the line, columns along it.

    Parameters
    ----------
    grey : (rows, columns) float32
    start_px : (2,) float64
        Picture place of row 0, column 0; ``along_px`` and ``down_px`` are the steps to the next.
    inside : (rows, columns) bool
        What lies in the picture.
    """

    grey: np.ndarray[tuple[int, ...], np.dtype[np.float32]]
    start_px: Floats
    along_px: Floats
    down_px: Floats
    inside: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

    def place(self, column: Floats, row: Floats | float) -> Floats:
        """Picture places (N, 2) of strip places."""
        return np.asarray(
            self.start_px
            + np.asarray(column)[:, None] * self.along_px
            + np.reshape(row, (-1, 1)) * self.down_px
        )

    def sampled(self, columns: Floats, rows: slice | list[int] = slice(None)) -> Floats:
        """Grey (rows, columns) at columns between pixels."""
        left = np.clip(np.asarray(columns).astype(int), 0, self.grey.shape[1] - 2)
        share = (columns - left).astype(np.float32)
        grey = self.grey[rows]
        return np.asarray(grey[:, left] * (1 - share) + grey[:, left + 1] * share, float)


@dataclass(frozen=True)
class Comb:
    """A row of ticks found in a strip.

    Parameters
    ----------
    count : (4,) float64
        Polynomial (lowest first) of the number of ticks passed over u = (column - middle) / half.
    middle, half : float
        Of the columns over which it holds.
    row : float
        Depth at which it is clearest.
    residual : float
        Rms of the phase about the polynomial, in ticks.
    clarity : float
        Mean amplitude of the comb over the signal's rms, 0 to 1.
    """

    count: Floats
    middle: float
    half: float
    row: float
    residual: float
    clarity: float

    def number(self, column: Floats) -> Floats:
        """Ticks passed at columns."""
        return np.asarray(np.polynomial.polynomial.polyval((column - self.middle) / self.half, self.count))

    @property
    def period_px(self) -> float:
        """Mean px from tick to tick."""
        ends = self.number(np.array([self.middle - self.half, self.middle + self.half]))
        return float(2 * self.half / abs(ends[1] - ends[0]))

    @property
    def ticks(self) -> float:
        """How many ticks it spans."""
        return 2 * self.half / self.period_px


def straighten(grey: Grey, band: Band) -> Strip:
    """The strip of the picture along a band."""
    height, width = grey.shape
    centre = np.array([(width - 1) / 2, (height - 1) / 2])
    along = np.array([math.cos(band.angle), math.sin(band.angle)])
    down = np.array([-along[1], along[0]])
    on_line = centre + band.offset * down
    # where the line enters and leaves the picture
    ends = [
        (edge - on_line[axis]) / along[axis]
        for axis, edges in ((0, (0, width - 1)), (1, (0, height - 1)))
        for edge in edges
        if abs(along[axis]) > 1e-6
    ]
    inner = [t for t in ends if _inside(on_line + t * along, width, height)]
    low, high = (min(inner), max(inner)) if len(inner) > 1 else (-width / 2, width / 2)
    columns = max(WINDOW + 1, int(high - low))
    start = on_line + low * along - HALF_HEIGHT_PX * down
    u, v = np.meshgrid(np.arange(columns), np.arange(2 * HALF_HEIGHT_PX + 1))
    x = (start[0] + u * along[0] + v * down[0]).astype(np.float32)
    y = (start[1] + u * along[1] + v * down[1]).astype(np.float32)
    inside = (x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1)
    strip = cv2.remap(grey, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return Strip(np.asarray(strip, np.float32), start, along, down, inside)


def _inside(point: Floats, width: int, height: int) -> bool:
    return bool(-1 <= point[0] <= width and -1 <= point[1] <= height)


def find_combs(strip: Strip) -> list[Comb]:
    """Rows of ticks in a strip, clearest first, at different depths or periods.

    Where the strokes lie that made the band is looked at first; without ticks there the other edge of a
    tape is not looked for.
    """
    flat = _flattened(strip)
    if next(_combs(flat[HALF_HEIGHT_PX - NEAR_PX : HALF_HEIGHT_PX + NEAR_PX]), None) is None:
        return []
    return sorted(_combs(flat), key=lambda comb: comb.residual - comb.clarity)


def _combs(flat: Floats) -> Iterator[Comb]:
    for start in _trials(_spectra(flat)):
        comb = _tracked(flat, *start)
        if comb and comb.clarity >= CLARITY and comb.residual <= RESIDUAL and comb.ticks >= LEAST_TICKS:
            yield comb


def _flattened(strip: Strip) -> Floats:
    """Rows with slow changes taken out, and what is too strong capped."""
    slow = cv2.blur(strip.grey, (SLOW_PX, 1))
    fast = np.where(strip.inside, strip.grey - slow, 0)
    spread = 1.4826 * np.median(np.abs(fast), axis=1, keepdims=True) + 1.0
    return np.asarray(np.clip(fast / spread, -CAP, CAP), float)


def _spectra(flat: Floats) -> Floats:
    """Power (groups, windows, frequencies) of short pieces, relative to the median over frequency."""
    rows = flat.shape[0] // ROW_GROUP * ROW_GROUP
    pairs = (flat[0:rows:2] + flat[1:rows:2]).astype(np.float32)
    starts = np.arange(0, flat.shape[1] - WINDOW + 1, HOP)
    pieces = np.stack([pairs[:, s : s + WINDOW] for s in starts], 1) * np.hanning(WINDOW).astype(np.float32)
    power = np.abs(np.fft.rfft(pieces, PAD, axis=2)) ** 2
    power = power.reshape(-1, ROW_GROUP // 2, len(starts), power.shape[2]).sum(1)
    level = np.median(power[:, :, PAD // 24 :], axis=2, keepdims=True) + 1e-6
    return np.asarray(np.log1p(power / level))


def _trials(power: Floats) -> list[tuple[float, float, float]]:
    """Row, frequency at the middle and its change along the strip, of the strongest combs."""
    windows = power.shape[1]
    trials = np.arange(math.log(PERIODS_PX[0]), math.log(PERIODS_PX[1]), math.log(PERIOD_STEP))
    frequency = np.exp(-trials)
    place = np.linspace(-1, 1, windows) if windows > 1 else np.zeros(1)
    bins = frequency[:, None, None] * (1 + SLOPES[None, :, None] * place) * PAD
    whole = np.clip(np.rint(bins).astype(np.int64), 0, power.shape[2] - 1)
    rows = np.arange(windows)
    possible = np.flatnonzero(power.max(2).mean(1) > LEAST_POWER)
    score = {group: power[group][rows, whole].mean(2) for group in possible}  # periods, slopes
    answer: list[tuple[float, float, float]] = []
    for group in sorted(possible, key=lambda group: -score[group].max()):
        if score[group].max() <= LEAST_POWER:
            break
        k, slope = np.unravel_index(int(np.argmax(score[group])), score[group].shape)
        row, found = (group + 0.5) * ROW_GROUP, float(frequency[k])
        alike = [r for r, f, _ in answer if abs(math.log(found / f)) < SAME_PERIOD]
        if len(alike) < ROWS_A_PERIOD and all(abs(row - r) > ROWS_APART * ROW_GROUP for r in alike):
            answer.append((row, found, float(SLOPES[slope])))
    return answer


def _tracked(flat: Floats, row: float, frequency: float, slope: float) -> Comb | None:
    """Follow the phase of a comb along the strip, and put a smooth count of ticks through it."""
    low = max(0, int(row - ROW_GROUP))
    signal = flat[low : low + 2 * ROW_GROUP].mean(0)
    columns = np.arange(len(signal), dtype=float)
    middle, half = (len(signal) - 1) / 2, (len(signal) - 1) / 2
    u = (columns - middle) / half
    count = np.array([0.0, frequency * half, frequency * slope * half / 2, 0.0])
    size = np.sqrt(cv2.GaussianBlur((signal**2)[None], (0, 0), TRACK_PX[0])[0]) + 1e-6
    for blur in TRACK_PX:
        turned = signal * np.exp(-2j * math.pi * np.polynomial.polynomial.polyval(u, count))
        smooth = _blurred(turned, blur)
        clarity = math.sqrt(2) * np.abs(smooth) / size
        good = np.abs(smooth) > LEAST_CLARITY * np.quantile(np.abs(smooth), 0.9)
        good = _longest(good)
        if good.sum() < WINDOW:
            return None
        phase = np.unwrap(np.angle(smooth[good])) / (2 * math.pi)
        weight = np.abs(smooth[good])
        change = np.polynomial.polynomial.polyfit(u[good], phase, CUBIC, w=weight)
        count = count + change
        residual = phase - np.polynomial.polynomial.polyval(u[good], change)
    first, last = columns[good][[0, -1]]
    comb_middle, comb_half = (first + last) / 2, (last - first) / 2
    fitted = np.polynomial.polynomial.polyfit(
        (columns[good] - comb_middle) / comb_half, np.polynomial.polynomial.polyval(u[good], count), CUBIC
    )
    return Comb(
        np.asarray(fitted),
        float(comb_middle),
        float(comb_half),
        row,
        float(np.sqrt(np.mean(residual**2))),
        float(np.mean(clarity[good])),
    )


def _blurred(
    values: np.ndarray[tuple[int, ...], np.dtype[np.complex128]], sigma: float
) -> np.ndarray[tuple[int, ...], np.dtype[np.complex128]]:
    real = cv2.GaussianBlur(values.real[None], (0, 0), sigma, borderType=cv2.BORDER_REFLECT)[0]
    imag = cv2.GaussianBlur(values.imag[None], (0, 0), sigma, borderType=cv2.BORDER_REFLECT)[0]
    return np.asarray(real + 1j * imag)


def _longest(
    good: np.ndarray[tuple[int, ...], np.dtype[np.bool_]],
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """The longest unbroken run; short gaps (a finger, a fold) are bridged."""
    closed = (
        cv2.morphologyEx(good.astype(np.uint8)[None], cv2.MORPH_CLOSE, np.ones((1, HOP), np.uint8))[0] > 0
    )
    edges = np.flatnonzero(np.diff(np.concatenate(([0], closed.view(np.int8), [0]))))
    if not len(edges):
        return np.zeros_like(good)
    runs = edges[1::2] - edges[::2]
    k = int(np.argmax(runs))
    kept = np.zeros_like(good)
    kept[edges[2 * k] : edges[2 * k + 1]] = True
    return kept
