"""How sure it is that a round outline is a coin: one classifier, fitted by ``docs/fit_objects.py``."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.scale.coin.rim import Rim
from printcheck.photo.scale.logistic import evidence

if TYPE_CHECKING:
    from printcheck.photo.scale.coin.metal import Look

NOISE, USUAL_RELIEF, COIN_RELIEF = 0.2, 1.8, 9.0  # Lab lightness: of noise, of worn and of the deepest coins
HALF_APART = 10.0  # Lab distance that counts half


@dataclass(frozen=True)
class Disc:
    """A round outline with what lies within it.

    Parameters
    ----------
    rim : Rim
    look : Look
    hue_px : float or None
        Radius at which the hue changes, where it does so clearly.
    choice_sigma : float
        One sigma of the radius for which ring is the rim, as a share; ``oval_sigma`` that of its flattening.
    """

    rim: Rim
    look: Look
    hue_px: float | None
    choice_sigma: float
    oval_sigma: float


def disc_features(disc: Disc) -> dict[str, float]:
    """What was seen of a disc, by name."""
    rim, look = disc.rim, disc.look
    apart = min(float(np.linalg.norm(look.cloth - part)) for part in (look.core, look.ring))
    return {
        "cover": rim.cover,
        # as far as it tells a coin from a dot or a pill, and above what coins have
        "relief": math.log(min(look.relief, USUAL_RELIEF) + NOISE),
        "busy": max(0.0, look.relief - COIN_RELIEF),
        "tint": look.tint,
        "apart": apart / (apart + HALF_APART),
        "hue off": 0.0 if disc.hue_px is None else abs(rim.radius / disc.hue_px - 1),
        "hidden": 1 - rim.in_view,
        "oval": rim.oval,
    }


def evidence_of(disc: Disc) -> float:
    """Evidence that a disc is a coin, 0 to 1."""
    return evidence("coin", disc_features(disc))
