"""Quadrilaterals that may be a rectangle of known size, from the straight edges of a small picture.

Those that no camera could see as this rectangle are dropped; sides and pose of the rest are fitted
(:mod:`.known`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.scale.pose import (
    homography_of_quads,
    levenberg,
    pose_of_homography,
    project,
    tilts,
)
from printcheck.photo.scale.rectangle.known import (
    WORK_PX,
    Candidate,
    Kind,
    Scene,
    SeenSides,
    measured,
    posed,
)
from printcheck.photo.scale.rectangle.quadrilaterals import LEAST_SEEN, PLACES_ALONG, cut_quads, quads
from printcheck.photo.scale.rectangle.sides import fit_sides
from printcheck.photo.scale.sighting import to_photo_px

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.core.handover import Floats

SMALLEST, LARGEST = 0.06, 0.98  # long side of the object over the picture's
MOST_CUT_QUADS, CUT_CHI2 = 60, 20.0  # of objects cut by the edge; misfit taken for them
MOST_QUADS = 1000  # that go on to the pose test
ROUGH_SIGMA = 1.5 / WORK_PX  # of the long side: sigma of a proposed corner
ROUGH_CHI2 = 40.0  # of 8 coordinates so rough
ROUGH_WEIGHT = 0.015  # in the rank
ROUGH_ROUNDS = 4
STEEPEST_DEG = 40.0  # more tilt is no photo of cloth
NEAR_SHARE = 0.02  # of its own long side: candidates nearer than this in all corners are one
MOST_CANDIDATES = 50  # whose sides are fitted
FAR_SIDE_OFF = 0.1  # of the photo's long side: how far tilt puts a side off its place without tilt


def candidates(scene: Scene, kind: Kind) -> list[Candidate]:
    """Rectangles that a camera could see as this kind, with sides and pose fitted."""
    proposals, ranks, guessed = _proposed(scene, kind)
    if not len(proposals):
        return []
    best = apart(proposals, ranks, MOST_CANDIDATES)
    rough, guessed = proposals[best], guessed[best]
    cut = guessed >= 0
    if cut.any():
        rough = np.concatenate([rough[~cut], completed(scene, kind, rough[cut], guessed[cut])])
    return measured(scene, kind, rough) if len(rough) else []


def completed(scene: Scene, kind: Kind, rough: Floats, guessed: NDArray[np.int64]) -> Floats:
    """Rough corners (N, 4, 2) with the guessed one of the sides where a pose of the others puts it.

    Without those whose guessed side then lies in view: an edge there would have been found, not guessed.
    """
    sides = fit_sides(scene.fine, (rough + 0.5) / scene.fine_px - 0.5)
    sigma = sides.sigma * scene.fine_px
    sigma[np.arange(len(rough)), guessed] = FAR_SIDE_OFF * scene.long_side
    pairs = posed(scene, kind, SeenSides((sides.ends + 0.5) * scene.fine_px - 0.5, sigma), rough)
    numbers = np.stack([pair[0].numbers for pair in pairs])
    found = project(numbers, kind.plane, scene.camera.centre_px)
    near = np.abs(found - rough).max((1, 2)) < FAR_SIDE_OFF * scene.long_side
    return np.asarray(found[near & (_in_view(scene, found, guessed) < LEAST_SEEN)])


def _in_view(scene: Scene, corners: Floats, side: NDArray[np.int64]) -> Floats:
    """(N,) share of one side of each of (N, 4, 2) corners that lies in the picture."""
    each = np.arange(len(corners))
    start, end = corners[each, side], corners[each, (side + 1) % 4]
    at = start[:, None] + np.linspace(0, 1, PLACES_ALONG)[:, None] * (end - start)[:, None]
    size = np.array([scene.picture.facts.width_px, scene.picture.facts.height_px])
    return np.asarray(((at >= 0) & (at <= size - 1)).all(-1).mean(-1))


def _proposed(scene: Scene, kind: Kind) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """(N, 4, 2) corners in photo px of quads that a camera could see as this kind, rank, and guessed side."""
    lines = scene.lines
    side = max(scene.small.bgr.shape[:2])
    sizes = (SMALLEST * side, LARGEST * side)
    whole = quads(lines, kind.ratio, long_px=sizes, most=MOST_QUADS, hint=scene.hint)
    cut = cut_quads(lines, kind.ratio, long_px=sizes, most=MOST_CUT_QUADS, hint=scene.hint)
    found = to_photo_px(np.concatenate([whole.corners, cut.corners]), scene.small)
    corners = clockwise(found)
    guessed = np.concatenate([whole.guessed, cut.guessed])
    turned = (corners[:, 0] != found[:, 0]).any(1) & (guessed >= 0)
    guessed = np.where(turned, -guessed % 4, guessed)  # going round the other way, the second is the fourth
    rank = np.concatenate([whole.rank, cut.rank])
    chi2 = shape_misfit(scene, kind, corners)
    # the far side of a cut one is a guess, so that its shape is no test yet
    chi2[len(whole.rank) :] = np.minimum(chi2[len(whole.rank) :], CUT_CHI2)
    possible = chi2 < ROUGH_CHI2
    return corners[possible], rank[possible] - ROUGH_WEIGHT * chi2[possible], guessed[possible]


def clockwise(corners: Floats) -> Floats:
    """The same quads going round clockwise in the picture, the first side kept first."""
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 1]
    turn = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    return np.where(turn[:, None, None] > 0, corners, corners[:, [1, 0, 3, 2]])


def shape_misfit(scene: Scene, kind: Kind, corners: Floats) -> Floats:
    """Misfit (chi2) of rough quads to what some camera could see; infinite where too steep."""
    if not len(corners):
        return np.zeros(0)
    start = pose_of_homography(
        homography_of_quads(kind.plane, corners), scene.camera.focal_px, scene.camera.centre_px
    )
    sigma = ROUGH_SIGMA * scene.long_side

    def misfit(numbers: Floats) -> Floats:
        off = project(numbers, kind.plane, scene.camera.centre_px) - corners
        return np.asarray(off.reshape(*numbers.shape[:-1], -1) / sigma)

    numbers, _, chi2 = levenberg(start, misfit, camera=scene.camera, rounds=ROUGH_ROUNDS)
    return np.where(tilts(numbers) < np.radians(STEEPEST_DEG), chi2, np.inf)


def apart(corners: Floats, ranks: Floats, most: int) -> NDArray[np.int64]:
    """Indices of the best ranked, without those whose corners all lie near a better one's."""
    kept: list[int] = []
    for i in np.argsort(-ranks):
        same = False
        if kept:
            others = corners[kept]
            half_turned = np.roll(others, 2, axis=1)
            gap = np.minimum(
                np.abs(others - corners[i]).max((1, 2)), np.abs(half_turned - corners[i]).max((1, 2))
            )
            size = np.linalg.norm(corners[i, 1] - corners[i, 0])
            same = bool((gap < NEAR_SHARE * size).any())
        if not same:
            kept.append(int(i))
            if len(kept) == most:
                break
    return np.array(kept, np.int64)
