"""From a first proposal to the lattice that the picture bears out: larger, finer, or none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from printcheck.repeat.arrays import Image, Vectors, slopes_of
from printcheck.repeat.cells.cell_shading import relit
from printcheck.repeat.cells.odd_motifs import OddMotifs, odd_motifs
from printcheck.repeat.cells.refine import NOTHING, Fit, fit_lattice
from printcheck.repeat.cells.sublattice import finer_lattice, smoothed
from printcheck.repeat.cells.superlattice import Satellite, enlarged, satellites_of
from printcheck.repeat.cells.superposed import crossing_of
from printcheck.repeat.odds import LARGER, odds_of, wave_features
from printcheck.repeat.surface.bent_stripe import WINDOWS_ABREAST, BentStripe
from printcheck.repeat.surface.illumination import View

ROUNDS = 4  # enlargements: a factor of four is twice two
FEWEST_PERIODS = 1.4  # of the larger repeat in view
SHORTFALL = 0.05  # of the share explained below the best shift's correlation, before the light is told anew
ONE_WAY = 0.07  # of the slopes' power: bent stripes reach 0.04, prints that change both ways begin at 0.14
# CIELAB between a cross line and its ground, in the mean cell (a line of 4 blurred by the weave).
LEAST_SWING = 1.5
LEAST_MOTIF_SWING = 5.0  # CIELAB between a motif and the stripe it stands on: twice the just noticeable
WHOLE_STEPS = 0.15  # of a lattice vector: peaks lie no farther off
BENT_PX = 12.0  # working pixels: what lens and wrinkles move a peak by
STRIPE_BESIDE = 7.3  # short sides per arbitrary second vector of a stripe: no small whole number
LIKELIER = 0.5  # probability from which a larger repeat is taken
UNSETTLED = 0.4  # how sure a lattice is in which something is seen that it does not hold: more likely none
LEAST_RIVAL = 0.02  # probability below which another lattice is forgotten


@dataclass(frozen=True)
class Rival:
    """A lattice that was weighed and not taken: vectors (2, 2), working pixels, and its probability."""

    basis: Vectors
    probability: float


@dataclass(frozen=True)
class Evidence:
    """A fitted lattice with what speaks for and against it, and the view it was fitted to.

    ``crossed``: something comes again along the stripes, but no lattice that holds it was found.
    ``bent``: what the windows say of stripes that bend; the fit is that of one window.
    ``odd``: what cells in another colour say, where there are any.
    ``rivals``: the lattices weighed and not taken. ``others``: odds, against none, of all other lattices that
    were settled. ``sigmas``: how far its nodes off any one line, or a stripe's periods, stand out of chance.
    """

    view: View
    fit: Fit
    stripe: bool
    satellites: list[Satellite] = field(default_factory=list)
    crossed: bool = False
    odd: OddMotifs | None = None
    rivals: tuple[Rival, ...] = ()
    others: float = 0.0
    bent: BentStripe | None = None
    sigmas: float = 0.0

    @property
    def smaller(self) -> tuple[Vectors, ...]:
        """The lattices that it was weighed against and that have less area: those that it grew from."""
        area = abs(np.linalg.det(self.fit.basis))
        return tuple(r.basis for r in self.rivals if abs(np.linalg.det(r.basis)) < area)

    @property
    def seen_larger(self) -> list[Satellite]:
        """Waves of larger repeats that are seen often enough to be taken, the likeliest first."""
        return sorted((w for w in self.satellites if w.periods >= FEWEST_PERIODS), key=_odds, reverse=True)

    @property
    def larger(self) -> float:
        """Odds of all those repeats together, against this one."""
        return sum(map(_odds, self.seen_larger))

    @property
    def repeats(self) -> float:
        """How often the repeat fits into the picture, in the direction where it does so least."""
        basis = square_period(self.fit.basis)[None] if self.stripe else self.fit.basis
        return repeats_seen(self.view, basis) * (1 if self.bent is None else WINDOWS_ABREAST)

    @property
    def settled(self) -> float:
        """Probability that the lattice holds all that is seen to come again, or to be odd."""
        if self.crossed or (self.odd is not None and self.odd.basis is None):
            return UNSETTLED
        return 1.0 if self.odd is None else self.odd.probability


def settle_lattice(view: View, basis: Vectors) -> Evidence:
    """Fit, enlarge while the cells alternate, then try finer: two steps may have been taken five times."""
    first = _judged(view, basis)
    if first.fit.explained <= NOTHING:
        return first
    found = odd_motifs(first.fit)
    if found is not None:
        return _with_odd_motifs(view, first, found)
    evidence = _grown(first, lambda wider: _judged(view, wider))
    finer = finer_lattice(evidence.fit)
    if finer is None:
        return evidence
    smaller = _judged(view, finer)
    return evidence if _larger(smaller) is not None else replace(smaller, rivals=_remaining(smaller))


def _with_odd_motifs(view: View, evidence: Evidence, found: OddMotifs) -> Evidence:
    """The larger lattice by which odd motifs come again; marked where they come again by none."""
    if found.basis is None or repeats_seen(view, found.basis) < 1:
        return replace(evidence, odd=OddMotifs())
    smaller = Rival(evidence.fit.basis, max(LEAST_RIVAL, 1 - found.probability))
    return replace(_judged(view, found.basis), odd=found, rivals=(smaller,))


def _grown(evidence: Evidence, refit: Callable[[Vectors], Evidence]) -> Evidence:
    """Larger while the larger repeat is the likelier one, with the rivals that were weighed on the way."""
    rivals: tuple[Rival, ...] = ()
    for _ in range(ROUNDS):
        found = _larger(evidence)
        if found is None:
            break
        waves, probability = found
        rivals = (*rivals, Rival(evidence.fit.basis, 1 - probability))
        evidence = refit(_widened(evidence, waves))
    return replace(evidence, rivals=(*rivals, *_remaining(evidence)))


def _larger(evidence: Evidence) -> tuple[list[Satellite], float] | None:
    """The likeliest larger repeat that is seen often enough, if any larger one is likelier than none.

    Waves of one larger repeat share its odds: six times as long shows in five waves. A plaid that is larger
    both ways is taken so at once: one way at a time the cells left are too few to tell the other.
    """
    odds = evidence.larger
    if odds / (1 + odds) < LIKELIER:
        return None
    likeliest, *others = evidence.seen_larger
    crossing = [w for w in others if w.wave[0] * likeliest.wave[1] != w.wave[1] * likeliest.wave[0]]
    both = [wave for wave in crossing[:1] if _odds(wave) / (1 + _odds(wave)) >= LIKELIER]
    return [likeliest, *both], odds / (1 + odds)


def _remaining(evidence: Evidence) -> tuple[Rival, ...]:
    """The likeliest larger lattice that was not taken, if it is worth a thought."""
    odds = [_odds(wave) for wave in evidence.satellites]
    probability = max(odds, default=0.0) / (1 + sum(odds))
    if probability < LEAST_RIVAL:
        return ()
    return (Rival(_widened(evidence, [evidence.satellites[int(np.argmax(odds))]]), probability),)


def _odds(wave: Satellite) -> float:
    return odds_of(LARGER, wave_features(wave))


def _widened(evidence: Evidence, waves: list[Satellite]) -> Vectors:
    if evidence.stripe:
        return np.array([waves[0].factor * evidence.fit.basis[0], evidence.fit.basis[1]])
    return enlarged(evidence.fit.basis, waves)


def is_multiple(basis: Vectors, of: Vectors) -> bool:
    """Whether the vectors are whole steps of another lattice."""
    steps = basis @ np.linalg.inv(of)
    off = steps - np.round(steps)
    return bool(np.abs(off).max() < WHOLE_STEPS and np.hypot(*(off @ of).T).max() < BENT_PX)


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

    def fitted(basis: Vectors) -> Evidence:
        square = square_period(basis)
        fit = fit_lattice(view, np.array([square, beside(view, square)]), striped=True)
        return Evidence(view, fit, True, satellites_of(view, fit, across_only=True))

    evidence = _grown(fitted(np.array([period, beside(view, period)])), fitted)
    crossing = crossing_of(view, evidence.fit)
    if crossing.basis is not None:
        both = settle_lattice(view, crossing.basis)
        shown = repeats_seen(view, both.fit.basis) >= FEWEST_PERIODS
        if shown and both.fit.explained > evidence.fit.explained and _crosses(both.fit):
            return both
    return replace(evidence, crossed=crossing.comes_again)


def stripe_in_window(bent: BentStripe) -> Evidence:
    """Fit the stripes that bend over the picture in the window that agrees best with the others."""
    fit = fit_lattice(bent.window, np.array([bent.period, beside(bent.window, bent.period)]), striped=True)
    return Evidence(bent.window, fit, True, bent=bent)


def falls_short(evidence: Evidence, best: float) -> bool:
    """Whether it explains less than the best single shift does, as it will in uneven light."""
    return NOTHING < evidence.fit.explained < best - SHORTFALL


def in_new_light(evidence: Evidence) -> Evidence:
    """Settle the same lattice once more, in the light that its own cells show."""
    view = relit(evidence.view, evidence.fit)
    basis = evidence.fit.basis
    return settle_stripe(view, square_period(basis)) if evidence.stripe else settle_lattice(view, basis)


def _judged(view: View, basis: Vectors) -> Evidence:
    fit = fit_lattice(view, basis)
    return Evidence(view, fit, False, satellites_of(view, fit) if fit.explained > NOTHING else [])


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
