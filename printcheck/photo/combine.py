"""Several overlapping photos of one swatch, laid together as one flat picture.

Every photo has been laid flat with a scale of its own, so two views of the same cloth differ by a turn, a
shift and a hair of scale. Features that both show are paired (SIFT, ratio test), the movement is fitted by
consensus, and it is believed only when its scale is near one and many pairs agree: a print repeats, so
pairs alone may agree on a wrong shift by one repeat, and the overlap of the pictures has the last word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.cloth import FlatCloth
from printcheck.errors import InputError, NoAnswerError
from printcheck.findings import finding

if TYPE_CHECKING:
    from printcheck.cloth import Bgr, Mask

Matrix = NDArray[np.float64]  # (2, 3), x right and y down

LONGEST_SIDE_PX = 700  # of the pictures that features are looked for in
LIKENESS_PX = 260  # longest side of the pictures that are compared
MOST_FEATURES = 1500
RATIO = 0.85  # of the best to the second-best match (Lowe 2004 takes 0.8; repeats call for a little more)
MOST_SCALE = 0.05  # share by which two photos of one cloth may differ in scale
MOST_TURN_DEG = 25.0
REACH_PX = 4.0  # of the consensus, reduced pixels
LEAST_PAIRS = 12
LEAST_LIKENESS = 0.6  # correlation of the overlap
LEAST_OVERLAP = 0.1  # of the smaller picture
OVERLAP_COST = 0.05  # of likeness, for a full overlap: a repeating print fits at several places
LARGEST_SIDE_PX = 12000  # of the joined picture
SCALE_REMARK = 0.01  # share of disagreement in scale worth a remark
CANDIDATES = 6  # movements that are tried against the pictures, best first


@dataclass(frozen=True)
class _Features:
    points: NDArray[np.float32]  # (n, 2), flat pixels of the common scale
    marks: NDArray[np.float32]  # (n, 128)


def combine(cloths: Sequence[FlatCloth]) -> FlatCloth:
    """One flat picture of cloth from several that overlap.

    Parameters
    ----------
    cloths : sequence of FlatCloth
        Two or more views of the same swatch; the first one's axes, scale and photo facts stand.

    Returns
    -------
    FlatCloth
        The views laid together, earlier ones on top, with a finding that says how many there are.

    Raises
    ------
    InputError
        If there is no picture.
    NoAnswerError
        If a view shares no part with the others.
    """
    if not cloths:
        raise InputError("no-photo", "No photo was given.", "Name one photo or more.")
    finest = cloths[0].mm_per_px
    views = [_rescaled(cloth, finest) for cloth in cloths]
    moves, scales = _laid_together(views)
    joined = _joined(views, moves)
    worst = max((abs(scale - 1) for scale in scales), default=0.0)
    findings = [*cloths[0].findings, finding("photos-combined", count=len(cloths))]
    if worst > SCALE_REMARK:
        findings.append(finding("photos-scales-differ", percent=100 * worst))
    error = float(np.hypot(cloths[0].scale.relative_error, worst / 2))
    return replace(joined, scale=replace(cloths[0].scale, relative_error=error), findings=tuple(findings))


def _rescaled(cloth: FlatCloth, mm_per_px: float) -> FlatCloth:
    """The view at the common scale."""
    factor = cloth.mm_per_px / mm_per_px
    if abs(factor - 1) < 1e-9:
        return cloth
    size = max(1, round(cloth.bgr.shape[1] * factor)), max(1, round(cloth.bgr.shape[0] * factor))
    how = cv2.INTER_AREA if factor < 1 else cv2.INTER_LINEAR
    bgr = np.asarray(cv2.resize(cloth.bgr, size, interpolation=how), dtype=np.uint8)
    mask = cv2.resize(cloth.mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
    return replace(cloth, bgr=bgr, mask=np.asarray(mask), mm_per_px=mm_per_px)


def _laid_together(views: list[FlatCloth]) -> tuple[list[Matrix], list[float]]:
    """Movement of each view into the first one's pixels, each by way of a view already laid."""
    reduction = max(1.0, max(max(view.bgr.shape[:2]) for view in views) / LONGEST_SIDE_PX)
    features = [_features(view, reduction) for view in views]
    moves: dict[int, Matrix] = {0: np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])}
    scales = []
    while len(moves) < len(views):
        found = None
        for new in (n for n in range(len(views)) if n not in moves):
            for old in moves:
                found = _movement(views, features, (new, old), reduction)
                if found is not None:
                    break
            if found is not None:
                moves[new] = _chained(moves[old], found)
                scales.append(float(np.sqrt(abs(np.linalg.det(found[:, :2])))))
                break
        if found is None:
            names = ", ".join(view.photo.file for n, view in enumerate(views) if n not in moves)
            raise NoAnswerError(
                "photos-do-not-belong",
                f"{names}: no part of the cloth was found that another of the photos shows as well.",
                "Let neighbouring photos overlap by a third or more, and photograph all from the same side.",
            )
    return [moves[n] for n in range(len(views))], scales


