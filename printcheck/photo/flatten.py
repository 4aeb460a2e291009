"""From an opened photo and a scale to a flat picture of the cloth: tilt and lens undone, cloth masked."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Literal

import cv2
import numpy as np

from printcheck.core.handover import Bgr, FlatCloth, Floats, Mask, Picture
from printcheck.core.measurement import Scale
from printcheck.core.request import ScaleRequest
from printcheck.photo.decode import open_picture
from printcheck.photo.scale.sampling import shrunk
from printcheck.photo.scale.sighting import Sighting, centre_px, to_picture_px
from printcheck.photo.scale.unscaled import sight_if_any

Selvedge = Literal["vertical", "horizontal"]

LONGEST_PX = 2000  # px: a flat picture with more makes the later rooms slow and no surer
FARTHEST_STRETCH = 2.5  # times the centre's scale: cloth seen smaller than this is left out of the picture
SAME_PX = 0.25  # px: a warp that moves no pixel further than this is left undone
HIDDEN_BLUR_PX = 1  # px: hidden polygons are widened by this much, for the resampling


def flatten_photo(
    photo: Path | Picture,
    request: ScaleRequest,
    *,
    selvedge: Selvedge = "vertical",
) -> FlatCloth:
    """A flat picture of the cloth in a photo, with its scale.

    Parameters
    ----------
    photo : Path or Picture
        The photo; see :func:`printcheck.photo.decode.open_picture`.
    request : ScaleRequest
        The scale, or the object of known size to look for.
    selvedge : {"vertical", "horizontal"}, keyword-only
        How the cloth's selvedge runs in the photo; a horizontal one turns the picture by a quarter.

    Returns
    -------
    FlatCloth
        ``scale.mm_per_px`` is per photo pixel at the photo's centre (the geometric mean of both ways).

    Raises
    ------
    InputError
        For a broken photo or a request that it cannot meet.
    NoAnswerError
        ``no-reference`` where an object was named and is not in sight.
    """
    picture = photo if isinstance(photo, Picture) else open_picture(photo)
    flat = lay_flat(picture, sight_if_any(picture, request, selvedge=selvedge))
    return quarter_turned(flat) if selvedge == "horizontal" else flat


def quarter_turned(cloth: FlatCloth) -> FlatCloth:
    """The cloth turned to the left, so that a selvedge that ran across the picture runs up it."""
    last = cloth.bgr.shape[1] - 1.0  # new (x, y) was at (last - y, x)
    return replace(
        cloth,
        bgr=np.ascontiguousarray(np.rot90(cloth.bgr)),
        mask=np.ascontiguousarray(np.rot90(cloth.mask)),
        to_photo=cloth.to_photo @ np.array([[0.0, -1.0, last], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]),
    )


def lay_flat(picture: Picture, sighting: Sighting) -> FlatCloth:
    """Undo the tilt that a sighting shows, and mask what is not cloth."""
    picture = shrunk(picture, LONGEST_PX)  # so that no warp has to skip pixels
    centre = centre_px(picture)
    scale = Scale(
        sighting.source,
        sighting.mm_per_px(centre),
        sighting.relative_error,
        sighting.tilt_deg,
        sighting.object,
    )
    to_photo, size, mm_per_px = _frame(picture, sighting)
    bgr, mask = _warped(picture, sighting, to_photo, size)
    return FlatCloth(
        bgr,
        mask,
        mm_per_px,
        to_photo,
        picture.facts,
        scale,
        sighting.outline_px,
        sighting.findings,
        0.0 if sighting.pose is None else math.degrees(sighting.pose.lean_sigma(centre)),
        sighting.scale_known,
        picture.bgr,
    )


def _frame(picture: Picture, sighting: Sighting) -> tuple[Floats, tuple[int, int], float]:
    """Homography from flat to photo pixels, width and height of the flat picture, and its mm per pixel.

    The flat picture is turned so that the photo's up stays up at the photo's centre, and is as fine as
    the photo is there, or as ``LONGEST_PX`` allows.
    """
    centre = centre_px(picture)
    to_mm = _upright(sighting.to_mm, centre)
    left, top, right, bottom = _extent_mm(picture, to_mm, sighting.mm_per_px(centre))
    finest = sighting.mm_per_px(centre) * picture.reduction
    mm_per_px = max(finest, (right - left) / LONGEST_PX, (bottom - top) / LONGEST_PX)
    size = (max(1, round((right - left) / mm_per_px)), max(1, round((bottom - top) / mm_per_px)))
    from_flat = np.array(
        [[mm_per_px, 0, left + mm_per_px / 2], [0, mm_per_px, top + mm_per_px / 2], [0, 0, 1.0]]
    )
    return np.linalg.inv(to_mm) @ from_flat, size, mm_per_px


def _upright(to_mm: Floats, centre: tuple[float, float]) -> Floats:
    """The same homography, turned and moved so that the photo's centre is 0, 0 and its up is up there."""
    u, _, vt = np.linalg.svd(jacobian(to_mm, centre))
    turn = np.eye(3)
    turn[:2, :2] = (u @ vt).T  # polar decomposition: the nearest rotation, undone
    turned = turn @ to_mm
    at = turned @ np.array([*centre, 1.0])
    move = np.eye(3)
    move[:2, 2] = -at[:2] / at[2]
    out: Floats = move @ turned
    return np.asarray(out / np.sign((out @ np.array([*centre, 1.0]))[2]))


def jacobian(matrix: Floats, at: tuple[float, float]) -> Floats:
    """Derivative of a homography at a point, (2, 2)."""
    point = matrix @ np.array([*at, 1.0])
    mapped = point[:2] / point[2]
    return np.asarray((matrix[:2, :2] - mapped[:, None] * matrix[None, 2, :2]) / point[2])


