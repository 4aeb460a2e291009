"""Two pictures of one cloth made ready for comparing, the movements between them, and how alike they are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.photo.scale.pose import local_scale

if TYPE_CHECKING:
    from printcheck.core.handover import Bgr, FlatCloth, Mask

Matrix = NDArray[np.float64]  # (3, 3) homography, or (n, 2) places: x right and y down
Lab = NDArray[np.float32]

FINE_PX = 700  # longest side of the pictures in which places are measured
COARSE_PX = 240  # longest side of those that are compared
LEAST_OVERLAP = 0.1  # of the smaller picture
# A repeating print fits one repeat on as well: the fit whose overlap is as photos are taken is likeliest.
USUAL_OVERLAP = 0.35  # of the smaller picture
OVERLAP_COST = 0.12  # of likeness, for each unit of overlap off the usual
LIGHT_SHARE = 12  # pictures per sigma: light broader than this is no print
LIGHT_PX = 96  # longest side at which light is blurred
MOST_SCALE = 0.05  # share by which two flat pictures of one cloth may differ in scale
MOST_TURN_DEG = 25.0
MOST_ZOOM = 2.0  # times nearer or farther that two photos of one swatch are taken
MOST_STRETCH = 2.5  # times the middle's scale at a corner: more is no photo from above


@dataclass(frozen=True)
class Copy:
    """A picture with its broad light taken off, shrunk.

    Parameters
    ----------
    lab : (h, w, 3) float32
        0 where no cloth is seen.
    seen : (h, w) bool
    from_whole : (3, 3) float64
        From the whole picture's pixels to these.
    """

    lab: Lab
    seen: Mask
    from_whole: Matrix

    @property
    def size(self) -> tuple[int, int]:
        """Width and height."""
        return self.seen.shape[1], self.seen.shape[0]


@dataclass(frozen=True)
class Shown:
    """A picture of cloth, of a width and height, made ready for comparing."""

    size: tuple[int, int]
    fine: Copy
    coarse: Copy


@dataclass(frozen=True)
class Motion:
    """A kind of movement between two pictures.

    Parameters
    ----------
    fit : callable
        Movement (3, 3) that most of the pairs (n, 2), (n, 2) agree on within a reach, and which do.
    allowed : callable
        Whether a camera makes such a movement between two pictures of these sizes.
    zooms : tuple of float
        Sizes at which one picture is to be slid over the other.
    """

    fit: Callable[[Matrix, Matrix, float], tuple[Matrix | None, NDArray[np.bool_]]]
    allowed: Callable[[Matrix, tuple[int, int], tuple[int, int]], bool]
    zooms: tuple[float, ...] = (1.0,)


@dataclass(frozen=True)
class Overlap:
    """How a picture lies on another: ``move`` takes its pixels to the other's, as ``pairs`` bear out.

    Parameters
    ----------
    move : (3, 3) float64
    pairs : (n, 2, 2) float64
        Places that agree: in the picture, and in the other.
    likeness : float
        Correlation of the two where they overlap.
    """

    move: Matrix
    pairs: Matrix = field(repr=False)
    likeness: float


def shown(bgr: Bgr, mask: Mask) -> Shown:
    """Make a picture ready for comparing; it shows cloth where the mask is true."""
    height, width = mask.shape
    return Shown((width, height), _copy(bgr, mask, FINE_PX), _copy(bgr, mask, COARSE_PX))


def shown_whole(cloth: FlatCloth) -> Shown:
    """Make a flat picture ready for comparing, the object of known size with it: it lies still on the cloth.

    The photo's own outline is convex, so it is the hull of what was left of it.
    """
    edge, _ = cv2.findContours(cloth.mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    hull = cv2.convexHull(np.concatenate(edge))
    whole = cv2.fillConvexPoly(np.zeros(cloth.mask.shape, np.uint8), hull, 1)
    return shown(cloth.bgr, np.asarray(whole > 0))


def moved(places: Matrix, move: NDArray[np.floating[Any]]) -> Matrix:
    """Places (n, 2) moved by a homography."""
    return np.asarray(
        cv2.perspectiveTransform(np.asarray(places, np.float64)[:, None], move)[:, 0], np.float64
    )


def corners_of(size: tuple[int, int]) -> Matrix:
    """Middles of a picture's corner pixels (4, 2), in order round it."""
    right, low = size[0] - 1, size[1] - 1
    return np.array([[0, 0], [right, 0], [right, low], [0, low]], dtype=np.float64)


def resizing(x: float, y: float) -> Matrix:
    """From a picture's pixels (middles at whole numbers) to those of a copy so many times as large."""
    return np.array([[x, 0, x / 2 - 0.5], [0, y, y / 2 - 0.5], [0, 0, 1.0]])


