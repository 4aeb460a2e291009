"""Views that lie in one frame drawn as one flat picture of the cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import FlatCloth
from printcheck.photo.stitch.blend import blended
from printcheck.photo.stitch.view import Matrix, corners_of, moved

if TYPE_CHECKING:
    from printcheck.core.handover import Bgr, Mask

MOST_PX = 12_000_000  # of the joined picture: coarser beyond, the repeat being larger then too
LARGEST_TIMES = 30.0  # the first picture's side: a layout larger than this is none
WHOLLY = 250  # of 255: a warped pixel that lies wholly on cloth


@dataclass(frozen=True)
class Piece:
    """A picture, where it shows cloth, and its movement into the first one's pixels."""

    bgr: Bgr
    mask: Mask
    move: Matrix


def joined(first: FlatCloth, pieces: Sequence[Piece]) -> FlatCloth:
    """The first cloth's picture grown by the others'; its axes, scale and photo facts stand.

    Raises
    ------
    NoAnswerError
        ``photos-too-far-apart`` where the whole would be absurdly large.
    """
    outlines = [moved(corners_of((p.mask.shape[1], p.mask.shape[0])), p.move) for p in pieces]
    corners = np.concatenate(outlines)
    low, high = np.floor(corners.min(axis=0)), np.ceil(corners.max(axis=0))
    if not (high - low).max() < LARGEST_TIMES * max(first.mask.shape):
        raise NoAnswerError(
            "photos-too-far-apart",
            "The photos together are too large to lay on one another.",
            "Give fewer photos, or smaller ones.",
        )
    coarser = max(1.0, float(np.sqrt((high - low + 1).prod() / MOST_PX)))
    width, height = (int(v) for v in np.ceil((high - low + 1) / coarser))
    back = np.array([[coarser, 0, low[0]], [0, coarser, low[1]], [0, 0, 1.0]])
    pictures, masks = [], []
    for piece in pieces:
        place = np.linalg.inv(back) @ piece.move
        cover = cv2.warpPerspective(piece.mask.astype(np.uint8) * 255, place, (width, height)) > WHOLLY
        drawn = cv2.warpPerspective(piece.bgr, place, (width, height), flags=cv2.INTER_LINEAR)
        masks.append(np.asarray(cover))
        pictures.append(np.asarray(drawn * cover[..., None], np.uint8))
    return replace(
        first,
        bgr=blended(pictures, masks),
        mask=np.any(masks, axis=0),
        mm_per_px=first.mm_per_px * coarser,
        to_photo=first.to_photo @ back,
        photo_bgr=None,
    )
