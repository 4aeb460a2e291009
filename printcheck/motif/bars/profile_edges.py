"""Edges between the bars of a profile: found where the colour changes fastest."""

from __future__ import annotations

import math

import cv2
import numpy as np

from printcheck.core.handover import Array
from printcheck.core.parabola import peak_offset
from printcheck.motif.cv_types import blurred

EDGE_SHARE = (
    0.06  # of the profile's largest departure from its mean, to a picture pixel: weaker slopes are light
)
FINEST_PX = 3.0  # picture pixels: a bar this narrow may be a mere passage between two colours
BETWEEN = 1.15  # detour over a passage's colour, against the straight way between its neighbours'
EDGE_BLUR = 1.0  # samples, or
EDGE_BLUR_PX = 0.5  # picture pixels where those are more: finer ripples come from the sampling
TRIM = 0.25  # of a bar's width at either end: what is left is free of its blurred edges


def edges_of(lab: Array, px: float, *, smear: float = 0.0, thread: float = 0.0) -> list[float]:
    """Places of the edges in samples, in order; 0 is the start of the first sample.

    Parameters
    ----------
    lab : (N, 3) array
        CIELAB once round the repeat.
    px : float
        Samples to a pixel of the picture.
    smear : float, keyword-only
        Samples by which cells may lie off one another: so wide a passage can be an edge seen twice.
    thread : float, keyword-only
        Samples to a thread of the cloth: finer ripples are the weave.
    """
    finest = max(EDGE_BLUR, EDGE_BLUR_PX * px, thread / 2)
    return _merged(_edges(lab, px, finest), _rgb(lab), max(FINEST_PX * px, smear))


def middle_of(start: float, stop: float, n: int) -> Array:
    """Indices of the samples in a bar's middle, away from its blurred edges."""
    trim = TRIM * (stop - start)
    inner = np.arange(np.ceil(start + trim - 0.5), np.floor(stop - trim - 0.5) + 1)
    if not len(inner):
        inner = np.array([round((start + stop) / 2 - 0.5)])
    indices: Array = inner.astype(int) % n
    return indices


def is_passage(before: Array, middle: Array, after: Array) -> bool:
    """Whether a colour lies on the way from one to another."""
    detour = np.linalg.norm(middle - before) + np.linalg.norm(after - middle)
    return bool(detour <= BETWEEN * np.linalg.norm(after - before))


def _rgb(lab: Array) -> Array:
    """sRGB, encoded."""
    rgb: Array = np.asarray(cv2.cvtColor(lab[None].astype(np.float32), cv2.COLOR_Lab2RGB), float)[0]
    return rgb


def _edges(lab: Array, px: float, blur: float) -> list[float]:
    """Places of the edges in samples (0 is the start of the first sample), sub-sample by a parabola."""
    n = len(lab)
    pad = min(n, max(8, math.ceil(8 * blur)))
    wide = np.pad(lab, ((pad, pad), (0, 0)), mode="wrap")[None]
    smooth = blurred(np.ascontiguousarray(wide), blur, 0.01)[0]
    smooth = smooth[pad:-pad]
    slope = np.sqrt((((np.roll(smooth, -1, axis=0) - np.roll(smooth, 1, axis=0)) / 2) ** 2).sum(axis=1))
    departure = float(np.sqrt(((lab - lab.mean(axis=0)) ** 2).sum(axis=1)).max())
    before, after = np.roll(slope, 1), np.roll(slope, -1)
    peak = (slope >= before) & (slope > after) & (slope * max(1.0, px) > EDGE_SHARE * departure)
    at = np.nonzero(peak)[0]
    return sorted(((at + 0.5 + peak_offset(before[at], slope[at], after[at])) % n).tolist())


def _merged(edges: list[float], rgb: Array, finest: float) -> list[float]:
    """Edges, the two sides of a mere passage from one colour to the next taken as one.

    A passage is a bar of few pixels whose colour lies between its neighbours': blur and strain make them.
    Blur mixes sRGB values, so the way through a passage is straight there and bent in CIELAB.
    """
    n = len(rgb)
    kept = list(edges)
    for index in range(len(edges)):
        start, stop = edges[index], edges[(index + 1) % len(edges)] + (n if index + 1 == len(edges) else 0)
        if stop - start > finest or start not in kept or stop % n not in kept or len(kept) < 3:
            continue
        before, middle, after = (
            rgb[int(place) % n] for place in (start - finest, (start + stop) / 2, stop + finest)
        )
        if is_passage(before, middle, after):
            kept.remove(start)
            kept[kept.index(stop % n)] = (start + stop) / 2 % n
    return sorted(kept)
