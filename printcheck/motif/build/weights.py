"""Fitted weights of the scores by which a print's build and the marks of hides are told."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np

from printcheck.core.handover import Array

_FITTED = msgspec.toml.decode(
    Path(__file__).with_name("weights.toml").read_bytes(), type=dict[str, dict[str, list[float]]]
)


def _table(score: str) -> Array:
    return np.array(list(_FITTED[score].values()))


CELL, PICTURE = _table("CELL"), _table("PICTURE")  # a row an input, a column a build
HIDE = _table("HIDE")[:, 0]
