"""Rectangles of known size: what is known of one, and how it is measured where it is thought to lie.

The sides are fitted as lines in the fine picture, a camera pose with priors on focal length and lens is
fitted to the sides, and its misfit is the test of shape. Where to look is told by :mod:`.propose` and
:mod:`.blobs`; :mod:`.refine_sides` moves sides off shadows and print, and :mod:`.classifier` weighs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from printcheck.core.handover import Floats, Picture
from printcheck.core.reference.objects import PAPER_MM, KnownObject, known_object
from printcheck.photo.scale.pose import (
    CUT_FOCAL,
    Camera,
    Pose,
    camera_of,
    homography_of_quads,
    levenberg,
    mirrored_tilt,
    pose_of_homography,
    project,
)
from printcheck.photo.scale.rectangle.appearance import gathered, paper_look, roundness, soft_lab
from printcheck.photo.scale.rectangle.quadrilaterals import hinted, hinted_along
from printcheck.photo.scale.rectangle.segments import EdgeLines, edge_lines, pooled
from printcheck.photo.scale.rectangle.sides import REACHES_PX, Fine, fine_picture, fit_sides
from printcheck.photo.scale.sampling import shrunk

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from numpy.typing import NDArray

WORK_PX = 800  # long side of the picture in which edges are proposed
# size and blur of the pictures whose edges are pooled; the coarse one blurs away fine stripes and weave
EDGE_LEVELS = ((WORK_PX, 1.0), (WORK_PX // 2, 2.2))
FINE_PX = 2000  # long side of the picture in which sides are fitted
BEND_SHARE = 0.0015  # of the long side: how far real outlines stray from a rectangle through a pinhole
SIDE_SEEN = 0.15  # share of a side inside the picture below which it is not seen
ASKED_RADIUS_MM = 3.18  # of objects with sharp corners it is asked whether they are round like a card's
BEYOND_CELLS = 6.0  # of the hint from the sides, where their own blur and shadow are no longer seen
STATED_TOLERANCE_MM = 0.5  # how well a user measures a rectangle
NEARLY = 0.06  # of the long side: corners this far off may still be a thing's, at another focal length
OUTSIDE, BORDER = 1.25, 0.85  # size over a candidate's own of the outlines just outside and inside it


def rectangle(size_mm: tuple[float, float], label: str = "") -> KnownObject:
    """A rectangle of stated size, of whose look nothing is known."""
    width, height = size_mm
    return replace(
        known_object("rect"),
        label=label or f"{width:g} x {height:g} mm rectangle",
        size_mm=(max(size_mm), min(size_mm)),
        thick_mm=PAPER_MM,
        size_sigma=STATED_TOLERANCE_MM / min(size_mm),
    )


def plane_of(kind: KnownObject) -> Floats:
    """(4, 2) corners in mm, in order round, the first side a long one."""
    return np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * kind.size_mm


def shape_of(kind: KnownObject) -> str:
    """Which classifier tells it: each kind of look has its own."""
    return "round" if kind.corner_mm else "paper" if kind.paper else "any"


@dataclass(frozen=True)
class SeenSides:
    """Ends (B, 4, 2, 2) of measured sides in photo px, and sigma (B, 4, 2) across the side."""

    ends: Floats
    sigma: Floats


@dataclass(frozen=True)
class Candidate:
    """A rectangle that may be the object; coordinates in photo px.

    Parameters
    ----------
    kind : KnownObject
    corners : (4, 2) float64
        In order round, clockwise in the picture, the first side a long one.
    poses : tuple of Pose
        The better and the other side of the tilt's ambiguity, of the object's upper face.
    cover, support, rms, seen : (4,) float64
        Of each side; see :class:`~printcheck.photo.scale.rectangle.sides.Sides`.
    round : float
        Support for rounded corners less that for sharp ones.
    look : dict
        Features of what lies within and about it; see :func:`_looks`.
    sides : SeenSides
        What the pose was fitted to, a batch of one.
    focal_stated : bool
        Whether EXIF gives the focal length.
    unlike, corners_unlike : float
        How different the most similar other place is, of the whole and of its corners; infinite until asked.
    through : float
        How much what lies inside a side goes along with what lies outside it, 0 until asked.
    strain : float
        What its sides lack in clearness beside the clearest lines there, in terms of misfit.
    """

    kind: KnownObject
    corners: Floats
    poses: tuple[Pose, Pose]
    cover: Floats
    support: Floats
    rms: Floats
    seen: Floats
    round: float
    look: dict[str, float]
    sides: SeenSides
    focal_stated: bool = True
    unlike: float = math.inf
    corners_unlike: float = math.inf
    through: float = 0.0
    strain: float = 0.0

    @property
    def weakest_cover(self) -> float:
        """Of the sides that are in the picture."""
        return float(self.cover[self.seen > SIDE_SEEN].min(initial=1.0))

    @property
    def misfit(self) -> float:
        """Chi2 of the pose, with what cloth, card and shutter bend allowed for in proportion to the size."""
        return self.poses[0].chi2 / self.bend_factor + self.strain

    @property
    def bend_factor(self) -> float:
        """Variance of the sides with what bends allowed for, over that without."""
        long_px = float(np.linalg.norm(self.corners[1] - self.corners[0]))
        return 1 + (BEND_SHARE * long_px / float(np.median(self.sides.sigma))) ** 2

    @property
    def px_per_mm(self) -> float:
        """Scale at the picture's centre, as the better pose has it."""
        return 1 / self.poses[0].mm_per_px(self.poses[0].centre_px)

    @property
    def guessed(self) -> int:
        """How many sides lie so far outside the picture that the known size alone puts them there."""
        return int((self.seen < SIDE_SEEN).sum())


