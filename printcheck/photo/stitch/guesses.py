"""Where one picture may lie on another: turn and size first, then every shift that features or colours offer.

Turn and size are the same at all places at which a print falls on itself, so they are read first, from the
headings and sizes of all features that are alike; shifts are then voted for by the same features and by
correlation over the overlap (Padfield 2012).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft2, next_fast_len, rfft2
from skimage.feature import peak_local_max

from printcheck.photo.stitch.view import Features, Lab, Matrix, View, corners_of, moved

ALIKE = 6  # features of the other picture that one is compared with: a print shows each motif often
MOST_TURN_DEG = 25.0  # a hand-held phone, degrees either way
TURN_STEP_DEG, ZOOM_STEP = 3.0, 1.06  # bins of the votes for turn and size
SHIFTS = 10  # places looked at closely
CLIMBS = ((2.0, 0.04), (1.0, 0.02))  # steps of turn (degrees) and size (share) when a pose is bettered
MOST_ZOOM = 2.0  # times nearer or farther that two photos of one swatch are taken
MOST_SCALE = 0.05  # share by which two pictures laid flat may differ in scale
ENOUGH_OVERLAP = 0.35  # of the smaller picture: less is likelier chance, more is no likelier the place
LEAST_OVERLAP = 0.1  # of the smaller picture: less holds too few motifs to tell one place from the next
SAME_PLACE = 0.03  # of the longest side: places nearer than this are one
LEAST_PATCHES = 12  # that agree: fewer are chance


def guesses(new: View, old: View) -> Iterator[Matrix]:
    """Movements of whole pixels at which features or colours of the two agree, likeliest first."""
    pairs = alike_features(new.features, old.features)
    turned = _posed(*_bettered(new, old, _turn_and_zoom(new, old, pairs)))
    shifts = [*_voted(new, old, pairs, turned), *_slid(new, old, turned)]
    shifts.sort(key=lambda one: -one[0])
    kept: list[NDArray[np.float64]] = []
    for _, shift in shifts:
        if all(np.abs(shift - other).max() > SAME_PLACE * max(old.size) for other in kept):
            kept.append(shift)
            move = turned.copy()
            move[:2, 2] = shift
            yield np.linalg.inv(old.from_whole) @ move @ new.from_whole
        if len(kept) == SHIFTS:
            return


def _posed(turn: float, zoom: float) -> Matrix:
    cos, sin = zoom * math.cos(turn), zoom * math.sin(turn)
    return np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0, 0, 1.0]])


def _bettered(new: View, old: View, start: tuple[float, float]) -> tuple[float, float]:
    """Turn and size near the voted ones, or near none, at which the two correlate best at some shift."""

    def best_at(pose: tuple[float, float]) -> float:
        return max((score for score, _ in _slid(new, old, _posed(*pose), 1)), default=0.0)

    usual = usual_zoom(new, old)
    tried = {pose: best_at(pose) for pose in {start, (0.0, usual)}}
    for turn_deg, share in CLIMBS:
        turn, zoom = max(tried, key=lambda pose: tried[pose])
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                pose = turn + i * math.radians(turn_deg), zoom * (1 + share) ** j
                tried[pose] = tried[pose] if pose in tried else best_at(pose)
    return max(tried, key=lambda pose: tried[pose])


def alike_features(new: Features, old: Features) -> NDArray[np.intp]:
    """(m, 2) pairs of features of the two that look alike."""
    if len(new.places) < LEAST_PATCHES or len(old.places) < LEAST_PATCHES:
        return np.zeros((0, 2), np.intp)
    likeness = new.descriptors @ old.descriptors.T
    count = min(ALIKE, likeness.shape[1] - 1)
    best = np.argpartition(-likeness, count, axis=1)[:, :count]
    floor = np.take_along_axis(likeness, best, 1).max(1, keepdims=True) - 0.05
    kept = np.take_along_axis(likeness, best, 1) >= np.maximum(floor, 0.8)
    rows, columns = np.nonzero(kept)
    return np.column_stack([rows, best[rows, columns]])


def _turn_and_zoom(new: View, old: View, pairs: NDArray[np.intp]) -> tuple[float, float]:
    """Turn (radians) and size of the one against the other, by a vote of features that are alike."""
    usual = usual_zoom(new, old)
    if not len(pairs):
        return 0.0, usual
    a, b = new.features, old.features
    turn = np.rad2deg(np.angle(np.exp(1j * (b.angles[pairs[:, 1]] - a.angles[pairs[:, 0]]))))
    zoom = np.log(b.scales[pairs[:, 1]] / a.scales[pairs[:, 0]] / usual) / math.log(ZOOM_STEP)
    free = known_zoom(new, old) is None
    most = math.log(MOST_ZOOM if free else 1 + MOST_SCALE) / math.log(ZOOM_STEP)
    turns = np.arange(-MOST_TURN_DEG - TURN_STEP_DEG / 2, MOST_TURN_DEG + TURN_STEP_DEG, TURN_STEP_DEG)
    zooms = np.arange(-math.ceil(most) - 0.5, math.ceil(most) + 1.0)
    votes, _, _ = np.histogram2d(turn, zoom, bins=(turns, zooms))
    votes = cv2.GaussianBlur(votes, (0, 0), 1.0)
    i, j = np.unravel_index(int(votes.argmax()), votes.shape)
    near = (np.abs(turn - (turns[i] + TURN_STEP_DEG / 2)) < 2 * TURN_STEP_DEG) & (
        np.abs(zoom - (zooms[j] + 0.5)) < 2
    )
    if not near.any():
        return 0.0, usual
    return math.radians(float(np.median(turn[near]))), usual * ZOOM_STEP ** float(np.median(zoom[near]))


Shift = tuple[float, NDArray[np.float64]]


def _voted(new: View, old: View, pairs: NDArray[np.intp], turned: Matrix) -> Iterator[Shift]:
    """Shifts on which many alike features agree, each with a score."""
    if not len(pairs):
        return
    shift = old.features.places[pairs[:, 1]] - moved(new.features.places[pairs[:, 0]], turned)
    bin_px = SAME_PLACE * max(old.size)
    low = shift.min(0) - bin_px
    counts = np.zeros(np.ceil((shift.max(0) - low) / bin_px).astype(int)[::-1] + 1, np.float32)
    cell = np.floor((shift - low) / bin_px).astype(int)
    np.add.at(counts, (cell[:, 1], cell[:, 0]), 1.0)
    counts = np.asarray(cv2.GaussianBlur(counts, (0, 0), 1.0), np.float32)
    chance = math.sqrt(float(np.square(counts).mean()) + 1e-9)
    for value, x, y in _peaks(counts, SHIFTS, 1):
        yield value / chance / 40.0, low + bin_px * (np.array([x, y]) + 0.5)


def _slid(new: View, old: View, turned: Matrix, count: int = SHIFTS) -> Iterator[Shift]:
    """Shifts, in working pixels, at which the pictures correlate over their overlap, each with a score."""
    a, b = new.slid, old.slid
    to_a = a.from_whole @ np.linalg.inv(new.from_whole)
    to_b = b.from_whole @ np.linalg.inv(old.from_whole)
    move = to_b @ turned @ np.linalg.inv(to_a)
    low = np.floor(moved(corners_of(a.size), move).min(0))
    move = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1.0]]) @ move
    width, height = (int(v) for v in np.ceil(moved(corners_of(a.size), move).max(0)) + 1)
    lab = cv2.warpPerspective(a.lab, move, (width, height))
    seen = np.asarray(cv2.warpPerspective(a.seen.astype(np.uint8), move, (width, height)) > 0)
    side = next_fast_len(max(*b.size, width, height) * 2, real=True)
    laid = np.asarray(lab * seen[..., None], np.float32), seen
    product, mine, theirs, both = _correlated((b.lab, b.seen), laid, side)
    smaller = min(float(seen.sum()), float(b.seen.sum()))
    alike = np.where(both > LEAST_OVERLAP * smaller, product / np.sqrt(np.maximum(mine * theirs, 1e-6)), 0.0)
    score = np.asarray(
        np.fft.fftshift(alike * np.clip(both / (ENOUGH_OVERLAP * smaller), 0, 1) ** 0.25), np.float32
    )
    inverse = np.linalg.inv(to_b)
    for value, x, y in _peaks(score, count, 3):
        whole = np.array([[1, 0, x - side // 2], [0, 1, y - side // 2], [0, 0, 1.0]]) @ move
        yield value, (inverse @ whole @ to_a)[:2, 2]


def _correlated(
    still: tuple[Lab, NDArray[np.bool_]], moving: tuple[Lab, NDArray[np.bool_]], side: int
) -> tuple[NDArray[np.float32], ...]:
    """Product, both energies and the count over the overlap, for every shift of the moving one."""
    a, b = (
        rfft2(
            np.stack([*np.moveaxis(lab, 2, 0), np.square(lab).sum(2), seen.astype(np.float32)]), (side, side)
        )
        for lab, seen in (still, moving)
    )
    spectra = np.stack(
        [(a[:3] * b[:3].conj()).sum(0), a[3] * b[4].conj(), a[4] * b[3].conj(), a[4] * b[4].conj()]
    )
    return tuple(np.asarray(one, np.float32) for one in irfft2(spectra, (side, side)))


def _peaks(surface: NDArray[np.float32], count: int, radius: int) -> Iterator[tuple[float, float, float]]:
    """Highest places (value, x, y), each at least ``radius`` from the next."""
    found = peak_local_max(  # type: ignore[no-untyped-call]
        surface, min_distance=radius, threshold_abs=0.0, num_peaks=count, exclude_border=False
    )
    for y, x in found:
        yield float(surface[y, x]), float(x), float(y)


def known_zoom(new: View, old: View) -> float | None:
    """Whole pixels of the old picture for one of the new; None where either has no scale of its own."""
    return None if new.unit_mm is None or old.unit_mm is None else new.unit_mm / old.unit_mm


def usual_zoom(new: View, old: View) -> float:
    """The same between working copies; 1 where it is not known: people take photos from about as near."""
    known = known_zoom(new, old)
    return 1.0 if known is None else known * float(old.from_whole[0, 0] / new.from_whole[0, 0])
