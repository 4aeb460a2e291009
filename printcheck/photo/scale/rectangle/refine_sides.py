"""Take a candidate's sides where its own edges are, not those of its shadow or of the print beside it."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.scale.rectangle.classifier import promise
from printcheck.photo.scale.rectangle.edges import UNCLEAR, Lines, sharp_lines
from printcheck.photo.scale.rectangle.known import Candidate, Scene, SeenSides, posed
from printcheck.photo.scale.rectangle.sides import line_crossings, sides_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.core.handover import Floats

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
    choices = [
        choice
        for choice in _choices(candidate, lines)
        if _is_of_one_corner(choice) and UNCLEAR * _lost(candidate, lines, choice) < UNLIKELY
    ]
    return _with_lines(scene, [(candidate, lines, choice) for choice in choices]) if choices else []


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


def _choices(candidate: Candidate, lines: Lines) -> Choice:
    """(N, 4) every choice of a line for each side that is seen, its own (-1) among them."""
    lines_of = [
        (*np.flatnonzero(new), -1) if seen > ENOUGH_SEEN else (-1,)
        for seen, new in zip(candidate.seen, lines.new, strict=True)
    ]
    return np.array(list(product(*lines_of)))


def _is_of_one_corner(choice: Choice) -> bool:
    moved = choice >= 0
    return moved.sum() < 2 or (moved.sum() == 2 and bool((moved & np.roll(moved, 1)).any()))


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
    lost = [_lost(c, lines, choice) for c, lines, choice in asked]
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


def _lost(candidate: Candidate, lines: Lines, choice: Choice) -> float:
    """Clearness that the chosen lines lack beside the clearest ones, sum of the sides that are seen."""
    chosen = np.where(choice < 0, lines.own, lines.clear[np.arange(4), choice])
    return float(np.sum(np.where(candidate.seen > ENOUGH_SEEN, lines.clear[:, 0] - chosen, 0.0)))
