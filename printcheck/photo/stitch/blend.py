"""Views that lie in one frame made one picture: parted midway, the light evened between them.

A step of brightness along a seam would be a line of the print to whoever looks for its repeat. The
exposures are made alike first. Then detail is each part's own, and broad light runs over from view to view
(two bands of Burt and Adelson 1983, whose integer pyramids in general libraries lose several grey levels).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.photo.stitch.view import LIGHT_PX, summed_light

if TYPE_CHECKING:
    from printcheck.core.handover import Bgr, Mask

WHOLLY = 0.99  # of a small copy's pixel that a view covers
# logarithms of light, one sigma each
UNEVEN, BENT_LIGHT = 0.2, 0.7  # from the middle to the edge of a picture; and of that, how far it is no plane
EXPOSURES, TOLD = 1.0, 1e-3  # between pictures; of the first one, which the others follow
MATCHES = 0.05  # between two pictures of one place on small copies: places lie a little off
ROUNDS = 4  # of a fit that outliers have little say in
BLENDED_PX = 768  # longest side of the copies whose light runs over from view to view
STRIP = 512  # rows lit at once


@dataclass(frozen=True)
class Tile:
    """A picture in its place on a larger one, of which it covers only a part.

    Parameters
    ----------
    bgr : (h, w, 3) uint8
    mask : (h, w) bool
        Where it shows cloth.
    left, top : int
        Of its first pixel on the whole.
    """

    bgr: Bgr
    mask: Mask
    left: int
    top: int

    @property
    def part(self) -> tuple[slice, slice]:
        """The part of the whole that it covers."""
        height, width = self.mask.shape
        return np.s_[self.top : self.top + height, self.left : self.left + width]

    def small(
        self, picture: NDArray[Any], shape: tuple[int, int], longest: int = LIGHT_PX
    ) -> NDArray[np.float32]:
        """A small copy of a whole on which nothing but this picture, of the tile's size, lies."""
        whole = np.zeros((*shape, *picture.shape[2:]), picture.dtype)
        whole[self.part] = picture
        size = _small_size(shape, longest)
        return np.asarray(cv2.resize(whole, size, interpolation=cv2.INTER_AREA), np.float32)


def blended(tiles: Sequence[Tile], shape: tuple[int, int]) -> tuple[Bgr, Mask]:
    """One picture of several in the same frame.

    Parameters
    ----------
    tiles : sequence of Tile
        Their pixels are changed.
    shape : (H, W)
        Of the whole.

    Returns
    -------
    (H, W, 3) uint8
        0 where none shows cloth.
    (H, W) bool
        Where any does.
    """
    _light_alike(tiles, shape)
    side_by_side, parts, depths = _parted(tiles, shape)
    seen = np.asarray(parts >= 0)
    lights, whole = [], np.zeros(1, np.float32)
    for tile, depth in zip(tiles, depths, strict=True):
        # where a view shows no cloth the others stand in, so that edges make no light
        filled = side_by_side.copy()
        filled[tile.part][tile.mask] = tile.bgr[tile.mask]
        light, total = summed_light(filled, seen, BLENDED_PX)
        light /= np.maximum(total, 1e-6)[..., None]
        whole = whole + depth[..., None] * light
        lights.append(light.astype(np.float16))  # there is one for each photo
    depth_of_all = np.sum(depths, axis=0)[..., None]
    for n, (tile, own) in enumerate(zip(tiles, lights, strict=True)):
        lacking = ((whole - depth_of_all * own) / np.maximum(depth_of_all, 1e-6)).astype(np.float32)
        for rows, light in _strips(tile, lacking, shape):
            evened = cv2.add(side_by_side[rows], light, dtype=cv2.CV_8U)
            cv2.copyTo(evened, (parts[rows] == n).astype(np.uint8), side_by_side[rows])
    return side_by_side, seen


