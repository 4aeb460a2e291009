"""Several photos of one swatch as one flat picture, though only some may show the object of known size.

A shopper lays the card down once and takes overlapping photos round it. A photo without the object takes
its scale and its tilt from the cloth that it shows in common with one already laid flat.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.handover import FlatCloth, Picture, Working
from printcheck.core.request import Corners, PhotoWidth, ScaleRequest, Span
from printcheck.photo.decode import open_picture
from printcheck.photo.flatten import Selvedge, lay_flat, quarter_turned
from printcheck.photo.scale import sight
from printcheck.photo.scale.pose import local_scale
from printcheck.photo.scale.sighting import Sighting, centre_px, hidden_by
from printcheck.photo.scale.unscaled import sight_if_any
from printcheck.photo.scale_error import sureness
from printcheck.photo.stitch.composite import combine, do_not_belong
from printcheck.photo.stitch.offset import overlap
from printcheck.photo.stitch.similarity import (
    CAMERA,
    Overlap,
    Shown,
    corners_of,
    moved,
    resizing,
    shown,
    shown_whole,
)

if TYPE_CHECKING:
    from printcheck.core.handover import Floats

Progress = Callable[[str, float], None]

SIGHTED, LAID = 0.3, 0.6  # share of the work done when every photo was searched, and when all are flat
OF_ONE_PHOTO = (Corners, PhotoWidth, Span)  # stated in pixels, or for the frame, of the first photo alone
CORNER_ERROR = 0.02  # of the longest side, one sigma at a photo's far corners: less sure is not laid


def flatten_photos(
    photos: Sequence[Path | Picture],
    request: ScaleRequest,
    *,
    selvedge: Selvedge = "vertical",
    working: Callable[[Working], None] | None = None,
    progress: Progress = lambda stage, share: None,
) -> FlatCloth:
    """One flat picture of the cloth in several overlapping photos.

    Parameters
    ----------
    photos : sequence of Path or Picture
        Photos of one swatch. The one whose own scale is surest gives it to all.
    request, selvedge, working
        As for :func:`printcheck.photo.flatten.flatten_photo`. A scale stated as a width, two points or
        corners is the first photo's; the others take theirs from what they share with it.
    progress : callable, optional
        Told the stage in words and the share done.

    Raises
    ------
    InputError
        For a broken photo or a request that it cannot meet.
    NoAnswerError
        ``no-reference`` where no photo shows the object; ``photos-do-not-belong`` where one shares no part
        with the others.
    """
    if not photos:
        raise InputError("no-photo", "No photo was given.", "Name one photo or more.")
    laid: list[FlatCloth] = []
    waiting: list[Picture] = []
    for n, photo in enumerate(photos):
        picture = photo if isinstance(photo, Picture) else open_picture(photo)
        progress(f"looking at {picture.facts.file}", SIGHTED * n / len(photos))
        if laid and isinstance(request, OF_ONE_PHOTO):
            waiting.append(picture)
            continue
        try:
            laid.append(lay_flat(picture, sight(picture, request), working=working))
        except NoAnswerError as error:
            if error.code != "no-reference":
                raise
            waiting.append(picture)
    if not laid:  # where any object would do, the first photo lends the others its pixels
        laid.append(lay_flat(waiting[0], sight_if_any(waiting.pop(0), request), working=working))
    laid.sort(key=lambda cloth: cloth.scale.relative_error)
    beside = _laid_beside(laid, waiting, working, progress)
    progress("laying the photos together", LAID)
    joined = combine([*laid, *beside])
    if waiting:
        names = ", ".join(picture.facts.file for picture in waiting)
        remark = finding("photos-scale-shared", names=names, first=joined.photo.file)
        joined = replace(joined, findings=(*joined.findings, remark))
    return quarter_turned(joined) if selvedge == "horizontal" else joined


def _laid_beside(
    laid: Sequence[FlatCloth],
    waiting: Sequence[Picture],
    working: Callable[[Working], None] | None,
    progress: Progress,
) -> list[FlatCloth]:
    """The photos without a scale, each laid flat by way of one that is."""
    flat = [(cloth, shown_whole(cloth)) for cloth in laid]
    photos = [(picture, shown(picture.bgr, np.ones(picture.bgr.shape[:2], bool))) for picture in waiting]
    added: list[FlatCloth] = []
    while photos:
        share = SIGHTED + (LAID - SIGHTED) * len(added) / len(waiting)
        progress(f"laying {len(photos)} more beside the photo with the scale", share)
        tried = ((n, cloth, _lying(new, old)) for n, (_, new) in enumerate(photos) for cloth, old in flat)
        at, cloth, found = next((one for one in tried if one[2] is not None), (0, laid[0], None))
        if found is None:
            raise do_not_belong([picture.facts.file for picture, _ in photos])
        picture = photos.pop(at)[0]
        added.append(lay_flat(picture, _sighting(picture, cloth, found), working=working))
        flat.append((added[-1], shown_whole(added[-1])))
    return added


def _lying(new: Shown, old: Shown) -> Overlap | None:
    """How a photo lies on a flat picture; None where its far corners would lie anywhere."""
    found = overlap(new, old, CAMERA)
    if found is None:
        return None
    corners = corners_of(new.size)
    sigma = sureness(found).sigma(lambda move: moved(corners, move).ravel())
    return found if sigma < CORNER_ERROR * max(old.size) else None


def _sighting(picture: Picture, cloth: FlatCloth, found: Overlap) -> Sighting:
    """Scale and tilt of a photo from the flat cloth that it shows in common with another."""
    reduce = resizing(1 / picture.reduction, 1 / picture.reduction)
    to_flat = found.move @ reduce
    x, y, _ = reduce @ np.array([*centre_px(picture), 1.0])
    sigma = sureness(found).sigma(lambda move: np.array([math.log(local_scale(move, (x, y)))]))
    outline, hidden = _object_in(cloth, to_flat)
    return Sighting(
        cloth.scale.source,
        cloth.scale.object or "",
        np.diag([cloth.mm_per_px, cloth.mm_per_px, 1.0]) @ to_flat,
        math.hypot(cloth.scale.relative_error, sigma),
        outline_px=outline,
        hidden_px=hidden,
        why=f"what it shows in common with {cloth.photo.file}",
    )


def _object_in(cloth: FlatCloth, to_flat: Floats) -> tuple[Floats | None, tuple[Floats, ...]]:
    """Outline in a photo of an object that lies on the flat cloth, and what it hides there."""
    if cloth.outline_px is None or len(cloth.outline_px) < 3:
        return None, ()
    on_flat = moved(np.asarray(cloth.outline_px, np.float64), np.linalg.inv(cloth.to_photo))
    outline = moved(on_flat, np.linalg.inv(to_flat))
    x, y = np.clip(np.rint(on_flat.mean(0)).astype(int), 0, np.array(cloth.mask.shape[::-1]) - 1)
    return outline, () if cloth.mask[y, x] else hidden_by(outline)
