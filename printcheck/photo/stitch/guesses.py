"""Where one picture may lie on another: turn and size first, then every shift that colours offer.

Turn and size are the same at all places at which a print falls on itself, so they are read first, from the
headings and sizes of all features that are alike; shifts are then read off the correlation over the overlap
(Padfield 2012).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft2, next_fast_len, rfft2
from skimage.feature import peak_local_max

from printcheck.photo.stitch.bar_profiles import bar_angle, bar_shifts
from printcheck.photo.stitch.view import Lab, Matrix, View, corners_of, moved

MOST_TURN_DEG = 25.0  # a hand-held phone, degrees either way
TURN_STEP_DEG, ZOOM_STEP = 3.0, 1.06  # bins of the votes for turn and size
SHIFTS = 30  # places looked at closely at most: a field of like flowers has as many
LIKELY = 0.5  # of the best one's score: none less likely is looked at
CLIMBS = ((2.0, 0.04), (1.0, 0.02))  # steps of turn (degrees) and size (share) when a pose is bettered
MOST_ZOOM = 2.0  # times nearer or farther that two photos of one swatch are taken
MOST_SCALE = 0.05  # share by which two pictures laid flat may differ in scale
ENOUGH_OVERLAP = 0.35  # of the smaller picture: less is likelier chance, more is no likelier the place
LEAST_OVERLAP = 0.1  # of the smaller picture: less holds too few motifs to tell one place from the next
SAME_PLACE = 0.03  # of the longest side: places nearer than this are one
GUESSES_APART = 0.06  # of the longest side: each is fitted from nearer
LEAST_PATCHES = 12  # that agree: fewer are chance

Shift = tuple[float, NDArray[np.float64]]
Spectra = NDArray[np.complexfloating[Any, Any]]


def guesses(new: View, old: View) -> Iterator[Iterator[Matrix]]:
    """Movements of whole pixels at which the two agree, likeliest first: by bars, then by all they show."""
    for scored in (_by_bars(new, old), _by_features(new, old)):
        yield _apart(new, old, scored)


def _apart(new: View, old: View, scored: Iterable[tuple[float, Matrix]]) -> Iterator[Matrix]:
    """The best few movements that are not one place."""
    kept: list[Matrix] = []
    ranked = sorted(scored, key=lambda one: -one[0])
    for score, move in ranked:
        if score < LIKELY * ranked[0][0]:
            return
        middle = moved(np.array([new.whole]) / 2, move)
        if all(np.abs(middle - other).max() > GUESSES_APART * max(old.whole) for other in kept):
            kept.append(middle)
            yield move
        if len(kept) == SHIFTS:
            return


def _by_bars(new: View, old: View) -> Iterator[tuple[float, Matrix]]:
    angle, other = bar_angle(new), bar_angle(old)
    if angle is None or other is None:
        return
    usual = usual_zoom(new.half, old.half)
    for alike, overlap, move in bar_shifts(new.half, old.half, (angle, other), usual):
        whole = np.linalg.inv(old.half.from_whole) @ move @ new.half.from_whole
        yield float(_weighed(np.array(alike), np.array(overlap))), whole


def _by_features(new: View, old: View) -> Iterator[tuple[float, Matrix]]:
    sliding = _Sliding(new, old)
    turned = _posed(*_bettered(sliding, usual_zoom(new, old), _turn_and_zoom(new, old)))
    for score, shift in sliding.shifts(turned):
        move = turned.copy()
        move[:2, 2] = shift
        yield score, np.linalg.inv(old.from_whole) @ move @ new.from_whole


def _posed(turn: float, zoom: float) -> Matrix:
    cos, sin = zoom * math.cos(turn), zoom * math.sin(turn)
    return np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0, 0, 1.0]])


def _bettered(sliding: _Sliding, usual: float, start: tuple[float, float]) -> tuple[float, float]:
    """Turn and size near the voted ones, or near none, at which the two correlate best at some shift."""

    def best_at(pose: tuple[float, float]) -> float:
        return max((score for score, _ in sliding.shifts(_posed(*pose), 1)), default=0.0)

    tried = {pose: best_at(pose) for pose in {start, (0.0, usual)}}
    for turn_deg, share in CLIMBS:
        turn, zoom = max(tried, key=lambda pose: tried[pose])
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                pose = turn + i * math.radians(turn_deg), zoom * (1 + share) ** j
                tried[pose] = tried[pose] if pose in tried else best_at(pose)
    return max(tried, key=lambda pose: tried[pose])


def _turn_and_zoom(new: View, old: View) -> tuple[float, float]:
    """Turn (radians) and size of the one against the other, by a vote of features with the likest ones."""
    usual = usual_zoom(new, old)
    a, b = new.features, old.features
    if not len(a.scales) or not len(b.scales):
        return 0.0, usual
    likest = (a.descriptors @ b.descriptors.T).argmax(1)
    turn = np.rad2deg(np.angle(np.exp(1j * (b.angles[likest] - a.angles))))
    zoom = np.log(b.scales[likest] / a.scales / usual) / math.log(ZOOM_STEP)
    most = math.log(MOST_ZOOM if known_zoom(new, old) is None else 1 + MOST_SCALE) / math.log(ZOOM_STEP)
    turns = np.arange(-MOST_TURN_DEG - TURN_STEP_DEG / 2, MOST_TURN_DEG + TURN_STEP_DEG, TURN_STEP_DEG)
    zooms = np.arange(-math.ceil(most) - 0.5, math.ceil(most) + 1.0)
    votes = cv2.GaussianBlur(np.histogram2d(turn, zoom, bins=(turns, zooms))[0], (0, 0), 1.0)
    i, j = np.unravel_index(int(votes.argmax()), votes.shape)
    off = np.abs(turn - turns[i] - TURN_STEP_DEG / 2) / TURN_STEP_DEG, np.abs(zoom - zooms[j] - 0.5)
    near = np.maximum(*off) < 2
    if not near.any():
        return 0.0, usual
    return math.radians(float(np.median(turn[near]))), usual * ZOOM_STEP ** float(np.median(zoom[near]))


class _Sliding:
    """Two pictures slid over one another at every shift, the one turned and sized as is asked for."""

    def __init__(self, new: View, old: View) -> None:
        self._new, self._old = new.slid, old.slid
        self._to_new = self._new.from_whole @ np.linalg.inv(new.from_whole)
        self._to_old = self._old.from_whole @ np.linalg.inv(old.from_whole)
        self._still: dict[tuple[int, ...], Spectra] = {}

    def shifts(self, turned: Matrix, count: int = SHIFTS) -> Iterator[Shift]:
        """Shifts, in working pixels, at which the two correlate over their overlap, each with a score."""
        a, b = self._new, self._old
        move = self._to_old @ turned @ np.linalg.inv(self._to_new)
        low = np.floor(moved(corners_of(a.size), move).min(0))
        move = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1.0]]) @ move
        width, height = (int(v) for v in np.ceil(moved(corners_of(a.size), move).max(0)) + 1)
        lab = cv2.warpPerspective(a.lab, move, (width, height))
        seen = np.asarray(cv2.warpPerspective(a.seen.astype(np.uint8), move, (width, height)) > 0)
        room = b.size[1] + height, b.size[0] + width
        shape = next_fast_len(room[0], real=True), next_fast_len(room[1], real=True)
        if shape not in self._still:
            self._still[shape] = _spectra(b.lab, b.seen, shape)
        laid = _spectra(np.asarray(lab * seen[..., None], np.float32), seen, shape)
        product, mine, theirs, both = _correlated(self._still[shape], laid, shape)
        smaller = min(float(seen.sum()), float(b.seen.sum()))
        alike = product / np.sqrt(np.maximum(mine * theirs, 1e-6))
        score = np.fft.fftshift(_weighed(alike, both / smaller))
        inverse = np.linalg.inv(self._to_old)
        for value, x, y in _peaks(np.asarray(score, np.float32), count, 3):
            whole = np.array([[1, 0, x - shape[1] // 2], [0, 1, y - shape[0] // 2], [0, 0, 1.0]]) @ move
            yield value, (inverse @ whole @ self._to_new)[:2, 2]


def _weighed(
    alike: NDArray[np.floating[Any]], overlap: NDArray[np.floating[Any]]
) -> NDArray[np.floating[Any]]:
    """Correlations by how much they were seen of: over little cloth much is alike by chance."""
    return np.where(overlap > LEAST_OVERLAP, alike * np.clip(overlap / ENOUGH_OVERLAP, 0, 1) ** 0.25, 0.0)


def _spectra(lab: Lab, seen: NDArray[np.bool_], shape: tuple[int, int]) -> Spectra:
    """Of the three colours, of their energy and of what is seen."""
    energy = np.square(lab).sum(2)
    return np.asarray(rfft2(np.stack([*np.moveaxis(lab, 2, 0), energy, seen.astype(np.float32)]), shape))


def _correlated(a: Spectra, b: Spectra, shape: tuple[int, int]) -> tuple[NDArray[np.float32], ...]:
    """Product, both energies and the count over the overlap, for every shift of the second."""
    spectra = np.stack(
        [(a[:3] * b[:3].conj()).sum(0), a[3] * b[4].conj(), a[4] * b[3].conj(), a[4] * b[4].conj()]
    )
    return tuple(np.asarray(one, np.float32) for one in irfft2(spectra, shape))


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
