"""Rectangles proposed from where the picture holds something seen once, where a busy print hides their sides.

On stripes and checks the print's own lines crowd a thing's sides out, and cross them so closely that no
straight edge is found there. What lies within is still seen nowhere else: its rough outline tells where
its sides are looked for, as the clearest lines near.
"""

from __future__ import annotations

import math
from itertools import product
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Floats
from printcheck.photo.scale.rectangle.appearance import AROUND_CELLS
from printcheck.photo.scale.rectangle.edges import UNCLEAR, sharp_lines
from printcheck.photo.scale.rectangle.known import Candidate, Scene, measured, nearly
from printcheck.photo.scale.rectangle.propose import LARGEST, SMALLEST, apart, clockwise, shape_misfit
from printcheck.photo.scale.rectangle.sides import line_crossings, sides_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from printcheck.core.reference.objects import KnownObject

LEVELS = (0.9, 0.75, 0.6)  # of the hint: a thing's inside has 0.7 to 1, cloth beside it less
SOLID = 0.85  # area of a blob over that of its hull
FULL = 0.75  # and over that of the quadrilateral about it
MOST_BLOBS = 3  # largest first
REACH_CELLS = AROUND_CELLS / 2 + 2  # from the blob's side: the hint's own blur, and a cell of tilt
LINES_APART_PX = 5.0  # of the fine picture: nearer ones settle on one edge, and crowd out the next edge
BEST = 8  # of the combinations of lines of one blob that lie apart
MISFIT_LIMIT = 40.0  # of 8 rough coordinates, or by lack of clearness alone


def within_hint(scene: Scene, kinds: Sequence[KnownObject]) -> list[Candidate]:
    """Candidates of these kinds that fill what is seen once."""
    reach = REACH_CELLS * scene.long_side / max(scene.hint.shape)
    rough: list[Floats] = []
    for blob in _blobs(scene):
        both = np.stack([blob, np.roll(blob, -1, axis=0)])
        if any(nearly(scene, kind, both, slack_px=math.sqrt(2) * reach).any() for kind in kinds):
            rough += _along_clear_lines(scene, kinds, blob, reach)
    return measured(scene, kinds, np.stack(rough)) if rough else []


def _blobs(scene: Scene) -> list[Floats]:
    """(4, 2) outlines of blobs, clockwise, photo px."""
    height, width = scene.hint.shape
    px = np.array([scene.picture.facts.width_px / width, scene.picture.facts.height_px / height])
    found: list[tuple[float, Floats]] = []
    for level in LEVELS:
        mask = cv2.morphologyEx(
            (scene.hint > level).astype(np.uint8), cv2.MORPH_OPEN, np.ones((5, 5), np.uint8)
        )
        outlines, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        for outline in outlines:
            quad = _quad(outline)
            if quad is None:
                continue
            corners = (quad + 0.5) * px - 0.5
            sides = np.linalg.norm(np.roll(corners, -1, 0) - corners, axis=1)
            if SMALLEST * scene.long_side < sides.max() < LARGEST * scene.long_side and all(
                np.abs(corners - other).max() > px.max() for _, other in found
            ):
                found.append((float(cv2.contourArea(outline)), corners))
    found.sort(key=lambda pair: -pair[0])
    return [corners for _, corners in found[:MOST_BLOBS]]


def _quad(outline: np.ndarray) -> Floats | None:
    """The quadrilateral about a solid blob; None for another shape."""
    hull = cv2.convexHull(outline)
    area = cv2.contourArea(outline)
    if len(hull) < 4 or area < SOLID * cv2.contourArea(hull):
        return None
    quad = np.asarray(cv2.approxPolyN(hull, 4, ensure_convex=True), float).reshape(-1, 2)
    if len(quad) != 4 or area < FULL * cv2.contourArea(quad.astype(np.float32)):
        return None
    return np.asarray(clockwise(quad[None])[0])


def _along_clear_lines(
    scene: Scene, kinds: Sequence[KnownObject], blob: Floats, reach_px: float
) -> list[Floats]:
    """(4, 2) corners of the best combinations of clear lines along a blob, a long side first, photo px."""
    reach = reach_px / scene.fine_px
    sides = sides_of((blob + 0.5) / scene.fine_px - 0.5)
    lines = sharp_lines(scene.fine, sides, out_px=reach, in_px=reach, apart_px=LINES_APART_PX)
    choices = np.array(list(product(*(np.flatnonzero(new) for new in lines.new))))
    side = np.arange(4)
    corners = (line_crossings(lines.ends[side, choices]) + 0.5) * scene.fine_px - 0.5
    lost = UNCLEAR * (lines.clear[:, 0] - lines.clear[side, choices]).sum(1)
    corners, lost = corners[lost < MISFIT_LIMIT], lost[lost < MISFIT_LIMIT]
    both = np.concatenate([corners, np.roll(corners, -1, axis=1)])
    misfit = np.min([shape_misfit(scene, kind, both) for kind in kinds], axis=0)
    cost = misfit + np.concatenate([lost, lost])
    possible = np.flatnonzero(misfit < MISFIT_LIMIT)
    best = possible[apart(both[possible], -cost[possible], BEST)]
    return list(both[best])
