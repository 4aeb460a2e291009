"""Three decisions, each one logistic score on evidence.

Is the repeat a larger one, is the answer right, and is there a print at all. The weights are fitted by
``docs/fit_evidence.py`` and ``docs/fit_plain.py``, and judged there on sources left out of the fit.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from printcheck.repeat.cells.superlattice import Satellite

LEAST_POWER = 0.1  # over chance: less is none
CLEAR = 5.0  # logarithm of power over chance, 150 times: more is no clearer, and of few cells means nothing

LARGER: Mapping[str, float] = {"one": -6.43, "power": 1.269, "gain": 6.588}

RIGHT: Mapping[str, float] = {
    "one": -8.582,
    "explained": 5.663,
    "seen": 1.273,
    "clear": 1.54,
    "larger": -5.818,
}

# whether a print repeats along one direction, where it has no lattice; by ``docs/fit_one_direction.py``
ONE_DIRECTION: Mapping[str, float] = {"one": -7.539, "lowest": 3.873, "seen": 1.018, "clear": 1.122}

# whether cloth shows a print at all; fitted by ``docs/fit_plain.py``
PRINT: Mapping[str, float] = {
    "one": 3.648,
    "lightness": 4.357,
    "colour": 2.912,
    "usual colour": 2.053,
}
PRINT_IN_GREY: Mapping[str, float] = {"one": -2.116, "lightness": 8.917}


def odds_of(weights: Mapping[str, float], features: Mapping[str, float]) -> float:
    """Odds against none that a score gives.

    Examples
    --------
    >>> odds_of({"one": 0.0, "length": 2.0}, {"one": 1.0, "length": 0.5})
    2.718281828459045
    """
    score = sum(weights[name] * features[name] for name in weights)
    return math.exp(max(-40.0, min(40.0, score)))


def probability_of(weights: Mapping[str, float], features: Mapping[str, float]) -> float:
    """Probability, 0 to 1, that a score gives to the one thing that was asked.

    Examples
    --------
    >>> probability_of({"one": 0.0, "length": 2.0}, {"one": 1.0, "length": 0.0})
    0.5
    """
    odds = odds_of(weights, features)
    return odds / (1 + odds)


def wave_features(wave: Satellite) -> dict[str, float]:
    """What speaks for a larger repeat: power of the wave over chance, what its classes gain apart."""
    return {
        "one": 1.0,
        "power": min(math.log(max(wave.ratio, LEAST_POWER)), CLEAR),
        "gain": max(wave.gain, 0.0),
    }
