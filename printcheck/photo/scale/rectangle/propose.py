"""Quadrilaterals that may be a rectangle of known size, from the straight edges of a small picture.

Those that no camera could see as this rectangle are dropped; sides and pose of the rest are fitted
(:mod:`.known`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import Floats
from printcheck.photo.scale.pose import fit_poses, homography_of_quads, pose_of_homography, project, tilts
from printcheck.photo.scale.rectangle.known import (
    WORK_PX,
    Candidate,
    Scene,
    SeenSides,
    measured,
    nearly,
    plane_of,
    posed,
)
from printcheck.photo.scale.rectangle.quadrilaterals import LEAST_SEEN, PLACES_ALONG, cut_quads, quads
from printcheck.photo.scale.rectangle.sides import fit_sides
from printcheck.photo.scale.sighting import to_photo_px

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from printcheck.core.reference.objects import KnownObject

SMALLEST, LARGEST = 0.06, 0.98  # long side of the object over the picture's
MOST_CUT_QUADS, MOST_CUT = 30, 6  # of objects cut by the edge: proposed, and fitted
MOST_QUADS = 300  # that go on to the pose test
ROUGH_SIGMA = 1.5 / WORK_PX  # of the long side: sigma of a proposed corner
ROUGH_CHI2 = 40.0  # of 8 coordinates so rough
ROUGH_WEIGHT = 0.015  # in the rank
ROUGH_ROUNDS = 4
STEEPEST_DEG = 40.0  # more tilt is no photo of cloth
NEAR_SHARE = 0.02  # of its own long side: candidates nearer than this in all corners are one
MOST_CANDIDATES = 20  # whose sides are fitted
FAR_SIDE_OFF = 0.1  # of the photo's long side: how far tilt puts a side off its place without tilt


def candidates(scene: Scene, kinds: Sequence[KnownObject]) -> list[Candidate]:
    """Rectangles that a camera could see as one of these kinds, with sides and pose fitted.

    Of the first kind also those of which one side is out of the photo.
    """
    whole = measured(scene, kinds, _whole(scene, kinds))
    cut = completed(scene, kinds[0], *_cut(scene, kinds[0]))
    return whole + measured(scene, kinds[:1], cut)


def completed(scene: Scene, kind: KnownObject, rough: Floats, guessed: NDArray[np.int64]) -> Floats:
    """Rough corners (N, 4, 2) with the guessed one of the sides where a pose of the others puts it.

    Without those whose guessed side then lies in view: an edge there would have been found, not guessed.
    """
    if not len(rough):
        return rough
    sides = fit_sides(scene.fine, (rough + 0.5) / scene.fine_px - 0.5)
    sigma = sides.sigma * scene.fine_px
    sigma[np.arange(len(rough)), guessed] = FAR_SIDE_OFF * scene.long_side
    pairs = posed(scene, kind, SeenSides((sides.ends + 0.5) * scene.fine_px - 0.5, sigma), rough)
    numbers = np.stack([pair[0].numbers for pair in pairs])
    found = project(numbers, plane_of(kind), scene.camera.centre_px)
    near = np.abs(found - rough).max((1, 2)) < FAR_SIDE_OFF * scene.long_side
    return np.asarray(found[near & (_in_view(scene, found, guessed) < LEAST_SEEN)])


def _in_view(scene: Scene, corners: Floats, side: NDArray[np.int64]) -> Floats:
    """(N,) share of one side of each of (N, 4, 2) corners that lies in the picture."""
    each = np.arange(len(corners))
    start, end = corners[each, side], corners[each, (side + 1) % 4]
    at = start[:, None] + np.linspace(0, 1, PLACES_ALONG)[:, None] * (end - start)[:, None]
    size = np.array([scene.picture.facts.width_px, scene.picture.facts.height_px])
    return np.asarray(((at >= 0) & (at <= size - 1)).all(-1).mean(-1))


def _whole(scene: Scene, kinds: Sequence[KnownObject]) -> Floats:
    """(N, 4, 2) corners in photo px of the best quads that a camera could see as one of the kinds."""
    ratios = [kind.ratio for kind in kinds]
    found = quads(
        scene.lines,
        (min(ratios), max(ratios)),
        long_px=_sizes(scene),
        most=MOST_QUADS,
        hint=scene.hint,
    )
    corners = clockwise(to_photo_px(found.corners, scene.small))
    chi2 = np.min([shape_misfit(scene, kind, corners) for kind in kinds], axis=0)
    possible = chi2 < ROUGH_CHI2
    corners, rank = corners[possible], (found.rank - ROUGH_WEIGHT * chi2)[possible]
    return np.asarray(corners[apart(corners, rank, MOST_CANDIDATES)])


def _cut(scene: Scene, kind: KnownObject) -> tuple[Floats, NDArray[np.int64]]:
    """Likewise of objects of which a side is out of the photo, and which side that is."""
    found = cut_quads(scene.lines, kind.ratio, long_px=_sizes(scene), most=MOST_CUT_QUADS, hint=scene.hint)
    seen = to_photo_px(found.corners, scene.small)
    corners = clockwise(seen)
    turned = (corners[:, 0] != seen[:, 0]).any(1)
    guessed = np.where(turned, -found.guessed % 4, found.guessed)  # the other way round, the second is last
    best = apart(corners, found.rank, MOST_CUT)
    return corners[best], guessed[best]


def _sizes(scene: Scene) -> tuple[float, float]:
    """Least and greatest long side of an object in px of the small picture."""
    side = max(scene.small.bgr.shape[:2])
    return SMALLEST * side, LARGEST * side


def clockwise(corners: Floats) -> Floats:
    """The same quads going round clockwise in the picture, the first side kept first."""
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 1]
    turn = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    return np.where(turn[:, None, None] > 0, corners, corners[:, [1, 0, 3, 2]])


def shape_misfit(scene: Scene, kind: KnownObject, corners: Floats) -> Floats:
    """Misfit (chi2) of rough quads to what some camera could see; infinite where too steep."""
    found = np.full(len(corners), np.inf)
    near = nearly(scene, kind, corners) if len(corners) else np.zeros(0, bool)
    if not near.any():
        return found
    corners = corners[near]
    start = pose_of_homography(
        homography_of_quads(plane_of(kind), corners), scene.camera.focal_px, scene.camera.centre_px
    )
    numbers, _, chi2 = fit_poses(
        start,
        plane_of(kind),
        corners,
        sigma_px=ROUGH_SIGMA * scene.long_side,
        camera=scene.camera,
        rounds=ROUGH_ROUNDS,
    )
    found[near] = np.where(tilts(numbers) < np.radians(STEEPEST_DEG), chi2, np.inf)
    return found


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
