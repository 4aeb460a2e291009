"""Take a candidate's sides where its own edges are, not those of its shadow or of the print beside it."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import Floats
from printcheck.photo.scale.rectangle.classifier import promise
from printcheck.photo.scale.rectangle.edges import UNCLEAR, Lines, sharp_lines
from printcheck.photo.scale.rectangle.known import Candidate, Scene, SeenSides, posed
from printcheck.photo.scale.rectangle.sides import line_crossings, sides_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Choice = NDArray[np.int64]

SHADOW_MM, OUTSIDE_MM = 2.0, 1.0  # how far the edge may lie inside and outside the line found first
SLACK_PX = 3.0  # more of each
ENOUGH_SEEN = 0.5  # share of a side inside the picture below which it is left as it is
FRAME_PX = 3.0  # from the picture's edge, where a side that leaves it is cut off
GOOD_MISFIT = 2.0  # of the clearest lines: nothing else is tried
NO_WORSE = 4.0  # misfit up to which the clearest lines are taken though others fit better
UNLIKELY = 8.0  # misfit by lack of clearness alone at which a choice of lines is not asked about
MOST = 8  # candidates, the most promising


def sharpened(scene: Scene, found: list[Candidate]) -> list[Candidate]:
    """The same candidates, those worth it with their sides at the clearest lines that make the thing."""
    worth = [i for i, c in enumerate(found) if bool((c.seen > ENOUGH_SEEN).any())]
    worth = sorted(worth, key=lambda i: -promise(found[i]))[:MOST]
    out = list(found)
    for i in worth:
        each = _lines(scene, found[i])
        [best] = _with_lines(scene, found[i], each, np.where(found[i].seen > ENOUGH_SEEN, 0, -1)[None])
        if best.misfit > GOOD_MISFIT:
            best = min([best, *_read(scene, found[i], each)], key=lambda reading: reading.misfit)
        if best.misfit < max(NO_WORSE, found[i].misfit):
            out[i] = best
    return out


def readings(scene: Scene, candidate: Candidate) -> list[Candidate]:
    """The candidate with other lines for one side or two neighbours (a shadow falls to one corner).

    Their misfits tell how likely each is beside the others, so that their spread is what the choice of
    lines leaves open. Those that are much less clear are left out.
    """
    return _read(scene, candidate, _lines(scene, candidate))


def _read(scene: Scene, candidate: Candidate, lines: Lines) -> list[Candidate]:
    choices = _choices(candidate, lines)
    likely = UNCLEAR * _lost(candidate, lines, choices) < UNLIKELY
    return _with_lines(scene, candidate, lines, choices[likely & _are_of_one_corner(choices)])


def _lines(scene: Scene, candidate: Candidate) -> Lines:
    corners = (candidate.corners + 0.5) / scene.fine_px - 0.5
    px_per_mm = float(np.linalg.norm(corners[1] - corners[0])) / candidate.kind.size_mm[0]
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


def _choices(candidate: Candidate, lines: Lines) -> Choice:
    """(N, 4) every choice of a line for each side that is seen, its own (-1) among them."""
    lines_of = [
        (*np.flatnonzero(new), -1) if seen > ENOUGH_SEEN else (-1,)
        for seen, new in zip(candidate.seen, lines.new, strict=True)
    ]
    return np.array(list(product(*lines_of)))


def _are_of_one_corner(choices: Choice) -> NDArray[np.bool_]:
    moved = choices >= 0
    count = moved.sum(1)
    return np.asarray((count < 2) | ((count == 2) & (moved & np.roll(moved, 1, axis=1)).any(1)))


def _with_lines(scene: Scene, candidate: Candidate, lines: Lines, choices: Choice) -> list[Candidate]:
    """The candidate with each of (N, 4) choices of lines for its sides; -1 leaves a side as it is."""
    if not len(choices):
        return []
    side, own = np.arange(4), choices < 0
    chosen = (lines.ends[side, choices] + 0.5) * scene.fine_px - 0.5
    ends = np.where(own[..., None, None], candidate.sides.ends, chosen)
    sharp = lines.sigma[side, choices][..., None] * scene.fine_px
    sigma = np.where(own[..., None], candidate.sides.sigma, sharp)
    corners = line_crossings(ends)
    pairs = posed(scene, candidate.kind, SeenSides(ends, sigma), corners, candidate.poses)
    lost = _lost(candidate, lines, choices)
    return [
        replace(
            candidate,
            corners=corners[i],
            poses=pairs[i],
            sides=SeenSides(ends[i : i + 1], sigma[i : i + 1]),
            strain=UNCLEAR * float(lost[i]),
        )
        for i in range(len(choices))
    ]


def _lost(candidate: Candidate, lines: Lines, choices: Choice) -> Floats:
    """(N,) clearness that choices lack beside the clearest lines, sum of the sides that are seen."""
    chosen = np.where(choices < 0, lines.own, lines.clear[np.arange(4), choices])
    lack = np.where(candidate.seen > ENOUGH_SEEN, lines.clear[:, 0] - chosen, 0.0)
    return np.asarray(lack.sum(1))
