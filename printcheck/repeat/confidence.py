"""How sure the answer is, and whether it stands, from what was measured of it."""

from __future__ import annotations

from printcheck.repeat.decide import Evidence, repeats_seen, square_period
from printcheck.repeat.odds import RIGHT, probability_of

# Probability of being right below which no repeat is the better answer. An answer says how sure it is, a
# refusal says nothing. From one half down to here, on sources left out, six true ones stand for four false.
STANDS = 0.35
UNSETTLED = 0.4  # how sure a lattice is in which something is seen that it does not hold: more likely none
ENOUGH_SEEN = 4.0  # repeats: more make an answer no surer
MOST_SPREAD = 0.2  # share: beyond it the map says nothing


def features_of(evidence: Evidence) -> dict[str, float]:
    """What speaks for an answer: share explained, evenness, repeats in view.

    Contrast, stripes as against lattices, the odds of other lattices and long-range order, which proposes
    lattices (a weave has it too), win nothing on sources left out of the fit.
    """
    view, fit = evidence.view, evidence.fit
    basis = square_period(fit.basis)[None] if evidence.stripe else fit.basis
    return {
        "one": 1.0,
        "explained": fit.explained,
        "spread": min(evidence.spread, MOST_SPREAD),
        "seen": min(repeats_seen(view, basis), ENOUGH_SEEN),
    }


def confidence_of(evidence: Evidence) -> float:
    """Probability that the answer is right, 0 to 1."""
    return probability_of(RIGHT, features_of(evidence)) * (1.0 if evidence.holds_all else UNSETTLED)


def stands(evidence: Evidence) -> bool:
    """Whether the answer, so far as it goes, is worth more than none."""
    return probability_of(RIGHT, features_of(evidence)) >= STANDS
