"""Edges between the bars of a profile: found where the colour changes fastest, placed by balance."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.motif.arrays import Array, blurred

EDGE_SHARE = 0.06  # of the profile's largest departure from its mean: weaker steps are no edges
FINEST_PX = 3.0  # picture pixels: a bar this narrow may be a mere passage between two colours
BETWEEN = 1.15  # detour over a passage's colour, against the straight way between its neighbours'
EDGE_BLUR = 1.0  # samples
TRIM = 0.25  # of a bar's width at either end: what is left is free of its blurred edges
ARRIVED = 0.03  # of the step: this near to a bar's own colour an edge has ended
FLAT = 0.08  # of the step: a bar whose middle varies more is too narrow to show its own colour


def edges_of(lab: Array, px: float) -> list[float]:
    """Places of the edges in samples, in order; 0 is the start of the first sample.

    Parameters
    ----------
    lab : (N, 3) array
        CIELAB once round the repeat.
    px : float
        Samples to a pixel of the picture.

    Notes
    -----
    Cells that do not lie on one another to a pixel smear an edge, now and then into two steps, and the
    steepest place of a smear is anywhere in it. Its point of balance is the mean of the cells' own edges
    (A. J. Tabatabai, O. R. Mitchell, "Edge location to subpixel values in digital imagery", IEEE PAMI 6,
    1984). It is taken in the sRGB values the cells were averaged in: in CIELAB halfway is not half.
    """
    rgb = _rgb(lab)
    edges = _merged(_edges(lab), rgb, FINEST_PX * px)
    return edges if len(edges) < 2 else sorted(_balanced(edges, rgb))


def middle_of(start: float, stop: float, n: int) -> Array:
    """Indices of the samples in a bar's middle, away from its blurred edges."""
    trim = TRIM * (stop - start)
    inner = np.arange(np.ceil(start + trim - 0.5), np.floor(stop - trim - 0.5) + 1)
    if not len(inner):
        inner = np.array([round((start + stop) / 2 - 0.5)])
    indices: Array = inner.astype(int) % n
    return indices


def _balanced(edges: list[float], rgb: Array) -> list[float]:
    n = len(rgb)
    ring = [edges[-1] - n, *edges, edges[0] + n]
    return [_balance(rgb, *ring[k : k + 3]) % n for k in range(len(edges))]


def _balance(rgb: Array, before: float, edge: float, after: float) -> float:
    """Where the step would stand if it were sharp; as found where a bar shows no colour of its own."""
    n = len(rgb)
    middles = rgb[middle_of(before, edge, n)], rgb[middle_of(edge, after, n)]
    low, high = (np.median(m, axis=0) for m in middles)
    step = high - low
    power = float(step @ step)
    if power <= 0 or any(
        float(np.abs((m - np.median(m, axis=0)) @ step).max()) > FLAT * power for m in middles
    ):
        return edge
    first, last = int(np.ceil((before + edge) / 2)), int(np.floor((edge + after) / 2))
    share = (rgb[np.arange(first, last) % n] - low) @ step / power
    middle = int(np.clip(int(edge) - first, 1, max(len(share) - 1, 1)))
    started = np.nonzero(share[:middle] <= ARRIVED)[0]
    ended = np.nonzero(share[middle:] >= 1 - ARRIVED)[0]
    if not len(started) or not len(ended):
        return edge
    start, stop = int(started[-1]), middle + int(ended[0]) + 1
    return first + start + float((1 - share[start:stop]).sum())


def _rgb(lab: Array) -> Array:
    """sRGB, encoded."""
    rgb: Array = np.asarray(cv2.cvtColor(lab[None].astype(np.float32), cv2.COLOR_Lab2RGB), float)[0]
    return rgb


def _edges(lab: Array) -> list[float]:
    """Places of the edges in samples (0 is the start of the first sample), sub-sample by a parabola."""
    n = len(lab)
    pad = min(n, 8)
    wide = np.pad(lab, ((pad, pad), (0, 0)), mode="wrap")[None]
    smooth = blurred(np.ascontiguousarray(wide), EDGE_BLUR, 0.01)[0]
    smooth = smooth[pad:-pad]
    slope = np.sqrt((((np.roll(smooth, -1, axis=0) - np.roll(smooth, 1, axis=0)) / 2) ** 2).sum(axis=1))
    departure = float(np.sqrt(((lab - lab.mean(axis=0)) ** 2).sum(axis=1)).max())
    before, after = np.roll(slope, 1), np.roll(slope, -1)
    peak = (slope >= before) & (slope > after) & (slope > EDGE_SHARE * departure)
    at = np.nonzero(peak)[0]
    bend = before[at] - 2 * slope[at] + after[at]
    shift = np.where(bend < 0, 0.5 * (before[at] - after[at]) / np.minimum(bend, -1e-9), 0.0)
    return sorted(((at + 0.5 + shift) % n).tolist())


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
        detour = np.linalg.norm(middle - before) + np.linalg.norm(after - middle)
        if detour <= BETWEEN * np.linalg.norm(after - before):
            kept.remove(start)
            kept[kept.index(stop % n)] = (start + stop) / 2 % n
    return sorted(kept)
