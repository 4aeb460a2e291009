"""Which way up the print can lie: a ladder of tests, the surest first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from printcheck.core.handover import MeanCell
from printcheck.core.measurement import DECIDED, Direction, StripeOrCheck, Way
from printcheck.motif.figures.segmentation import Separation
from printcheck.motif.way.headings import OWN_LEAST, Headings, headings_of
from printcheck.motif.way.keypoints import Turns, detail_turns
from printcheck.motif.way.symmetry import TURN_SHOWS_NOTHING, Symmetry, turn_shows
from printcheck.motif.way.upright import standing_odds

if TYPE_CHECKING:
    from collections.abc import Callable

SURELY_TURNED = 0.90  # the other side of that gap
SURELY_SAME = 0.99
QUARTER_SHOWS_NOTHING = 0.95
WITNESS = 1.0  # variances: symmetric prints stay below 0.4, others above 3
UPRIGHT_MIRROR = 0.95  # a mirror line on the cloth's axes: nothing in the print is tossed
LIKES_AGREE = 0.75  # share of the votes that must agree for one way: upright prints all but reach 1
LIKES_DIFFER = 0.6  # share that must differ for tossed
VOTING = 0.33  # share of the headed motifs that must have a like: of many blots a few are alike by chance
FEWEST_VOTES = 2
MOTIFS_HOLD = 0.6  # share of the inked area in separate motifs
FEWEST_AXES = 3
AXES_AGREE = 0.8  # leaves strewn about are parallel to a like by chance in a quarter of cases
MOSTLY_LYING = 0.5  # share of the motifs' area in leaves
# Odds of order against strewn that a leaf parallel to its like gives, and one turned against it
PARALLEL_ODDS, TURNED_ODDS = 3.0, 0.12  # counted by docs/fit_way.py
HEADLESS = 0.25  # share of the motifs' area with a heading below which the print has no up
ONE_MOTIF = 0.85  # share of the motifs' area in the largest
FEWEST_DETAILS = 3.0  # in one cell, with likes
ENOUGH_DETAILS = 20.0  # where few have likes, those may be the two ends of one motif
UNTURNED = 0.40  # share of details whose like is not turned: one-way prints 0.6 and more
TURNED = 0.25  # tossed prints 0 to 0.2
OBLIQUE = 0.40
BETWEEN = 0.32  # middle of the two, for the margin
HINT_MARGIN = 0.25  # a hint, not a proof
DEFAULT_MARGIN = 0.1
STAND = 3.0  # odds from which figures are said to stand, or to be strewn
STANDING_MARGIN = 0.5  # at most: what one pair of likes with equal heads gives
HALVED = 0.5  # margin where the second witness disagrees


@dataclass(frozen=True)
class Evidence:
    """All the ladder looks at; details are matched only when a step asks for them."""

    symmetry: Symmetry
    bars: StripeOrCheck | None
    separation: Separation
    headings: Headings
    details: Callable[[], Turns]
    standing: Callable[[], float]


def direction_of(
    cell: MeanCell, symmetry: Symmetry, bars: StripeOrCheck | None, separation: Separation
) -> tuple[Direction, Headings]:
    """Way of the print, its margin, and the motifs' headings.

    Notes
    -----
    1. The half turn shows nothing: two-way, or four-way where the quarter turn shows nothing either.
    2. Bars that do not fold: one-way; that do: two-way. A bar print is never tossed.
    3. A mirror line on the cloth's axes: one-way, since nothing is tossed.
    4. Like motifs with headings: heads agree, one-way; heads differ, tossed.
    5. Motifs without an up, strewn: tossed; leaves that all lie parallel: two-way.
    6. One motif with a heading: one-way.
    7. Details of a packed print: unturned likes, one-way; turned ones, tossed.
    8. Motifs without likes, by their own mirror lines: upright, one-way; slanting, tossed.
    9. Unlike figures that stand square to the cloth: one-way.
    10. Otherwise the photo cannot tell.

    One way is said only where the half turn changes the print by more again than one cell differs from the
    next.
    """
    headings = headings_of(cell, separation)
    evidence = Evidence(
        symmetry,
        bars,
        separation,
        headings,
        lambda: detail_turns(cell),
        lambda: standing_odds(cell, separation),
    )
    for step in LADDER:
        answer = step(evidence)
        if answer is not None:
            return _if_shown(answer, symmetry, cell), headings
    return Direction(None, DEFAULT_MARGIN, "nothing decides"), headings


def _if_shown(answer: Direction, symmetry: Symmetry, cell: MeanCell) -> Direction:
    """The answer; no way where a turn adds less to the print's differences than cells not turned show."""
    if answer.way == "one-way" and not turn_shows(symmetry, cell):
        return Direction(None, DEFAULT_MARGIN, "cells differ as much unturned")
    return answer


def loose_direction(swatch: MeanCell, separation: Separation) -> Direction:
    """Way as far as the motifs in view tell, where no repeat is known.

    Motifs and their likes show what a turn changes and what a shift does; details of a texture do not: a
    weave, a pile or a grain has its likes unturned whichever way the cloth lies. Few motifs are wholly in
    view, so the filling counts too.
    """
    headings = headings_of(swatch, separation, smallest=0.0)
    nothing = Symmetry(0.0, 0.0, 0.0, 0.0, 0.0)
    evidence = Evidence(nothing, None, separation, headings, lambda: Turns(0, 0, 0), lambda: 1.0)
    for step in (_likes, _headless, _turned_leaves):
        answer = step(evidence)
        if answer is not None:
            return answer
    return Direction(None, DEFAULT_MARGIN, "repeat not known")


