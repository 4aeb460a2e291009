"""A repeat along one direction only: a border, or a print whose other repeat does not fit in the photo.

The picture's lines along the direction are freed of their own mean, so that what changes only from line to
line, bars or a field's edge, says nothing. Then the print must fall on itself after every multiple of one
step along them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import cv2
import numpy as np

from printcheck.core.findings import finding
from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.repeat.arrays import Image, Vectors, masked
from printcheck.repeat.odds import ONE_DIRECTION, odds_of
from printcheck.repeat.surface.candidates import FARTHEST, LEAST_OVERLAP, SHORTEST_PX
from printcheck.repeat.surface.correlation import FARTHEST as REACH
from printcheck.repeat.surface.correlation import Surface, whole_surface
from printcheck.repeat.surface.illumination import View
from printcheck.repeat.surface.stripe import period_of

SLANT = 0.18  # of a step, by which it may lie off the line: ten degrees of turn
UNTRUE = {"repeat-beyond-photo", "repeat-plain"}  # findings that do not hold where this is found
LEVEL = 0.04  # of a step, by which it may still lie off a line that was turned level
PROMISING = 0.2  # odds in a smaller copy, from which the view itself is searched
NEAR_PX = 3  # working pixels round a multiple of the step in which its highest place is looked for
LEAST_ERROR_PX = 0.3  # working pixels: places of peaks between pixels are no better known in print on cloth
ENOUGH_SEEN = 4.0  # repeats: more make it no surer
LEAST = 0.02  # correlation: less is none
QUIET = 0.1  # of the power of the band's strongest lines: less is ground, with its weave and light
SEEN = 0.99  # of a pixel that must be cloth
NARROWEST = 0.02  # of the lines: power is smoothed over so many


@dataclass(frozen=True)
class OneDirection:
    """What repeats along one direction of a view.

    Parameters
    ----------
    view : View
        As it lies, or turned so that columns run along the direction.
    step : (2,) float64
        Working pixels of that view, nearly level.
    error_px : float
        One sigma of its length.
    lowest : float
        Correlation of the multiple of the step that falls on the print least well.
    chance : float
        Root mean square of the correlation over all shifts.
    upright : bool
        Whether rows and columns of the view have changed places: the repeat is one along the cloth.
    levelled_deg : float
        Turn of the view's lines against the picture's, from right towards down.
    """

    view: View
    step: Vectors
    error_px: float
    lowest: float
    chance: float
    upright: bool
    levelled_deg: float = 0.0

    @property
    def features(self) -> dict[str, float]:
        """What speaks for it."""
        clear = math.log(max(self.lowest, LEAST) / max(self.chance, LEAST))
        return {"one": 1.0, "lowest": self.lowest, "seen": min(self.seen, ENOUGH_SEEN), "clear": clear}

    @property
    def turn_deg(self) -> float:
        """Turn of the cloth's axes in the picture, from right towards down."""
        turn = self.levelled_deg + math.degrees(math.atan2(self.step[1], self.step[0]))
        return -turn if self.upright else turn

    @property
    def odds(self) -> float:
        """Odds against none."""
        return odds_of(ONE_DIRECTION, self.features)

    @property
    def seen(self) -> float:
        """How often it fits into the view."""
        return self.view.size[0] / float(self.step[0])

    @cached_property
    def band_px(self) -> float | None:
        """Height of the one band that holds the print, working pixels; None where it lies everywhere.

        Beside a band lies ground of its own height at least, and wider than from figure to figure along it:
        rows of figures lie nearer.
        """
        height = self.view.size[1]
        smooth = max(3, 2 * round(NARROWEST * height / 2) + 1)
        power = np.square(_less_line_means(self.view).lab).sum(axis=(1, 2))
        power = cv2.blur(power.reshape(-1, 1).astype(np.float32), (1, smooth))[:, 0]
        seen = np.flatnonzero(self.view.weight.any(axis=1))
        filled = np.flatnonzero(power > QUIET * power.max())
        first, last = int(filled[0]), int(filled[-1])
        beside = max(first - int(seen[0]), int(seen[-1]) - last)
        band = last + 1 - first
        return float(band) if beside >= max(band, self.step[0]) else None


def in_one_direction(cloth: FlatCloth, view: View, answer: PrintLattice) -> PrintLattice | None:
    """The answer with the repeat along one direction, where there is one; None where none is likely."""
    found = one_direction(view)
    if found is None or found.odds < 1:
        return None
    length, other = float(np.hypot(*found.step)) * view.mm_per_px, found.view.size[1] * view.mm_per_px
    error = math.hypot(found.error_px * view.mm_per_px, cloth.scale.relative_error * length)
    band = None if found.band_px is None else found.band_px * view.mm_per_px
    repeat = replace(
        answer.repeat,
        kind="beyond-photo",
        across_mm=None if found.upright else length,
        along_mm=length if found.upright else None,
        error_mm=error,
        confidence=found.odds / (1 + found.odds),
        repeats_seen=found.seen,
        turn_deg=found.turn_deg,
        at_least_mm=FARTHEST * other,
        border=band is not None,
    )
    if band is None:
        told = finding("repeat-one-direction", every_mm=length)
    else:
        told = finding("repeat-border", every_mm=length, band_mm=band)
    kept = (f for f in answer.findings if f.code not in UNTRUE)
    turn = math.radians(found.turn_deg)
    return replace(answer, repeat=repeat, turn_rad=turn, findings=(told, *kept))


