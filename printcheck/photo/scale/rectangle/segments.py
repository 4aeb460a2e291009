"""Straight edges of any colour in a picture, and how well each is supported along its whole length.

Edges are those of colour, not of lightness, so that a card on cloth of its own lightness still has an
outline. Lines are found by a Hough transform in overlapping tiles: a short edge stands out in its own
tile however busy the rest of the picture is. Support is summed up along each line once, so that the
support of any stretch of it is later a difference of two numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Array, Bgr, Floats, Ints, Mask

BLUR_PX = 1.0  # sigma before differencing: a pixel of a well-focused photo at this size
GRADIENT_FLOOR, GRADIENT_CEILING = 0.8, 3.0  # CIELAB (8-bit) per px at which support is one half
NOISE_PERCENTILE, NOISE_TIMES = 30, 2.5  # support is one half at this many times the quiet third's gradient
THIN_SHARE = 0.6  # of that gradient: weaker pixels do not vote
ANGLES = 90  # Hough bins of 2 degrees over the half turn
TILE_PX = 200  # a card's short side is 50 to 300 px at working size
VOTES_PER_TILE = 32  # strongest lines kept per tile
LEAST_VOTES = 18.0  # px of edge: less is chance
SPREAD = tuple((k, math.exp(-((k / 3) ** 2))) for k in range(-3, 4))  # votes over angle bins: noise
ALONG_PX, SAMPLES, ACROSS_PX = 110.0, 56, 3  # refinement: half length, samples, reach to either side
ROBUST_PX = 0.7  # px: residual at which a sample counts half
AGREE = 26  # of 256 per half turn (18 degrees): orientation that still supports a line
SAME_PX, SAME_RAD = 1.6, math.radians(1.3)  # two lines nearer than this are one
STRETCHES_PX, RUNS_ON_WEIGHT = (80, 160, 320), 0.7  # lengths of sides; weight of the support elsewhere
BYTE_PER_RAD = 256 / math.pi


@dataclass(frozen=True)
class EdgeMap:
    """Support (0 to 255) and orientation of the edge's normal (256 to the half turn) at every pixel."""

    support: Array
    normal: Array


@dataclass(frozen=True)
class EdgeLines:
    """Lines ``x cos a + y sin a = r`` with support along them.

    Parameters
    ----------
    angle, foot_x, foot_y : (N,) float32
        Normal's angle in [0, pi), and the point nearest the picture's centre, where t = 0; t grows
        along (-sin a, cos a).
    supported, valid : (N, 2 T + 2) float32
        Running sums over t = -T..T of support (0 to 1) and of being inside the picture.
    edges : EdgeMap
    """

    angle: Array
    foot_x: Array
    foot_y: Array
    supported: Array
    valid: Array
    edges: EdgeMap

    @property
    def reach(self) -> int:
        """T, the number of px along a line to either side of its foot."""
        return int(self.supported.shape[1] - 2) // 2

    def support(self, line: Ints, start: Array, end: Array) -> tuple[Array, Array]:
        """Mean support over a stretch of each line, and the share of the stretch inside the picture."""
        first, last = self._places(start), self._places(end)
        seen = self.valid[line, last] - self.valid[line, first]
        total = self.supported[line, last] - self.supported[line, first]
        return total / np.maximum(seen, 1), seen / np.maximum(last - first, 1)

    def _places(self, t: Array) -> Ints:
        return np.asarray(np.clip(np.rint(t + self.reach), 0, self.supported.shape[1] - 1), np.intp)


def edge_lines(bgr: Bgr, blur_px: float = BLUR_PX) -> EdgeLines:
    """Straight edges of a picture of about 800 px."""
    strength, normal = _gradient(bgr, blur_px)
    half = NOISE_TIMES * float(np.percentile(strength[::4, ::4], NOISE_PERCENTILE))
    half = min(max(half, GRADIENT_FLOOR), GRADIENT_CEILING)
    edges = EdgeMap(
        np.asarray(np.clip(strength * (255 / (strength + half)), 0, 255), np.uint8),
        np.rint(normal * BYTE_PER_RAD).astype(np.int32).astype(np.uint8),
    )
    x, y, angle, votes = _hough(strength, normal, half)
    if len(x):
        x, y, angle = _refined(x, y, angle, edges)
        kept = _distinct(x, y, angle, votes)
        x, y, angle = x[kept], y[kept], angle[kept]
    return _summed(x, y, angle, edges)


