"""The whole search on one screen: flat cloth in, lattice with its error out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from printcheck.cloth import FlatCloth, PrintLattice, Working
from printcheck.repeat.candidates import SHORTEST_MM, SHORTEST_PX, Peaks, peaks_of, proposals
from printcheck.repeat.correlation import Surface, autocorrelate
from printcheck.repeat.decide import Evidence, contest, does_not_fit, is_loose, one_way_along, settle_stripe
from printcheck.repeat.light import View, look
from printcheck.repeat.report import lattice_of, nothing_found
from printcheck.repeat.stripe import Ridge, is_stripe, period_of, profile_of, ridge_of

LEAST_CORRELATION = 0.6  # random prints reach 0.56, true repeats of ordinary contrast 0.93 (own trials)
PROFILE_REACH = 0.62  # of the short side: how far across a stripe's period is looked for


def find_lattice(cloth: FlatCloth, *, working: Callable[[Working], None] | None = None) -> PrintLattice:
    """Find the print's repeat in millimetres on the cloth's own axes."""
    view = look(cloth)
    surface = autocorrelate(view)
    peaks = peaks_of(surface, shortest_px=max(SHORTEST_PX, SHORTEST_MM / view.mm_per_px))
    evidence = _stripe(view, surface, peaks) or _lattice(view, surface, peaks)
    if evidence is None or does_not_fit(view, evidence) or is_loose(view, evidence, peaks.best):
        return nothing_found(cloth, view, peaks.best)
    return lattice_of(cloth, view, evidence, best=peaks.best)


def _stripe(view: View, surface: Surface, peaks: Peaks) -> Evidence | None:
    ridge = ridge_of(surface, short_side=min(view.size))
    return _stripe_along(view, surface, ridge) if is_stripe(ridge, peaks.best) else None


def _stripe_along(view: View, surface: Surface, ridge: Ridge) -> Evidence | None:
    short_side = min(view.size)
    profile = profile_of(surface, ridge, reach_px=PROFILE_REACH * short_side)
    period = period_of(profile, shortest_px=SHORTEST_PX)
    if period is None:
        return None
    return settle_stripe(view, period[0] * np.array([-ridge.along[1], ridge.along[0]]))


def _lattice(view: View, surface: Surface, peaks: Peaks) -> Evidence | None:
    proposed = proposals(peaks) if peaks.best >= LEAST_CORRELATION else []
    if not proposed:
        return None
    evidence = contest(view, proposed, peaks.best)
    along = one_way_along(evidence.fit)
    striped = None if along is None else _stripe_along(view, surface, Ridge(along, peaks.best))
    return striped or evidence
