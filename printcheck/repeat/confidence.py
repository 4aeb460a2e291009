"""How sure the answer is, and whether it stands, from what was measured of it."""

from __future__ import annotations

import math

from printcheck.repeat.decide import Evidence
from printcheck.repeat.odds import RIGHT, odds_of
from printcheck.repeat.surface.significance import CHANCE

# Probability, against none, below which no repeat is the better answer. An answer says how sure it is, a
# refusal says nothing. From one half down to here, on sources left out, three true ones stand for two false.
STANDS = 0.35
UNSETTLED = 0.4  # how sure a lattice is in which something is seen that it does not hold: more likely none
ENOUGH_SEEN = 4.0  # repeats: more make an answer no surer
LEAST_SIGMAS, ENOUGH_SIGMAS = 1.0, 60.0  # less is as good as none; more is no surer
LEAST_FINE = -0.2  # share: what is worse explained is mere noise


def features_of(evidence: Evidence) -> dict[str, float]:
    """What speaks for an answer: share explained, of the detail too, misfit in lines, repeats in view.

    Where few repeats are in view, how clearly they stand out of chance counts as well: a strip in which
    dense detail comes again proves what many repeats else prove. Contrast, colour left unexplained, stripes
    as against lattices, the odds of larger lattices, the scatter of the map, and long-range order, which
    proposes lattices (a weave has it too), win nothing or next to nothing on sources left out of the fit.
    """
    fit = evidence.fit
    seen = min(evidence.repeats, ENOUGH_SEEN)
    few = min((ENOUGH_SEEN - seen) / (ENOUGH_SEEN - 1), 1.0)
    sigmas = min(max(evidence.sigmas, LEAST_SIGMAS), ENOUGH_SIGMAS)
    return {
        "one": 1.0,
        "explained": fit.explained,
        "fine": max(fit.fine_explained, LEAST_FINE),
        "in lines": fit.in_lines,
        "seen": seen,
        "clear": few * math.log(sigmas / CHANCE),
    }


def odds_right(evidence: Evidence) -> float:
    """Odds of this lattice against none."""
    return odds_of(RIGHT, features_of(evidence))


def confidence_of(evidence: Evidence) -> float:
    """Probability that the answer is right, 0 to 1, among none and the other lattices that were settled."""
    odds = odds_right(evidence)
    return odds / (1 + odds + evidence.others) * (1.0 if evidence.holds_all else UNSETTLED)


def stands(evidence: Evidence) -> bool:
    """Whether the answer, so far as it goes, is worth more than none."""
    return odds_right(evidence) >= STANDS / (1 - STANDS)
