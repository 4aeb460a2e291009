"""What the ticks of a tape say of the camera: one edge the scale and tilt along it, two edges also across."""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from printcheck.core.handover import Floats
from printcheck.photo.scale.pose import LN_FOCAL, PARAMETERS, Camera, Pose, levenberg, project, rotation
from printcheck.photo.scale.sighting import tilt_misfit

TURN = PARAMETERS  # place of the tape's direction on the cloth, after the pose's numbers
ALONG, ACROSS = PARAMETERS + 1, PARAMETERS + 2  # mm: where the second edge's row lies beside the first
ALONG_SIGMA_PX = 0.15  # px of the picture searched: errors of ticks, shared by neighbours
ALONG_SIGMA_SHARE = 3e-4  # of the length seen: printing of the ticks, bow of the tape; reference study 4e-4
ACROSS_SIGMA_PX = 3.0  # px: a tape lies in a bow, and its row is known to a tick's depth
POINTS = 24  # taken along the tape
INDEPENDENT = 6  # of them: neighbours share their errors
CLASS_II_MM = (0.3, 0.2)  # a, b: largest error a + b L of a tape, L in m rounded up; Directive 2014/32/EU
EVENLY = math.sqrt(3)  # largest error over one sigma, where all errors up to it are as likely


def fit_rule(rows: list[tuple[Floats, Floats]], *, thickness_mm: float, px: float, camera: Camera) -> Pose:
    """Pose of the cloth under a tape.

    Parameters
    ----------
    rows : list of ((N,) float64, (N, 2) float64)
        For one edge or two: places along it in mm, and where they are seen, in photo px.
    thickness_mm : float, keyword-only
        Of the tape: the cloth lies this much behind its ticks.
    px : float, keyword-only
        Photo px per px of the picture the ticks were read in.
    camera : Camera, keyword-only

    Notes
    -----
    Points on one line leave the tilt about that line open, so the tilt has a prior, and its sigma stays in
    the covariance. Two edges that lie a tape's width apart are seen at scales that differ by some tenths
    of a per cent where the camera is tilted about the tape: that settles it. How far apart they lie, and
    how their counts are shifted, is fitted too.
    """
    line = rows[0][1][-1] - rows[0][1][0]
    along = line / np.linalg.norm(line)
    across = np.array([-along[1], along[0]])
    start, unit = _start(rows, across, camera)
    sigmas = [_sigma(seen, px) for _, seen in rows]

    def residuals(now: Floats) -> Floats:
        turn = np.array(
            [[math.cos(now[TURN]), math.sin(now[TURN])], [-math.sin(now[TURN]), math.cos(now[TURN])]]
        )
        off = []
        for k, (marks_mm, seen) in enumerate(rows):
            beside = now[[ALONG, ACROSS]] if k else np.zeros(2)
            plane = (
                np.stack([marks_mm - marks_mm.mean() + beside[0], np.full(len(seen), beside[1])], 1) @ turn
            )
            gap = project(now[None, :PARAMETERS], plane, camera.centre_px)[0] - seen
            off += [gap @ along / sigmas[k][0], gap @ across / sigmas[k][1]]
        return np.concatenate([*off, tilt_misfit(now)])

    each = partial(np.apply_along_axis, residuals, -1)
    numbers, covariance, chi2 = levenberg(start[None], each, camera=camera, unit=unit)
    pose = numbers[0, :PARAMETERS]
    pose[3:6] += thickness_mm * rotation(pose[None, :3])[0, :, 2]
    return Pose(pose, covariance[0, :PARAMETERS, :PARAMETERS], float(chi2[0]), camera.centre_px)


def _sigma(seen: Floats, px: float) -> tuple[float, float]:
    """One sigma of a point along and across its row, photo px; neighbours share their errors."""
    count = math.sqrt(len(seen) / INDEPENDENT)
    length = float(np.linalg.norm(seen[-1] - seen[0]))
    return math.hypot(ALONG_SIGMA_PX * px, ALONG_SIGMA_SHARE * length) * count, ACROSS_SIGMA_PX * px * count


def _start(rows: list[tuple[Floats, Floats]], across: Floats, camera: Camera) -> tuple[Floats, Floats]:
    """A tape seen straight from above, and the size of each number; 0 of those that are not fitted."""
    marks_mm, seen = rows[0]
    line = seen[-1] - seen[0]
    mm_per_px = abs(float(marks_mm[-1] - marks_mm[0])) / float(np.linalg.norm(line))
    distance = camera.focal_px * mm_per_px
    numbers = np.zeros(ACROSS + 1)
    numbers[3:5] = (seen.mean(0) - np.array(camera.centre_px)) * mm_per_px
    numbers[5], numbers[LN_FOCAL] = distance, math.log(camera.focal_px)
    numbers[TURN] = math.atan2(line[1], line[0])
    if len(rows) > 1:
        beside = (rows[1][1].mean(0) - seen.mean(0)) * mm_per_px
        numbers[ALONG], numbers[ACROSS] = beside @ (line / np.linalg.norm(line)), beside @ across
    unit = np.ones(ACROSS + 1)
    unit[2] = 0.0  # the tape's own direction turns it
    unit[3:6] = distance
    unit[[ALONG, ACROSS]] = distance if len(rows) > 1 else 0.0
    return numbers, unit


def tape_error(length_mm: float) -> float:
    """One sigma of a class II tape's scale over a length, as a share.

    Examples
    --------
    >>> round(tape_error(1000.0) * 1000 * EVENLY, 3)
    0.5
    """
    a, b = CLASS_II_MM
    return (a + b * math.ceil(length_mm / 1000)) / EVENLY / length_mm
