"""How sure it is that a candidate rectangle is the object, and which of several to take."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.photo.scale.rectangle.appearance import corner_unlikeness, look_picture, roundness, unlikeness
from printcheck.photo.scale.rectangle.known import SIDE_SEEN, Candidate, Scene
from printcheck.photo.scale.rectangle.quadrilaterals import CUT_LEAST_SEEN

if TYPE_CHECKING:
    from printcheck.core.handover import Floats

MISFIT_LIMIT = 12.0  # chi2 of 10 residuals less 8 numbers; 99 % of true ones lie below
STEEPEST_DEG = 29.0  # camera tilt: asked for to 25 and fitted to 1; steeper cards were telephones
HALF_SEEN = 0.5  # share of a side in view below which a thing counts as cut by the picture's edge
CUT_LEAST_COVER = 0.75  # likewise of one that is cut: a long thing in full view (a telephone) shows 0.6
LEAST_UNLIKE = 0.15  # less is printed again elsewhere, whatever else speaks for it
LEAST_CORNER_UNLIKE = 0.22  # likewise of its corners; true ones have 0.34 and more, checks 0.02
# likewise of a pale sheet, whose corners may hardly stand off pale cloth; and how pale it is
PALE_CORNER_UNLIKE, PALE_SHEET = 0.15, 0.7
# a rectangle of print about a thing holds it in its middle, and cloth inside its sides
SURELY_SEEN_ONCE, ENCLOSING = 0.8, 0.5  # hint, and share of it just inside the sides below which it encloses
# likewise one side alone, where a line of print runs along a thing: cloth inside it; true ones have 0.34
SEEN_ONCE_HINT, OPEN_SIDE = 0.6, 0.22  # hint, and share of it just inside the side below which it lies open
LONG_CUT_LEAST_SEEN = 0.65  # share of the short sides in view, where a long one is out of the picture
ON_LARGER = (
    0.8  # hint well outside above which a thing lies on a larger one: a chip has 0.85, cards up to 0.72
)
ROUNDER_MARGIN = 0.1  # of support for its own corners over those of a larger thing
SEEN_ONCE, ONCE_HINT = 1.0, 0.8  # unlikeness and hint of a thing seen once, whatever its corners resemble
AROUND_USUAL = 0.6  # hint just outside a thing that its shadow, its blur and the cells of the hint explain
SETTLED = 0.98  # evidence of a reading at which other readings of the same place are not asked about
ROUGH_RMS_PX = 0.3  # mean rms of the sides above which edges look like texture
ASKED = 10  # candidates whose likeness is looked for elsewhere in the picture, best first
OVERLAP = 0.3  # of the smaller area: candidates that share more are readings of one thing
OTHER_SCALE = 0.03  # share of scale: readings of one thing that differ by more contradict one another
UNLIKE_WITHOUT_PLACE = 0.6  # where there is no other place to compare with


@dataclass(frozen=True)
class Weights:
    """Logistic weights: ln odds of being the object, per unit of what was seen.

    Fitted on drawn scenes with and without objects (prints, stripes, checks, weaves), then rounded.
    """

    constant: float
    round: float  # support for round less sharp corners, clipped to round_range
    round_range: tuple[float, float]
    unlike: float  # per unit, up to unlike_most
    hint: float
    cover: float  # of the weakest side
    support: float  # mean
    misfit: float  # per unit of misfit
    rough: float  # per px of mean rms above ROUGH_RMS_PX
    unlike_most: float = 1.4
    pale: float = 0.0  # for the share within that is of one pale colour
    around: float = 0.0  # for the hint just outside, above AROUND_USUAL: a picture on a larger thing has it
    least_cover: float = 0.4  # of the weakest side; white sheets on pale cloth show 0.6
    guessed: float = 0.0  # for a side out of the picture: three sides fit some camera whatever they are


# cards show 0.9 and more of each side, lines of print that run on from a side of a telephone 0.6
ROUND = Weights(
    -12.8, 25.5, (-0.3, 0.45), 3.3, 3.3, 5.0, 3.2, -0.6, -7.0, around=-6.0, least_cover=0.7, guessed=-4.0
)
PAPER = Weights(
    -17.3, -14.0, (-0.4, 0.3), 2.1, 9.0, 3.6, 1.0, -0.5, -4.6, pale=8.8, around=-3.0, guessed=-4.6
)
ANY = Weights(-16.5, -18.0, (-0.4, 0.3), 3.0, 6.0, 5.5, 3.0, -0.6, -5.0, pale=2.0, around=-3.0, guessed=-4.0)


def weighed(scene: Scene, found: list[Candidate]) -> list[tuple[float, Candidate]]:
    """Candidates that may be the object, each with its evidence from 0 to 1, best first.

    Of several readings of one thing only the best is kept.
    """
    possible = [c for c in found if _possible(c)]
    # what no likeness could save is not asked about: that is the slow question
    first = sorted(possible, key=lambda c: -ln_odds(c, _weights(c).unlike_most))[:ASKED]
    look = look_picture(scene.small.bgr)
    factor = scene.long_side / max(look.shape[:2])
    scored: list[tuple[float, Candidate]] = []
    for candidate in first:
        settled = any(e > SETTLED and overlap(candidate.corners, c.corners) > OVERLAP for e, c in scored)
        if (settled and not candidate.guessed) or ln_odds(candidate, _weights(candidate).unlike_most) < 0:
            continue
        at = (candidate.corners + 0.5) / factor - 0.5
        unlike = unlikeness(look, at)
        if unlike < LEAST_UNLIKE or not _long_side_tells(scene, candidate):
            continue
        once = SEEN_ONCE < unlike < math.inf and candidate.hint > ONCE_HINT
        least = PALE_CORNER_UNLIKE if candidate.pale > PALE_SHEET else LEAST_CORNER_UNLIKE
        if not once and corner_unlikeness(look, at) < least:
            continue
        unlike = unlike if math.isfinite(unlike) else UNLIKE_WITHOUT_PLACE
        asked = replace(candidate, unlike=unlike)
        scored.append((1 / (1 + math.exp(-ln_odds(asked, unlike))), asked))
    scored.sort(key=lambda pair: -pair[0])
    kept: list[tuple[float, Candidate]] = []
    for evidence, candidate in scored:
        if not any(overlap(candidate.corners, other.corners) > OVERLAP for _, other in kept):
            kept.append((_undisputed(evidence, candidate, scored), candidate))
    return kept


def _undisputed(evidence: float, candidate: Candidate, scored: list[tuple[float, Candidate]]) -> float:
    """The evidence, shared with the best reading of another scale where three sides leave the shape open."""
    if not candidate.guessed:
        return evidence
    against = [
        e / (1 - e)
        for e, other in scored
        if overlap(candidate.corners, other.corners) > OVERLAP
        and abs(math.log(other.px_per_mm / candidate.px_per_mm)) > OTHER_SCALE
    ]
    odds = evidence / (1 - evidence)
    return odds / (1 + odds + max(against, default=0.0))


def overlap(one: Floats, two: Floats) -> float:
    """Area that two quads share, over the smaller one's."""
    a, b = one.astype(np.float32), two.astype(np.float32)
    shared, _ = cv2.intersectConvexConvex(a, b)
    return float(shared / max(min(cv2.contourArea(a), cv2.contourArea(b)), 1e-6))