def _features(view: FlatCloth, reduction: float) -> _Features:
    size = round(view.bgr.shape[1] / reduction), round(view.bgr.shape[0] / reduction)
    small = cv2.resize(view.bgr, size, interpolation=cv2.INTER_AREA)
    mask = cv2.resize(view.mask.astype(np.uint8), size, interpolation=cv2.INTER_AREA)
    finder = cv2.SIFT_create(nfeatures=MOST_FEATURES)  # type: ignore[attr-defined]
    points, marks = finder.detectAndCompute(cv2.cvtColor(small, cv2.COLOR_BGR2GRAY), mask)
    if marks is None:
        return _Features(np.zeros((0, 2), np.float32), np.zeros((0, 128), np.float32))
    places = np.array([point.pt for point in points], dtype=np.float32)
    return _Features(
        (places + 0.5) * np.float32(reduction) - 0.5, np.sqrt(marks / (marks.sum(1)[:, None] + 1e-6))
    )


def _movement(
    views: list[FlatCloth], features: list[_Features], pair: tuple[int, int], reduction: float
) -> Matrix | None:
    """Movement of the new view onto the old one that both pictures bear out; None where there is none."""
    new, old = (features[n] for n in pair)
    if min(len(new.points), len(old.points)) < LEAST_PAIRS:
        return None
    matches = cv2.BFMatcher().knnMatch(new.marks, old.marks, k=2)
    kept = [m[0] for m in matches if len(m) == 2 and m[0].distance < RATIO * m[1].distance]
    best: Matrix | None = None
    best_likeness = LEAST_LIKENESS
    for _ in range(
        CANDIDATES
    ):  # a repeating print has several consensuses: take the one the pictures bear out
        if len(kept) < LEAST_PAIRS:
            break
        source = np.array([new.points[m.queryIdx] for m in kept])
        target = np.array([old.points[m.trainIdx] for m in kept])
        fitted, inliers = cv2.estimateAffinePartial2D(
            source, target, method=cv2.RANSAC, ransacReprojThreshold=REACH_PX * reduction, maxIters=4000
        )
        if fitted is None or int(inliers.sum()) < LEAST_PAIRS:
            break
        matrix: Matrix = np.asarray(fitted, dtype=np.float64)
        if _is_plausible(matrix):
            likeness = _likeness(views[pair[0]], views[pair[1]], matrix)
            if likeness > best_likeness:
                best, best_likeness = matrix, likeness
        kept = [m for m, used in zip(kept, inliers.ravel(), strict=True) if not used]
    return best


def _is_plausible(matrix: Matrix) -> bool:
    scale = float(np.sqrt(abs(np.linalg.det(matrix[:, :2]))))
    turn = abs(float(np.rad2deg(np.arctan2(matrix[1, 0], matrix[0, 0]))))
    return abs(scale - 1) <= MOST_SCALE and turn <= MOST_TURN_DEG