def one_direction(view: View) -> OneDirection | None:
    """The likelier of a repeat across the view and one along it; None where neither way anything repeats."""
    turned = replace(view, lab=_transposed(view.lab), weight=_transposed(view.weight))
    both = (_along_lines(view, upright=False), _along_lines(turned, upright=True))
    found = [one for one in both if one is not None]
    return max(found, key=lambda one: one.odds, default=None)


def _transposed(picture: Image) -> Image:
    return np.ascontiguousarray(picture.swapaxes(0, 1))


def _less_line_means(view: View) -> View:
    """The view with every line's mean colour taken off."""
    count = np.maximum(view.weight.sum(axis=1), 1.0)[:, None]
    mean = masked(view.lab, view.weight).sum(axis=1) / count
    return replace(view, lab=masked(view.lab - mean[:, None], view.weight))


def _along_lines(view: View, *, upright: bool) -> OneDirection | None:
    """What repeats along lines of the view, level or turned to where a smaller copy shows that it does."""
    found = _searched(_smaller(view), SLANT, upright)
    if found is None or found.odds < PROMISING:
        return None
    degrees = math.degrees(math.atan2(found.step[1], found.step[0]))
    again = _searched(_turned_back(view, degrees), LEVEL, upright)
    return None if again is None else replace(again, levelled_deg=degrees)


def _smaller(view: View) -> View:
    """The view at half its fineness, four times as quick to search."""
    size = view.size[0] // 2, view.size[1] // 2
    lab, weight = (cv2.resize(part, size, interpolation=cv2.INTER_AREA) for part in (view.lab, view.weight))
    seen = np.asarray(weight > SEEN, dtype=np.float32)
    return replace(view, lab=masked(np.asarray(lab, np.float32), seen), weight=seen)


def _turned_back(view: View, degrees: float) -> View:
    """The view turned about its middle until lines that run down to the right by so much are level."""
    there = cv2.getRotationMatrix2D(((view.size[0] - 1) / 2, (view.size[1] - 1) / 2), degrees, 1.0)
    lab, weight = (cv2.warpAffine(part, there, view.size) for part in (view.lab, view.weight))
    seen = np.asarray(weight > SEEN, dtype=np.float32)
    return replace(view, lab=masked(np.asarray(lab, dtype=np.float32), seen), weight=seen)


def _searched(view: View, slant: float, upright: bool) -> OneDirection | None:
    surface = whole_surface(_less_line_means(view)).within(view.size)
    period = period_of(_profile(surface, int(FARTHEST * view.size[0]), slant), shortest_px=SHORTEST_PX)
    if period is None:
        return None
    start = _top(surface, np.array([period[0], 0.0]), slant * period[0])[1]
    far = np.min(np.array(surface.reach) * FARTHEST / REACH / np.maximum(np.abs(start), 1.0))
    times = np.arange(1, max(1, int(far)) + 1)
    tops = [_top(surface, n * start, NEAR_PX) for n in times]
    places = np.array([place for _, place in tops])
    step = times @ places / (times @ times)
    if step[0] < SHORTEST_PX:
        return None
    off = np.sqrt(np.square(places[:, 0] - times * step[0]).mean())
    error = max(float(off), LEAST_ERROR_PX) / float(np.sqrt(times @ times))
    chance = float(np.sqrt(np.square(surface.values[surface.overlap >= LEAST_OVERLAP]).mean()))
    return OneDirection(view, step, error, min(height for height, _ in tops), chance, upright)


def _profile(surface: Surface, reach: int, slant: float) -> Vectors:
    """Highest correlation for each shift of 0, 1, 2 ... px along the lines."""
    rx, ry = surface.reach
    columns = range(min(reach, rx + 1))
    slack = [max(1, round(slant * x)) for x in columns]
    values = surface.values
    return np.array(
        [values[max(ry - k, 0) : ry + k + 1, rx + x].max() for x, k in zip(columns, slack, strict=True)]
    )


def _top(surface: Surface, shift: Vectors, slack: float) -> tuple[float, Vectors]:
    """Highest correlation near a shift, and where it lies."""
    rx, ry = surface.reach
    x, y = round(float(shift[0])) + rx, round(float(shift[1])) + ry
    high, wide = max(1, round(slack)), NEAR_PX
    left, above = max(x - wide, 0), max(y - high, 0)
    near = surface.values[above : y + high + 1, left : x + wide + 1]
    down, across = divmod(int(near.argmax()), near.shape[1])
    place = np.array([left + across - rx, above + down - ry], dtype=np.float64)
    return float(near.max()), place
