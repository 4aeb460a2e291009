"""Take a candidate's sides where its own edges are, not those of its shadow or of the print beside it."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.reference.evidence import hopeful
from printcheck.photo.reference.rectangle import Candidate, Scene, SeenSides, posed
from printcheck.photo.reference.sharp import UNCLEAR, Lines, sharp_lines
from printcheck.photo.reference.sides import line_crossings, sides_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.cloth import Floats

    Choice = NDArray[np.int64]

SHADOW_MM, OUTSIDE_MM = 2.0, 1.0  # how far the edge may lie inside and outside the line found first
SLACK_PX = 3.0  # more of each
ENOUGH_SEEN = 0.5  # share of a side inside the picture below which it is left as it is
FRAME_PX = 3.0  # from the picture's edge, where a side that leaves it is cut off
GOOD_MISFIT = 2.0  # of the clearest lines: nothing else is tried
NO_WORSE = 4.0  # misfit up to which the clearest lines are taken though others fit better
MOST = 8  # candidates, the best supported


def sharpened(scene: Scene, found: list[Candidate]) -> list[Candidate]:
    """The same candidates, those worth it with their sides at the clearest lines that make the thing."""
    worth = [i for i, c in enumerate(found) if _is_worth(c)]
    worth.sort(key=lambda i: -float(found[i].support.mean()) - found[i].hint)
    worth = worth[:MOST]
    if not worth:
        return found
    lines = [_lines(scene, found[i]) for i in worth]
    clearest = [
        (found[i], each, np.where(found[i].seen > ENOUGH_SEEN, 0, -1))
        for i, each in zip(worth, lines, strict=True)
    ]
    out = list(found)
    for i, each, best in zip(worth, lines, _with_lines(scene, clearest), strict=True):
        if best.misfit > GOOD_MISFIT:
            best = _most_likely(scene, found[i], each)
        if best.misfit < max(NO_WORSE, found[i].misfit):
            out[i] = best
    return out


def _is_worth(candidate: Candidate) -> bool:
    return hopeful(candidate) and bool((candidate.seen > ENOUGH_SEEN).any())


def _lines(scene: Scene, candidate: Candidate) -> Lines:
    corners = (candidate.corners + 0.5) / scene.fine_px - 0.5
    px_per_mm = float(np.linalg.norm(corners[1] - corners[0])) / candidate.kind.long_mm
    out_px, in_px = (mm * px_per_mm + SLACK_PX for mm in (OUTSIDE_MM, SHADOW_MM))
    height, width = scene.fine.lab.shape[:2]
    sides = _inside(sides_of(corners), np.array([width, height]))
    return sharp_lines(scene.fine, sides, out_px=out_px, in_px=in_px)


def _inside(sides: Floats, size: Floats) -> Floats:
    """The part of each (4, 2, 2) side that lies in the picture; a side wholly outside as it is."""
    start, along = sides[:, 0], sides[:, 1] - sides[:, 0]
    steep = np.where(np.abs(along) < 1e-9, 1e-9, along)
    one, two = (FRAME_PX - start) / steep, (size - 1 - FRAME_PX - start) / steep
    enter = np.clip(np.minimum(one, two).max(1), 0, 1)
    leave = np.clip(np.maximum(one, two).min(1), 0, 1)
    share = np.where(leave > enter, np.stack([enter, leave]), np.array([[0.0], [1.0]]))
    return np.stack([start + share[k][:, None] * along for k in (0, 1)], 1)


def _most_likely(scene: Scene, candidate: Candidate, lines: Lines) -> Candidate:
    """The candidate with the clear lines that fit the known shape as well."""
    count = lines.clear.shape[1]
    sides = ((range(count) if seen > ENOUGH_SEEN else (-1,)) for seen in candidate.seen)
    choices = np.array(list(product(*sides)))
    tried = _with_lines(scene, [(candidate, lines, choice) for choice in choices])
    return min(tried, key=lambda each: each.misfit)


def _with_lines(scene: Scene, asked: list[tuple[Candidate, Lines, Choice]]) -> list[Candidate]:
    """Each candidate with its choice (4,) of lines for its sides; -1 leaves a side as it is."""
    side = np.arange(4)
    ends = np.stack(
        [
            np.where(
                choice[:, None, None] < 0,
                c.sides.ends[0],
                (lines.ends[side, choice] + 0.5) * scene.fine_px - 0.5,
            )
            for c, lines, choice in asked
        ]
    )
    sigma = np.stack(
        [
            np.where(
                choice[:, None] < 0, c.sides.sigma[0], lines.sigma[side, choice][:, None] * scene.fine_px
            )
            for c, lines, choice in asked
        ]
    )
    corners = line_crossings(ends)
    pairs = posed(scene, asked[0][0].kind, SeenSides(ends, sigma), corners)
    lost = [
        float(np.sum(np.where(choice < 0, 0.0, lines.clear[:, 0] - lines.clear[side, choice])))
        for _, lines, choice in asked
    ]
    return [
        replace(
            c,
            corners=corners[i],
            poses=pairs[i],
            sides=SeenSides(ends[i : i + 1], sigma[i : i + 1]),
            strain=UNCLEAR * lost[i],
        )
        for i, (c, _, _) in enumerate(asked)
    ]
