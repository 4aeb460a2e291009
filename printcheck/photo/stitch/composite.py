"""Several overlapping photos of one swatch, laid together as one flat picture.

Every view has been laid flat at a scale of its own, so two views of the same cloth differ by a turn, a
shift and a hair of scale; :mod:`printcheck.photo.stitch.offset` finds them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.handover import FlatCloth
from printcheck.photo.scale.pose import local_scale
from printcheck.photo.stitch.adjust import settled
from printcheck.photo.stitch.blend import blended
from printcheck.photo.stitch.offset import overlap
from printcheck.photo.stitch.similarity import FLAT, Matrix, corners_of, moved, resizing, shown_whole

LARGEST_SIDE_PX = 12000  # of the joined picture
SCALE_REMARK = 0.01  # share of disagreement in scale worth a remark
WHOLLY = 250  # of 255: a warped pixel that lies wholly on cloth


def combine(cloths: Sequence[FlatCloth]) -> FlatCloth:
    """One flat picture of cloth from several that overlap.

    Parameters
    ----------
    cloths : sequence of FlatCloth
        Two or more views of the same swatch; the first one's axes, scale and photo facts stand.

    Returns
    -------
    FlatCloth
        The views laid together, with a finding that says how many there are.

    Raises
    ------
    InputError
        If there is no picture.
    NoAnswerError
        If a view shares no part with the others.
    """
    if not cloths:
        raise InputError("no-photo", "No photo was given.", "Name one photo or more.")
    views = [_rescaled(cloth, cloths[0].mm_per_px) for cloth in cloths]
    moves, scales = _laid_together(views)
    joined = _joined(views, moves)
    worst = max((abs(scale - 1) for scale in scales), default=0.0)
    findings = [*cloths[0].findings, finding("photos-combined", count=len(cloths))]
    if worst > SCALE_REMARK:
        findings.append(finding("photos-scales-differ", percent=100 * worst))
    error = float(np.hypot(cloths[0].scale.relative_error, worst / 2))
    return replace(joined, scale=replace(cloths[0].scale, relative_error=error), findings=tuple(findings))


def do_not_belong(names: Sequence[str]) -> NoAnswerError:
    """The answer when photos share no part with the others."""
    return NoAnswerError(
        "photos-do-not-belong",
        f"{', '.join(names)}: no part of the cloth was found that another of the photos shows as well.",
        "Let neighbouring photos overlap by a third or more, and photograph all from the same side.",
    )


def _rescaled(cloth: FlatCloth, mm_per_px: float) -> FlatCloth:
    """The view at the common scale."""
    factor = cloth.mm_per_px / mm_per_px
    if abs(factor - 1) < 1e-9:
        return cloth
    size = max(1, round(cloth.bgr.shape[1] * factor)), max(1, round(cloth.bgr.shape[0] * factor))
    how = cv2.INTER_AREA if factor < 1 else cv2.INTER_LINEAR
    bgr = np.asarray(cv2.resize(cloth.bgr, size, interpolation=how), dtype=np.uint8)
    mask = cv2.resize(cloth.mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
    back = resizing(cloth.bgr.shape[1] / size[0], cloth.bgr.shape[0] / size[1])
    return replace(cloth, bgr=bgr, mask=np.asarray(mask), mm_per_px=mm_per_px, to_photo=cloth.to_photo @ back)


def _laid_together(views: list[FlatCloth]) -> tuple[list[Matrix], list[float]]:
    """Movement of each view into the first one's pixels, each by way of a view already laid."""
    pictures = [shown_whole(view) for view in views]
    moves: dict[int, Matrix] = {0: np.eye(3)}
    scales = []
    while len(moves) < len(views):
        waiting = [n for n in range(len(views)) if n not in moves]
        tried = ((new, old, overlap(pictures[new], pictures[old], FLAT)) for new in waiting for old in moves)
        new, old, found = next(((n, o, f) for n, o, f in tried if f is not None), (0, 0, None))
        if found is None:
            raise do_not_belong([views[n].photo.file for n in waiting])
        moves[new] = moves[old] @ found.move
        scales.append(local_scale(found.move, (0.0, 0.0)))
    return settled(pictures, [moves[n] for n in range(len(views))]), scales


def _joined(views: list[FlatCloth], moves: list[Matrix]) -> FlatCloth:
    """All views in one picture."""
    corners = np.concatenate(
        [
            moved(corners_of((v.mask.shape[1], v.mask.shape[0])), move)
            for v, move in zip(views, moves, strict=True)
        ]
    )
    low = np.floor(corners.min(axis=0))
    width, height = (int(v) for v in np.ceil(corners.max(axis=0) - low) + 1)
    if max(width, height) > LARGEST_SIDE_PX:
        raise NoAnswerError(
            "photos-too-far-apart",
            "The photos together are too large to lay on one another.",
            "Give fewer photos, or smaller ones.",
        )
    shift = np.array([[1.0, 0.0, low[0]], [0.0, 1.0, low[1]], [0.0, 0.0, 1.0]])
    pictures, masks = [], []
    for view, move in zip(views, moves, strict=True):
        place, size = np.linalg.inv(shift) @ move, (width, height)
        cover = cv2.warpPerspective(view.mask.astype(np.uint8) * 255, place, size) > WHOLLY
        drawn = cv2.warpPerspective(view.bgr, place, size, flags=cv2.INTER_LINEAR)
        masks.append(np.asarray(cover))
        pictures.append(np.asarray(drawn * cover[..., None], np.uint8))
    mask = np.any(masks, axis=0)
    return replace(
        views[0],
        bgr=blended(pictures, masks),
        mask=mask,
        to_photo=views[0].to_photo @ shift,
        photo_bgr=None,
    )
