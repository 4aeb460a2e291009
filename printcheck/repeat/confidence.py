"""How sure the answer is, from what was measured of it."""

from __future__ import annotations

from printcheck.repeat.decide import FEWEST_PERIODS, Evidence, fine_contrast
from printcheck.repeat.illumination import View, contrast
from printcheck.repeat.superlattice import NOTICEABLE

LEAST_EXPLAINED = 0.15  # share of variance: below it there is no lattice
LEAST_FINE_CONTRAST = 0.4  # CIELAB: plain cloth reaches 0.18, the faintest prints 0.42 (own trials)
LEAST_STRIPE_CONTRAST = 0.8  # CIELAB: shading makes stripes more easily than lattices
LEAST_CONTRAST = 0.33  # CIELAB
SURE_CONTRAST = 1.5  # CIELAB of fine contrast
SURE_EXPLAINED = 0.8
SURE_STRIPE = 0.97  # a stripe that leaves more than this unexplained may hide cross lines
SURE_MARGIN = 1.5  # times what is asked of a larger repeat: waves of light reached 1.1
ALMOST_RATIO = 8.0  # power over chance of a larger repeat that was not taken: half sure
CROSSED = 0.4  # how sure a stripe is along which something comes again: more likely it is none
UNEVEN = 0.06  # scatter of the local repeat at which the answer is half sure: the fit may have slipped
SURE_SEEN = 2.5  # repeats in view
UNDECIDED_RATIO = 5.0


def stands(view: View, evidence: Evidence) -> bool:
    """Whether there is a print at all: contrast in the mean cell, and enough of the picture explained."""
    least = LEAST_STRIPE_CONTRAST if evidence.stripe else LEAST_FINE_CONTRAST
    return (
        evidence.fit.explained >= LEAST_EXPLAINED
        and contrast(view) >= LEAST_CONTRAST
        and fine_contrast(view, evidence.fit) >= least
    )


def confidence_of(view: View, evidence: Evidence, seen: float) -> float:
    """Share of like answers that are right, 0 to 1."""
    sure = min(1.0, fine_contrast(view, evidence.fit) / SURE_CONTRAST)
    if evidence.stripe:
        sure *= min(1.0, evidence.fit.explained / SURE_STRIPE) ** 2
    sure *= min(1.0, evidence.fit.explained / SURE_EXPLAINED) * (CROSSED if evidence.crossed else 1.0)
    sure *= min(1.0, max(evidence.margin, 1.0) / SURE_MARGIN)
    sure /= 1 + (evidence.fit.spread / UNEVEN) ** 2
    sure /= 1 + (_almost(evidence) / ALMOST_RATIO) ** 3
    return float(sure * min(1.0, max(seen - 1, 0.1) / (SURE_SEEN - 1)))


def undecided(evidence: Evidence) -> bool:
    """Whether a larger repeat was nearly, but not quite, shown."""
    return _almost(evidence) > UNDECIDED_RATIO


def _almost(evidence: Evidence) -> float:
    """Power over chance of the strongest larger repeat not taken, less where the eye would not see it."""
    return max(
        (
            s.ratio * min(1.0, s.size / NOTICEABLE) ** 2
            for s in evidence.satellites
            if s.periods >= FEWEST_PERIODS
        ),
        default=0.0,
    )
