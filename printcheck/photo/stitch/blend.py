"""Views that lie in one frame made one picture: parted midway, the light evened between them.

A step of brightness along a seam would be a line of the print to whoever looks for its repeat. The
exposures are made alike first. Then detail is each part's own, and broad light runs over from view to view
(two bands of Burt and Adelson 1983, whose integer pyramids in general libraries lose several grey levels).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.photo.stitch.view import LIGHT_PX, enlarged, summed_light

if TYPE_CHECKING:
    from printcheck.core.handover import Bgr, Mask

WHOLLY = 0.99  # of a small copy's pixel that a view covers
# logarithms of light, one sigma each
UNEVEN, BENT_LIGHT = 0.2, 0.7  # from the middle to the edge of a picture; and of that, how far it is no plane
EXPOSURES, TOLD = 1.0, 1e-3  # between pictures; of the first one, which the others follow
MATCHES = 0.05  # between two pictures of one place on small copies: places lie a little off
ROUNDS = 4  # of a fit that outliers have little say in
STRIP = 512  # rows lit at once


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
    pictures = list(_like_lit(pictures, masks))
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


def _like_lit(pictures: Sequence[Bgr], masks: Sequence[Mask]) -> Iterator[Bgr]:
    """Pictures brought to the first one's exposure and white and to one light, by what they show in common.

    Gains of each channel and picture, smooth over it, all solved at once (after Brown and Lowe 2007, who
    have one gain a picture): a lens darkens corners that lie in the middle of the next picture.
    """
    size = _small_size(masks[0].shape)
    logs = [np.log(cv2.resize(p, size, interpolation=cv2.INTER_AREA) + 1.0) for p in pictures]
    seen = [cv2.resize(m.astype(np.float32), size, interpolation=cv2.INTER_AREA) > WHOLLY for m in masks]
    terms = [_terms(part) for part in seen]
    number = terms[0].shape[-1]
    tie = np.tile([1.0] * 3 + [BENT_LIGHT] * (number - 3), (len(pictures), 1)) * UNEVEN
    tie[:, 0], tie[0, 0] = EXPOSURES, TOLD
    rows, apart = [np.diag(MATCHES / tie.ravel())], [np.zeros((tie.size, 3))]
    for n in range(len(pictures)):
        for other in range(n):
            both = seen[n] & seen[other]
            row = np.zeros((int(both.sum()), len(pictures), number))
            row[:, n], row[:, other] = terms[n][both], -terms[other][both]
            rows.append(row.reshape(len(row), tie.size))
            apart.append((logs[n] - logs[other])[both])
    design, wanted = np.concatenate(rows), np.concatenate(apart)
    trust = np.ones((len(design), 1))
    for _ in range(ROUNDS):
        light = np.linalg.lstsq(design * trust, wanted * trust, rcond=None)[0]
        left = np.abs(wanted - design @ light).max(axis=1, keepdims=True)
        trust = 1 / np.hypot(1, left / MATCHES)
        trust[: tie.size] = 1
    for picture, of_one, shapes in zip(pictures, light.reshape(len(pictures), number, 3), terms, strict=True):
        gain = np.exp(-shapes @ of_one).astype(np.float32)
        yield _lit(picture, gain)


def _lit(picture: Bgr, gain: NDArray[np.float32]) -> Bgr:
    """The picture times gains on a small copy, strip by strip: a whole one in floats takes much memory."""
    height, width = picture.shape[:2]
    lit = np.empty_like(picture)
    for top in range(0, height, STRIP):
        part = np.s_[top : top + STRIP]
        rows = len(picture[part])
        to_small = np.array([
            [gain.shape[1] / width, 0, gain.shape[1] / (2 * width) - 0.5],
            [0, gain.shape[0] / height, (top + 0.5) * gain.shape[0] / height - 0.5],
        ])  # fmt: skip
        how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        smooth = cv2.warpAffine(gain, to_small, (width, rows), flags=how, borderMode=cv2.BORDER_REPLICATE)
        cv2.multiply(picture[part], smooth, dst=lit[part], dtype=cv2.CV_8U)
    return lit


def _terms(seen: Mask) -> NDArray[np.float64]:
    """Powers of the place up to the second, (h, w, 6), from -1 to 1 where a picture is seen."""
    y, x = np.mgrid[: seen.shape[0], : seen.shape[1]].astype(np.float64)
    for place in (x, y):
        if seen.any():
            low, high = place[seen].min(), place[seen].max()
            place[:] = np.clip((place - (low + high) / 2) / max((high - low) / 2, 1.0), -1.2, 1.2)
    return np.stack([np.ones_like(x), x, y, x * x - 1 / 3, x * y, y * y - 1 / 3], axis=-1)


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
