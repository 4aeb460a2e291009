"""Whether four marked corners are those of a thing that lies on the cloth, or of the cloth itself.

A thing has an edge along each of its four sides, where parallel lines a little farther in and out have
none, and the picture shows its corners and its inside nowhere else. Four marks on the cloth, or four
crossings of a check, do not have all of that. Only then is the inside left out of the cloth.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.scale.rectangle.appearance import corner_unlikeness, look_picture
from printcheck.photo.scale.rectangle.known import Kind, Scene, measured, scene_of
from printcheck.photo.scale.rectangle.sides import fit_sides

if TYPE_CHECKING:
    from printcheck.core.handover import Floats, Picture

LARGEST_SHARE = 0.6  # of the photo: a thing that leaves less cloth than this is taken for cloth
LEAST_COVER = 0.7  # of the weakest side: drawn things have 1.0, drawn cloth mostly below 0.5
LEAST_SUPPORT = 0.5  # mean of the sides
INSET = 0.08  # of the short side, to the parallel lines inside and outside
BESIDE_PX = (2.0,)  # reach of their search, so that they do not come to lie on the side itself
LEAST_GAIN = 0.08  # of support over the parallel lines
LEAST_HINT = 0.55  # that the inside is seen once; drawn things have 0.7 and more
LEAST_CORNER_UNLIKE = 0.22  # drawn things have 0.33 and more, checks 0.05
MOST_MOVED = 0.04  # of the long side: an edge farther off is not the one that was marked


def lies_on_cloth(picture: Picture, corners_px: Floats) -> bool:
    """Whether an object fills the marked (4, 2) corners, photo px, in order round."""
    scene = scene_of(picture)
    x, y = corners_px.T
    area = 0.5 * abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))
    if area > LARGEST_SHARE * picture.facts.width_px * picture.facts.height_px:
        return False
    sides = np.linalg.norm(np.roll(corners_px, -1, 0) - corners_px, axis=1)
    width, height = float(sides[[0, 2]].mean()), float(sides[[1, 3]].mean())
    rough = corners_px if width >= height else np.roll(corners_px, -1, 0)
    long, short = max(width, height), min(width, height)
    found = measured(scene, [Kind("marked", long, short, any_corner=True)], rough[None])
    if not found or np.abs(found[0].corners - rough).max() > MOST_MOVED * long:
        return False
    thing = found[0]
    look = look_picture(scene.small.bgr)
    factor = scene.long_side / max(look.shape[:2])
    return bool(
        thing.weakest_cover >= LEAST_COVER
        and thing.support.mean() >= max(LEAST_SUPPORT, _beside(scene, thing.corners, short) + LEAST_GAIN)
        and thing.hint >= LEAST_HINT
        and corner_unlikeness(look, (thing.corners + 0.5) / factor - 0.5) >= LEAST_CORNER_UNLIKE
    )


def _beside(scene: Scene, corners: Floats, short: float) -> float:
    """Mean support of the best lines a little inside and outside the sides."""
    middle = corners.mean(0)
    diagonal = float(np.linalg.norm(corners - middle, axis=1).mean())
    share = INSET * short * math.sqrt(2) / diagonal
    quads = np.stack([middle + (1 + k * share) * (corners - middle) for k in (-1, 1)])
    return float(fit_sides(scene.fine, (quads + 0.5) / scene.fine_px - 0.5, BESIDE_PX).support.mean())
