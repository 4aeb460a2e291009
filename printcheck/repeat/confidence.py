"""How sure the answer is, and whether it stands, from what was measured of it."""

from __future__ import annotations

import math

from printcheck.repeat.decide import STRIPE_BESIDE, Evidence
from printcheck.repeat.odds import RIGHT, odds_of

# Probability, against none, below which no repeat is the better answer. An answer says how sure it is, a
# refusal says nothing. From one half down to here, on sources left out, three true ones stand for two false.
STANDS = 0.35
ENOUGH_SEEN = 4.0  # repeats: more make an answer no surer
LEAST_SIGMAS, ENOUGH_SIGMAS = 1.0, 60.0  # less is as good as none; more is no surer


def features_of(evidence: Evidence) -> dict[str, float]:
    """What speaks for an answer: share explained, repeats in view, how clearly a cell repeats.

    ``clear`` is how far the nodes stand out of chance, by the root of their number: what each does. Against
    it speak the odds of ``larger`` lattices, of which another may have been settled. The contrast, the share
    explained of the detail alone, misfit in lines, colour left unexplained, stripes as against lattices and
    the scatter of the map win nothing or next to nothing on sources left out of the fit.
    """
    fit = evidence.fit
    sigmas = min(max(evidence.sigmas, LEAST_SIGMAS), ENOUGH_SIGMAS)
    number = fit.number / (STRIPE_BESIDE if evidence.stripe else 1.0)  # of nodes: along a stripe are none
    return {
        "one": 1.0,
        "explained": fit.explained,
        "seen": min(evidence.repeats, ENOUGH_SEEN),
        "clear": math.log(sigmas / math.sqrt(max(number, 1.0))),
        "larger": math.log1p(evidence.larger),
    }


def odds_right(evidence: Evidence) -> float:
    """Odds of this lattice against none."""
    return odds_of(RIGHT, features_of(evidence))


def confidence_of(evidence: Evidence) -> float:
    """Probability that the answer is right, 0 to 1, among none and the other lattices that were settled."""
    odds = odds_right(evidence)
    return odds / (1 + odds + evidence.others) * evidence.settled


def stands(evidence: Evidence) -> bool:
    """Whether the answer, so far as it goes, is worth more than none: the print repeats so, or larger."""
    return odds_of(RIGHT, features_of(evidence) | {"larger": 0.0}) >= STANDS / (1 - STANDS)
