"""Views that lie in one frame made one picture: parted midway, the light evened between them.

A step of brightness along a seam would be a line of the print to whoever looks for its repeat. Detail is
each part's own; broad light runs over from view to view (two bands of Burt and Adelson 1983, whose integer
pyramids in general libraries lose several grey levels).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.photo.stitch.view import broad_light

if TYPE_CHECKING:
    from printcheck.core.handover import Bgr, Mask
    from printcheck.photo.stitch.view import Lab


def blended(pictures: Sequence[Bgr], masks: Sequence[Mask]) -> Bgr:
    """One picture of several in the same frame.

    Parameters
    ----------
    pictures : sequence of (H, W, 3) uint8
    masks : sequence of (H, W) bool
        Where each shows cloth.

    Returns
    -------
    (H, W, 3) uint8
        Of no meaning where none shows cloth.
    """
    depths = [cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, 3) for mask in masks]
    nearest = np.argmax(depths, axis=0)
    parts = [np.asarray((nearest == n) & mask) for n, mask in enumerate(masks)]
    side_by_side = np.zeros_like(pictures[0])
    for picture, part in zip(pictures, parts, strict=True):
        side_by_side[part] = picture[part]
    lights = _lights(pictures, masks, side_by_side)
    total = np.maximum(np.sum(depths, axis=0), 1.0)
    common = (
        sum(depth[..., None] * light for depth, light in zip(depths, lights, strict=True)) / total[..., None]
    )
    whole = side_by_side.astype(np.float32)
    for part, light in zip(parts, lights, strict=True):
        whole[part] += (common - light)[part]
    return np.asarray(np.clip(np.rint(whole), 0, 255), np.uint8)


def _lights(pictures: Sequence[Bgr], masks: Sequence[Mask], rest: Bgr) -> list[Lab]:
    """Broad light of each view; where it shows no cloth the others stand in, so that edges make no light."""
    seen = np.any(masks, axis=0)
    filled = (
        np.where(m[..., None], p, rest).astype(np.float32) for p, m in zip(pictures, masks, strict=True)
    )
    return [broad_light(picture, np.asarray(seen)) for picture in filled]
