"""How one picture of a cloth may lie on another: every place at which the two agree, not the best alone.

A print falls on itself by its lattice, so a picture fits another at several places; two that fit equally
well differ by a shift under which the overlap repeats. All are kept, and the whole layout chooses. Each
guess is fitted by small patches, and judged by what is left between the two pictures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import cv2
import numpy as np

from printcheck.photo.scale.pose import local_scale
from printcheck.photo.stitch.guesses import (
    LEAST_OVERLAP,
    LEAST_PATCHES,
    MOST_SCALE,
    MOST_ZOOM,
    SAME_PLACE,
    guesses,
    known_zoom,
)
from printcheck.photo.stitch.patches import Matched, matched
from printcheck.photo.stitch.planar_pose import Link, fitted_poses, pose_near, straight_pose
from printcheck.photo.stitch.view import Matrix, View, corners_of, moved

# How far a patch is looked for on half copies, and how near most agree, pixels.
ROUNDS = ((14, 5.0), (6, 3.0))
FINAL_PX = 1.0  # one sigma of a patch on the working copies
PLACES = 10  # of two pictures that are fitted, the likest at a glance
ENOUGH_PATCHES = 80  # in a round: more add time and move the pose by little
FIRST_PATCHES = 6  # that agree on a round's pose
REACH_PX = 5  # how far a patch is looked for when a place is judged: lens and cloth bend a little
LEAST_CONSENSUS = 0.3  # share of the patches found that agree, from the first round on
MOST_UNLIKE = 0.6  # share of what an overlap shows that differs between two pictures of one place


@dataclass(frozen=True)
class Place:
    """One way in which a picture lies on another.

    Parameters
    ----------
    move : (3, 3) float64
        From the picture's whole pixels to the other's.
    link : Link
        Places that both show (the picture as 1, the other as 0), whole pixels.
    unlike : float
        Share of what the overlap shows that differs between the two.
    worst : float
        The same of the patch where most differs.
    """

    move: Matrix
    link: Link = field(repr=False)
    unlike: float
    worst: float

    def back(self) -> Place:
        """The same seen from the other picture."""
        link = replace(self.link, pairs=self.link.pairs[:, ::-1])
        return replace(self, move=np.asarray(np.linalg.inv(self.move), np.float64), link=link)


def places(new: View, old: View) -> list[Place]:
    """Places at which one view lies soundly on the other, those that leave least unlike first."""
    found: list[Place] = []
    for tried in guesses(new, old):
        likely = sorted(tried, key=lambda guess: _looked(new, old, guess, ROUNDS[0][0]).unlike)
        for place in (fitted(new, old, guess) for guess in likely[:PLACES]):
            if place is None or place.unlike > MOST_UNLIKE or len(place.link.pairs) < LEAST_PATCHES:
                continue
            if not any(same_place(place.move, other.move, new, old) for other in found):
                found.append(place)
        if found:
            break
    return sorted(found, key=lambda place: place.unlike)


def fitted(new: View, old: View, start: Matrix) -> Place | None:
    """The place near a start that the patches of both views agree on; None where they do not."""
    move: Matrix | None = start
    for reach, agree_px in ROUNDS:
        if move is None or not _allowed(move, new, old):
            return None
        link = _link(_looked(new, old, move, reach), new.half, old.half)
        move = _agreed(move, link, new, old, agree_px / float(old.half.from_whole[0, 0]))
    if move is None or not _allowed(move, new, old):
        return None
    place = judged(new, old, move)
    if place is None or len(place.link.pairs) < LEAST_PATCHES:
        return place
    finer = _agreed(move, place.link, new, old, FINAL_PX / float(old.from_whole[0, 0]))
    return place if finer is None else replace(place, move=finer)


def _looked(new: View, old: View, whole: Matrix, reach: int) -> Matched:
    """What a movement shows at a glance, on half copies."""
    move = old.half.from_whole @ whole @ np.linalg.inv(new.half.from_whole)
    return matched(new.half, old.half, move, reach, most=ENOUGH_PATCHES)


def _agreed(move: Matrix, link: Link, new: View, old: View, agree_px: float) -> Matrix | None:
    """The movement on which most places of a link (of pictures 1 and 0) agree; None where too few do."""
    if len(link.pairs) < FIRST_PATCHES:
        return None
    poses = {0: straight_pose(old.whole), 1: pose_near(move, new.whole)}
    poses, _ = fitted_poses(poses, [link], agree_px, leaning=True)
    agree = link.apart(poses[1].move, poses[0].move)[1] < agree_px
    if agree.sum() < max(FIRST_PATCHES, LEAST_CONSENSUS * len(agree)):
        return None
    move = np.linalg.inv(poses[0].move) @ poses[1].move
    return np.asarray(move / move[2, 2], np.float64)


def _link(found: Matched, new: View, old: View) -> Link:
    """What was found on copies, in the pixels of the whole pictures (1 and 0)."""
    if not len(found.pairs):
        return Link(1, 0, found.pairs, found.tensors)
    ends = [moved(found.pairs[:, n], np.linalg.inv(one.from_whole)) for n, one in enumerate((new, old))]
    return Link(1, 0, np.stack(ends, 1), found.tensors)


def judged(new: View, old: View, whole: Matrix) -> Place | None:
    """What two views say of a place as it is; None where their overlap shows hardly anything."""
    if overlapping(new, old, whole) < LEAST_OVERLAP:
        return None
    move = old.from_whole @ whole @ np.linalg.inv(new.from_whole)
    found = matched(new, old, move, REACH_PX)
    return (
        None if math.isinf(found.unlike) else Place(whole, _link(found, new, old), found.unlike, found.worst)
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
    known = known_zoom(new, old)
    if known is not None:
        return abs(middle / known - 1) <= MOST_SCALE
    return 1 / MOST_ZOOM < middle * max(new.whole) / max(old.whole) < MOST_ZOOM


def same_place(one: Matrix, other: Matrix, new: View, old: View) -> bool:
    """Whether two movements of the new picture's whole pixels to the old one's are one place."""
    corners = corners_of(new.whole)
    return float(np.abs(moved(corners, one) - moved(corners, other)).max()) < SAME_PLACE * max(old.whole)