def _light_alike(tiles: Sequence[Tile], shape: tuple[int, int]) -> None:
    """Bring pictures, in place, to the first one's exposure and white, and to one light.

    They are compared where they show the same cloth.

    Gains of each channel and picture, smooth over it, all solved at once (after Brown and Lowe 2007, who
    have one gain a picture): a lens darkens corners that lie in the middle of the next picture.
    """
    logs = [np.log(tile.small(tile.bgr, shape) + 1.0) for tile in tiles]
    seen = [tile.small(tile.mask.astype(np.float32), shape) > WHOLLY for tile in tiles]
    terms = [_terms(part) for part in seen]
    number = terms[0].shape[-1]
    tie = np.tile([1.0] * 3 + [BENT_LIGHT] * (number - 3), (len(tiles), 1)) * UNEVEN
    tie[:, 0], tie[0, 0] = EXPOSURES, TOLD
    links = []
    for n in range(len(tiles)):
        for other in range(n):
            both = seen[n] & seen[other]
            at = np.r_[n * number : (n + 1) * number, other * number : (other + 1) * number]
            row = np.concatenate([terms[n][both], -terms[other][both]], axis=1)
            links.append((at, row, (logs[n] - logs[other])[both]))
    trusts, light = [np.ones((len(row), 1)) for _, row, _ in links], np.zeros((tie.size, 3))
    for _ in range(ROUNDS):
        normal, wanted = np.diag((MATCHES / tie.ravel()) ** 2), np.zeros((tie.size, 3))
        for (at, row, apart), trust in zip(links, trusts, strict=True):
            normal[np.ix_(at, at)] += (row * trust).T @ row
            wanted[at] += (row * trust).T @ apart
        light = np.asarray(np.linalg.solve(normal, wanted), np.float64)
        trusts = [
            1 / (1 + np.square((apart - row @ light[at]) / MATCHES).max(axis=1, keepdims=True))
            for at, row, apart in links
        ]
    for tile, of_one, shapes in zip(tiles, light.reshape(len(tiles), number, 3), terms, strict=True):
        for rows_of, gain in _strips(tile, np.exp(-shapes @ of_one).astype(np.float32), shape):
            strip = slice(rows_of[0].start - tile.top, rows_of[0].stop - tile.top)
            cv2.multiply(tile.bgr[strip], gain, dst=tile.bgr[strip], dtype=cv2.CV_8U)


def _strips(
    tile: Tile, small: NDArray[np.float32], shape: tuple[int, int]
) -> Iterator[tuple[tuple[slice, slice], NDArray[np.float32]]]:
    """Parts of the whole that the tile covers, with what a small copy of the whole has there.

    Strip by strip: a whole picture in floats takes much memory.
    """
    height, width = tile.mask.shape
    across, down = small.shape[1] / shape[1], small.shape[0] / shape[0]
    for top in range(tile.top, tile.top + height, STRIP):
        end = min(top + STRIP, tile.top + height)
        to_small = np.array([
            [across, 0, (tile.left + 0.5) * across - 0.5],
            [0, down, (top + 0.5) * down - 0.5],
        ])  # fmt: skip
        how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        there = cv2.warpAffine(
            small, to_small, (width, end - top), flags=how, borderMode=cv2.BORDER_REPLICATE
        )
        yield np.s_[top:end, tile.left : tile.left + width], np.asarray(there, np.float32)


def _terms(seen: Mask) -> NDArray[np.float64]:
    """Powers of the place up to the second, (h, w, 6), from -1 to 1 where a picture is seen."""
    y, x = np.mgrid[: seen.shape[0], : seen.shape[1]].astype(np.float64)
    for place in (x, y):
        if seen.any():
            low, high = place[seen].min(), place[seen].max()
            place[:] = np.clip((place - (low + high) / 2) / max((high - low) / 2, 1.0), -1.2, 1.2)
    return np.stack([np.ones_like(x), x, y, x * x - 1 / 3, x * y, y * y - 1 / 3], axis=-1)


def _small_size(shape: tuple[int, ...], longest: int) -> tuple[int, int]:
    """Width and height of a copy of this longest side."""
    factor = longest / max(shape)
    return max(1, round(shape[1] * factor)), max(1, round(shape[0] * factor))


def _parted(
    tiles: Sequence[Tile], shape: tuple[int, int]
) -> tuple[Bgr, NDArray[np.int16], list[NDArray[np.float32]]]:
    """Each pixel from the view of whose edge it lies farthest; which that is; depths on small copies."""
    whole, nearest = np.zeros((*shape, 3), np.uint8), np.full(shape, -1, np.int16)
    best = np.zeros(shape, np.float32)
    depths = []
    for n, tile in enumerate(tiles):
        framed = cv2.copyMakeBorder(tile.mask.astype(np.uint8), 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
        depth = np.asarray(cv2.distanceTransform(framed, cv2.DIST_L2, 3), np.float32)[1:-1, 1:-1]
        deeper = depth > best[tile.part]
        nearest[tile.part][deeper], best[tile.part][deeper] = n, depth[deeper]
        whole[tile.part][deeper] = tile.bgr[deeper]
        depths.append(tile.small(depth, shape, BLENDED_PX))
    return whole, nearest, depths