def _turn(e: Evidence) -> Direction | None:
    half = e.symmetry.half
    if half < TURN_SHOWS_NOTHING:
        return None
    margin = _clipped((half - TURN_SHOWS_NOTHING) / (SURELY_SAME - TURN_SHOWS_NOTHING))
    if e.symmetry.witness > WITNESS:
        margin *= HALVED
    if e.bars is not None:  # the mean over each bar folds too
        margin = max(margin, DECIDED)
    if e.symmetry.quarter >= QUARTER_SHOWS_NOTHING:
        return Direction("four-way", margin, "quarter turn")
    return Direction("two-way", margin, "half turn")


def _bars(e: Evidence) -> Direction | None:
    if e.bars is None:
        return None
    if e.bars.even:
        return Direction("two-way", DEFAULT_MARGIN, "bars fold")
    return Direction("one-way", _turned_margin(e), "uneven bars")


def _mirror(e: Evidence) -> Direction | None:
    mirrored = max(e.symmetry.mirror_across, e.symmetry.mirror_along)
    if mirrored < UPRIGHT_MIRROR or 1 - e.symmetry.half <= 2 * (1 - mirrored):
        return None
    return Direction("one-way", _turned_margin(e), "mirror line")


def _likes(e: Evidence) -> Direction | None:
    n, up = e.headings.with_head, e.headings.agree
    if n < FEWEST_VOTES or e.headings.headed_area < HEADLESS:
        return None
    margin = abs(2 * up - n) / (n + FEWEST_VOTES)  # one pair may agree by chance
    headed = sum(strength > OWN_LEAST for strength in e.headings.own)
    if up >= LIKES_AGREE * n and n >= VOTING * headed:
        return Direction("one-way", margin, "heads agree")
    if n - up >= LIKES_DIFFER * n:
        return Direction("tossed", margin, "heads differ")
    return None


def _headless(e: Evidence) -> Direction | None:
    s, h = e.separation, e.headings
    if len(s.motifs) < 2 or s.ending_share < MOTIFS_HOLD or h.headed_area >= HEADLESS:
        return None
    lying = h.with_axis >= FEWEST_AXES and h.lying_area >= MOSTLY_LYING
    if lying and h.parallel >= AXES_AGREE * h.with_axis:
        return Direction("two-way", (2 * h.parallel - h.with_axis) / h.with_axis, "axes agree")
    return Direction("tossed", _clipped(1 - h.headed_area / HEADLESS), "no heads")


def _turned_leaves(e: Evidence) -> Direction | None:
    """Tossed where the leaves lie turned against their likes, whatever else there is without a like."""
    n, parallel = e.headings.with_axis, e.headings.parallel
    # each pair of likes votes twice
    odds = math.sqrt(PARALLEL_ODDS**parallel * TURNED_ODDS ** (n - parallel))
    return Direction("tossed", (1 - odds) / (1 + odds), "leaves turned") if odds <= 1 / STAND else None


def _one_motif(e: Evidence) -> Direction | None:
    motifs = e.separation.motifs
    if not motifs or not e.headings.own or len(motifs) > 3:
        return None
    areas = sorted((m.area_mm2 for m in motifs), reverse=True)
    if areas[0] < ONE_MOTIF * sum(areas) or e.headings.headed_area < HEADLESS:
        return None
    return Direction("one-way", _turned_margin(e), "one motif")


def _mirror_lines(e: Evidence) -> Direction | None:
    upright, slanting = e.headings.upright_axes, e.headings.slanting_axes
    if len(e.separation.motifs) < 2 or upright == slanting:
        return None
    way: Way = "one-way" if upright > slanting else "tossed"
    standing = 0.0 if way == "tossed" or slanting else _standing_margin(e)
    return Direction(way, max(HINT_MARGIN, standing), "the motifs' own mirror lines")


def _figures_stand(e: Evidence) -> Direction | None:
    margin = _standing_margin(e)
    return Direction("one-way", margin, "figures stand") if margin > 0 else None


def _unlike_figures(e: Evidence) -> bool:
    """Whether the print is separate figures, each with a heading and none with a like."""
    s, h = e.separation, e.headings
    separate = len(s.motifs) >= 2 and s.ending_share >= MOTIFS_HOLD
    return separate and h.headed_area >= HEADLESS and h.with_head < FEWEST_VOTES


def _standing_margin(e: Evidence) -> float:
    """Margin that unlike figures stand, 0 where that cannot be said."""
    odds = e.standing() if _unlike_figures(e) else 1.0
    return min((odds - 1) / (odds + 1), STANDING_MARGIN) if odds >= STAND else 0.0


def _details(e: Evidence) -> Direction | None:
    turns = e.details()
    margin = _clipped(abs(turns.near - BETWEEN) / 0.3)
    if turns.count >= FEWEST_DETAILS and turns.near >= UNTURNED:
        if _unlike_figures(e):  # the details' likes are in the same figure: legs, petals, windows
            margin = max(min(margin, HINT_MARGIN), _standing_margin(e))
        return Direction("one-way", margin, "details unturned")
    if turns.count >= ENOUGH_DETAILS and turns.near < TURNED and turns.oblique > OBLIQUE:
        return Direction("tossed", margin, "details turned")
    return None


LADDER: tuple[Callable[[Evidence], Direction | None], ...] = (
    _turn,
    _bars,
    _mirror,
    _likes,
    _headless,
    _one_motif,
    _details,
    _mirror_lines,
    _figures_stand,
)


def _turned_margin(e: Evidence) -> float:
    gap = TURN_SHOWS_NOTHING - SURELY_TURNED
    return _clipped((TURN_SHOWS_NOTHING - e.symmetry.half) / gap)


def _clipped(value: float) -> float:
    return max(0.0, min(1.0, value))
