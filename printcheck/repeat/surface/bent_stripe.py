"""Stripes that bend: on a body, over folds, cut by sleeves and seams.

No one direction holds over the whole picture, and the phase slips at every fold, but in a window of half the
picture the stripes are nearly straight. So each window is asked for a stripe of its own, and the windows
vote: the answer is their common period, square to the stripes, where most windows agree.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from printcheck.repeat.arrays import Vectors, masked
from printcheck.repeat.surface.correlation import autocorrelate
from printcheck.repeat.surface.illumination import View, mean_colour
from printcheck.repeat.surface.stripe import period_of, profile_of, ridge_of

WINDOWS = 3  # each way, overlapping by half
WINDOWS_ABREAST = 2  # that fill the picture each way
LEAST_SEEN = 0.7  # of a window's pixels
SHORTEST_PX = 6.0  # working pixels: finer stripes bend by more than a period within a window
REACH = 0.67  # of the window: how far a period is looked for
AGREES = (0.35, 0.12)  # logarithm of the period, before and after its slope over the picture is known
MOST = 0.6  # of the windows that show a print must agree
FEWEST = 5  # windows: a plane has three unknowns
LEAST_RIDGE = 0.35  # correlation all along the stripes


@dataclass(frozen=True)
class BentStripe:
    """What the windows agree on.

    Parameters
    ----------
    window : View
        The window that agrees best.
    period : (2,) float64
        Its own period, square to the stripes, working pixels.
    ratio : float
        Mean period, as one counts the repeats over all agreeing windows, over that one.
    scatter : float
        Of the period round an even slope over the picture, as a share (root mean square).
    """

    window: View
    period: Vectors
    ratio: float
    scatter: float

    @property
    def length(self) -> float:
        """Mean period, working pixels."""
        return float(np.hypot(*self.period)) * self.ratio


def bent_stripe(view: View) -> BentStripe | None:
    """The stripe that most windows show; None where they do not agree on one.

    Cloth that lies at a slant or falls away shows periods that grow evenly over the picture, so their
    logarithms are fitted with a plane, windows that disagree left out; the answer is what one would count
    over the rest.
    """
    asked = list(_windows(view))
    least = max(FEWEST, math.ceil(MOST * len(asked)))
    votes: list[tuple[View, Vectors]] = []
    for left, window in zip(range(len(asked), 0, -1), asked, strict=True):
        if len(votes) + left < least:
            return None
        period = _period(window)
        if period is not None:
            votes.append((window, period))
    if len(votes) < least:
        return None
    logs = np.log([np.hypot(*period) for _, period in votes])
    places = np.array([window.offset_px - view.offset_px for window, _ in votes]) / view.reduction
    terms = np.column_stack([places / np.array(view.size) - 1 / 4, np.ones(len(votes))])
    off = logs - np.median(logs)
    plane = np.array([0.0, 0.0, float(np.median(logs))])
    for near in AGREES:
        agree = np.abs(off) < near
        if agree.sum() < least:
            return None
        plane = np.linalg.lstsq(terms[agree], logs[agree], rcond=None)[0]
        off = logs - terms @ plane
    agree = np.abs(off) < AGREES[-1]
    if agree.sum() < least:
        return None
    best = int(np.argmin(np.abs(off)))
    window, period = votes[best]
    scatter = float(np.sqrt(np.square(off[agree]).mean()))
    return BentStripe(window, period, 1 / float(np.exp(logs[best] - logs[agree]).mean()), scatter)


def _period(window: View) -> Vectors | None:
    """Period of a window's stripes, square to them; None where it shows none."""
    surface = autocorrelate(window)
    ridge = ridge_of(surface, short_side=min(window.size))
    if ridge.strength < LEAST_RIDGE:
        return None
    across = np.array([-ridge.along[1], ridge.along[0]])
    reach = REACH * float(np.abs(across) @ window.size)
    period = period_of(profile_of(surface, ridge, reach_px=reach), shortest_px=SHORTEST_PX)
    return None if period is None else np.asarray(period[0] * across)


def _windows(view: View) -> Iterator[View]:
    width, height = (side // WINDOWS_ABREAST for side in view.size)
    for top in np.linspace(0, view.size[1] - height, WINDOWS).astype(int):
        for left in np.linspace(0, view.size[0] - width, WINDOWS).astype(int):
            part = np.s_[top : top + height, left : left + width]
            lab, weight = view.lab[part], np.ascontiguousarray(view.weight[part])
            if weight.mean() > LEAST_SEEN:
                off = mean_colour(lab, weight)
                yield replace(
                    view,
                    lab=masked(lab - off, weight),
                    weight=weight,
                    mean=view.mean + off,
                    offset_px=view.offset_px + np.array([left, top]) * view.reduction,
                )
