"""What the fitted classifiers make of the numbers that were seen of a candidate."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec

# of each shape's features the weight in the ln odds, and what the objects themselves show on average
FITTED: dict[str, dict[str, tuple[float, float]]] = msgspec.toml.decode(
    Path(__file__).with_name("fitted.toml").read_bytes(), type=dict[str, dict[str, tuple[float, float]]]
)


def ln_odds(shape: str, seen: dict[str, float]) -> float:
    """Ln odds that a thing with these features is the object."""
    every = seen | {"constant": 1.0}
    return sum(weight * every[name] for name, (weight, _) in FITTED[shape].items())


def evidence(shape: str, seen: dict[str, float]) -> float:
    """The same as a probability."""
    return 1 / (1 + math.exp(-ln_odds(shape, seen)))


def lacks(shape: str, seen: dict[str, float]) -> dict[str, float]:
    """Ln odds that each feature takes or gives beside what the object usually shows."""
    return {
        name: weight * (seen[name] - usual) for name, (weight, usual) in FITTED[shape].items() if name in seen
    }
