"""The four sides of candidate rectangles, fitted as lines along their whole length in the fine picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Array, Bgr, Floats
from printcheck.core.parabola import peak_offset
from printcheck.photo.scale.sampling import colours_at

if TYPE_CHECKING:
    from numpy.typing import NDArray


BLUR_PX = 0.8  # sigma before differencing, on top of the photo's own blur
HALF_GRADIENT = 3.0  # CIELAB (8-bit) per px at which support is one half
PROFILES = 44  # across each side
LEFT_OUT = 0.08  # of the side at each end: rounded corners (3.18 of 53.98 mm is 0.06)
STEP_PX = 0.5  # between samples of a profile
REACHES_PX = (8.0, 3.5, 3.0)  # to either side, of the first fit and the next
PEAK_REACH_PX = 2.0  # round the line found, where each profile's peak is looked for
PEAK_NEAR_PX = 1.2  # distance from it at which a peak has to be 2.7 times as high
SUPPORTED = 0.30  # of support: a profile that shows the edge
AGREE_PX = 0.3  # residual at which a peak's say in the line has fallen to a third
NEAR_PX = 1.5  # residual of peaks that count in the rms: those of another edge lie beyond
_PROFILES_TRIED = np.arange(0, PROFILES, 4)
TRIALS = np.array(
    [(i, j) for i in _PROFILES_TRIED for j in _PROFILES_TRIED if j - i >= PROFILES // 4]
).T  # pairs of profiles
FLOOR_PX = 0.22  # sigma of a fitted end: blur, lens and pixels that the residuals do not show
HIDDEN_PX = 50.0  # sigma of an end that was not seen at all
LEAST_PROFILES = 6  # of a side, to call it seen


@dataclass(frozen=True)
class Fine:
    """The picture in CIELAB, lightly blurred; at most about 2000 px."""

    lab: NDArray[np.float32]


@dataclass(frozen=True)
class Sides:
    """Fitted sides of N candidates, four each; side k runs from corner k to corner k + 1.

    Parameters
    ----------
    ends : (N, 4, 2, 2) float64
        Two points on each fitted side, at ``LEFT_OUT`` from its corners, in px of the fine picture.
    sigma : (N, 4, 2) float64
        Of those points across the side, in px.
    cover : (N, 4) float64
        Share of profiles (of those inside the picture) that show the edge.
    support : (N, 4) float64
        Mean support along the side.
    rms : (N, 4) float64
        Of the profiles' peaks about the line, in px.
    seen : (N, 4) float64
        Share of the side that lies inside the picture.
    """

    ends: Floats
    sigma: Floats
    cover: Floats
    support: Floats
    rms: Floats
    seen: Floats

    @property
    def corners(self) -> Floats:
        """(N, 4, 2) where neighbouring sides meet: corner k ends side k - 1 and starts side k."""
        return line_crossings(self.ends)

    def of(self, index: Array) -> Sides:
        """The same for some of the candidates."""
        parts = (self.ends, self.sigma, self.cover, self.support, self.rms, self.seen)
        return Sides(*(part[index] for part in parts))


def sides_of(corners: Floats) -> Floats:
    """(4, 2, 2) sides of (4, 2) corners, each from its start to its end."""
    return np.stack([corners, np.roll(corners, -1, axis=0)], 1)


def line_crossings(ends: Floats) -> Floats:
    """(N, 4, 2) where each of (N, 4, 2, 2) lines, given by two points, meets the one before it."""
    start, end = ends[:, :, 0], ends[:, :, 1]
    normal = np.stack([start[..., 1] - end[..., 1], end[..., 0] - start[..., 0]], -1)
    distance = np.sum(normal * start, -1)
    other, far = np.roll(normal, 1, axis=1), np.roll(distance, 1, axis=1)
    cross = other[..., 0] * normal[..., 1] - other[..., 1] * normal[..., 0]
    x = (far * normal[..., 1] - distance * other[..., 1]) / cross
    y = (other[..., 0] * distance - normal[..., 0] * far) / cross
    return np.stack([x, y], -1)


def fine_picture(bgr: Bgr) -> Fine:
    """The picture as the sides are fitted in it."""
    lab = cv2.cvtColor(bgr, cv2.COLOR_BGR2LAB)
    return Fine(np.asarray(cv2.GaussianBlur(lab, (0, 0), BLUR_PX), np.float32))


def normals(along: Floats) -> Floats:
    """(..., 2) unit vectors square to ``along``: inwards from sides clockwise in the picture."""
    normal = np.stack([-along[..., 1], along[..., 0]], -1)
    return np.asarray(normal / np.maximum(np.linalg.norm(normal, axis=-1, keepdims=True), 1e-9))


def fit_sides(fine: Fine, corners: Floats, reaches_px: tuple[float, ...] = REACHES_PX) -> Sides:
    """Sides near those of (N, 4, 2) rough corners in px of the fine picture."""
    for reach in reaches_px:
        sides = _fitted(fine, corners, reach)
        corners = sides.corners
    return sides


def _fitted(fine: Fine, corners: Floats, reach: float) -> Sides:
    t = np.linspace(LEFT_OUT, 1 - LEFT_OUT, PROFILES)
    start, along = corners, np.roll(corners, -1, axis=1) - corners
    normal = normals(along)
    across = np.arange(-reach, reach + STEP_PX / 2, STEP_PX)
    middle = start[:, :, None] + t[:, None] * along[:, :, None]
    support, inside = _profiles(fine, middle, normal, across)
    rough = _best_line(support, t, across)
    peak, height = _peaks(support, rough, across)
    weight = np.where(inside, height, 0.0)
    base, slope, rms = agreed_line(t, peak, weight, TRIALS, agree_px=AGREE_PX, near_px=NEAR_PX)
    low, high = base + slope * t[0], base + slope * t[-1]
    ends = np.stack(
        [t[0] * along + start + low[..., None] * normal, t[-1] * along + start + high[..., None] * normal], 2
    )
    count = inside.sum(-1)
    shown = inside & (height > SUPPORTED) & (np.abs(peak - line_between(low, high, t)) < PEAK_REACH_PX)
    return Sides(
        ends,
        _end_sigma(t, shown, rms),
        shown.sum(-1) / np.maximum(count, 1),
        np.sum(weight, -1) / np.maximum(count, 1),
        rms,
        count / PROFILES,
    )


def _profiles(fine: Fine, middle: Floats, normal: Floats, across: Floats) -> tuple[Array, NDArray[np.bool_]]:
    """(N, 4, profiles, across) support, and (N, 4, profiles) whether the profile lies in the picture."""
    steps = np.concatenate([across - STEP_PX, across[-1:], across[-1:] + STEP_PX])  # one more at each end
    at = middle[..., None, :] + steps[:, None] * normal[:, :, None, None]
    lab = colours_at(fine.lab, at)
    change = np.linalg.norm(lab[..., 2:, :] - lab[..., :-2, :], axis=-1) / (2 * STEP_PX)
    height, width = fine.lab.shape[:2]
    x, y = middle[..., 0], middle[..., 1]
    inside = (x >= 2) & (y >= 2) & (x <= width - 3) & (y <= height - 3)
    return change / (change + HALF_GRADIENT), inside


def _best_line(support: Array, t: Floats, across: Floats) -> Array:
    """(N, 4, profiles) place in the profiles of the line of greatest mean support."""
    offsets = np.arange(0, len(across), 2)
    low, high = (grid.ravel() for grid in np.meshgrid(offsets, offsets, indexing="ij"))
    place = np.rint(line_between(low, high, t)).astype(np.int64)
    smooth = np.maximum(support, np.maximum(np.roll(support, 1, -1), np.roll(support, -1, -1)))
    flat = smooth.reshape(-1, PROFILES * len(across))
    mean = flat[:, place + np.arange(PROFILES) * len(across)].mean(-1)
    return np.asarray(place[np.argmax(mean, axis=-1)].reshape(*support.shape[:3]))


def _peaks(support: Array, rough: Array, across: Floats) -> tuple[Array, Array]:
    """Place (px across) and height of each profile's peak near the rough line, to a part of a step."""
    off = (np.arange(len(across)) - rough[..., None]) * STEP_PX
    # a print's own edge may run close by and be the stronger one: the nearer peak is the likelier
    likely = np.where(np.abs(off) <= PEAK_REACH_PX, support * np.exp(-((off / PEAK_NEAR_PX) ** 2)), -1.0)
    best = np.argmax(likely, axis=-1)[..., None]
    inner = np.clip(best, 1, len(across) - 2)
    left, here, right = (np.take_along_axis(support, inner + k, -1)[..., 0] for k in (-1, 0, 1))
    part = np.where(left + right < 2 * here, peak_offset(left, here, right, most=1), 0.0)
    return across[inner[..., 0]] + part * STEP_PX, here