def likeness(new: Copy, old: Copy, move: Matrix) -> float:
    """Correlation of two copies over their overlap; 0 for too small an overlap.

    Of equally good places the one whose overlap is the more usual wins.
    """
    laid = cv2.warpPerspective(new.lab, move, old.size, flags=cv2.INTER_LINEAR)
    cover = cv2.warpPerspective(new.seen.astype(np.uint8), move, old.size, flags=cv2.INTER_NEAREST) > 0
    both = cover & old.seen
    area = cv2.contourArea(moved(corners_of(new.size), move).astype(np.float32)) * float(new.seen.mean())
    smaller = min(float(old.seen.sum()), area)
    if not both.any() or both.sum() < LEAST_OVERLAP * smaller:
        return 0.0
    a, b = laid[both].ravel(), old.lab[both].ravel()
    alike = float((a @ b) / np.sqrt((a @ a) * (b @ b) + 1e-9))
    return float(alike - OVERLAP_COST * abs(both.sum() / smaller - USUAL_OVERLAP))


def broad_light(picture: Lab, seen: Mask) -> Lab:
    """Mean colour round about each pixel, (H, W, 3), of what is seen; blurred on a copy of ``LIGHT_PX``."""
    height, width = seen.shape
    factor = LIGHT_PX / max(height, width)
    size = max(1, round(width * factor)), max(1, round(height * factor))
    weighed = np.dstack([np.where(seen[..., None], picture, 0), seen]).astype(np.float32)
    small = cv2.resize(weighed, size, interpolation=cv2.INTER_AREA)
    total = cv2.GaussianBlur(small, (0, 0), LIGHT_PX / LIGHT_SHARE)
    light = total[..., :3] / np.maximum(total[..., 3:], 1e-6)
    return np.asarray(cv2.resize(light, (width, height), interpolation=cv2.INTER_LINEAR), np.float32)


def _copy(bgr: Bgr, mask: Mask, longest_px: int) -> Copy:
    height, width = mask.shape
    factor = min(1.0, longest_px / max(mask.shape))
    size = max(1, round(width * factor)), max(1, round(height * factor))
    small = np.asarray(cv2.resize(bgr, size, interpolation=cv2.INTER_AREA), np.uint8)
    seen = np.asarray(cv2.resize(mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0)
    return Copy(_without_light(small, seen), seen, resizing(size[0] / width, size[1] / height))


def _without_light(picture: Bgr, seen: Mask) -> Lab:
    weight = seen.astype(np.float32)
    lab = np.asarray(cv2.cvtColor(picture.astype(np.float32) / 255, cv2.COLOR_BGR2LAB), np.float32)
    flat = cv2.GaussianBlur(lab, (0, 0), 1.0) - broad_light(lab, seen)
    return np.asarray(flat * weight[..., None], dtype=np.float32)


def _similarity(source: Matrix, target: Matrix, reach_px: float) -> tuple[Matrix | None, NDArray[np.bool_]]:
    move, agree = cv2.estimateAffinePartial2D(
        *_rows(source, target), method=cv2.RANSAC, ransacReprojThreshold=reach_px, maxIters=4000
    )
    whole = None if move is None else np.vstack([move, [0.0, 0.0, 1.0]])
    return whole, np.asarray(agree).ravel() > 0


def _homography(source: Matrix, target: Matrix, reach_px: float) -> tuple[Matrix | None, NDArray[np.bool_]]:
    move, agree = cv2.findHomography(
        *_rows(source, target), method=cv2.RANSAC, ransacReprojThreshold=reach_px, maxIters=4000
    )
    return (None if move is None else np.asarray(move, np.float64)), np.asarray(agree).ravel() > 0


def _rows(source: Matrix, target: Matrix) -> tuple[Matrix, Matrix]:
    """As OpenCV wants them."""
    return np.ascontiguousarray(source), np.ascontiguousarray(target)


def _turn_deg(move: Matrix) -> float:
    return abs(float(np.rad2deg(np.arctan2(move[1, 0] - move[0, 1], move[0, 0] + move[1, 1]))))


def _same_scale(move: Matrix, new: tuple[int, int], old: tuple[int, int]) -> bool:
    return abs(local_scale(move, (0.0, 0.0)) - 1) <= MOST_SCALE and _turn_deg(move) <= MOST_TURN_DEG


def _from_above(move: Matrix, new: tuple[int, int], old: tuple[int, int]) -> bool:
    """Whether no horizon shows, nothing is mirrored, and both photos are from about as near."""
    width, height = new
    corners = np.array([[0, 0, 1], [width, 0, 1], [width, height, 1], [0, height, 1.0]])
    depths = corners @ move[2]
    if np.linalg.det(move) * depths[0] <= 0 or np.any(depths * depths[0] <= 0):
        return False
    middle = local_scale(move, (width / 2, height / 2))
    stretch = [local_scale(move, (x, y)) / middle for x, y in corners[:, :2]]
    if max(stretch) > MOST_STRETCH or min(stretch) < 1 / MOST_STRETCH:
        return False
    zoom = middle * max(new) / max(old)
    return 1 / MOST_ZOOM < zoom < MOST_ZOOM and _turn_deg(move / depths[0]) <= MOST_TURN_DEG


ZOOM_STEP = 1.08  # a picture slid at half of this off its size still correlates
ZOOMS = tuple(ZOOM_STEP**n for n in range(-7, 8))  # 0.58 to 1.71 of the other picture's view
FLAT = Motion(_similarity, _same_scale)  # between pictures laid flat, each at a known scale
CAMERA = Motion(_homography, _from_above, ZOOMS)  # of a photo as taken onto a flat picture