def pooled(levels: list[tuple[EdgeLines, float]]) -> EdgeLines:
    """Lines of several degrees of blur as one set, in pixels of the first, strongest first.

    Parameters
    ----------
    levels : list of (EdgeLines, float)
        With the size of each one's pixel in pixels of the first. A line found twice is kept once, with
        the better of its supports.
    """
    scaled = [_tables(_scaled(lines, factor, levels[0][0])) for lines, factor in levels]
    angle, x, y, supported, valid = (np.concatenate(parts) for parts in zip(*scaled, strict=True))
    whole = EdgeLines(angle, x, y, supported, valid, levels[0][0].edges)
    if not len(angle):
        return whole
    strength = np.max([_strength(whole, stretch) for stretch in STRETCHES_PX], axis=0)
    kept = _distinct(x, y, angle, strength)
    return EdgeLines(angle[kept], x[kept], y[kept], supported[kept], valid[kept], whole.edges)


def _strength(lines: EdgeLines, stretch: int) -> Array:
    """Support of the best stretch, less the support elsewhere: a card's edge ends, a stripe runs on."""
    stretch = min(stretch, lines.supported.shape[1] - 1)  # a small picture is shorter
    best = (lines.supported[:, stretch:] - lines.supported[:, :-stretch]).max(1)
    rest = (lines.supported[:, -1] - best) / np.maximum(lines.valid[:, -1] - stretch, stretch)
    return np.asarray(best / stretch - RUNS_ON_WEIGHT * rest)


def _tables(lines: EdgeLines) -> tuple[Array, ...]:
    return lines.angle, lines.foot_x, lines.foot_y, lines.supported, lines.valid


def _scaled(lines: EdgeLines, factor: float, like: EdgeLines) -> EdgeLines:
    """The same lines in a picture ``factor`` times as large, of the size of ``like``'s."""
    if factor == 1:
        return lines
    place = (np.arange(like.supported.shape[1]) - like.reach) / factor + lines.reach
    low = np.clip(np.floor(place), 0, lines.supported.shape[1] - 2).astype(np.int64)
    part = np.clip(place - low, 0, 1)
    supported, valid = (
        np.asarray((table[:, low] * (1 - part) + table[:, low + 1] * part) * factor, np.float32)
        for table in (lines.supported, lines.valid)
    )
    foot_x, foot_y = (lines.foot_x + 0.5) * factor - 0.5, (lines.foot_y + 0.5) * factor - 0.5
    return EdgeLines(lines.angle, foot_x, foot_y, supported, valid, like.edges)


def _gradient(bgr: Bgr, blur_px: float) -> tuple[Array, Array]:
    """Strength of the colour gradient (CIELAB per px) and its axis in [0, pi) (Di Zenzo 1986)."""
    lab = cv2.GaussianBlur(cv2.cvtColor(bgr, cv2.COLOR_BGR2LAB), (0, 0), blur_px).astype(np.float32)
    gx = cv2.Sobel(lab, cv2.CV_32F, 1, 0, scale=1 / 8)
    gy = cv2.Sobel(lab, cv2.CV_32F, 0, 1, scale=1 / 8)
    total = np.ones((1, 3), np.float32)
    xx, yy, xy = (cv2.blur(cv2.transform(p, total), (3, 3)) for p in (gx * gx, gy * gy, gx * gy))
    half = (xx - yy) * 0.5
    strength = np.sqrt((xx + yy) * 0.5 + cv2.magnitude(half, xy))
    return np.asarray(strength, np.float32), np.asarray(cv2.phase(half, xy) * 0.5, np.float32)


def _ridge(strength: Array, normal: Array) -> Mask:
    """Pixels that are strongest across their edge."""
    quarter = np.rint(normal * (4 / math.pi)).astype(np.uint8) & 3
    height, width = strength.shape
    padded = np.pad(strength, 1)
    kept = np.zeros(strength.shape, bool)
    for k, (dy, dx) in enumerate(((0, 1), (1, 1), (1, 0), (1, -1))):
        after = padded[1 + dy : 1 + dy + height, 1 + dx : 1 + dx + width]
        before = padded[1 - dy : 1 - dy + height, 1 - dx : 1 - dx + width]
        kept |= (quarter == k) & (strength >= after) & (strength > before)
    return kept


