"""The sides of a thing laid on cloth, told from the soft shadow beside them.

A shadow is a broad slope of lightness. Beside a thing of the shadow's own tone it is steeper than the
thing's edge, so that the line of steepest change lies off the edge by as much as the shadow is wide. At
the edge itself, a straight line inside and a parabola outside with a step or a bend between them explain
what no smooth curve does; on the slope of a shadow they explain no more than one curve. That tells where
edges may be, to a few px; how much of the colour a step or a bend alone explains tells the place. Where
the thing differs from the cloth in more than lightness, the place where the hue changes speaks as well.

A shadow takes from all colours alike: CIELAB, counted from L = -16, then shrinks towards that point along
its own line (a* / (L* + 16) stays; from the definition of CIELAB). What stands off the line of the cloth's
colour is therefore another thing, and the place where it begins is the thing's edge and not its shadow's.
The part off the line is linear in the colour, so that blur leaves the place of its steps where it is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import Array, Floats
from printcheck.core.parabola import peak_offset
from printcheck.photo.scale.rectangle.sides import LEFT_OUT, STEP_PX, Fine, agreed_line, line_between, normals
from printcheck.photo.scale.sampling import colours_at

if TYPE_CHECKING:
    from numpy.typing import NDArray


NO_LIGHT = np.array([-16 * 255 / 100, 128.0, 128.0])  # 8-bit CIELAB at which a shadow's lines meet
TO_LIGHTNESS = np.array([100 / 255, 1.0, 1.0])  # 8-bit CIELAB to equal units
CLOTH_SAMPLES = 8  # outermost ones of a profile, which are cloth: beyond most of the shadow
HUE_EDGE_PX = 1.5  # sigma of the edges looked for: a JPEG halves the colours' size
REACH_PX = 6.0  # half width in which they are
HALF_HUE = 8.0  # CIELAB: step off the line that counts half; noise has 1, JPEG up to 3
MOST_SAY = 2.0  # times the say of the other evidence, where thing and cloth differ wholly in hue
SEGMENTS, SAMPLES = 16, 10  # of a side, and in each: the mean of a segment has a third of the noise
WIDE_PX = REACH_PX  # half width in which two parts are told from one: the same profiles tell the hue
WIDE_EDGE_PX = 1.5  # sigma of their edge
NARROW_PX, NARROW_EDGE_PX = 5.0, 1.2  # likewise for the step: photos blur by 0.5 to 1.5 px, and `Fine` by 0.8
NOISE_VARIANCE = 0.3  # CIELAB (8-bit) squared, of the mean of a segment in a dim photo
HALF_GAIN = 2.0  # of what is left beside two parts: what they gain over one curve, where it counts half
GATE = 0.6  # of the usual best gain: places with more are as good, so that the step decides
MOST_TRIED = 80  # places of one end; of more every other, as each segment's own peak is looked for near
MOST_LINES, APART_PX = 4, 2.0  # clearest lines kept of a side; nearer ones are one
SAME_PX = 0.5  # at both ends: rough lines that lie apart may settle on one and the same edge
NEAR_PX = 1.5  # from the line of most steps, where each segment's own is looked for
AGREE_PX = 0.35  # residual at which a segment's say in the line has fallen to a third
UNCLEAR = 2.0 * SEGMENTS  # misfit, twice ln odds, for a whole unit of clearness lost: one a segment
FLOOR_PX = 0.2  # sigma of a fitted end that the residuals do not show
TRIALS = np.array([(i, j) for i in range(SEGMENTS) for j in range(i + SEGMENTS // 4, SEGMENTS)]).T


@dataclass(frozen=True)
class Lines:
    """Lines that may be the sides of a thing, K for each, clearest first.

    Parameters
    ----------
    ends : (4, K, 2, 2) float64
        At ``LEFT_OUT`` from the ends of the sides, px of the fine picture.
    sigma : (4, K) float64
        Of the ends, across.
    clear : (4, K) float64
        Mean clearness, 0 to 1.
    own : (4,) float64
        Likewise of the lines that were looked about.
    new : (4, K) bool
        Whether it is another line than all clearer ones.
    """

    ends: Floats
    sigma: Floats
    clear: Floats
    own: Floats
    new: NDArray[np.bool_]


def sharp_lines(
    fine: Fine, sides: Floats, *, out_px: float, in_px: float, apart_px: float = APART_PX
) -> Lines:
    """Clearest lines along (4, 2, 2) sides, from start to end and clockwise, px of the fine picture.

    Parameters
    ----------
    out_px, in_px : float, keyword-only
        How far they may lie outside and inside.
    apart_px : float, keyword-only
        Mean distance of the ends at which two lines are told apart.
    """
    t = np.linspace(LEFT_OUT, 1 - LEFT_OUT, SEGMENTS * SAMPLES)
    start, along = sides[:, 0], sides[:, 1] - sides[:, 0]
    inwards = normals(along)
    places = np.arange(-math.ceil(out_px), math.ceil(in_px) + STEP_PX / 2, STEP_PX)
    clear = _clearness(_profiles(fine, (start, along, inwards), t, places))
    middles = t.reshape(SEGMENTS, SAMPLES).mean(1)
    rough, score = _best_lines(clear, middles, places, apart_px)
    peak, height = _peaks(clear[:, None], rough, places)
    base, slope, rms = agreed_line(middles, peak, height, TRIALS, agree_px=AGREE_PX, near_px=NEAR_PX)
    ends = np.stack(
        [
            (start + s * along)[:, None] + (base + slope * s)[..., None] * inwards[:, None]
            for s in (LEFT_OUT, 1 - LEFT_OUT)
        ],
        2,
    )
    own = clear[..., np.argmin(np.abs(places))].mean(-1)
    across = np.stack([base + slope * s for s in (LEFT_OUT, 1 - LEFT_OUT)], -1)
    return Lines(ends, np.hypot(FLOOR_PX, 2 * rms / math.sqrt(SEGMENTS)), score, own, _new(across))


def _new(across: Floats) -> NDArray[np.bool_]:
    """(4, K) whether no line before has its ends (4, K, 2), px across, at the same places."""
    same = np.abs(across[:, :, None] - across[:, None]).max(-1) < SAME_PX
    return np.asarray(~np.tril(same, -1).any(-1), bool)


def _profiles(fine: Fine, sides: tuple[Floats, Floats, Floats], t: Floats, places: Floats) -> Array:
    """(4, segments, places and a margin, 3) mean colour of each segment, from outside inwards."""
    start, along, inwards = sides
    margin = np.arange(STEP_PX, WIDE_PX + STEP_PX / 2, STEP_PX)
    across = np.concatenate([places[0] - margin[::-1], places, places[-1] + margin])
    middle = start[:, None] + t[:, None] * along[:, None]
    at = middle[..., None, :] + across[:, None] * inwards[:, None, None]
    seen = colours_at(fine.lab, at)
    return np.asarray(seen.reshape(4, SEGMENTS, SAMPLES, len(across), 3).mean(2))


def _edge(half_px: float, edge_px: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Places from outside inwards, counted outwards, and a blurred step, bend and curve there."""
    x = -np.arange(-half_px, half_px + STEP_PX / 2, STEP_PX)
    bell = edge_px * np.exp(-((x / edge_px) ** 2) / 2) / math.sqrt(2 * math.pi)
    step = 0.5 * (1 + np.array([math.erf(v / edge_px / math.sqrt(2)) for v in x]))
    return x, step, x * step + bell, (x * x + edge_px**2) * step + x * bell


