"""Views that lie in one frame drawn as one flat picture of the cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from printcheck.core.handover import Bgr, FlatCloth, Mask
from printcheck.photo.stitch.blend import Tile, blended
from printcheck.photo.stitch.view import Matrix, corners_of, moved

MOST_PX = 12_000_000  # of the joined picture: coarser beyond, the repeat being larger then too
WHOLLY = 250  # of 255: a warped pixel that lies wholly on cloth


@dataclass(frozen=True)
class Piece:
    """A picture, where it shows cloth, and its movement into the first one's pixels."""

    bgr: Bgr
    mask: Mask
    move: Matrix


def joined(first: FlatCloth, pieces: Sequence[Piece]) -> FlatCloth:
    """The first cloth's picture grown by the others'; its axes, scale and photo facts stand."""
    outlines = [moved(corners_of((p.mask.shape[1], p.mask.shape[0])), p.move) for p in pieces]
    corners = np.concatenate(outlines)
    low, high = np.floor(corners.min(axis=0)), np.ceil(corners.max(axis=0))
    coarser = max(1.0, float(np.sqrt((high - low + 1).prod() / MOST_PX)))
    width, height = (int(v) for v in np.ceil((high - low + 1) / coarser))
    back = np.array([[coarser, 0, low[0]], [0, coarser, low[1]], [0, 0, 1.0]])
    tiles = [_tile(piece, np.linalg.inv(back) @ piece.move, (width, height)) for piece in pieces]
    bgr, mask = blended(tiles, (height, width))
    return replace(
        first,
        bgr=bgr,
        mask=mask,
        mm_per_px=first.mm_per_px * coarser,
        to_photo=first.to_photo @ back,
        photo_bgr=None,
    )


def _tile(piece: Piece, place: Matrix, size: tuple[int, int]) -> Tile:
    """A piece drawn on the part of the whole, of this width and height, that it covers."""
    outline = moved(corners_of((piece.mask.shape[1], piece.mask.shape[0])), place)
    left, top = np.clip(np.floor(outline.min(axis=0)).astype(int), 0, size)
    right, low = np.clip(np.ceil(outline.max(axis=0)).astype(int) + 1, (left + 1, top + 1), size)
    to_tile = np.array([[1, 0, -left], [0, 1, -top], [0, 0, 1.0]]) @ place
    area = int(right - left), int(low - top)
    cover = cv2.warpPerspective(piece.mask.astype(np.uint8) * 255, to_tile, area) > WHOLLY
    drawn = cv2.warpPerspective(piece.bgr, to_tile, area, flags=cv2.INTER_LINEAR)
    return Tile(np.asarray(drawn, np.uint8), np.asarray(cover), int(left), int(top))