def line_between(low: Array, high: Array, t: Floats) -> Array:
    """(..., n) places at ``t`` of the lines from (...) ``low`` at its first to ``high`` at its last."""
    share = (t - t[0]) / (t[-1] - t[0])
    return np.asarray(low[..., None] * (1 - share) + high[..., None] * share)


def agreed_line(
    t: Floats, peak: Array, weight: Array, trials: NDArray[np.int64], *, agree_px: float, near_px: float
) -> tuple[Array, Array, Array]:
    """Lines that most peaks agree on, through (..., n) peaks at the n places ``t``.

    A print's edge that crosses the side at a small angle pulls a run of peaks away, so that the start is
    the best of many lines through two peaks, and far peaks lose all weight.

    Parameters
    ----------
    trials : (2, m) int array
        Pairs of peaks to draw the first lines through.
    agree_px : float, keyword-only
        Residual at which a peak's say in the line has fallen to a third.
    near_px : float, keyword-only
        Residual of peaks that count in the rms.

    Returns
    -------
    Value at t = 0, slope, and rms of the peaks about the line, (...).
    """
    first, second = trials
    slopes = (peak[..., second] - peak[..., first]) / (t[second] - t[first])
    off = peak[..., None, :] - peak[..., first, None] - slopes[..., None] * (t - t[first][:, None])
    votes = (weight[..., None, :] * np.exp(-((off / agree_px) ** 2))).sum(-1)
    best = np.argmax(votes, axis=-1)[..., None, None]
    off = np.take_along_axis(off, best, axis=-2)[..., 0, :]
    for _ in range(4):
        robust = weight * np.exp(-((off / agree_px) ** 2)) + 1e-9
        total = robust.sum(-1)
        mean_t, mean_p = (robust * t).sum(-1) / total, (robust * peak).sum(-1) / total
        dt, dp = t - mean_t[..., None], peak - mean_p[..., None]
        slope = (robust * dt * dp).sum(-1) / ((robust * dt * dt).sum(-1) + 1e-12)
        off = dp - slope[..., None] * dt
    near = weight * (np.abs(off) < near_px) + 1e-9
    rms = np.sqrt((near * off**2).sum(-1) / near.sum(-1))
    return mean_p - slope * mean_t, slope, rms


def _end_sigma(t: Floats, shown: NDArray[np.bool_], rms: Array) -> Array:
    """Sigma of the line at both ends, from how many profiles show it and where."""
    count = shown.sum(-1)
    mean = (shown * t).sum(-1) / np.maximum(count, 1)
    spread = (shown * (t - mean[..., None]) ** 2).sum(-1) + 1e-6
    noise = np.maximum(rms, FLOOR_PX)[..., None]
    at = np.stack([t[0] - mean, t[-1] - mean], -1)
    sigma = noise * np.sqrt(2 * (1 / np.maximum(count, 1)[..., None] + at**2 / spread[..., None]))
    return np.where(count[..., None] < LEAST_PROFILES, HIDDEN_PX, np.hypot(sigma, FLOOR_PX))
