"""The whole search on one screen: flat cloth in, lattice with its error out."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.repeat.arrays import Vectors
from printcheck.repeat.axes import lattice_of, nothing_found
from printcheck.repeat.confidence import confidence_of, odds_right, stands
from printcheck.repeat.decide import (
    LEAST_RIVAL,
    Evidence,
    Rival,
    falls_short,
    in_new_light,
    is_multiple,
    one_way_along,
    settle_lattice,
    settle_stripe,
    square_period,
    stripe_in_window,
)
from printcheck.repeat.part.part_search import is_patchy, on_its_cloth, on_its_part, with_its_field
from printcheck.repeat.surface.bent_stripe import AGREES, bent_stripe
from printcheck.repeat.surface.candidates import SHORTEST_MM, SHORTEST_PX, Peaks, peaks_of
from printcheck.repeat.surface.correlation import Surface, whole_surface
from printcheck.repeat.surface.illumination import View, contrast, high_passed, look, softened
from printcheck.repeat.surface.one_direction import in_one_direction
from printcheck.repeat.surface.significance import Significance
from printcheck.repeat.surface.stripe import Ridge, is_stripe, may_be_stripe, period_of, profile_of, ridge_of

FAINT_CONTRAST = 5.5  # CIELAB: below it shading and noise weigh as much as the print
HIGH_PASS = 1 / 16  # of the short side: folds and light in waves, down to a quarter of the view
HIGH_PASSES = 3  # leave a fiftieth of a wave half the view long; one alone leaves a quarter
FAINT_BLURS = (2.0, 4.0)  # sigma in working pixels
CLEAR_CORRELATION = 0.88
CLOSE_MM = 0.35  # working pixels coarser than this lose repeats of 3 mm
SMALL_CELL_PX = 8.0  # what is larger would have been seen without a closer look
CLOSER = 0.4  # share of each side for the closer look
SURE = 0.9  # probability of being right from which no other proposal is asked
MOST_SETTLED = 3  # proposals that are fitted: each costs as much as all before
STRAIGHT = 0.9  # share explained, below which windows are asked for stripes that bend
PROFILE_REACH = 0.67  # of the view across the stripes: how far a period is looked for


def find_lattice(cloth: FlatCloth, *, whole: Callable[[], bool] = lambda: False) -> PrintLattice:
    """Find the print's repeat in millimetres on the cloth's own axes.

    Parameters
    ----------
    cloth : FlatCloth
        Flat picture with a scale; masked pixels are left out of every step.
    whole : callable, optional
        Asked where the picture as a whole shows no repeat; parts of it are searched unless it says yes.

    Returns
    -------
    PrintLattice
        Kind ``lattice``, ``stripe``, ``none`` or ``beyond-photo``; poor evidence lowers the confidence
        and adds findings, it never raises.

    Notes
    -----
    Pairs of shifts that stand out of chance propose lattices; the whole picture, fitted to each, decides
    between a lattice, its multiples and its fractions. Cells below a few working pixels are looked for once
    more, closer by. Where the cloth does not fill the picture, its middle is searched, and the lattice
    followed to the cloth's edge.
    """
    near, answer = _searched(cloth)
    kind = answer.repeat.kind
    if kind == "none" or (kind == "beyond-photo" and not whole()):  # the tilt of plain cloth is not asked
        one = in_one_direction(cloth, near.view, answer)
        if one is not None:
            answer = with_its_field(cloth, one, _answered)
        elif kind == "beyond-photo":
            answer = on_its_part(cloth, _answered, striped=near.striped) or answer
    elif near.evidence is not None and is_patchy(near.evidence.fit):
        answer = on_its_cloth(cloth, answer, _answered)
    return answer


def _searched(cloth: FlatCloth) -> tuple[_Found, PrintLattice]:
    near = _nearest(cloth)
    if near.evidence is None:
        return near, nothing_found(cloth, near.view, near.peaks.best)
    return near, lattice_of(cloth, near.view, near.evidence)


def _answered(cloth: FlatCloth) -> PrintLattice:
    return _searched(cloth)[1]


def _nearest(cloth: FlatCloth) -> _Found:
    near = _found(look(cloth))
    if near.may_be_finer:
        closer = _found(look(cloth, crop=CLOSER))
        near = closer if closer.shortest_mm < SMALL_CELL_PX * near.view.mm_per_px else near
    return near


@dataclass(frozen=True)
class _Found:
    view: View
    surface: Surface
    peaks: Peaks
    evidence: Evidence | None

    @property
    def shortest_mm(self) -> float:
        """Shortest lattice vector, mm; infinite where nothing repeats."""
        if self.evidence is None:
            return math.inf
        basis = self.evidence.fit.basis
        vectors = square_period(basis)[None] if self.evidence.stripe else basis
        return float(np.hypot(*vectors.T).min()) * self.view.mm_per_px

    @property
    def striped(self) -> bool:
        """Whether the print stays the same along one direction."""
        return is_stripe(ridge_of(self.surface, short_side=min(self.view.size)), self.peaks.best)

    @property
    def may_be_finer(self) -> bool:
        """Whether the photo shows more, and the working pixels are too coarse for what was found."""
        shown = self.view.mm_per_px > CLOSE_MM and self.view.reduction > 1
        return shown and (self.evidence is None or self.shortest_mm < SMALL_CELL_PX * self.view.mm_per_px)


@dataclass(frozen=True)
class _Correlated:
    """A view with its correlation as far as it reaches, and where that is trusted as it is."""

    view: View
    whole: Surface
    surface: Surface
    peaks: Peaks

    @cached_property
    def clear(self) -> Significance:
        """The same in units of chance."""
        return Significance(self.whole, shortest_px=_shortest_px(self.view))


def _found(view: View) -> _Found:
    of = _clearest(view)
    view, surface, peaks = of.view, of.surface, of.peaks
    evidence = _stripe(of) or _lattice(of)
    if evidence is not None and (_has_collapsed(evidence) or not stands(evidence)):
        evidence = None
    if evidence is None or evidence.fit.explained < STRAIGHT:
        evidence = _bent(view, evidence)
    view = view if evidence is None else evidence.view
    return _Found(view, surface, peaks, evidence)


def _bent(view: View, straight: Evidence | None) -> Evidence | None:
    """Stripes that most windows agree on, where they are likelier than the straight answer and another."""
    bent = bent_stripe(view)
    if bent is None:
        return straight
    evidence = stripe_in_window(bent)
    evidence = _weighed(evidence, _correlated(bent.window).clear)
    if straight is None:
        return evidence if stands(evidence) else None
    if straight.stripe:
        own = float(np.hypot(*square_period(straight.fit.basis))) * straight.view.reduction
        if abs(math.log(own / (bent.length * view.reduction))) < AGREES[-1]:
            return straight
    return max(straight, evidence, key=odds_right)


def _clearest(view: View) -> _Correlated:
    """The working picture with its correlation; a faint print is freed of shading, then of noise."""
    faint = contrast(view) < FAINT_CONTRAST
    if faint:
        view = _unshaded(view)
    found = _correlated(view)
    for widening in FAINT_BLURS if faint else ():
        if found.peaks.best < CLEAR_CORRELATION:
            softer = _correlated(softened(view, widening))
            found = softer if softer.peaks.best > found.peaks.best else found
    return found


def _unshaded(view: View) -> View:
    """The view less all that is no finer than shading: the edges of a faint print say where it repeats."""
    for _ in range(HIGH_PASSES):
        view = high_passed(view, HIGH_PASS * min(view.size))
    return view


def _correlated(view: View) -> _Correlated:
    whole = whole_surface(view)
    surface = whole.within(view.size)
    return _Correlated(view, whole, surface, peaks_of(surface, shortest_px=_shortest_px(view)))


def _shortest_px(view: View) -> float:
    return max(SHORTEST_PX, SHORTEST_MM / view.mm_per_px)


def _stripe(of: _Correlated) -> Evidence | None:
    ridge = ridge_of(of.surface, short_side=min(of.view.size))
    return _stripe_along(of, ridge) if is_stripe(ridge, of.peaks.best) else None


def _stripe_along(of: _Correlated, ridge: Ridge) -> Evidence | None:
    width, height = of.view.size
    across = abs(ridge.along[1]) * width + abs(ridge.along[0]) * height
    profile = profile_of(of.surface, ridge, reach_px=PROFILE_REACH * across)
    period = period_of(profile, shortest_px=SHORTEST_PX)
    if period is None:
        return None
    found = settle_stripe(of.view, period[0] * np.array([-ridge.along[1], ridge.along[0]]))
    return _weighed(found, of.clear)


def _weighed(evidence: Evidence, clear: Significance) -> Evidence:
    """The evidence with how clearly its lattice stands out of chance."""
    if _has_collapsed(evidence):
        return evidence
    basis = evidence.fit.basis
    sigmas = clear.along(square_period(basis)) if evidence.stripe else clear.second(basis)
    return replace(evidence, sigmas=sigmas)


def _likeliest(of: _Correlated, proposed: Iterable[Vectors]) -> Evidence | None:
    """The first proposal that is surely right once it is settled, else the likeliest of a few."""
    tried: list[Evidence] = []
    for basis in proposed:
        if _judged_by(tried, basis):
            continue
        evidence = _weighed(settle_lattice(of.view, basis), of.clear)
        if evidence.odd is not None:
            return evidence  # without odd cells all of its fractions look as good
        tried.append(evidence)
        if not _has_collapsed(evidence) and confidence_of(evidence) >= SURE:
            break
    # relit all: what light takes from one lattice it takes from its rivals; two may then be one
    relit = [_relit(of, evidence) for evidence in _distinct(tried) or tried]
    return _among(_distinct(relit) or relit) if tried else None


def _relit(of: _Correlated, evidence: Evidence) -> Evidence:
    """A lattice once more in the light that its own cells show, where it falls short and that helps."""
    if not falls_short(evidence, of.peaks.best):
        return evidence
    return max(evidence, _weighed(in_new_light(evidence), of.clear), key=odds_right)


def _distinct(tried: list[Evidence]) -> list[Evidence]:
    """The lattices that did not collapse, each once."""
    found: list[Evidence] = []
    for evidence in tried:
        if not _has_collapsed(evidence) and not any(_is_same(evidence.fit.basis, e.fit.basis) for e in found):
            found.append(evidence)
    return found


def _is_same(basis: Vectors, other: Vectors) -> bool:
    """Whether both are one lattice."""
    return is_multiple(basis, other) and is_multiple(other, basis)


def _judged_by(tried: list[Evidence], basis: Vectors) -> bool:
    """Whether the vectors are a lattice that was settled, or a multiple of one likelier than none.

    In the settling of that one, and of those it grew from, its cells' differences have been judged; where
    they leave a larger one open, that is settled as well.
    """
    return any(
        _is_same(basis, lattice)
        or (odds_right(e) >= 1 and e.larger < LEAST_RIVAL and is_multiple(basis, lattice))
        for e in tried
        if not _has_collapsed(e)
        for lattice in (e.fit.basis, *e.smaller)
    )


def _has_collapsed(evidence: Evidence) -> bool:
    """Whether the fit drew a lattice vector down to nothing, as it does along stripes."""
    return (
        not evidence.stripe
        and float(np.hypot(*evidence.fit.basis.T).min()) * evidence.view.mm_per_px < SHORTEST_MM
    )


def _among(settled: list[Evidence]) -> Evidence:
    """The likeliest of all that stand, with the others as its rivals."""
    weighed = [(e, odds_right(e)) for e in settled]
    best, odds = max(weighed, key=lambda pair: (stands(pair[0]), pair[1]))
    others = [(e, of) for e, of in weighed if e is not best]
    every = 1 + sum(of for _, of in weighed)
    rivals = [Rival(e.fit.basis, of / every) for e, of in others if of >= LEAST_RIVAL * every]
    own = [r for r in best.rivals if not any(_is_same(r.basis, rival.basis) for rival in rivals)]
    return replace(best, others=every - 1 - odds, rivals=(*own, *rivals))


def _lattice(of: _Correlated) -> Evidence | None:
    evidence = _likeliest(of, of.clear.proposals(MOST_SETTLED))
    if evidence is None:
        return None
    along = one_way_along(evidence.fit)
    if along is not None:
        return _stripe_along(of, Ridge(along, of.peaks.best)) or evidence
    ridge = ridge_of(of.surface, short_side=min(of.view.size))
    striped = _stripe_along(of, ridge) if may_be_stripe(ridge, of.peaks.best) else None
    # a stripe that explains as much is the plainer answer: what seems to cross it is folds or chance
    return striped if striped is not None and striped.fit.explained > evidence.fit.explained else evidence
