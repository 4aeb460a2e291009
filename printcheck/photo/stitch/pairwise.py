"""How one picture of a cloth may lie on another: every place at which the two agree, not the best alone.

A print falls on itself by its lattice, so a picture fits another at several places; two that fit equally
well differ by a shift under which the overlap repeats. All are kept, and the whole layout chooses. Each
guess is fitted by small patches, and judged by what is left between the two pictures.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.photo.scale.pose import local_scale
from printcheck.photo.stitch.guesses import (
    LEAST_OVERLAP,
    LEAST_PATCHES,
    MOST_SCALE,
    MOST_ZOOM,
    SAME_PLACE,
    alike_features,
    guesses,
    known_zoom,
)
from printcheck.photo.stitch.patches import matched
from printcheck.photo.stitch.view import PATCH_PX, Matrix, View, corners_of, moved

MOST_STRETCH = 2.5  # times the middle's scale at a corner: more is no photo from above
FIRST = (12, 4.0)  # on quarter copies, for turn, size and shift: how far a patch is looked for; consensus, px
LATER = ((16, 8.0, False), (10, 4.0, True), (6, 3.0, True))  # on half copies, the last two for a homography
FINAL_PX = 2.0  # of a homography on the working copies
NEAR_GUESS = 0.12  # of the longest side: a guess may be off by so much at a corner
FEATURE_PX = 8.0  # of a similarity between photos that are tilted a little
FIRST_PATCHES = 6  # that agree on the first: its four numbers need no more
REACH_PX = 5  # how far a patch is looked for when a place is judged: lens and cloth bend a little
LEAST_CONSENSUS = 0.3  # share of the patches found that agree, from the first round on
LEAST_EXPLAINED = 0.4  # share of the overlap's variance that the other picture explains
MOST_ODD = 0.15  # share of the print in the overlap that may be something else: a fold, a finger
MOST_PLACES = 4  # of one pair, from guesses
ASIDE = 0.5  # of lying off a row or column by a picture's side, in units of one whole picture's odd overlap
MOST_CARRIED = 4  # more, from steps between those
LEAST_CARRIED = 0.15  # of the smaller picture: what is hardly seen is not guessed at
USUAL_OVERLAP = 0.35  # of the smaller picture: how people take them
AS_ODD = 0.02  # share beyond the least one's that may look otherwise: a motif in another colour is more
AS_GOOD = 2.0  # times the least residual: what wrinkles, lens and light leave differs by less


@dataclass(frozen=True)
class Place:
    """One way in which a picture lies on another.

    Parameters
    ----------
    move : (3, 3) float64
        From the picture's whole pixels to the other's.
    pairs : (n, 2, 2) float64
        Places that agree: in the picture, and in the other, whole pixels.
    residual : float
        Mean square of what is left between the two over the overlap's patches, CIELAB squared.
    scatter : float
        Standard error of that mean.
    explained : float
        Share of the overlap's variance that the other picture explains.
    odd : float
        Share of the patches that show something else, or the same in another colour.
    overlap : float
        Share of the smaller picture.
    """

    move: Matrix
    pairs: Matrix = field(repr=False)
    residual: float
    scatter: float
    explained: float
    odd: float
    overlap: float

    @property
    def sound(self) -> bool:
        """Whether the two pictures bear it out."""
        return self.explained >= LEAST_EXPLAINED and self.odd <= MOST_ODD and len(self.pairs) >= LEAST_PATCHES

    def back(self) -> Place:
        """The same seen from the other picture."""
        return Place(
            np.asarray(np.linalg.inv(self.move), np.float64),
            self.pairs[:, ::-1],
            self.residual,
            self.scatter,
            self.explained,
            self.odd,
            self.overlap,
        )


def places(new: View, old: View) -> list[Place]:
    """Places at which one view lies soundly on the other, the least residual first."""
    found: list[Place] = []
    alike = alike_features(new.features, old.features)
    for guess in guesses(new, old, alike):
        place = _near(new, old, guess, alike)
        if place is None or any(same_place(place.move, p.move, new, old) for p in found):
            continue
        found = as_good([*found, place])
        if len(found) == MOST_PLACES:
            break
    for guess in _carried_on(found, new, old):
        place = fitted(new, old, guess, LATER[1:])
        if place is None or not place.sound or any(same_place(place.move, p.move, new, old) for p in found):
            continue
        found = as_good([*found, place])
    return sorted(found, key=lambda place: place.residual)


def _carried_on(found: Sequence[Place], new: View, old: View) -> list[Matrix]:
    """Places as far from those found as these are from one another: a print comes again in equal steps."""
    middle = np.array([new.whole]) / 2
    at = [moved(middle, place.move)[0] for place in found]
    steps = [there - here for there, here in itertools.permutations(at, 2)]
    guesses: list[Matrix] = []
    for place, step in itertools.product(found, steps):
        guess = np.array([[1, 0, step[0]], [0, 1, step[1]], [0, 0, 1.0]]) @ place.move
        known = (*(p.move for p in found), *guesses)
        if overlapping(new, old, guess) > LEAST_CARRIED and not any(
            same_place(guess, move, new, old) for move in known
        ):
            guesses.append(guess)
    return sorted(guesses, key=lambda guess: unusual(new, old, guess))[:MOST_CARRIED]


def unusual(new: View, old: View, move: Matrix, usual: float = USUAL_OVERLAP) -> float:
    """How far a place is from the usual overlap with the other picture, and from its row or column.

    People move on along the cloth or across it, by about equal steps; where the print allows several places
    that tells them apart.
    """
    apart = np.abs(moved(np.array([new.whole]) / 2, move)[0] - np.array(old.whole) / 2) / old.whole
    return abs(overlapping(new, old, move) - usual) + ASIDE * float(apart.min())


def as_good(found: list[Place], least: float = math.inf) -> list[Place]:
    """Those places that leave about as little between the pictures as the best (or as ``least``) does."""
    limit = AS_GOOD * min([least, *(place.residual for place in found)])
    odd = min((place.odd for place in found), default=0.0) + AS_ODD
    return [place for place in found if place.residual - place.scatter <= limit and place.odd <= odd]


def _near(new: View, old: View, guess: Matrix, alike: NDArray[np.intp]) -> Place | None:
    """The sound place near a guess: by the features that agree there, else by patches looked for widely."""
    start = _by_features(new, old, guess, alike)
    place = None if start is None else fitted(new, old, start, LATER[1:])
    if place is None or not place.sound:
        place = fitted(new, old, _similar(new, old, guess if start is None else start), LATER)
    return place if place is not None and place.sound else None


def fitted(
    new: View, old: View, start: Matrix | None, rounds: Sequence[tuple[int, float, bool]] = LATER
) -> Place | None:
    """The place near a start that the patches of both views agree on; None where they do not."""
    whole = start
    for reach, agree_px, perspective in rounds:
        if whole is None or not _allowed(whole, new, old):
            return None
        whole = _closer(new, old, whole, reach, agree_px, perspective=perspective)
    if whole is None or not _allowed(whole, new, old):
        return None
    place = judged(new, old, np.asarray(whole / whole[2, 2], np.float64))
    if place is None or len(place.pairs) < LEAST_PATCHES:
        return place
    finer, _ = _consensus(place.pairs, FINAL_PX / float(old.from_whole[0, 0]), perspective=True)
    return place if finer is None or not _allowed(finer, new, old) else replace(place, move=finer)


def _closer(
    new: View, old: View, whole: Matrix, reach: int, agree_px: float, *, perspective: bool
) -> Matrix | None:
    """The movement as the patches of the half copies have it.

    A small overlap does not show the perspective: what no camera makes is then fitted without.
    """
    a, b = new.half, old.half
    pairs = matched(a, b, b.from_whole @ whole @ np.linalg.inv(a.from_whole), reach, 2 * reach).pairs
    if len(pairs) < FIRST_PATCHES:
        return None
    for model in (True, False) if perspective else (False,):
        fit, agree = _consensus(pairs, agree_px, perspective=model)
        if fit is None or agree < max(FIRST_PATCHES, LEAST_CONSENSUS * len(pairs)):
            continue
        found = np.asarray(np.linalg.inv(b.from_whole) @ fit @ a.from_whole, np.float64)
        if _allowed(found, new, old):
            return found
    return None


def _consensus(pairs: Matrix, agree_px: float, *, perspective: bool) -> tuple[Matrix | None, int]:
    """Homography, or affine movement, on which most pairs (n, 2, 2) agree, and how many do."""
    ends = (np.ascontiguousarray(pairs[:, 0]), np.ascontiguousarray(pairs[:, 1]))
    if perspective:
        fit, agree = cv2.findHomography(*ends, cv2.RANSAC, agree_px, maxIters=1000)
    else:
        fit, agree = cv2.estimateAffine2D(*ends, ransacReprojThreshold=agree_px, maxIters=1000)
        fit = None if fit is None else np.vstack([fit, [0, 0, 1.0]])
    return (None, 0) if fit is None else (np.asarray(fit, np.float64), int(agree.sum()))


def _similarity(pairs: Matrix, agree_px: float) -> tuple[Matrix | None, int]:
    """Turn, size and shift on which most pairs (n, 2, 2) agree, and how many do."""
    ends = (np.ascontiguousarray(pairs[:, 0]), np.ascontiguousarray(pairs[:, 1]))
    fit, agree = cv2.estimateAffinePartial2D(*ends, ransacReprojThreshold=agree_px, maxIters=1000)
    return (None, 0) if fit is None else (np.vstack([fit, [0, 0, 1.0]]), int(agree.sum()))


def _by_features(new: View, old: View, guess: Matrix, pairs: NDArray[np.intp]) -> Matrix | None:
    """Turn, size and shift near a guess on which alike features agree."""
    move = old.from_whole @ guess @ np.linalg.inv(new.from_whole)
    if not len(pairs):
        return None
    source, target = new.features.places[pairs[:, 0]], old.features.places[pairs[:, 1]]
    near = np.abs(moved(source, move) - target).max(1) < NEAR_GUESS * max(old.size)
    if near.sum() < FIRST_PATCHES:
        return None
    fit, agree = _similarity(np.stack([source[near], target[near]], 1), FEATURE_PX)
    if fit is None or agree < FIRST_PATCHES:
        return None
    return np.asarray(np.linalg.inv(old.from_whole) @ fit @ new.from_whole, float)


def _similar(new: View, old: View, guess: Matrix) -> Matrix | None:
    """Turn, size and shift near a guess, from large patches of small copies."""
    a, b = new.quarter, old.quarter
    reach, agree_px = FIRST
    pairs = matched(a, b, b.from_whole @ guess @ np.linalg.inv(a.from_whole), reach).pairs
    if len(pairs) < FIRST_PATCHES:
        return None
    fit, agree = _similarity(pairs, agree_px)
    if fit is None or agree < FIRST_PATCHES:
        return None
    return np.asarray(np.linalg.inv(b.from_whole) @ fit @ a.from_whole, np.float64)


def judged(new: View, old: View, whole: Matrix) -> Place | None:
    """What two views say of a place as it is; None where they hardly overlap."""
    move = old.from_whole @ whole @ np.linalg.inv(new.from_whole)
    overlap = overlapping(new, old, whole)
    if overlap < LEAST_OVERLAP:
        return None
    found = matched(new, old, move, REACH_PX, PATCH_PX)
    if not len(found.residual):
        return None
    pairs = found.pairs
    if len(pairs):
        ends = (moved(pairs[:, n], np.linalg.inv(one.from_whole)) for n, one in enumerate((new, old)))
        pairs = np.stack(list(ends), 1)
    other = found.energy[found.residual > found.energy / 2].sum() / max(found.energy.sum(), 1e-9)
    return Place(
        whole,
        pairs,
        float(found.residual.mean()),
        float(found.residual.std() / math.sqrt(len(found.residual))),
        1.0 - float(found.residual.mean() / max(found.energy.mean(), 1e-9)),
        max(float(other), found.unlike),
        overlap,
    )


def overlapping(new: View, old: View, whole: Matrix) -> float:
    """Share of the smaller picture that both show."""
    move = old.from_whole @ whole @ np.linalg.inv(new.from_whole)
    if not _in_front(move, new.size):
        return 0.0
    there = moved(corners_of(new.size), move).astype(np.float32)
    frame = corners_of(old.size).astype(np.float32)
    area, _ = cv2.intersectConvexConvex(cv2.convexHull(there), cv2.convexHull(frame))
    return float(area / max(1.0, min(cv2.contourArea(there), cv2.contourArea(frame))))


def _in_front(move: Matrix, size: tuple[int, int]) -> bool:
    depths = np.column_stack([corners_of(size), np.ones(4)]) @ move[2]
    return bool(np.all(depths * depths[0] > 0) and np.linalg.det(move) * depths[0] > 0)


def _allowed(whole: Matrix, new: View, old: View) -> bool:
    """Whether a camera makes such a movement: no horizon, not mirrored, from about as near."""
    if not _in_front(whole, new.whole):
        return False
    middle = local_scale(whole, (new.whole[0] / 2, new.whole[1] / 2))
    stretch = [local_scale(whole, (float(x), float(y))) / middle for x, y in corners_of(new.whole)]
    if max(stretch) > MOST_STRETCH or min(stretch) < 1 / MOST_STRETCH:
        return False
    known = known_zoom(new, old)
    if known is not None:
        return abs(middle / known - 1) <= MOST_SCALE
    return 1 / MOST_ZOOM < middle * max(new.whole) / max(old.whole) < MOST_ZOOM


def same_place(one: Matrix, other: Matrix, new: View, old: View) -> bool:
    """Whether two movements of the new picture's whole pixels to the old one's are one place."""
    corners = corners_of(new.whole)
    return float(np.abs(moved(corners, one) - moved(corners, other)).max()) < SAME_PLACE * max(old.whole)