@cache
def _remainders() -> tuple[Array, Array]:
    """(samples, samples) matrices that leave of a profile what is no cubic, and what is no two parts."""
    x, step, bend, curve = _edge(WIDE_PX, WIDE_EDGE_PX)
    one, _ = np.linalg.qr(np.stack([x**k for k in range(4)], 1))
    two, _ = np.linalg.qr(np.stack([np.ones_like(x), x, step, bend, curve], 1))
    eye = np.eye(len(x))
    return np.asarray(eye - one @ one.T, np.float32), np.asarray(eye - two @ two.T, np.float32)


@cache
def _filters() -> Array:
    """(samples, 2) what a step and a bend have beyond any parabola."""
    x, step, bend, _ = _edge(NARROW_PX, NARROW_EDGE_PX)
    orthogonal, _ = np.linalg.qr(np.stack([np.ones_like(x), x, x * x, step, bend], 1))
    return np.asarray(orthogonal[:, 3:] / math.sqrt(len(x)), np.float32)


def _clearness(profiles: Array) -> Array:
    """(4, segments, places) how clearly an edge lies there, 0 to 1."""
    one, two = _remainders()
    about = np.ascontiguousarray(np.lib.stride_tricks.sliding_window_view(profiles, len(one), axis=2))
    curve, parts = (((about @ rest) ** 2).sum((-1, -2)) for rest in (one, two))
    gain = np.maximum(curve - parts, 0) / (parts + 3 * len(one) * NOISE_VARIANCE)
    gain = gain / (gain + HALF_GAIN)
    gate = np.minimum(gain / np.maximum(GATE * _usual(gain), 1e-9), 1.0)
    spare = (len(one) - len(_filters())) // 2
    near = about[..., spare : len(one) - spare]
    step = np.sqrt(((near @ _filters()) ** 2).sum((-1, -2)))
    clear = gate * step / (step + _usual(step * gate) + 1e-9)
    hue, say = hue_steps(profiles, STEP_PX)
    return np.asarray((clear + say * hue) / (1 + say))


