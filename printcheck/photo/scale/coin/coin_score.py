"""How sure it is that a round outline is a coin: one classifier, fitted by ``docs/fit_objects.py``."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.scale.coin.rim import ON_RIM_PX, ON_RIM_SHARE, Rim
from printcheck.photo.scale.logistic import evidence

if TYPE_CHECKING:
    from printcheck.photo.scale.coin.metal import Look

NOISE, USUAL_RELIEF, COIN_RELIEF = 0.2, 1.8, 9.0  # Lab lightness: of noise, of worn and of the deepest coins
HALF_APART = 10.0  # Lab distance that counts half
TWIN_SIZE, TWIN_COLOUR = 1.10, 9.0  # ratio of radii, and Lab distance
MOST_TWINS = 4  # more tell no more


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
    twins : int
        Other discs like it in the picture.
    """

    rim: Rim
    look: Look
    hue_px: float | None
    choice_sigma: float
    oval_sigma: float
    twins: int = 0


def disc_features(disc: Disc) -> dict[str, float]:
    """What was seen of a disc, by name."""
    rim, look = disc.rim, disc.look
    apart = min(float(np.linalg.norm(look.cloth - part)) for part in (look.core, look.ring))
    return {
        "cover": rim.cover,
        "tight": rim.tightness,
        # over what counts as on the curve: noise has 0.58
        "scatter": rim.rms_px / max(ON_RIM_PX, ON_RIM_SHARE * rim.radius),
        # as far as it tells a coin from a dot or a pill, and above what coins have
        "relief": math.log(min(look.relief, USUAL_RELIEF) + NOISE),
        "busy": max(0.0, look.relief - COIN_RELIEF),
        "tint": look.tint,
        "apart": apart / (apart + HALF_APART),
        "texture": abs(math.log((look.relief + NOISE) / (look.cloth_relief + NOISE))),
        "hue off": 0.0 if disc.hue_px is None else abs(rim.radius / disc.hue_px - 1),
        "hue known": float(disc.hue_px is not None),
        "twins": min(disc.twins, MOST_TWINS),
        "hidden": 1 - rim.in_view,
        "oval": rim.oval,
        "choice": disc.choice_sigma,
    }


def evidence_of(disc: Disc) -> float:
    """Evidence that a disc is a coin, 0 to 1."""
    return evidence("coin", disc_features(disc))


def alike(one: Disc, other: Disc) -> bool:
    """Whether two discs are of one size and colour, in two places."""
    radius = max(one.rim.radius, other.rim.radius)
    return bool(
        radius / min(one.rim.radius, other.rim.radius) < TWIN_SIZE
        and np.linalg.norm(one.rim.centre - other.rim.centre) > radius
        and np.linalg.norm(one.look.core - other.look.core) < TWIN_COLOUR
        and np.linalg.norm(one.look.ring - other.look.ring) < TWIN_COLOUR
    )
