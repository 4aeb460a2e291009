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

CLEAR = 3.4  # logarithm of power over chance, 30 times: more is no clearer

LARGER: Mapping[str, float] = {
    "one": -6.71,
    "power": 1.322,
    "gain": 6.576,
    "gained": 13.787,
}

RIGHT: Mapping[str, float] = {
    "one": -8.843,
    "explained": 8.11,
    "spread": -14.185,
    "seen": 1.156,
}

# whether cloth shows a print at all; fitted by ``docs/fit_plain.py``
PRINT: Mapping[str, float] = {
    "one": 2.688,
    "lightness": 4.277,
    "colour": 3.068,
    "usual colour": 1.466,
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

    ``gained`` is that gain as a share of all that the picture shows.
    """
    gain = max(wave.gain, 0.0)
    return {
        "one": 1.0,
        "power": min(math.log(max(wave.ratio, 0.1)), CLEAR),
        "gain": gain,
        "gained": gain * (1 - explained),
    }
