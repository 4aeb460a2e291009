"""Scale as the user states it: millimetres per pixel, the width of the photo, two points, four corners."""

from __future__ import annotations

import math

import cv2
import numpy as np

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding, finding
from printcheck.core.handover import Floats, Picture
from printcheck.core.request import Corners, Given, PhotoWidth, Span
from printcheck.photo.scale.pose import camera_of, fit_pose, scale_of_pair
from printcheck.photo.scale.sighting import UNKNOWN_TILT_DEG, Sighting, hidden_by, untilted

GIVEN_ERROR = 0.001  # share: a stated scale is taken at its word, to three figures
PHOTO_WIDTH_ERROR = 0.01  # share: the cloth at the photo's two edges is measured with a tape, tilt unknown
POINTING_PX_OF_LONG_SIDE = 0.0005  # of the long side: how well a person points at a place, one sigma
LENGTH_ERROR_MM = 0.5  # mm: how well a person measures between two marks on cloth, one sigma
LEAST_SPAN_SHARE = 0.02  # of the long side: two points nearer than this cannot carry a scale
LEAST_AREA_SHARE = 0.001  # of the photo: smaller rectangles cannot carry a scale
LARGEST_TILT_DEG = 60.0  # degrees: corners that ask for more are not those of a rectangle of this size
LARGEST_MISFIT = 50.0  # chi2 of 8 coordinates: beyond it no camera sees such a rectangle there
CONTRADICTION_SIGMAS = 3.0  # pointing sigmas of misfit that are worth a remark


def given(request: Given, picture: Picture) -> Sighting:
    """Scale of ``--mm-per-px`` or ``--dpi``, taken at its word."""
    return Sighting("given", request.by, untilted(request.mm_per_px), GIVEN_ERROR)


def photo_width(request: PhotoWidth, picture: Picture) -> Sighting:
    """Scale of ``--photo-width``: the photo's outer edges are this far apart on the cloth."""
    mm_per_px = request.width_mm / picture.facts.width_px
    return Sighting(
        "given",
        "--photo-width",
        untilted(mm_per_px),
        PHOTO_WIDTH_ERROR,
        findings=(finding("scale-tilt-unknown", what="the width of the photo", percent=1.0),),
    )


def span(request: Span, picture: Picture) -> Sighting:
    """Scale of two points and their distance; the tilt stays unknown and is put into the error."""
    start, end = np.array(request.start_px), np.array(request.end_px)
    _inside(np.stack([start, end]), picture, "--span")
    long_side = max(picture.facts.width_px, picture.facts.height_px)
    length_px = float(np.linalg.norm(end - start))
    if length_px < LEAST_SPAN_SHARE * long_side:
        raise InputError(
            "span-too-short",
            f"--span: the two points are only {length_px:.0f} pixels apart.",
            "Give two points far apart, half the photo's width or more.",
        )
    error = _span_error(start, end, request.length_mm, picture)
    return Sighting(
        "span",
        "two points",
        untilted(request.length_mm / length_px),
        error,
        outline_px=np.stack([start, end]),
        findings=(finding("scale-tilt-unknown", what="two points", percent=100 * error),),
    )


def _span_error(start: Floats, end: Floats, length_mm: float, picture: Picture) -> float:
    """Pointing, measuring, and a tilt that two points cannot show.

    A tilt t shrinks a span that runs up the slope by cos t, and makes a span whose middle lies off the
    picture's centre by d (in focal lengths) read 1 + d tan t.
    """
    length_px = float(np.linalg.norm(end - start))
    pointing = math.sqrt(2) * POINTING_PX_OF_LONG_SIDE * max(picture.facts.width_px, picture.facts.height_px)
    camera = camera_of(picture)
    off = np.linalg.norm((start + end) / 2 - np.array(camera.centre_px)) / camera.focal_px
    tilt = math.radians(UNKNOWN_TILT_DEG)
    return math.hypot(
        pointing / length_px,
        LENGTH_ERROR_MM / max(length_mm, 1.0),
        float(off) * tilt / math.sqrt(2),
        tilt**2 / 4,
    )


def corners(request: Corners, picture: Picture) -> Sighting:
    """Scale and tilt of four corners of a rectangle of known size."""
    seen = np.array(request.corners_px, float)
    _inside(seen, picture, "--corners")
    seen = in_order(seen)
    area = cv2.contourArea(seen.astype(np.float32))
    if area < LEAST_AREA_SHARE * picture.facts.width_px * picture.facts.height_px or not _convex(seen):
        raise InputError(
            "corners-degenerate",
            "--corners: the four points do not go round a rectangle that can be seen.",
            "Give the four corners in order round it: top left, top right, bottom right, bottom left.",
        )
    plane = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float) * [request.width_mm, request.height_mm]
    pointing = POINTING_PX_OF_LONG_SIDE * max(picture.facts.width_px, picture.facts.height_px)
    pair = fit_pose(plane, seen, sigma_px=pointing, camera=camera_of(picture))
    pose = pair[0]
    if pose.tilt_deg > LARGEST_TILT_DEG or pose.chi2 > LARGEST_MISFIT:
        raise InputError(
            "corners-not-a-rectangle",
            f"--corners: no camera sees a {request.width_mm:g} x {request.height_mm:g} mm rectangle there.",
            "Check the order of the corners (the first side is the width) and the size.",
        )
    findings: tuple[Finding, ...] = ()
    if pose.chi2 > CONTRADICTION_SIGMAS**2:
        findings = (finding("corners-misfit"),)
    _, error = scale_of_pair(pair, pose.centre_px)
    size_mm = request.width_mm, request.height_mm
    side_mm = math.sqrt(size_mm[0] * size_mm[1])
    from printcheck.photo.scale.rectangle.marked import lies_on_cloth  # the finders of cards with it

    return Sighting(
        "corners",
        "four corners",
        np.asarray(np.linalg.inv(pose.to_photo), float),
        math.hypot(error, LENGTH_ERROR_MM / side_mm),
        tilt_deg=pose.tilt_deg,
        outline_px=seen,
        hidden_px=hidden_by(seen) if lies_on_cloth(picture, seen, size_mm) else (),
        findings=findings,
        pose=pose,
    )


def in_order(seen: Floats) -> Floats:
    """Four corners in order round, clockwise in the picture, starting with the first given.

    Corners given crossed are uncrossed by swapping the second pair that keeps the first side where it
    can; corners given the other way round keep the first side as the width.
    """
    turn = _turns(seen)
    if np.all(turn > 0):
        return seen
    if np.all(turn < 0):  # the other way round: keep the first side as the width
        return seen[[1, 0, 3, 2]]
    swapped = seen[[0, 1, 3, 2]]
    return in_order(swapped) if _convex(swapped) else seen


def _convex(seen: Floats) -> bool:
    return abs(int(np.sign(_turns(seen)).sum())) == len(seen)


def _turns(seen: Floats) -> Floats:
    """Cross product of each side with the next."""
    x, y = (np.roll(seen, -1, 0) - seen).T
    return np.asarray(x * np.roll(y, -1) - y * np.roll(x, -1))


def _inside(points: Floats, picture: Picture, option: str) -> None:
    """Refuse points off the photo; half a pixel of slack for its very edge."""
    width, height = picture.facts.width_px, picture.facts.height_px
    low, high = np.array([-0.5, -0.5]), np.array([width - 0.5, height - 0.5])
    if np.any(points < low) or np.any(points > high):
        raise InputError(
            "point-outside-photo",
            f"{option}: a point lies outside the photo, which is {width} x {height} pixels.",
            "Give pixel coordinates of the photo as it is shown upright; 0,0 is the top left.",
        )