def _usual(values: Array) -> Array:
    """Median over the segments of each one's best place."""
    return np.asarray(np.median(values.max(-1), axis=-1)[..., None, None])


def _best_lines(clear: Array, t: Floats, places: Floats, apart_px: float) -> tuple[Array, Array]:
    """(4, K, segments) px across of the clearest lines that lie apart, and (4, K) their mean clearness."""
    tried = np.arange(0, len(places), 1 + len(places) // MOST_TRIED)
    low, high = (grid.ravel() for grid in np.meshgrid(tried, tried))
    place = np.rint(line_between(low, high, t)).astype(np.int64)
    mean = clear.reshape(len(clear), -1)[:, place + np.arange(SEGMENTS) * len(places)].mean(-1)
    rough, score = np.zeros((len(clear), MOST_LINES, SEGMENTS)), np.zeros((len(clear), MOST_LINES))
    apart = apart_px / STEP_PX
    for k in range(MOST_LINES):
        best = np.argmax(mean, axis=1)
        score[:, k], rough[:, k] = mean[np.arange(len(mean)), best], places[place[best]]
        off = np.abs(low - low[best, None]), np.abs(high - high[best, None])
        # a line that crosses a better one by chance is no other line
        mean = np.where((off[0] + off[1] < 2 * apart) | (np.minimum(*off) < 1), 0.0, mean)
    return rough, score


def _peaks(clear: Array, rough: Array, places: Floats) -> tuple[Array, Array]:
    """Place (px across) and height of each segment's peak near the rough lines, to a part of a step."""
    clear = np.broadcast_to(clear, (*rough.shape, len(places)))
    near = np.where(np.abs(places - rough[..., None]) <= NEAR_PX, clear, -1.0)
    best = np.clip(np.argmax(near, axis=-1), 1, len(places) - 2)[..., None]
    left, here, right = (np.take_along_axis(clear, best + k, -1)[..., 0] for k in (-1, 0, 1))
    return places[best[..., 0]] + peak_offset(left, here, right, most=1) * STEP_PX, here


def hue_steps(profiles: Array, step_px: float) -> tuple[Array, Array]:
    """How strongly the colour leaves the cloth's at each place, and what say that has.

    Parameters
    ----------
    profiles : (sides, segments, places and a margin of REACH_PX, 3) float32
        8-bit CIELAB from outside inwards.
    step_px : float
        Between places.

    Returns
    -------
    (sides, segments, places) strength, 0 to 1; and (sides, 1, 1) its say.
    """
    colour = (profiles - NO_LIGHT) * TO_LIGHTNESS
    cloth = colour[:, :, :CLOTH_SAMPLES].mean(2, keepdims=True)
    cloth = cloth / np.maximum(np.linalg.norm(cloth, axis=-1, keepdims=True), 1e-9)
    off = colour - (colour * cloth).sum(-1, keepdims=True) * cloth
    edge = _step_filter(step_px)
    about = np.lib.stride_tricks.sliding_window_view(off, len(edge), axis=2)
    step = np.sqrt(((about @ edge) ** 2).sum(-1))
    usual = np.median(step.max(-1), axis=-1)[..., None, None]
    return step / (step + usual + 1e-9), MOST_SAY * usual**2 / (usual**2 + HALF_HUE**2)


@cache
def _step_filter(step_px: float) -> Floats:
    """Derivative of a Gaussian, to which a step of one unit answers with one."""
    x = np.arange(-REACH_PX, REACH_PX + step_px / 2, step_px)
    slope = x * np.exp(-((x / HUE_EDGE_PX) ** 2) / 2)
    return np.asarray(slope / slope[x > 0].sum(), float)
