"""From a first proposal to the lattice that the picture bears out: larger, finer, or none."""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors
from printcheck.repeat.faint import second_direction
from printcheck.repeat.finer import finer_lattice
from printcheck.repeat.fit import Fit, fit_lattice
from printcheck.repeat.light import View, contrast
from printcheck.repeat.satellites import NOTICEABLE, Satellite, enlarged, satellites_of

ROUNDS = 4  # enlargements: a factor of four is twice two
CONTRAST_SHARE = 0.8  # of a faint print's own contrast
FEWEST_PERIODS = 1.4  # of the larger repeat in view
MANY_PERIODS = 3.0
LEAST_RATIO = 10.0  # power over chance; true lattices stayed below 9.7 with three periods in view
LEAST_RATIO_FEW = 15.0  # with fewer periods wrinkles imitate an alternation
LEAST_RATIO_STRIPE = 7.0
LEAST_RATIO_STRIPE_FEW = 12.0
LEAST_EXPLAINED = 0.15
FINE_SHARE = (
    28.0  # high pass at side / 28: what repeats in plain cloth by chance is shading, slower than that
)
LEAST_SWING = (
    1.5  # CIELAB between a cross line and its ground, in the mean cell (a line of 4 blurred by the weave)
)
STRIPE_BESIDE = 7.3  # short sides per arbitrary second vector of a stripe: no small whole number


@dataclass(frozen=True)
class Evidence:
    """A fitted lattice with what speaks for and against it."""

    fit: Fit
    stripe: bool
    satellites: list[Satellite] = field(default_factory=list)

    @property
    def worst_ratio(self) -> float:
        """Power over chance of the strongest larger repeat that was not taken."""
        return max((s.ratio for s in self.satellites if s.size > 1.0), default=0.0)


def settle_lattice(view: View, basis: Vectors) -> Evidence:
    """Fit, enlarge while the cells alternate, else try finer."""
    fit = fit_lattice(view, basis)
    enlargements = 0
    for _ in range(ROUNDS):
        satellites = satellites_of(view, fit)
        taken = _taken(satellites, contrast(view), stripe=False)
        if taken is None:
            break
        fit = fit_lattice(view, enlarged(fit.basis, taken))
        enlargements += 1
    else:
        satellites = satellites_of(view, fit)
    if not enlargements:
        finer = finer_lattice(fit)
        if finer is not None:
            smaller = fit_lattice(view, finer)
            after = satellites_of(view, smaller)
            if _taken(after, contrast(view), stripe=False) is None:
                return Evidence(smaller, False, after)
    return Evidence(fit, False, satellites)


def settle_stripe(view: View, period: Vectors) -> Evidence:
    """Fit the one period (a vector square to the stripes), enlarge while the stripes alternate."""
    for _ in range(ROUNDS):
        fit = fit_lattice(view, np.array([period, beside(view, period)]))
        satellites = satellites_of(view, fit, across_only=True)
        taken = _taken(satellites, contrast(view), stripe=True)
        if taken is None:
            break
        period = taken.factor * square_period(fit.basis)
    crossed = second_direction(view, fit)
    if crossed is not None:
        both = settle_lattice(view, crossed)
        if _crosses(both.fit):
            return both
    return Evidence(fit, True, satellites)


def _crosses(fit: Fit) -> bool:
    """Whether the mean cell changes visibly in both directions."""
    return all(_swing(fit.mean.mean(axis=axis)) >= LEAST_SWING for axis in (0, 1))


def _swing(profile: Image) -> float:
    """Largest colour difference between two places of a profile (n, 3)."""
    apart = profile[:, None] - profile[None]
    return float(np.sqrt(np.square(apart).sum(axis=-1).max()))


def beside(view: View, period: Vectors) -> Vectors:
    """Arbitrary second vector along the stripes."""
    along = np.array([-period[1], period[0]]) / np.hypot(*period)
    return np.asarray(along * min(view.size) / STRIPE_BESIDE)


def square_period(basis: Vectors) -> Vectors:
    """The period square to the stripes, from a fitted basis whose second vector lies along them."""
    wave = np.linalg.inv(basis)[:, 0]  # gradient of the first lattice coordinate
    return np.asarray(wave / (wave @ wave))


def fine_contrast(view: View, fit: Fit) -> float:
    """Contrast of the mean cell after its slow part is taken off, less what noise leaves, in CIELAB."""
    ch, cw = fit.mean.shape[:2]
    lengths = np.hypot(*fit.basis.T)
    sigma_x, sigma_y = np.minimum(min(view.size) / FINE_SHARE / lengths, 0.5) * (cw, ch)
    pad = min(int(3 * max(sigma_x, sigma_y)) + 1, ch, cw)
    wrapped = np.pad(fit.mean, ((pad, pad), (pad, pad), (0, 0)), mode="wrap").astype(np.float32)
    slow = np.asarray(cv2.GaussianBlur(wrapped, (0, 0), sigma_x, sigmaY=sigma_y))[pad:-pad, pad:-pad]
    power = np.square(fit.mean - slow).sum(axis=2)
    count = np.maximum(fit.weight.sum(axis=(0, 1)), 1.0)
    noise = np.square(fit.residual).sum(axis=(0, 1, 4)) / count / np.maximum(count - 1, 0.5)
    return float(np.sqrt(max(float((power - noise).mean()), 0.0)))


def _taken(satellites: list[Satellite], rms: float, *, stripe: bool) -> Satellite | None:
    """The strongest wave that shows a larger repeat; None where none does."""
    few = LEAST_RATIO_STRIPE_FEW if stripe else LEAST_RATIO_FEW
    many = LEAST_RATIO_STRIPE if stripe else LEAST_RATIO
    for s in satellites:
        needed = many if s.periods >= MANY_PERIODS else few
        if (
            s.periods >= FEWEST_PERIODS
            and s.ratio >= needed
            and s.size >= min(NOTICEABLE, CONTRAST_SHARE * rms)
        ):
            return s
    return None
