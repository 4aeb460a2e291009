"""How sure it is that a round outline is a coin: one classifier, fitted by ``docs/fit_objects.py``."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.scale.coin.rim import ON_RIM_PX, ON_RIM_SHARE, Rim
from printcheck.photo.scale.fitted import WEIGHTS

if TYPE_CHECKING:
    from printcheck.core.handover import Floats
    from printcheck.photo.scale.coin.metal import Look

COIN_FEATURES = (
    "cover",  # share of the rim that shows an edge on the curve
    "tight",  # mean strength of its edges, those off the curve counting less
    "scatter",  # rms of the edges about the curve, over what counts as on it: noise has 0.58
    "relief",  # ln of the spread of lightness within, as far as it tells a coin from a dot or a pill
    "busy",  # spread of lightness within, above what coins have
    "tint",  # spread of colour within: metal has one
    "apart",  # colour distance from the ground, saturating at 1
    "texture",  # ln of the relief over the ground's, in size
    "hue off",  # distance of the rim from where the hue changes, share of the radius; 0 where not known
    "hue known",  # 1 where the hue changes clearly
    "twins",  # other outlines of the same size and colour: dots come in numbers
    "hidden",  # share of the rim out of the picture
    "oval",  # flattening: a tilt, or no circle
    "choice",  # spread of the rings that may be the rim, share of the radius
)
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


def disc_features(disc: Disc) -> Floats:
    """(COIN_FEATURES,) what was seen of a disc."""
    rim, look = disc.rim, disc.look
    apart = min(float(np.linalg.norm(look.cloth - part)) for part in (look.core, look.ring))
    return np.array(
        [
            rim.cover,
            rim.tightness,
            rim.rms_px / max(ON_RIM_PX, ON_RIM_SHARE * rim.radius),
            math.log(min(look.relief, USUAL_RELIEF) + NOISE),
            max(0.0, look.relief - COIN_RELIEF),
            look.tint,
            apart / (apart + HALF_APART),
            abs(math.log((look.relief + NOISE) / (look.cloth_relief + NOISE))),
            0.0 if disc.hue_px is None else abs(rim.radius / disc.hue_px - 1),
            float(disc.hue_px is not None),
            min(disc.twins, MOST_TWINS),
            1 - rim.in_view,
            rim.oval,
            disc.choice_sigma,
        ]
    )


def evidence_of(disc: Disc) -> float:
    """Evidence that a disc is a coin, 0 to 1."""
    constant, *weights = WEIGHTS["coin"]
    return 1 / (1 + math.exp(-float(constant + np.dot(weights, disc_features(disc)))))


def alike(one: Disc, other: Disc) -> bool:
    """Whether two discs are of one size and colour, in two places."""
    radius = max(one.rim.radius, other.rim.radius)
    return bool(
        radius / min(one.rim.radius, other.rim.radius) < TWIN_SIZE
        and np.linalg.norm(one.rim.centre - other.rim.centre) > radius
        and np.linalg.norm(one.look.core - other.look.core) < TWIN_COLOUR
        and np.linalg.norm(one.look.ring - other.look.ring) < TWIN_COLOUR
    )
