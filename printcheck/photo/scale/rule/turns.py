"""After how many ticks a rule is the same again: its longer marks come in turns, and so do its numbers.

Numbers need not be read for that. Row by row, the ink within each tick is compared with what it is one
turn on: numbers at every centimetre return after 10 millimetre marks or 20 half ones, numbers at every
inch after 16 sixteenths or 8 eighths.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import Floats
from printcheck.photo.scale.rule.reach import LIKE_TAPE, ground_along

if TYPE_CHECKING:
    from printcheck.photo.scale.rule.comb import Comb, Strip

TURNS = (1, 2, 4, 5, 8, 10, 16, 20, 32)  # ticks: those of rules, and parts of them
LEAST_TURNS = 2  # of a turn that must be in view
STRONG = 10.0  # twice the ln of the Bayes factor: "very strong" evidence; Kass and Raftery, JASA 90 (1995)
SAMPLES = 4  # of a tick's width: a stroke of a number is about half as wide
NOISE = 1.0  # grey levels squared: what is printed alike is seen alike no better
MOST = 0.97  # quantile of the ink of a row, above which it is capped: a blot is no number


def evidence_of_turns(
    strip: Strip, comb: Comb, marks: range, beyond: range
) -> tuple[dict[int, float], dict[int, float]]:
    """Evidence of each of TURNS, as twice the ln of a Bayes factor: the most that any row gives for it.

    That of all rows, and that of the rows beyond the ``marks``, which are asked from the marks outwards as
    far as the ground stays the same.

    Notes
    -----
    A row's ink is explained by its mean at each of a turn's ticks; the Bayesian information criterion
    weighs what a longer turn explains against its number of means.
    """
    groups = [_ink(strip, comb, group) for group in _grouped(strip, comb, marks)]
    before = len(groups)
    for group in _grouped(strip, comb, beyond):
        ground = ground_along(strip, comb, group)
        if len(groups) == before:
            usual = ground
        elif np.median(np.abs(ground - usual)) > LIKE_TAPE:
            break
        groups.append(_ink(strip, comb, group))
    if not groups:
        return dict.fromkeys(TURNS, 0.0), dict.fromkeys(TURNS, 0.0)
    every = _evidence(np.array(groups))
    return {turn: float(every[turn].max()) for turn in TURNS}, {
        turn: float(every[turn][before:].max(initial=0.0)) for turn in TURNS
    }


def _grouped(strip: Strip, comb: Comb, rows: range) -> list[list[int]]:
    """Rows of the strip in groups as deep as a tick is wide."""
    inside = [row for row in rows if 0 <= row < len(strip.grey)]
    deep = max(2, round(comb.period_px))
    return [inside[k : k + deep] for k in range(0, len(inside) - deep + 1, deep)]


def _ink(strip: Strip, comb: Comb, rows: list[int]) -> Floats:
    """(ticks,) change of grey along each tick, mean of some rows."""
    columns = np.arange(comb.middle - comb.half, comb.middle + comb.half + 1)
    number = comb.number(columns)
    first, last = int(np.ceil(number[0])), int(np.floor(number[-1]))
    places = np.interp(np.arange(first * SAMPLES, last * SAMPLES + 1) / SAMPLES, number, columns)
    change = np.abs(np.diff(strip.sampled(places, rows), axis=1)).mean(0)
    ink = change.reshape(-1, SAMPLES).sum(1)
    return np.asarray(np.minimum(ink, np.quantile(ink, MOST)))


def _evidence(ink: Floats) -> dict[int, Floats]:
    """(groups,) evidence of each turn in (groups, ticks) ink; 0 where it cannot be seen twice."""
    count = ink.shape[1]
    known = [turn for turn in TURNS if count >= LEAST_TURNS * turn]
    cost = np.stack([count * np.log(_left(ink, turn)) + turn * np.log(count) for turn in known])
    evidence = {turn: np.zeros(len(ink)) for turn in TURNS}
    for k, turn in enumerate(known):
        evidence[turn] = np.maximum(0.0, np.delete(cost, k, axis=0).min(0) - cost[k])
    return evidence


def _left(ink: Floats, turn: int) -> Floats:
    """(groups,) mean square of what the mean at each of a turn's ticks does not explain."""
    left = np.zeros(len(ink))
    for k in range(turn):
        part = ink[:, k::turn]
        left += ((part - part.mean(1, keepdims=True)) ** 2).sum(1)
    return np.asarray(left / ink.shape[1] + NOISE)
