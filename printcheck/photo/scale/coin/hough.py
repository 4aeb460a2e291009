"""Where coins may lie: every edge votes for the centres of the circles it could be a part of."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Bgr, Floats, Lab

SEARCH_PX = 480  # px of the long side: a coin of 24 mm on 650 mm of cloth is 18 px across
BLUR_PX = 0.8  # px: weave and noise out, rims kept
EDGE_SHARE = 0.86  # quantile of the gradient that counts as an edge ...
LEAST_EDGE, MOST_EDGE = 1.5, 4.0  # ... within these, in Lab units per px: noise of a phone is about 0.5
RADIUS_STEP = 1.12  # from radius to radius: the box in which votes are gathered covers the gap
CENTRE_SLACK = 0.06  # of the radius: half the box in which votes for one centre are gathered
LEAST_VOTES = 0.18  # of the circumference; true coins on rough prints have 0.25 and more
PEAKS_A_RADIUS = 12  # strongest centres kept of each radius
LEAST_RADIUS_PX = 7.0  # px at search size: below it there is no rim to speak of
MOST_VIEW_MM, LEAST_VIEW_MM = 700.0, 45.0  # mm of cloth from left to right in photos worth measuring
SAME_PLACE, SAME_SIZE = 0.3, 1.13  # of the radius, and ratio: two candidates of one circle


@dataclass(frozen=True)
class Circle:
    """A candidate in pixels of the picture searched; ``votes`` is the share of its rim that voted."""

    x: float
    y: float
    r: float
    votes: float

    def scaled(self, factor: float) -> Circle:
        """The same in a picture ``factor`` times as large."""
        return Circle(
            (self.x + 0.5) * factor - 0.5, (self.y + 0.5) * factor - 0.5, self.r * factor, self.votes
        )


def search(bgr: Bgr, diameter_mm: float) -> list[Circle]:
    """Candidates in pixels of ``bgr``, strongest first."""
    factor = max(1.0, max(bgr.shape[:2]) / SEARCH_PX)
    small = cv2.resize(bgr, None, fx=1 / factor, fy=1 / factor, interpolation=cv2.INTER_AREA)
    soft = cv2.GaussianBlur(small, (0, 0), BLUR_PX).astype(np.float32) / 255
    lab = np.asarray(cv2.cvtColor(soft, cv2.COLOR_BGR2Lab), np.float32)
    edges = _edges(lab)
    height, width = lab.shape[:2]
    least = max(LEAST_RADIUS_PX, diameter_mm / 2 / MOST_VIEW_MM * max(width, height))
    most = min(0.5 * min(width, height), diameter_mm / 2 / LEAST_VIEW_MM * max(width, height))
    found: list[Circle] = []
    radius = least
    while radius < most:
        found += _centres(edges, radius, (height, width))
        radius *= RADIUS_STEP
    return [circle.scaled(factor) for circle in _thinned(found)]


def _edges(lab: Lab) -> Floats:
    """Edge points (N, 4): x, y, and the unit gradient, from the channel that shows it best."""
    dx = np.stack([cv2.Scharr(lab[..., c], cv2.CV_32F, 1, 0, scale=1 / 32) for c in range(3)])
    dy = np.stack([cv2.Scharr(lab[..., c], cv2.CV_32F, 0, 1, scale=1 / 32) for c in range(3)])
    size = dx**2 + dy**2
    best = np.argmax(size, axis=0)[None]
    gx, gy = (np.take_along_axis(g, best, 0)[0] for g in (dx, dy))
    strength = np.hypot(gx, gy)
    least = float(np.clip(np.quantile(strength[::2, ::2], EDGE_SHARE), LEAST_EDGE, MOST_EDGE))
    # thin: a maximum along the stronger axis of its own gradient
    upright = np.abs(gx) > np.abs(gy)
    across = (strength >= np.roll(strength, 1, 1)) & (strength > np.roll(strength, -1, 1))
    down = (strength >= np.roll(strength, 1, 0)) & (strength > np.roll(strength, -1, 0))
    y, x = np.nonzero((strength > least) & np.where(upright, across, down))
    s = strength[y, x]
    return np.stack([x, y, gx[y, x] / s, gy[y, x] / s], 1).astype(float)


def _centres(edges: Floats, radius: float, shape: tuple[int, int]) -> list[Circle]:
    """Strongest centres of circles of one radius."""
    height, width = shape
    votes = np.zeros(height * width)
    for sign in (1, -1):  # a rim is light on dark here and dark on light there
        x = np.rint(edges[:, 0] + sign * radius * edges[:, 2]).astype(np.int64)
        y = np.rint(edges[:, 1] + sign * radius * edges[:, 3]).astype(np.int64)
        inside = (x >= 0) & (x < width) & (y >= 0) & (y < height)
        votes += np.bincount(y[inside] * width + x[inside], minlength=height * width)
    half = max(1, round(CENTRE_SLACK * radius))
    box = (2 * half + 1, 2 * half + 1)
    summed = np.asarray(cv2.boxFilter(votes.reshape(shape), -1, box, normalize=False), np.float32)
    gathered: Lab = summed / np.float32(2 * math.pi * radius)
    reach = max(3, 2 * round(SAME_PLACE * radius) + 1)
    peak = gathered >= cv2.dilate(gathered, np.ones((reach, reach), np.uint8))
    y, x = np.nonzero(peak & (gathered > LEAST_VOTES))
    order = np.argsort(-gathered[y, x])[:PEAKS_A_RADIUS]
    return [Circle(float(x[k]), float(y[k]), radius, float(gathered[y[k], x[k]])) for k in order]


def _thinned(found: list[Circle]) -> list[Circle]:
    """One candidate a circle, strongest first."""
    kept: list[Circle] = []
    for circle in sorted(found, key=lambda c: -c.votes):
        if not any(
            math.hypot(circle.x - k.x, circle.y - k.y) < SAME_PLACE * k.r
            and max(circle.r / k.r, k.r / circle.r) < SAME_SIZE
            for k in kept
        ):
            kept.append(circle)
    return kept