def _extent_mm(picture: Picture, to_mm: Floats, here: float) -> tuple[float, float, float, float]:
    """Box in mm of the cloth that the photo shows, without parts that are seen much too small."""
    width, height = picture.facts.width_px, picture.facts.height_px
    x, y = np.meshgrid(np.linspace(-0.5, width - 0.5, 33), np.linspace(-0.5, height - 0.5, 33))
    seen = np.stack([x.ravel(), y.ravel(), np.ones(x.size)]).T @ to_mm.T
    depth = seen[:, 2]
    scale = np.sqrt(abs(np.linalg.det(to_mm)) / np.maximum(depth, 1e-12) ** 3)
    kept = (depth > 0) & (scale < FARTHEST_STRETCH * here)
    plane = seen[kept, :2] / depth[kept, None]
    (left, top), (right, bottom) = plane.min(0), plane.max(0)
    return float(left), float(top), float(right), float(bottom)


def _warped(
    picture: Picture, sighting: Sighting, to_photo: Floats, size: tuple[int, int]
) -> tuple[Bgr, Mask]:
    reduce = np.diag([1 / picture.reduction, 1 / picture.reduction, 1.0])
    reduce[:2, 2] = 0.5 / picture.reduction - 0.5
    to_picture = reduce @ to_photo
    height, width = picture.bgr.shape[:2]
    if size == (width, height) and not sighting.lens_k1 and _moves_nothing(to_picture, size):
        bgr, mask = picture.bgr, np.ones((height, width), bool)
    elif sighting.lens_k1 and sighting.pose is not None:
        bgr, mask = _remapped(picture, sighting, to_picture, size)
    else:
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        warped = cv2.warpPerspective(
            picture.bgr, to_picture, size, flags=flags, borderMode=cv2.BORDER_REPLICATE
        )
        bgr, mask = np.asarray(warped, np.uint8), _inside(to_picture, size, (width, height))
    if sighting.hidden_px:
        mask = mask & ~_hidden(picture, sighting, to_picture, size)
    return bgr, mask


def _moves_nothing(to_picture: Floats, size: tuple[int, int]) -> bool:
    corners = np.array([[0, 0, 1], [size[0] - 1, 0, 1], [0, size[1] - 1, 1], [size[0] - 1, size[1] - 1, 1.0]])
    moved = corners @ to_picture.T
    return bool(np.all(np.abs(moved[:, :2] / moved[:, 2:] - corners[:, :2]) < SAME_PX))


def _inside(to_picture: Floats, size: tuple[int, int], picture_size: tuple[int, int]) -> Mask:
    """Where the flat picture lies within the photo: a polygon, being a convex quadrangle's image."""
    width, height = picture_size
    edge = np.array([[0, 0, 1], [width - 1, 0, 1], [width - 1, height - 1, 1], [0, height - 1, 1.0]])
    seen = edge @ np.linalg.inv(to_picture).T
    if np.all(seen[:, 2] > 0) or np.all(seen[:, 2] < 0):
        mask = np.zeros(size[::-1], np.uint8)
        cv2.fillConvexPoly(mask, np.rint(seen[:, :2] / seen[:, 2:]).astype(np.int32), 1)
        return mask.astype(bool)
    rows, columns = np.mgrid[: size[1], : size[0]]
    at = np.stack([columns, rows, np.ones_like(rows)], -1) @ to_picture.T  # the horizon is in the photo
    x, y = at[..., 0] / at[..., 2], at[..., 1] / at[..., 2]
    return np.asarray((at[..., 2] > 0) & (x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1))


def _remapped(
    picture: Picture, sighting: Sighting, to_picture: Floats, size: tuple[int, int]
) -> tuple[Bgr, Mask]:
    """Warp that also undoes the lens's k1, measured in focal lengths from the centre."""
    assert sighting.pose is not None
    centre = to_picture_px(np.array(sighting.pose.centre_px), picture)
    focal = math.exp(float(sighting.pose.numbers[6])) / picture.reduction
    columns, rows = np.arange(size[0], dtype=np.float32), np.arange(size[1], dtype=np.float32)[:, None]
    m = to_picture.astype(np.float32)
    depth = m[2, 0] * columns + m[2, 1] * rows + m[2, 2]
    x = (m[0, 0] * columns + m[0, 1] * rows + m[0, 2]) / depth - np.float32(centre[0])
    y = (m[1, 0] * columns + m[1, 1] * rows + m[1, 2]) / depth - np.float32(centre[1])
    bend = 1 + np.float32(sighting.lens_k1 / focal**2) * (x * x + y * y)
    x, y = x * bend + np.float32(centre[0]), y * bend + np.float32(centre[1])
    bgr = np.asarray(
        cv2.remap(picture.bgr, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.uint8
    )
    height, width = picture.bgr.shape[:2]
    return bgr, np.asarray((x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1) & (depth > 0))


def _hidden(picture: Picture, sighting: Sighting, to_picture: Floats, size: tuple[int, int]) -> Mask:
    covered = np.zeros(size[::-1], np.uint8)
    back = np.linalg.inv(to_picture)
    for polygon in sighting.hidden_px:
        points = np.concatenate([to_picture_px(polygon, picture), np.ones((len(polygon), 1))], 1) @ back.T
        flat = np.rint(points[:, :2] / points[:, 2:]).astype(np.int32)
        cv2.fillPoly(covered, [flat], 1)
        cv2.polylines(covered, [flat], True, 1, thickness=2 * HIDDEN_BLUR_PX)
    return covered.astype(bool)
