"""How sure the answer is, and whether it stands, from what was measured of it."""

from __future__ import annotations

import math

import numpy as np

from printcheck.repeat.decide import Evidence, fine_contrast, repeats_seen, square_period
from printcheck.repeat.odds import RIGHT, odds_of

STANDS = 0.5  # probability of being right below which no repeat is the better answer
UNSETTLED = 0.4  # how sure a lattice is in which something is seen that it does not hold: more likely none


def features_of(evidence: Evidence) -> dict[str, float]:
    """What speaks for an answer: share explained, contrast, evenness, repeats in view.

    ``doubt`` is the probability of the likeliest other lattice that was weighed. Long-range order, which
    proposes lattices, is none of them: a weave has it too (left out by the fit's ablation).
    """
    view, fit, striped = evidence.view, evidence.fit, evidence.stripe
    basis = square_period(fit.basis)[None] if striped else fit.basis
    spread = fit.spread if evidence.bent is None else evidence.bent.scatter
    return {
        "one": 1.0,
        "striped": float(striped),
        "explained": fit.explained,
        "striped explained": fit.explained if striped else 0.0,
        "fine": math.log(np.clip(fine_contrast(view, fit), 0.05, 5.0)),
        "spread": min(spread, 0.2),
        "seen": min(repeats_seen(view, basis), 4.0),
        "doubt": max((rival.probability for rival in evidence.rivals), default=0.0),
    }


def confidence_of(evidence: Evidence) -> float:
    """Probability that the answer is right, 0 to 1."""
    return odds_of(RIGHT, features_of(evidence)) * (1.0 if evidence.holds_all else UNSETTLED)


def stands(evidence: Evidence) -> bool:
    """Whether the answer, so far as it goes, is likelier right than wrong."""
    return odds_of(RIGHT, features_of(evidence)) >= STANDS