@dataclass(frozen=True)
class Scene:
    """One photo made ready: the small picture for proposals and the fine one for measuring."""

    picture: Picture
    camera: Camera
    small: Picture
    fine: Fine
    fine_px: float  # photo px per px of the fine picture
    hint: NDArray[np.floating[Any]]  # where the picture holds something seen once

    @property
    def long_side(self) -> int:
        """Of the photo, in px."""
        return max(self.picture.facts.width_px, self.picture.facts.height_px)

    @cached_property
    def soft(self) -> tuple[NDArray[Any], Floats]:
        """The small picture's colours, and its own white."""
        return soft_lab(self.small.bgr)

    @cached_property
    def lines(self) -> EdgeLines:
        """Straight edges in px of the small picture; found once."""
        side = max(self.small.bgr.shape)
        return pooled(
            [
                (edge_lines(shrunk(self.small, longest).bgr, blur), max(1.0, side / longest))
                for longest, blur in EDGE_LEVELS
            ]
        )


def scene_of(picture: Picture) -> Scene:
    """Make a photo ready to be searched."""
    fine = shrunk(picture, FINE_PX)
    small = shrunk(fine, WORK_PX)
    return Scene(
        picture, camera_of(picture), small, fine_picture(fine.bgr), fine.reduction, gathered(small.bgr)
    )


def measured(
    scene: Scene, kinds: Sequence[KnownObject], rough: Floats, reaches_px: tuple[float, ...] = REACHES_PX
) -> list[Candidate]:
    """Sides fitted near (N, 4, 2) rough corners in photo px, a long side first, and the pose of each kind."""
    if not len(rough):
        return []
    sides = fit_sides(scene.fine, (rough + 0.5) / scene.fine_px - 0.5, reaches_px)
    corners = (sides.corners + 0.5) * scene.fine_px - 0.5
    sane = np.abs(corners - rough).max((1, 2)) < 0.1 * scene.long_side
    sides, corners = sides.of(sane), corners[sane]
    if not len(corners):
        return []
    seen = SeenSides((sides.ends + 0.5) * scene.fine_px - 0.5, sides.sigma * scene.fine_px)
    looks = _looks(scene, corners)
    return [
        Candidate(
            kind,
            corners[i],
            pair,
            sides.cover[i],
            sides.support[i],
            sides.rms[i],
            sides.seen[i],
            float(round_),
            looks[i],
            SeenSides(seen.ends[i : i + 1], seen.sigma[i : i + 1]),
            focal_stated=scene.camera.stated,
        )
        for kind in kinds
        for i, pair, round_ in _as_kind(scene, kind, seen, corners)
    ]


def _looks(scene: Scene, corners: Floats) -> list[dict[str, float]]:
    """Features of what lies within and about (N, 4, 2) corners, by name.

    How much is seen nowhere else of what lies within ("once"), just outside ("around") and farther outside
    ("beyond": a part of a larger thing); the same just inside the sides over that within ("border": a frame
    of print about a thing has little), and of the side with least ("open side"); and how like paper it is.
    """
    share = (corners + 0.5) / [scene.picture.facts.width_px, scene.picture.facts.height_px]
    x, y = share[..., 0].T, share[..., 1].T
    once = hinted(scene.hint, x, y)
    (around, _), (beyond, _), (border, least) = (
        hinted_along(scene.hint, x, y, grow) for grow in (OUTSIDE, _well_outside(scene, corners), BORDER)
    )
    inside = np.maximum(once, 1e-3)
    names = ("once", "around", "beyond", "border", "open side", "plain", "light", "tint")
    columns = (once, around, beyond, np.minimum(1, border / inside), np.minimum(1, least / inside))
    rows = np.column_stack([*columns, paper_look(*scene.soft, share)])
    return [dict(zip(names, map(float, row), strict=True)) for row in rows]


