"""How well a mean cell shows what the picture shows."""

from __future__ import annotations

import numpy as np

from printcheck.repeat.arrays import Image, summed


def share_explained(left: Image, mean: Image, count: Image) -> float:
    """Share of variance explained, from the pixels of the cell that are seen at least twice.

    Parameters
    ----------
    left : (nj, ni, ch, cw, C) float32
        Cells less the mean cell, 0 where not seen.
    mean : (ch, cw, C) float32
    count : (ch, cw) float32
        How many cells show each place.
    """
    twice = count > 1.5
    if not twice.any():
        return 0.0
    errors = summed(np.square(left).sum(axis=(0, 1)))
    within = float((errors * count / np.maximum(count - 1, 0.5))[twice].sum())
    level = np.einsum("rc,rck->k", count * twice, mean) / float(count[twice].sum())
    between = float((np.square(mean - level).sum(axis=-1) * count)[twice].sum())
    return 1.0 - within / max(float(errors[twice].sum()) + between, 1e-9)