def _possible(candidate: Candidate) -> bool:
    pose = candidate.poses[0]
    return (
        candidate.misfit < MISFIT_LIMIT
        and pose.tilt_deg < STEEPEST_DEG
        and candidate.weakest_cover > _weights(candidate).least_cover
        and candidate.guessed <= 1
        and candidate.beyond < ON_LARGER
        and not _encloses(candidate)
        and not _lies_open(candidate)
        and not (candidate.seen.min() < HALF_SEEN and _ends_in_view(candidate))
    )


def _encloses(candidate: Candidate) -> bool:
    """Whether it is print about a thing, with cloth inside its sides; of a pale sheet that is no sign."""
    encloses = candidate.border < ENCLOSING * candidate.hint
    return encloses and candidate.hint > SURELY_SEEN_ONCE and candidate.pale < PALE_SHEET


def _lies_open(candidate: Candidate) -> bool:
    """Whether cloth lies just inside one side; of a sheet, white as a stripe of the cloth, none can tell."""
    once = candidate.kind.corner_mm > 0 and candidate.hint > SEEN_ONCE_HINT
    return once and candidate.open_border < OPEN_SIDE * candidate.hint


def _ends_in_view(candidate: Candidate) -> bool:
    """Whether the sides that should run out of the picture show too little of themselves, or stop before."""
    shown = float(np.sort(candidate.seen)[1])
    return shown < CUT_LEAST_SEEN or candidate.weakest_cover < CUT_LEAST_COVER


def _long_side_tells(scene: Scene, candidate: Candidate) -> bool:
    """Whether a thing of which a long side is out of the picture does not stick out farther.

    The long side in view could be the short one of a larger thing; its corners would then be rounder.
    """
    if candidate.seen[[0, 2]].min() > SIDE_SEEN:
        return True
    kind = candidate.kind
    if not kind.corner_mm or float(np.sort(candidate.seen)[1]) < LONG_CUT_LEAST_SEEN:
        return False
    rounder = roundness(
        scene.fine,
        candidate.poses[0].numbers[None],
        (kind.long_mm, kind.short_mm, kind.corner_mm * kind.ratio),
        centre_px=scene.camera.centre_px,
        fine_px=scene.fine_px,
    )
    return bool(candidate.round - rounder[0] > ROUNDER_MARGIN)


def _weights(candidate: Candidate) -> Weights:
    if candidate.kind.corner_mm > 0:
        return ROUND
    return PAPER if candidate.kind.paper else ANY


def hopeful(candidate: Candidate) -> bool:
    """Whether it could be the object if its sides fitted well and nothing else resembled it."""
    weights = _weights(candidate)
    return ln_odds(candidate, weights.unlike_most) > weights.misfit * candidate.misfit


def ln_odds(candidate: Candidate, unlike: float) -> float:
    """Evidence of a candidate as ln odds, where the most similar other place is this ``unlike``."""
    w = _weights(candidate)
    # where nothing is known of the corners, either kind of them speaks for an outline
    seen = candidate.seen > SIDE_SEEN
    corner = -abs(candidate.round) if candidate.kind.any_corner else candidate.round
    return (
        w.constant
        + w.round * min(max(corner, w.round_range[0]), w.round_range[1])
        + w.unlike * min(unlike, w.unlike_most)
        + w.hint * candidate.hint
        + w.pale * candidate.pale
        + w.cover * candidate.weakest_cover
        + w.support * float(candidate.support[seen].mean())
        + w.around * max(0.0, candidate.around - AROUND_USUAL)
        + w.guessed * candidate.guessed
        + w.misfit * candidate.misfit
        + w.rough * max(0.0, float(candidate.rms[seen].mean()) - ROUGH_RMS_PX)
    )
