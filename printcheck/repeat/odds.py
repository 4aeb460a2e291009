"""Two decisions, each one logistic score on evidence: is the repeat a larger one, and is the answer right.

The weights are fitted by ``docs/fit_evidence.py`` and judged there on sources left out of the fit.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from printcheck.repeat.cells.superlattice import FACTORS, Satellite

if TYPE_CHECKING:
    from collections.abc import Mapping

OUTSTANDING = 3.4  # logarithm of power over chance: 30 times
ENOUGH_PERIODS = 3.0  # in view: more make a larger repeat no surer

LARGER: Mapping[str, float] = {
    "one": -4.925,
    "power": 0.712,
    "outstanding": -0.647,
    "gain": 6.338,
    "gained": 27.694,
    "few": -0.495,
    "row": 3.3,  # not fitted, too few were drawn: even odds at ten times the power of chance
}

RIGHT: Mapping[str, float] = {
    "one": -6.8,
    "striped": 0.6,
    "explained": 5.2,
    "striped explained": 0.6,
    "fine": 0.8,
    "spread": -16.4,
    "seen": 1.1,
    "doubt": -1.0,
}


def odds_of(weights: Mapping[str, float], features: Mapping[str, float]) -> float:
    """Probability, 0 to 1, that a logistic score gives.

    Examples
    --------
    >>> odds_of({"one": 0.0, "length": 2.0}, {"one": 1.0, "length": 0.5})
    0.7310585786300049
    """
    score = sum(weights[name] * features[name] for name in weights)
    return 1 / (1 + math.exp(-max(-40.0, min(40.0, score))))


def wave_features(wave: Satellite, *, explained: float) -> dict[str, float]:
    """What speaks for a larger repeat: power of the wave over chance, what its classes gain apart.

    One row of cells in many that stands out (graph paper) has power, but gains little.
    """
    power, gain = math.log(max(wave.ratio, 0.1)), max(wave.gain, 0.0)
    return {
        "one": 1.0,
        "power": power,
        "outstanding": max(0.0, power - OUTSTANDING),
        "gain": gain,
        "gained": gain * (1 - explained),
        "few": max(0.0, ENOUGH_PERIODS - wave.periods),
        "row": float(wave.factor not in FACTORS),
    }