def _likeness(new: FlatCloth, old: FlatCloth, matrix: Matrix) -> float:
    """Correlation of the two pictures over their overlap; 0 for too small an overlap.

    Broad light is taken off first, and of two equally good places the one that shows more cloth wins.
    """
    reduction = max(1.0, max(old.bgr.shape[:2]) / LIKENESS_PX)
    size = round(old.bgr.shape[1] / reduction), round(old.bgr.shape[0] / reduction)
    shrink = np.array([[1 / reduction, 0, 0], [0, 1 / reduction, 0], [0, 0, 1.0]])
    whole = (shrink @ np.vstack([matrix, [0, 0, 1]]))[:2]
    moved = cv2.warpAffine(new.bgr, whole, size, flags=cv2.INTER_AREA)
    seen = cv2.warpAffine(new.mask.astype(np.uint8), whole, size, flags=cv2.INTER_NEAREST) > 0
    still = cv2.resize(old.bgr, size, interpolation=cv2.INTER_AREA)
    both = seen & (cv2.resize(old.mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0)
    smaller = min(float(old.mask.mean()) * both.size, float(new.mask.sum()) / reduction**2)
    if both.sum() < LEAST_OVERLAP * smaller:
        return 0.0
    pictures = (np.asarray(picture, dtype=np.uint8) for picture in (moved, still))
    a, b = (_without_light(picture, both)[both].ravel() for picture in pictures)
    alike = float((a @ b) / np.sqrt((a @ a) * (b @ b) + 1e-9))
    return float(alike - OVERLAP_COST * both.sum() / smaller)


def _without_light(picture: Bgr, seen: Mask) -> NDArray[np.float32]:
    sigma = max(picture.shape[:2]) / 12
    weight = seen.astype(np.float32)
    lab = cv2.cvtColor(picture.astype(np.float32) / 255, cv2.COLOR_BGR2LAB)
    total = cv2.GaussianBlur(lab * weight[..., None], (0, 0), sigma)
    share = np.maximum(cv2.GaussianBlur(weight, (0, 0), sigma), 1e-3)
    return np.asarray(cv2.GaussianBlur(lab, (0, 0), 1.0) - total / share[..., None], dtype=np.float32)


def _chained(outer: Matrix, inner: Matrix) -> Matrix:
    square = np.array([0.0, 0.0, 1.0])
    return np.asarray((np.vstack([outer, square]) @ np.vstack([inner, square]))[:2])


def _joined(views: list[FlatCloth], moves: list[Matrix]) -> FlatCloth:
    """All views in one picture, the first on top."""
    corners = np.concatenate([_corners(view, move) for view, move in zip(views, moves, strict=True)])
    low = np.floor(corners.min(axis=0))
    width, height = (int(v) for v in np.ceil(corners.max(axis=0) - low) + 1)
    if max(width, height) > LARGEST_SIDE_PX:
        raise NoAnswerError(
            "photos-too-far-apart",
            "The photos together are too large to lay on one another.",
            "Give fewer photos, or smaller ones.",
        )
    bgr = np.zeros((height, width, 3), np.uint8)
    mask = np.zeros((height, width), bool)
    for view, move in zip(views, moves, strict=True):
        place = _chained(np.array([[1.0, 0.0, -low[0]], [0.0, 1.0, -low[1]]]), move)
        drawn = cv2.warpAffine(view.bgr, place, (width, height), flags=cv2.INTER_LINEAR)
        cover = cv2.warpAffine(view.mask.astype(np.uint8) * 255, place, (width, height)) > 250
        fresh = cover & ~mask
        bgr[fresh] = drawn[fresh]
        mask |= fresh
    shift = np.array([[1.0, 0.0, low[0]], [0.0, 1.0, low[1]], [0.0, 0.0, 1.0]])
    return replace(views[0], bgr=bgr, mask=mask, to_photo=views[0].to_photo @ shift)


def _corners(view: FlatCloth, move: Matrix) -> Matrix:
    height, width = view.bgr.shape[:2]
    ends = np.array([[0, 0], [width - 1, 0], [width - 1, height - 1], [0, height - 1]], dtype=np.float64)
    return np.asarray(ends @ move[:, :2].T + move[:, 2])