def _hough(strength: Array, normal: Array, half: float) -> tuple[Array, Array, Array, Array]:
    """Point, normal's angle and votes of the strongest lines of each tile, in two staggered tilings."""
    y, x = np.nonzero(_ridge(strength, normal) & (strength > THIN_SHARE * half))
    weight = strength[y, x] / (strength[y, x] + half)
    nearest = np.rint(normal[y, x] * (ANGLES / math.pi)).astype(np.int64)
    found: list[Array] = [np.zeros((0, 4))]
    for offset in (0, TILE_PX // 2):
        column, row = (x + offset) // TILE_PX, (y + offset) // TILE_PX
        columns, rows = int(column.max(initial=0)) + 1, int(row.max(initial=0)) + 1
        middle = TILE_PX / 2 - offset
        votes = _votes(
            (row * columns + column, columns * rows),
            (x - column * TILE_PX - middle, y - row * TILE_PX - middle),
            nearest,
            weight,
        )
        for tile in range(columns * rows):
            peaks = _peaks(votes[tile])
            peaks[:, :2] += np.array([tile % columns, tile // columns]) * TILE_PX + middle
            found.append(peaks)
    table = np.concatenate(found).astype(np.float32)
    return table[:, 0], table[:, 1], table[:, 2], table[:, 3]


def _votes(
    tiles: tuple[Ints, int],
    offset: tuple[Array, Array],
    nearest: Ints,
    weight: Array,
) -> Array:
    """(tiles, ANGLES, distances) votes; distance is from the tile's centre along the normal."""
    reach = int(TILE_PX * 0.75)
    size = 2 * reach + 1
    votes = np.zeros(tiles[1] * ANGLES * size, np.float32)
    for shift, share in SPREAD:
        angle = nearest + shift
        radians = (angle * (math.pi / ANGLES)).astype(np.float32)
        distance = offset[0] * np.cos(radians) + offset[1] * np.sin(radians)
        distance = np.where((angle < 0) | (angle >= ANGLES), -distance, distance)
        place = (tiles[0] * ANGLES + angle % ANGLES) * size + np.rint(distance).astype(np.int64) + reach
        votes += np.bincount(place, weight * share, minlength=len(votes)).astype(np.float32)
    return votes.reshape(tiles[1], ANGLES, size)


def _peaks(votes: Array) -> Floats:
    """Strongest lines of one tile: x, y of the nearest point to its centre, angle, votes."""
    if votes.max() < LEAST_VOTES / 3:
        return np.zeros((0, 4))
    edge = 4  # bins repeated over the wrap of the half turn, where the distance changes sign
    round_trip = np.vstack([votes[-edge:, ::-1], votes, votes[:edge, ::-1]])
    smooth = cv2.filter2D(round_trip, -1, np.array([[0.6, 1, 0.6]], np.float32))
    top = cv2.dilate(smooth, np.ones((7, 7), np.uint8))
    angle, distance = np.nonzero((smooth == top) & (smooth > LEAST_VOTES))
    inside = (angle >= edge) & (angle < ANGLES + edge)
    angle, distance = angle[inside], distance[inside]
    strength = smooth[angle, distance]
    best = np.argsort(-strength)[:VOTES_PER_TILE]
    radians = (angle[best] - edge) * (math.pi / ANGLES)
    away = distance[best] - votes.shape[1] // 2
    return np.stack([away * np.cos(radians), away * np.sin(radians), radians, strength[best]], 1)


def _sampled(edges: EdgeMap, x: Array, y: Array, angle: Array) -> tuple[Array, Mask]:
    """Support at points, nought where the edge there runs another way; and which lie in the picture."""
    height, width = edges.support.shape
    column, row = np.rint(x).astype(np.int32), np.rint(y).astype(np.int32)
    inside = (column >= 0) & (row >= 0) & (column < width) & (row < height)
    place = np.where(inside, row * width + column, 0)
    wanted = np.rint(angle * BYTE_PER_RAD).astype(np.int32).astype(np.uint8)
    off = (edges.normal.ravel()[place] - wanted).view(np.int8)  # wraps at the half turn by itself
    agree = inside & (off < AGREE) & (off > -AGREE)
    return np.where(agree, edges.support.ravel()[place], np.uint8(0)), inside


def _refined(x: Array, y: Array, angle: Array, edges: EdgeMap) -> tuple[Array, Array, Array]:
    """Lines fitted to the support near them, by weighted least squares with robust weights."""
    t = np.linspace(-ALONG_PX, ALONG_PX, SAMPLES, dtype=np.float32)
    across = np.arange(-ACROSS_PX, ACROSS_PX + 1, dtype=np.float32)
    for _ in range(2):
        c, s = np.cos(angle)[:, None, None], np.sin(angle)[:, None, None]
        at_x = x[:, None, None] - s * t[:, None] + c * across
        at_y = y[:, None, None] + c * t[:, None] + s * across
        weight = _sampled(edges, at_x, at_y, angle[:, None, None])[0].astype(np.float32) ** 2
        total = weight.sum(2) + 1e-3
        move, slope = _robust_line(t, (weight * across).sum(2) / total, total)
        x, y = x + move * c[:, 0, 0], y + move * s[:, 0, 0]
        angle = np.arctan2(s[:, 0, 0] - slope * c[:, 0, 0], c[:, 0, 0] + slope * s[:, 0, 0])
    return x, y, np.mod(angle, np.float32(math.pi))


def _robust_line(t: Array, u: Array, weight: Array) -> tuple[Array, Array]:
    """Value at t = 0 and slope of u(t), each row by itself."""
    robust = weight
    for _ in range(2):
        total = robust.sum(1)
        mean_t, mean_u = (robust * t).sum(1) / total, (robust * u).sum(1) / total
        dt, du = t - mean_t[:, None], u - mean_u[:, None]
        slope = (robust * dt * du).sum(1) / ((robust * dt * dt).sum(1) + 1)
        robust = weight / (1 + ((du - slope[:, None] * dt) / ROBUST_PX) ** 2)
    return mean_u - slope * mean_t, slope


def _distinct(x: Array, y: Array, angle: Array, votes: Array) -> Ints:
    """Indices of lines, strongest first, without those that repeat a stronger one."""
    order = np.argsort(-votes)
    x, y, angle = x[order], y[order], angle[order]
    turn = np.abs((angle[:, None] - angle + math.pi / 2) % math.pi - math.pi / 2)
    dx, dy = x[:, None] - x, y[:, None] - y
    from_stronger = np.abs(dx * np.cos(angle) + dy * np.sin(angle))
    from_weaker = np.abs(dx * np.cos(angle)[:, None] + dy * np.sin(angle)[:, None])
    same = (turn < SAME_RAD) & (from_stronger < SAME_PX) & (from_weaker < 3 * SAME_PX)
    kept: list[int] = []
    for i in range(len(order)):
        if not same[i, kept].any():
            kept.append(i)
    return np.asarray(order[kept], np.int64)


def _summed(x: Array, y: Array, angle: Array, edges: EdgeMap) -> EdgeLines:
    """Running sums of the support of each line over the whole picture."""
    height, width = edges.support.shape
    reach = int(math.hypot(width, height) / 2) + 2
    c, s = np.cos(angle), np.sin(angle)
    along = -(x - (width - 1) / 2) * s + (y - (height - 1) / 2) * c
    foot_x, foot_y = x + along * s, y - along * c
    t = np.arange(-reach, reach + 1, dtype=np.float32)
    line_x, line_y = foot_x[:, None] - s[:, None] * t, foot_y[:, None] + c[:, None] * t
    best, inside = _sampled(edges, line_x, line_y, angle[:, None])
    for across in (-1.0, 1.0):  # a pixel to either side, since a real edge is not straight to the pixel
        near, _ = _sampled(edges, line_x + across * c[:, None], line_y + across * s[:, None], angle[:, None])
        best = np.maximum(best, near)
    nought = np.zeros((len(x), 1), np.float32)
    return EdgeLines(
        angle,
        np.asarray(foot_x, np.float32),
        np.asarray(foot_y, np.float32),
        np.concatenate([nought, np.cumsum(best, 1, dtype=np.float32) / 255], 1),
        np.concatenate([nought, np.cumsum(inside, 1, dtype=np.float32)], 1),
        edges,
    )
