"""Views that lie in one frame made one picture: parted midway, the light evened between them.

A step of brightness along a seam would be a line of the print to whoever looks for its repeat. The
exposures are made alike first. Then detail is each part's own, and broad light runs over from view to view
(two bands of Burt and Adelson 1983, whose integer pyramids in general libraries lose several grey levels).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.photo.stitch.view import LIGHT_PX, enlarged, summed_light

if TYPE_CHECKING:
    from printcheck.core.handover import Bgr, Mask

WHOLLY = 0.99  # of a small copy's pixel that a view covers


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
    pictures = list(_like_exposed(pictures, masks))
    side_by_side, parts, depths = _parted(pictures, masks)
    seen = np.any(masks, axis=0)
    lights = []
    for picture, mask in zip(pictures, masks, strict=True):
        # where a view shows no cloth the others stand in, so that edges make no light
        light, total = summed_light(np.where(mask[..., None], picture, side_by_side), seen)
        lights.append(light / np.maximum(total, 1e-6)[..., None])
    depth_of_all = np.maximum(np.sum(depths, axis=0), 1.0)[..., None]
    whole = np.sum([depth[..., None] * own for depth, own in zip(depths, lights, strict=True)], axis=0)
    for n, own in enumerate(lights):
        part = parts == n
        evened = side_by_side[part] + enlarged(whole / depth_of_all - own, seen.shape)[part]
        side_by_side[part] = np.clip(np.rint(evened), 0, 255).astype(np.uint8)
    return side_by_side


def _like_exposed(pictures: Sequence[Bgr], masks: Sequence[Mask]) -> Iterator[Bgr]:
    """Pictures brought to the first one's exposure and white, by what they show in common.

    One gain for each channel and picture, all solved at once (Brown and Lowe 2007).
    """
    size = _small_size(masks[0].shape)
    logs = [np.log(cv2.resize(p, size, interpolation=cv2.INTER_AREA) + 1.0) for p in pictures]
    seen = [cv2.resize(m.astype(np.float32), size, interpolation=cv2.INTER_AREA) > WHOLLY for m in masks]
    rows, apart = [np.eye(1, len(pictures))[0]], [np.zeros(3)]
    for n in range(len(pictures)):
        for other in range(n):
            both = seen[n] & seen[other]
            if both.any():
                weight = math.sqrt(both.mean())
                row = np.zeros(len(pictures))
                row[n], row[other] = weight, -weight
                rows.append(row)
                apart.append(weight * np.median((logs[n] - logs[other])[both], axis=0))
    exposures = np.linalg.lstsq(np.array(rows), np.array(apart), rcond=None)[0]
    for picture, exposure in zip(pictures, exposures, strict=True):
        levels = np.clip(np.rint(np.arange(256)[:, None] * np.exp(-exposure)), 0, 255).astype(np.uint8)
        yield np.asarray(cv2.LUT(picture, levels[None]), np.uint8)


def _small_size(shape: tuple[int, ...]) -> tuple[int, int]:
    """Width and height of a copy of ``LIGHT_PX``."""
    factor = LIGHT_PX / max(shape)
    return max(1, round(shape[1] * factor)), max(1, round(shape[0] * factor))


def _parted(
    pictures: Sequence[Bgr], masks: Sequence[Mask]
) -> tuple[Bgr, NDArray[np.int8], list[NDArray[np.float32]]]:
    """Each pixel from the view of whose edge it lies farthest; which that is; depths on small copies."""
    whole, nearest = np.zeros_like(pictures[0]), np.full(masks[0].shape, -1, np.int8)
    best = np.zeros(masks[0].shape, np.float32)
    depths = []
    for n, (picture, mask) in enumerate(zip(pictures, masks, strict=True)):
        depth = np.asarray(cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, 3), np.float32)
        deeper = depth > best
        nearest[deeper], best[deeper], whole[deeper] = n, depth[deeper], picture[deeper]
        small = cv2.resize(depth, _small_size(mask.shape), interpolation=cv2.INTER_AREA)
        depths.append(np.asarray(small, np.float32))
    return whole, nearest, depths
