"""How a print is built, by one score on its evidence."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import msgspec
import numpy as np

from printcheck.core.handover import Array
from printcheck.core.measurement import Build
from printcheck.motif.build.evidence import Evidence

BUILDS: tuple[Build, ...] = get_args(Build)
INPUTS = (
    "one", "edges one way", "edges two ways", "edges nearby", "bars one way", "bars both ways",
    "inverse", "shifted", "round pieces", "bars both ways squared", "edges two ways squared",
)  # fmt: skip

_FITTED = msgspec.toml.decode(
    Path(__file__).with_name("weights.toml").read_bytes(), type=dict[str, dict[str, list[float]]]
)


def weights(score: str) -> Array:
    """Fitted weights of a score: a row an input, a column an answer."""
    return np.array(list(_FITTED[score].values()))


CELL, PICTURE = weights("CELL"), weights("PICTURE")


def inputs_of(evidence: Evidence, round_share: float) -> Array:
    """Row of numbers the score is linear in: the shares, two squares and a constant."""
    shares = evidence.features
    return np.array([1.0, *shares, round_share, evidence.both_bars**2, evidence.two_way_edges**2])


def build_of(evidence: Evidence, round_share: float, *, periodic: bool, stripe: bool = True) -> Build:
    """Likeliest build.

    Cells and bare pictures (``periodic`` False) have weights of their own: a picture's edges cut its waves.
    A cell that changes both ways is no ``stripe``, however bold its bars of one direction are.
    """
    score = inputs_of(evidence, round_share) @ (CELL if periodic else PICTURE)
    if not stripe:
        score[BUILDS.index("stripe")] = -np.inf
    return BUILDS[int(score.argmax())]