def _as_kind(
    scene: Scene, kind: KnownObject, seen: SeenSides, corners: Floats
) -> Iterator[tuple[int, tuple[Pose, Pose], float]]:
    """Which measured sides may be those of a kind, their poses, and how round the corners are."""
    which = np.flatnonzero(nearly(scene, kind, corners))
    if not len(which):
        return iter(())
    pairs = posed(scene, kind, SeenSides(seen.ends[which], seen.sigma[which]), corners[which])
    round_ = roundness(
        scene.fine,
        np.stack([pair[0].numbers for pair in pairs]),
        (*kind.size_mm, kind.corner_mm or ASKED_RADIUS_MM),
        centre_px=scene.camera.centre_px,
        fine_px=scene.fine_px,
    )
    return zip(which, pairs, map(float, round_), strict=True)


def nearly(scene: Scene, kind: KnownObject, corners: Floats, slack_px: float = 0.0) -> NDArray[np.bool_]:
    """(N,) whether some camera sees a thing of this kind about at (N, 4, 2) corners, by a closed form."""
    starts = _starts(scene, kind, corners)
    off = np.array(
        [np.abs(project(start, plane_of(kind), scene.camera.centre_px) - corners) for start in starts]
    )
    long = np.linalg.norm(corners[:, 1] - corners[:, 0], axis=1)
    return np.asarray(off.max((2, 3)).min(0) < NEARLY * long + slack_px)


def _starts(scene: Scene, kind: KnownObject, corners: Floats) -> list[Floats]:
    """(N, 8) poses near those that show corners, for each focal length that a fit starts with."""
    matrices = homography_of_quads(plane_of(kind), corners)
    focal = scene.camera.focal_px
    return [
        pose_of_homography(matrices, each, scene.camera.centre_px)
        for each in ((focal,) if scene.camera.stated else (focal, focal * CUT_FOCAL))
    ]


def _well_outside(scene: Scene, corners: Floats) -> Floats:
    """(N,) size, over that of (N, 4, 2) corners, of outlines where no cell sees the thing or its shadow."""
    cell_px = scene.long_side / max(scene.hint.shape)
    short_px = np.linalg.norm(corners[:, 2] - corners[:, 1], axis=1)
    return np.asarray(np.maximum(OUTSIDE, 1 + 2 * BEYOND_CELLS * cell_px / np.maximum(short_px, cell_px)))


def posed(
    scene: Scene, kind: KnownObject, seen: SeenSides, corners: Floats, near: Sequence[Pose] = ()
) -> list[tuple[Pose, Pose]]:
    """Both poses of each of B rectangles of this kind, fitted to the ends of its sides.

    ``corners`` (B, 4, 2) in photo px are the start of the fit, or both poses of a rectangle ``near`` all.
    """
    count = len(corners)
    starts = [way for each in _starts(scene, kind, corners) for way in (each, mirrored_tilt(each))]
    several = np.concatenate([np.tile(pose.numbers, (count, 1)) for pose in near] or starts)
    times = len(several) // count
    ends, sigma = np.tile(seen.ends, (times, 1, 1, 1)), np.tile(seen.sigma, (times, 1, 1))
    misfit = side_misfit(kind, ends, sigma, scene.camera)
    numbers, covariance, chi2 = levenberg(several, misfit, camera=scene.camera)
    best = chi2.reshape(times // 2, 2, count).argmin(0)  # of the focal lengths, for each way of the tilt
    rows = (2 * best + [[0], [1]]) * count + np.arange(count)
    numbers, covariance, chi2 = (part[rows.ravel()] for part in (numbers, covariance, chi2))
    pairs = []
    for i in range(count):
        one, two = (
            Pose(numbers[k], covariance[k], float(chi2[k]), scene.camera.centre_px) for k in (i, i + count)
        )
        pairs.append((one, two) if one.chi2 <= two.chi2 else (two, one))
    return pairs


def side_misfit(kind: KnownObject, ends: Floats, sigma: Floats, camera: Camera) -> Callable[[Floats], Floats]:
    """Residuals (..., B, 8): how far the ends of each side lie from the side as the pose would show it.

    Distances across the side only, so that a side seen in part counts for what it shows.
    """

    def misfit(numbers: Floats) -> Floats:
        seen = project(numbers, plane_of(kind), camera.centre_px)
        start, along = seen, np.roll(seen, -1, axis=-2) - seen
        length = np.maximum(np.linalg.norm(along, axis=-1), 1e-9)
        off = ends - start[..., None, :]
        across = (along[..., None, 0] * off[..., 1] - along[..., None, 1] * off[..., 0]) / length[..., None]
        return np.asarray((across / sigma).reshape(*numbers.shape[:-1], -1))

    return misfit
