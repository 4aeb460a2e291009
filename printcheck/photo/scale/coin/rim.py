"""The outline of a coin to a fraction of a pixel: rays from the middle, and a smooth closed curve."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import Floats, Lab, Mask
from printcheck.core.parabola import peak_offset
from printcheck.photo.scale.sampling import colours_at

if TYPE_CHECKING:
    from printcheck.photo.scale.coin.hough import Circle

RAYS = 128  # rays from the middle: a rim of 30 px radius is 190 px round
SAMPLES = 17  # samples of a ray in each pass
HALF_EDGE = 5.0  # Lab units per px: an edge this strong counts half, so that continuity beats strength
WIDE = (0.13, 0.06)  # half widths of the band, of the radius: from a candidate to its middle
NARROW = (0.045, 0.022, 0.012)  # from a middle to one of the rings about it
SETTLE = (0.012, 0.01, 0.01)  # and until it stands still
LEAST_BAND_PX = 1.8  # px: half width of the band never gets narrower
ROUNDS = 6  # of reweighting
TUKEY = 4.0  # robust sigmas at which a ray counts nothing
LEAST_SPREAD_PX = 0.25  # px: the robust sigma never gets smaller, or too few rays would count
ON_RIM_PX, ON_RIM_SHARE = 0.9, 0.007  # px or of the radius: a ray's edge lies on the curve
CLEAR_EDGE = 0.30  # saturated strength of an edge that is seen
LEAST_RAYS = 0.25  # share of rays without which nothing is fitted
STARTS = tuple(0.88 * 1.033**k for k in range(18))  # radii, over the first one, where rings are looked for
# radii, over the largest ring, at which its raised rim may end (5 to 10 % of the radius, from memory)
RAISED = tuple(1.02 + 0.01 * k for k in range(9))
RING_COVER, RING_SUPPORT = 0.85, 0.45  # share of rays on a ring, and mean strength, for it to be believed
NEARLY = 0.8  # of the best ring's clearness that the outermost one must have
BESIDE_PX, BESIDE_SHARE = 1.5, 0.02  # px or of the radius: where the colour to either side of a ring is read
CLOTH = (1.15, 1.2, 1.25, 1.3)  # of the outermost ring: places on the cloth beside it
HALF_BESIDE = 4.0  # Lab: metal and cloth that differ by as much say half
UNTOLD = 0.3  # clearness of a ring that the cloth says nothing of, as a busy print; own drawings and photos
NEAR_HUE = 0.08  # share of the radius from where the hue changes: rings farther off are not asked about
HUE_PX, HUE_SHARE = 1.2, 0.015  # px, and of the radius: one sigma of the hue's place in a JPEG
DECISIVE = 8  # power of the clearness that makes it odds: half as tight again is 25 to 1
TIGHT_PX, TIGHT_SHARE = 0.5, 0.004  # px or of the radius: an edge this far off the curve counts a third
COVER_SLACK = 0.1  # cover that a ring may lack before it has settled
CONCENTRIC = 0.06  # of the radius
FLATTEST = 0.15  # second harmonic over radius: 0.15 is a circle seen at 43 degrees, not a photo from above


@dataclass(frozen=True)
class Rim:
    """An outline: radius over the angle as a Fourier series about a centre, in pixels.

    Parameters
    ----------
    centre : (2,) float64
        Mean of the outline, x and y.
    series : (3,) float64
        Radius = s0 + s1 cos 2t + s2 sin 2t.
    points : (N, 2) float64
        Measured edge on the rays that lie on the curve.
    cover, support : float
        Share of the rays in view whose edge lies on the curve, and mean saturated strength there.
    rms_px : float
        Of the measured edge about the curve.
    in_view : float
        Share of the curve that lies in the picture.
    tightness : float
        Mean strength of the edges, those off the curve counting less.
    """

    centre: Floats
    series: Floats
    points: Floats
    cover: float
    support: float
    rms_px: float
    in_view: float
    tightness: float

    @property
    def radius(self) -> float:
        """Mean radius, px."""
        return float(self.series[0])

    @property
    def oval(self) -> float:
        """Second harmonic over the radius."""
        return float(np.hypot(self.series[1], self.series[2]) / self.series[0])

    def outline(self, count: int = 72, grow: float = 1.0) -> Floats:
        """Points (count, 2) of the curve, ``grow`` times as large."""
        angle = np.linspace(0, 2 * math.pi, count, endpoint=False)
        radius = grow * (_oval(angle) @ self.series)
        return np.asarray(self.centre + radius[:, None] * np.stack([np.cos(angle), np.sin(angle)], 1))


def rough_rims(lab: Lab, circles: list[Circle]) -> list[Rim | None]:
    """A first outline for each candidate, good enough to find its middle."""
    if not circles:
        return []
    start = np.array([[c.r, 0.0, 0.0] for c in circles])
    return _fit(lab, np.array([[c.x, c.y] for c in circles]), start, WIDE)


def rings(lab: Lab, first: Rim) -> list[Rim]:
    """Closed concentric outlines about a first one, smallest first."""
    start = np.array([[factor * first.radius, 0.0, 0.0] for factor in STARTS])
    found = _fit(lab, np.repeat(first.centre[None], len(start), 0), start, NARROW)
    near = [rim for rim in found if rim is not None and rim.cover > RING_COVER - COVER_SLACK]
    if not near:
        return []
    settled = _fit(lab, np.array([r.centre for r in near]), np.array([r.series for r in near]), SETTLE)
    closed = [
        rim
        for rim in settled
        if rim is not None
        and rim.cover >= RING_COVER
        and rim.support >= RING_SUPPORT
        and float(np.linalg.norm(rim.centre - first.centre)) < CONCENTRIC * rim.radius
    ]
    return sorted(closed, key=lambda rim: rim.radius)


def about_raised_rim(lab: Lab, inner: Rim) -> list[Rim]:
    """Outlines just outside a ring: the inner edge of a raised rim draws those near it to itself."""
    start = np.array([factor * inner.series for factor in RAISED])
    found = _fit(lab, np.repeat(inner.centre[None], len(start), 0), start, SETTLE)
    return [rim for rim in found if rim is not None]


def clearness(lab: Lab, closed: list[Rim]) -> list[float]:
    """How clearly each ring is where metal and cloth meet: tight, and with cloth outside but not inside it.

    To either side of a raised rim's inner edge lies metal, to either side of a shadow's edge cloth. Asked at
    each angle by itself, as a print's tones change round the coin.
    """
    angle = np.linspace(0, 2 * math.pi, RAYS, endpoint=False)
    away = np.stack([np.cos(angle), np.sin(angle)], 1)
    outermost = max((rim.radius for rim in closed), default=0.0)
    found = []
    for rim in closed:
        beside = max(BESIDE_PX, BESIDE_SHARE * rim.radius)
        edge = _oval(angle) @ rim.series
        radii = np.stack([edge - beside, edge + beside, *(np.full(RAYS, k * outermost) for k in CLOTH)])
        inside, outside, *cloth = colours_at(lab, rim.centre + radii[..., None] * away)
        off = [np.linalg.norm(part - np.median(cloth, 0), axis=1) for part in (inside, outside)]
        meets = float(np.mean((off[0] - off[1]) / (off[0] + off[1] + HALF_BESIDE)))
        found.append(rim.tightness * (UNTOLD + max(0.0, meets)))
    return found


def coin_outline(closed: list[Rim], clear: list[float], hue_px: float | None) -> Rim | None:
    """The coin's own outline among its rings, given the radius at which the hue changes, where it does.

    The hue tells the coin's edge from its shadow's, roughly. Where it tells nothing, the commonest mistake is
    to take the inner ring of a two-tone coin or of a raised rim: of all rings nearly as clear as the best,
    the largest tells the place. The clearest ring near there is the edge.
    """
    if not closed:
        return None
    nearly = [rim.radius for rim, each in zip(closed, clear, strict=True) if each >= NEARLY * max(clear)]
    told = hue_px and any(abs(rim.radius / hue_px - 1) < NEAR_HUE for rim in closed)
    at = hue_px if told and hue_px else max(nearly)
    odds = [each * _likely(rim.radius, at) for rim, each in zip(closed, clear, strict=True)]
    return closed[int(np.argmax(odds))]


def _likely(radius: float, hue_px: float) -> float:
    """How likely a ring is the rim by its distance from where the hue changes, 1 at the most."""
    sigma = math.hypot(HUE_PX, HUE_SHARE * hue_px)
    return math.exp(-0.5 * ((radius - hue_px) / sigma) ** 2)


def choice_sigmas(
    chosen: Rim, closed: list[Rim], clear: list[float], hue_px: float | None
) -> tuple[float, float]:
    """One sigma of the radius and of the flattening, as shares, for which ring about it is the coin's edge.

    A shadow lies to one side, so that its edge is flattened otherwise than the coin's, which is flattened
    by the tilt alone.
    """
    apart = np.log([rim.radius / chosen.radius for rim in closed])
    odds = (np.array(clear) / max(clear)) ** DECISIVE * (np.abs(apart) < NEAR_HUE)
    if hue_px:
        odds *= np.array([_likely(rim.radius, hue_px) for rim in closed])
    odds /= max(float(np.sum(odds)), 1e-9)
    ovals = np.array([(rim.series / rim.radius - chosen.series / chosen.radius)[1:] for rim in closed])
    return float(np.sqrt(odds @ apart**2)), float(np.sqrt(odds @ np.mean(ovals**2, axis=1)))


def _fit(lab: Lab, centre: Floats, series: Floats, bands: tuple[float, ...]) -> list[Rim | None]:
    """Fit (B) outlines at once from centres (B, 2) and series (B, 3)."""
    angle = np.linspace(0, 2 * math.pi, RAYS, endpoint=False)
    away = np.stack([np.cos(angle), np.sin(angle)], 1)
    basis = np.concatenate([_oval(angle), away], 1)
    alive = np.ones(len(series), bool)
    for share in bands:
        band = np.maximum(LEAST_BAND_PX, share * series[:, 0])
        offsets = band[:, None] * np.linspace(-1, 1, SAMPLES)
        radius = (series @ _oval(angle).T)[:, :, None] + offsets[:, None]
        strength, seen = _edges(lab, centre, away, radius)
        bell = 1 - 0.5 * np.linspace(-1, 1, SAMPLES) ** 2  # the rim is expected in the middle
        place = np.argmax(np.where(seen, strength * bell, -1), axis=2)[..., None]
        measured = np.take_along_axis(radius, place, 2)[..., 0]
        measured = measured + _peak(strength, place) * (offsets[:, 1] - offsets[:, 0])[:, None]
        clear = np.take_along_axis(strength * seen, place, 2)[..., 0]
        fitted = _robust(basis, measured, clear)
        fitted = np.where(np.isfinite(fitted), fitted, 0)
        series, points = fitted[:, :3], centre[:, None] + measured[..., None] * away
        centre = centre + fitted[:, 3:]  # the shift is taken up by the centre
        alive &= (series[:, 0] > 2) & (np.hypot(series[:, 1], series[:, 2]) < FLATTEST * series[:, 0])
        alive &= np.hypot(fitted[:, 3], fitted[:, 4]) < 0.5 * np.abs(series[:, 0])
        series = np.where(alive[:, None], series, [10.0, 0, 0])
    return [
        _rim(centre[k], series[k], points[k], clear[k], seen[k].all(1)) if alive[k] else None
        for k in range(len(series))
    ]


def _rim(centre: Floats, series: Floats, points: Floats, clear: Floats, seen: Mask) -> Rim | None:
    off = _distance(points, centre, series)
    on_rim = seen & (clear > CLEAR_EDGE) & (np.abs(off) < max(ON_RIM_PX, ON_RIM_SHARE * series[0]))
    if on_rim.sum() < LEAST_RAYS * RAYS:
        return None
    cover = float(on_rim.sum() / seen.sum())
    rms = float(np.sqrt(np.mean(off[on_rim] ** 2)))
    support = float(clear[on_rim].sum() / seen.sum())
    near = np.exp(-((off / max(TIGHT_PX, TIGHT_SHARE * series[0])) ** 2))
    tightness = float((clear * near)[seen].sum() / seen.sum())
    return Rim(centre, series, points[on_rim], cover, support, rms, float(np.mean(seen)), tightness)


def _edges(lab: Lab, centre: Floats, away: Floats, radius: Floats) -> tuple[Floats, Mask]:
    """Saturated slope of the colour along each ray (B, rays, samples), and what lies in the picture."""
    at = centre[:, None, None] + radius[..., None] * away[:, None]
    seen = np.asarray(((at > 0) & (at < np.array(lab.shape[1::-1]) - 1)).all(-1))
    profile = colours_at(lab, at)
    slope = np.empty_like(profile)
    slope[:, :, 1:-1] = profile[:, :, 2:] - profile[:, :, :-2]
    slope[:, :, 0], slope[:, :, -1] = slope[:, :, 1], slope[:, :, -2]
    step = radius[:, :1, 1:2] - radius[:, :1, :1]
    size = np.sqrt(np.einsum("ijkc,ijkc->ijk", slope, slope)) / (2 * step)
    size = (np.roll(size, 1, 1) + 2 * size + np.roll(size, -1, 1)) / 4  # a rim goes on from ray to ray
    return np.asarray(size / (size + HALF_EDGE), float), seen


def _peak(strength: Floats, place: np.ndarray[tuple[int, ...], np.dtype[np.intp]]) -> Floats:
    """Where the top of the parabola through a peak and its neighbours lies, in samples."""
    inner = np.clip(place, 1, strength.shape[2] - 2)
    left, top, right = (np.take_along_axis(strength, inner + k, 2)[..., 0] for k in (-1, 0, 1))
    return np.where((inner == place)[..., 0], peak_offset(left, top, right), 0)


def _robust(basis: Floats, measured: Floats, weight: Floats) -> Floats:
    """Series (B, 5) through measured radii (B, rays), by reweighted least squares."""
    now, count = weight.copy(), basis.shape[1]
    products = (basis[:, :, None] * basis[:, None]).reshape(len(basis), count * count)
    series = np.zeros((len(measured), count))
    for _ in range(ROUNDS):
        normal = (now @ products).reshape(-1, count, count) + 1e-9 * np.eye(count)
        pull = (now * measured) @ basis
        series = np.linalg.solve(normal, pull[..., None])[..., 0]
        off = np.abs(measured - series @ basis.T)
        spread = np.maximum(LEAST_SPREAD_PX, 1.4826 * np.median(off, axis=1, keepdims=True))
        now = weight * np.clip(1 - (off / (TUKEY * spread)) ** 2, 0, 1) ** 2
    return series


def _distance(points: Floats, centre: Floats, series: Floats) -> Floats:
    """Distance of points outwards from the curve."""
    off = points - centre
    return np.asarray(np.hypot(off[:, 0], off[:, 1]) - _oval(np.arctan2(off[:, 1], off[:, 0])) @ series)


def _oval(angle: Floats) -> Floats:
    return np.stack([np.ones_like(angle), np.cos(2 * angle), np.sin(2 * angle)], 1)
