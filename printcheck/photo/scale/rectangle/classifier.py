"""How sure it is that a candidate rectangle is the object, and which of several to take.

One logistic classifier for each shape. What was seen of a candidate is some numbers; their weights in
``fitted.toml`` were fitted by ``docs/fit_objects.py`` on drawn and real photos with
objects, without any, and with things that are nearly one. Nothing else is asked.
"""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np

from printcheck.core.handover import Floats
from printcheck.photo.scale.logistic import evidence, ln_odds
from printcheck.photo.scale.rectangle.appearance import (
    corner_unlikeness,
    look_picture,
    runs_through,
    unlikeness,
)
from printcheck.photo.scale.rectangle.known import SIDE_SEEN, Candidate, Scene, shape_of

LEVEL_DEG = 20.0  # tilt of a photo meant to be taken from above: more is counted against a candidate
MOST_MISFIT = 50.0  # chi2: a worse fit tells no more
MOST_UNLIKE = 1.4  # a thing twice as different is seen no more surely once
WITHOUT_PLACE = 0.6  # unlikeness where there is no other place to compare with
ASKED = 10  # candidates whose likeness is looked for elsewhere in the picture, best first: the slow question
OVERLAP = 0.3  # of the smaller area: candidates that share more are readings of one thing
CUT_SHOWN, CUT_COVER = 0.7, 0.75  # of a thing cut by the photo's edge: shares of its sides in view, and clear
OTHER_SCALE = 0.03  # share of scale: readings of one thing that differ by more contradict one another


def features(candidate: Candidate) -> dict[str, float]:
    """What was seen of a candidate, by name."""
    seen = candidate.seen > SIDE_SEEN
    tilt = max(0.0, candidate.poses[0].tilt_deg - LEVEL_DEG) / 10
    unlike = candidate.unlike if math.isfinite(candidate.unlike) else WITHOUT_PLACE
    return {
        "misfit": math.log1p(max(0.0, candidate.misfit)),
        # in tens: what no error of the sides explains
        "strained": min(max(0.0, candidate.misfit), MOST_MISFIT) / 10,
        "steep": tilt,
        "steep unstated": 0.0 if candidate.focal_stated else tilt,
        "cover": candidate.weakest_cover,
        "support": float(candidate.support[seen].mean()),
        "rough": float(candidate.rms[seen].mean()),
        # either, where nothing is known of them
        "corners": -abs(candidate.round) if candidate.kind.takes else candidate.round,
        "unlike": min(unlike, MOST_UNLIKE),
        "corners unlike": min(candidate.corners_unlike, 1.0),
        "through": max(0.0, candidate.through) ** 2,
        "hidden": 1 - float(candidate.seen.min()),
        "hidden long": 1 - float(candidate.seen[[0, 2]].min()),
        **candidate.look,
    }


def promise(candidate: Candidate, *, fitted: bool = False) -> float:
    """The most its ln odds may come to: nothing resembles it and, unless ``fitted``, its sides fit."""
    seen = features(replace(candidate, unlike=MOST_UNLIKE, corners_unlike=1.0))
    if not fitted:
        seen |= {"misfit": 0.0, "strained": 0.0}
    return ln_odds(shape_of(candidate.kind), seen)


def weighed(scene: Scene, found: list[Candidate]) -> list[tuple[float, Candidate]]:
    """Candidates that may be the object, each with its evidence from 0 to 1, best first.

    Of several readings of one thing only the best is kept.
    """
    scored = [(evidence(shape_of(c.kind), features(c)), c) for c in compared(scene, found)]
    scored.sort(key=lambda pair: -pair[0])
    kept: list[tuple[float, Candidate]] = []
    for sure, candidate in scored:
        if not any(overlap(candidate.corners, other.corners) > OVERLAP for _, other in kept):
            kept.append((_undisputed(sure, candidate, scored), candidate))
    return kept


def compared(scene: Scene, found: list[Candidate]) -> list[Candidate]:
    """The most likely candidates, with what the picture holds that resembles them."""
    first = sorted(found, key=lambda c: -promise(c, fitted=True))[:ASKED]
    if not first:
        return []
    look = look_picture(scene.small.bgr)
    factor = scene.long_side / max(look.shape[:2])
    places = [(c.corners + 0.5) / factor - 0.5 for c in first]
    corners = np.stack([c.corners for c in first])
    through = runs_through(scene.fine, (corners + 0.5) / scene.fine_px - 0.5)
    return [
        replace(c, unlike=unlikeness(look, at), corners_unlike=corner_unlikeness(look, at), through=float(on))
        for c, at, on in zip(first, places, through, strict=True)
    ]


def _undisputed(sure: float, candidate: Candidate, scored: list[tuple[float, Candidate]]) -> float:
    """The evidence, shared with the best reading of another scale where three sides leave the shape open.

    None is left where the sides that run out of the photo show too little, as a longer thing would look so
    too, or where a long side is out of it, as the one in view may be the short side of a larger thing.
    """
    if not candidate.guessed:
        return sure
    long_out = bool(candidate.seen[[0, 2]].min() < SIDE_SEEN)
    if long_out or np.sort(candidate.seen)[1] < CUT_SHOWN or candidate.weakest_cover < CUT_COVER:
        return 0.0
    against = [
        e / (1 - e)
        for e, other in scored
        if overlap(candidate.corners, other.corners) > OVERLAP
        and abs(math.log(other.px_per_mm / candidate.px_per_mm)) > OTHER_SCALE
    ]
    odds = sure / (1 - sure)
    return odds / (1 + odds + max(against, default=0.0))


def overlap(one: Floats, two: Floats) -> float:
    """Area that two quads share, over the smaller one's."""
    a, b = one.astype(np.float32), two.astype(np.float32)
    shared, _ = cv2.intersectConvexConvex(a, b)
    return float(shared / max(min(cv2.contourArea(a), cv2.contourArea(b)), 1e-6))
