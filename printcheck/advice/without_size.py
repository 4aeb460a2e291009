"""What can be said of a print whose size is not known: what holds at any size, and where it would change."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace

from printcheck.advice.difficulty import LEVELS
from printcheck.advice.names import NAMES
from printcheck.core.findings import Finding, finding
from printcheck.core.measurement import Difficulty, Judgement, PrintFacts, Repeat

ROWS = [row.name for row in NAMES]
SMALLEST, LARGEST = 1 / 8, 5.0  # times the usual view of 40 cm: a close-up of 5 cm, a whole width of 2 m
TRIED = 12  # sizes between them, evenly on a scale of ratios: steps of 1.4 times
HALVINGS = 6  # of such a step, to within 1 per cent


def judged_without_size(
    judged_at: Callable[[float], Judgement], named: tuple[str, float] | None
) -> Judgement:
    """Judgement of a print whose size is not known.

    Parameters
    ----------
    judged_at : callable
        Judgement of the print were it so many times as large as the usual view makes it.
    named : (str, float) or None
        A length of the print in words ("one repeat"), and in mm in the usual view.

    Returns
    -------
    Judgement
        Classes and reasons that hold at every size, the level at which it is mildest and still to be matched
        alike, and of the names that of the table's last row, which asks least of a size; the rest is that of
        the usual view. A finding says from which size on the seams are
        to be matched, where that hangs on it.
    """
    steps = [SMALLEST * (LARGEST / SMALLEST) ** (n / (TRIED - 1)) for n in range(TRIED)]
    usual, tried = judged_at(1.0), [(step, judged_at(step)) for step in steps]
    every = [judged for _, judged in tried]
    reasons = tuple(
        reason
        for reason in usual.difficulty.reasons
        if all(reason.code in {r.code for r in judged.difficulty.reasons} for judged in every)
    )
    changes = _from_which_size(judged_at, tried, named)
    level = usual.difficulty.level
    if not changes and usual.difficulty.reasons[:1] != reasons[:1]:  # how hard it is hangs on the size
        alike = [judged.difficulty for judged in every if judged.seams.needs == usual.seams.needs]
        mildest = min((usual.difficulty, *alike), key=lambda found: LEVELS.index(found.level))
        level, reasons = mildest.level, tuple(dict.fromkeys((*mildest.reasons[:1], *reasons)))
    names = [judged.print_name for judged in every if judged.print_name is not None]
    return replace(
        usual,
        print_name=max(names, key=lambda name: ROWS.index(name.name), default=usual.print_name),
        classes=tuple(name for name in usual.classes if all(name in judged.classes for judged in every)),
        seams=replace(usual.seams, mismatch_delta_e=None, pattern_delta_e=None),
        difficulty=Difficulty(level, reasons or usual.difficulty.reasons),
        findings=(*usual.findings, *changes),
    )


def to_be_matched(judged: Judgement) -> bool:
    """Whether a teacher of sewing would match its seams at all."""
    return judged.seams.verdict != "unseen" and judged.seams.needs != "none"


def _from_which_size(
    judged_at: Callable[[float], Judgement],
    tried: list[tuple[float, Judgement]],
    named: tuple[str, float] | None,
) -> tuple[Finding, ...]:
    pairs = itertools.pairwise(tried)
    change = next(((a, b) for (a, x), (b, y) in pairs if to_be_matched(y) and not to_be_matched(x)), None)
    if change is None or named is None:
        return ()
    low, high = change
    for _ in range(HALVINGS):
        middle = math.sqrt(low * high)
        low, high = (low, middle) if to_be_matched(judged_at(middle)) else (middle, high)
    return (finding("match-by-size", thing=named[0], limit=_rounded(high * named[1])),)


def _rounded(mm: float) -> float:
    """Two digits: no rule of thumb is finer."""
    return float(f"{mm:.2g}")


def named_length(repeat: Repeat, facts: PrintFacts) -> tuple[str, float] | None:
    """Length that a shopper can lay a finger on: a gingham's square, one repeat, the largest motif."""
    bars = facts.stripe_or_check
    if bars is not None and bars.gingham_mm is not None:
        return "a square", bars.gingham_mm
    lengths = (repeat.along_mm, repeat.across_mm, *(math.hypot(*vector) for vector in repeat.basis_mm[:1]))
    length = next((mm for mm in lengths if mm is not None), None)
    if length is not None:
        return "one repeat", length
    sides = [mm for mm in (facts.motif.width_mm, facts.motif.height_mm) if mm is not None]
    return ("the largest motif", max(sides)) if sides else None
