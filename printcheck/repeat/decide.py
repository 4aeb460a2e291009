"""From a first proposal to the lattice that the picture bears out: larger, finer, or none."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors, slopes_of, summed, wrapped
from printcheck.repeat.cell_shading import relit
from printcheck.repeat.illumination import View, contrast
from printcheck.repeat.refine import Fit, fit_lattice
from printcheck.repeat.row_hue import has_row_of_another_hue
from printcheck.repeat.sublattice import finer_lattice, smoothed
from printcheck.repeat.superlattice import NOTICEABLE, Satellite, enlarged, satellites_of
from printcheck.repeat.superposed import crossing_of

ROUNDS = 4  # enlargements: a factor of four is twice two
CONTRAST_SHARE = 0.8  # of a faint print's own contrast
FEWEST_PERIODS = 1.4  # of the larger repeat in view
FEW_PERIODS, MANY_PERIODS = 2.0, 3.0  # of the larger repeat in view, between which less and less is asked
LEAST_RATIO = 10.0  # power over chance; true lattices stayed below 9.7 with three periods in view
LEAST_RATIO_FEW = 18.0  # with fewer periods wrinkles imitate an alternation
LEAST_RATIO_STRIPE = 7.0
LEAST_RATIO_STRIPE_FEW = 12.0
FEW_SIZE = 1.5  # times as large a difference is asked for: wrinkles reach 4 % of light, 3 CIELAB
LEAST_GAIN = 0.3  # of what the cells differ by: hand-made and folded things gave up to 0.25 by chance
LEAST_SHARE = 0.04  # of all variance, besides: a fifth of the print's contrast
SHORTFALL = 0.05  # of the share explained below the best shift's correlation, before others are asked
ONE_WAY = 0.07  # of the slopes' power: bent stripes reach 0.04, prints that change both ways begin at 0.14
WHOLE_STEPS = 0.15  # of a lattice vector: peaks lie no farther off
LEAST_CONTEST = 0.03  # of all variance: a whole other fit says more than one wave
FINE_SHARE = (
    28.0  # high pass at side / 28: what repeats in plain cloth by chance is shading, slower than that
)
LEAST_SWING = (
    1.5  # CIELAB between a cross line and its ground, in the mean cell (a line of 4 blurred by the weave)
)
LEAST_MOTIF_SWING = 5.0  # CIELAB between a motif and the stripe it stands on: twice the just noticeable
PLAIN_DIFFERENCE = 8.0  # CIELAB between like cells: no wear, dye or light does that to whole rows
PLAIN_SHARE = 0.5  # of the print's own contrast
FOREIGN_GAIN = 0.15  # of what the cells differ by: light and worn colour gave up to 0.07, foreign rows 0.19
CLEAR_GAIN = 0.6  # of the same where the size is modest: folds in strong light gave 0.44, other bars 0.85
STRONG_CONTRAST = 5.0  # CIELAB: noise is no excuse above it
LOOSE_EXPLAINED = 0.75  # knits and coarse weaves reach 0.69
STRAIN_EXCUSE = 2.0  # of the share explained, per share of scatter in the local repeat: folds cost that much
LOOSE_CORRELATION = 0.8
STRIPE_BESIDE = 7.3  # short sides per arbitrary second vector of a stripe: no small whole number


@dataclass(frozen=True)
class Evidence:
    """A fitted lattice with what speaks for and against it, and the view it was fitted to.

    ``crossed``: something comes again along the stripes, but no lattice that holds it was found.
    ``margin``: how many times what was asked the weakest wave showed that made the lattice a larger one.
    """

    view: View
    fit: Fit
    stripe: bool
    satellites: list[Satellite] = field(default_factory=list)
    crossed: bool = False
    margin: float = math.inf


def settle_lattice(view: View, basis: Vectors) -> Evidence:
    """Fit, enlarge while the cells alternate, then try finer: two steps may have been taken five times."""
    evidence = _judged(view, fit_lattice(view, basis))
    for _ in range(ROUNDS):
        larger = _larger(view, evidence)
        if larger is None:
            break
        margin = min(evidence.margin, _margin(view, evidence, larger))
        evidence = _judged(view, fit_lattice(view, enlarged(evidence.fit.basis, larger)))
        evidence = replace(evidence, margin=margin)
    finer = finer_lattice(evidence.fit)
    if finer is not None:
        smaller = _judged(view, fit_lattice(view, finer))
        if _larger(view, smaller) is None:
            return smaller
    return evidence


def contest(view: View, proposals: list[Vectors], best: float) -> Evidence:
    """Settle the proposals, smallest cell first; a larger cell must explain far more to win.

    Only where the first falls short of what the best single shift explains is the light told anew, and
    if that was not it, are the others asked.
    """
    winner = settle_lattice(view, proposals[0])
    if winner.fit.explained < best - SHORTFALL:
        winner = in_new_light(winner)
        view = winner.view
    for proposal in proposals[1:]:
        if winner.fit.explained >= best - SHORTFALL:
            break
        if _is_multiple(proposal, winner.fit.basis):
            continue  # the cells' differences have been judged, and a coarser cell fits shading better
        rival = settle_lattice(view, proposal)
        left = 1 - winner.fit.explained
        gained = rival.fit.explained - winner.fit.explained
        if gained >= LEAST_CONTEST and gained >= LEAST_GAIN * left:
            winner = rival
    return winner


def _is_multiple(basis: Vectors, of: Vectors) -> bool:
    steps = basis @ np.linalg.inv(of)
    return bool(np.abs(steps - np.round(steps)).max() < WHOLE_STEPS)


def one_way_along(fit: Fit) -> Vectors | None:
    """Direction (picture axes) along which the mean cell does not change; None where it changes both ways."""
    ch, cw = fit.mean.shape[:2]
    across, down = slopes_of(fit.mean)
    steps = np.stack([across * cw, down * ch])
    slopes = np.tensordot(np.linalg.inv(fit.basis), steps, axes=1).reshape(2, -1)  # by x and by y
    sizes, ways = np.linalg.eigh(slopes @ slopes.T)
    return np.asarray(ways[:, 0]) if sizes[0] < ONE_WAY * sizes[1] else None


def settle_stripe(view: View, period: Vectors) -> Evidence:
    """Fit the one period (a vector square to the stripes), enlarge while the stripes alternate."""
    margin = math.inf
    for _ in range(ROUNDS):
        fit = fit_lattice(view, np.array([period, beside(view, period)]), striped=True)
        satellites = satellites_of(view, fit, across_only=True)
        evidence = Evidence(view, fit, True, satellites, margin=margin)
        larger = _larger(view, evidence)
        if larger is None:
            break
        margin = min(margin, _margin(view, evidence, larger))
        period = larger.factor * square_period(fit.basis)
    crossing = crossing_of(view, evidence.fit)
    if crossing.basis is not None:
        both = settle_lattice(view, crossing.basis)
        shown = repeats_seen(view, both.fit.basis) >= FEWEST_PERIODS
        if shown and both.fit.explained > evidence.fit.explained and _crosses(both.fit):
            return both
    return replace(evidence, crossed=crossing.comes_again)


def in_new_light(evidence: Evidence) -> Evidence:
    """Settle the same lattice once more, in the light that its own cells show."""
    view = relit(evidence.view, evidence.fit)
    basis = evidence.fit.basis
    again = settle_stripe(view, square_period(basis)) if evidence.stripe else settle_lattice(view, basis)
    return replace(again, margin=min(evidence.margin, again.margin))


def _judged(view: View, fit: Fit) -> Evidence:
    return Evidence(view, fit, False, satellites_of(view, fit))


def _crosses(fit: Fit) -> bool:
    """Whether the mean cell changes visibly in both directions, as a whole or where a motif stands."""
    return all(
        _swing(fit.mean.mean(axis=axis)) >= LEAST_SWING
        or max(_swing(line) for line in np.moveaxis(smoothed(fit.mean), axis, 1)) >= LEAST_MOTIF_SWING
        for axis in (0, 1)
    )


def _swing(profile: Image) -> float:
    """Largest colour difference between two places of a profile (n, 3)."""
    apart = profile[:, None] - profile[None]
    return float(np.sqrt(np.square(apart).sum(axis=-1).max()))


def does_not_fit(view: View, evidence: Evidence) -> bool:
    """Whether the cells differ so plainly that the true repeat must be larger than the photo shows twice."""
    plain = max(PLAIN_DIFFERENCE, PLAIN_SHARE * contrast(view))
    noticeable = FEW_SIZE * min(NOTICEABLE, CONTRAST_SHARE * contrast(view))
    left = 1 - evidence.fit.explained
    for s in evidence.satellites:
        if s.periods >= FEWEST_PERIODS:
            continue
        if s.size >= plain and s.gain >= FOREIGN_GAIN:
            return True
        if s.size >= noticeable and s.gain >= CLEAR_GAIN and s.gain * left >= LEAST_SHARE:
            return True
    return not evidence.stripe and has_row_of_another_hue(evidence.fit, view.mean)


def is_loose(view: View, evidence: Evidence, best: float) -> bool:
    """Whether a strong print is held together so badly that it is texture or chance, not a repeat."""
    strong = contrast(view) > STRONG_CONTRAST
    excused = evidence.fit.explained + STRAIN_EXCUSE * evidence.fit.spread
    return strong and excused < LOOSE_EXPLAINED and best < LOOSE_CORRELATION


def repeats_seen(view: View, basis: Vectors) -> float:
    """How often the repeat fits into the picture, in the direction where it does so least."""
    width, height = view.size
    waves = np.linalg.pinv(basis).T
    return float(min(abs(wave[0]) * width + abs(wave[1]) * height for wave in waves))


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
    broad = np.asarray(cv2.GaussianBlur(wrapped(fit.mean, pad), (0, 0), sigma_x, sigmaY=sigma_y))
    power = summed(np.square(fit.mean - broad[pad:-pad, pad:-pad]))
    count = np.maximum(np.einsum("jirc->rc", fit.weight), 1.0)
    noise = fit.scatter / count / np.maximum(count - 1, 0.5)
    return float(np.sqrt(max(float((power - noise).mean()), 0.0)))


def _larger(view: View, evidence: Evidence) -> Satellite | None:
    """The strongest wave that shows a larger repeat; None where none does."""
    noticeable = min(NOTICEABLE, CONTRAST_SHARE * contrast(view))
    for s in evidence.satellites:
        seen = s.periods >= FEWEST_PERIODS and s.size >= noticeable
        if seen and _margin(view, evidence, s) >= 1:
            return s
    return None


def _margin(view: View, evidence: Evidence, s: Satellite) -> float:
    """How many times what is asked of a larger repeat this wave shows: in size and ratio, or in gain."""
    ratios = (
        (LEAST_RATIO_STRIPE_FEW, LEAST_RATIO_STRIPE) if evidence.stripe else (LEAST_RATIO_FEW, LEAST_RATIO)
    )
    few = FEW_PERIODS, MANY_PERIODS
    least = min(NOTICEABLE, CONTRAST_SHARE * contrast(view)) * np.interp(s.periods, few, (FEW_SIZE, 1.0))
    by_size = min(s.size / least, s.ratio / np.interp(s.periods, few, ratios))
    left = 1 - evidence.fit.explained
    by_gain = min(s.gain / LEAST_GAIN, s.gain * left / LEAST_SHARE)  # like cells hold the same wrinkles
    return float(by_size if evidence.stripe else max(by_size, by_gain))
