"""Light taken out of the unrolled picture: what is smooth and not repeated is light."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Array
from printcheck.motif.cell.unroll import Frame, Unrolled
from printcheck.motif.cv_types import Bools, blurred, resized, summed

COARSE_SAMPLES = 24  # samples a side of a cell for the light: it is smooth
ROUNDS = 4  # cell and light in turn; the change after the fourth is below the noise (measured)
SIGMA_CELLS = 0.5  # blur of the light in cells: shorter would follow the print's own tones
SIGMA_SHARE = 0.05  # and at least this share of what is seen, so that many small cells do not fit noise
SIGMA_LEFT = 4.0  # samples of blur left after shrinking
THINNED = 3  # every third sample suffices for six numbers
FLOOR = 6.0  # grey levels added before the logarithm: the camera's black is not zero light
DIM = 40.0  # grey levels below which a sample counts less: its logarithm is noisy
FEWEST_SEEN = 0.3  # share of a coarse sample that must be cloth
ODD_ONE_OUT = 3.0  # a cell whose squared residual exceeds this many medians is left out


@dataclass(frozen=True)
class Coarse:
    """The unrolled picture at a few samples a cell, light removed.

    Parameters
    ----------
    bgr : (rows, run, columns, period, 3) float32
    weight : (rows, run, columns, period) float32
        Share of each sample that is cloth.
    gain : (rows * run, columns * period) float32
        What the picture is multiplied with to take the light out; 1 on average.
    keep : (rows, columns) bool
        False for cells that differ far more than the others.
    """

    bgr: Array
    weight: Array
    gain: Array
    keep: Bools


def coarse_of(unrolled: Unrolled, frame: Frame) -> Coarse:
    """Coarse picture, its light and the cells to leave out."""
    run, period = min(frame.run, COARSE_SAMPLES), min(frame.period, COARSE_SAMPLES)
    size = (unrolled.columns * period, unrolled.rows * run)
    weight = resized(unrolled.seen, *size).astype(np.float32) / 255
    cut = cv2.bitwise_and(unrolled.bgr, unrolled.bgr, mask=unrolled.seen)
    bgr = resized(np.asarray(cut), *size).astype(np.float32)
    bgr /= np.maximum(weight, 1e-3)[..., None]
    weight[weight < FEWEST_SEEN] = 0
    shape = (unrolled.rows, run, unrolled.columns, period)
    light = _light(bgr, weight, shape, frame.stripe)
    gain = np.exp(-light)
    bgr = (bgr * gain[..., None]).reshape(*shape, 3)
    keep = _keep(bgr, weight.reshape(shape), frame.stripe)
    return Coarse(bgr, weight.reshape(shape), gain, keep)


def folded(values: Array, weight: Array, stripe: bool) -> Array:
    """Weighted mean over the cells (and along a stripe), shaped to be set against the whole."""
    axes = (0, 1, 2) if stripe else (0, 2)
    if values.ndim == 5:
        weight = weight[..., None]
    total = weight.sum(axis=axes, keepdims=True)
    mean: Array = (values * weight).sum(axis=axes, keepdims=True) / np.maximum(total, 1e-6)
    return mean


def _light(bgr: Array, weight: Array, shape: tuple[int, int, int, int], stripe: bool) -> Array:
    """Logarithm of the light over the coarse picture, mean zero where cloth is seen."""
    grey = summed(bgr) / 3
    tone = np.log(grey + FLOOR)
    trust = weight * np.clip(grey / DIM, 0.1, 1.0)
    rest = tone - np.average(tone, weights=trust + 1e-9)
    light = _quadratic(rest, trust)
    sigma = (
        max(SIGMA_CELLS * shape[1], SIGMA_SHARE * tone.shape[0]),
        max(SIGMA_CELLS * shape[3], SIGMA_SHARE * tone.shape[1]),
    )
    for last in range(ROUNDS):
        cell = folded((tone - light).reshape(shape), trust.reshape(shape), stripe)
        rest = tone - np.broadcast_to(cell, shape).reshape(tone.shape)
        light = _quadratic(rest, trust) if last == 0 else _smooth(rest, trust, sigma)
    light -= np.average(light, weights=trust + 1e-9)
    return light


def _smooth(values: Array, weight: Array, sigma: tuple[float, float]) -> Array:
    """Weighted Gaussian blur, worked out on fewer samples: the result is smooth."""
    rows, columns = values.shape
    fewer = max(1, int(min(sigma) / SIGMA_LEFT))
    size = (max(1, columns // fewer), max(1, rows // fewer))
    spread = (sigma[1] * size[0] / columns, sigma[0] * size[1] / rows)
    known = np.maximum(blurred(resized(weight, *size), *spread), 1e-4)
    smooth = blurred(resized(values * weight, *size), *spread) / known
    return resized(smooth.astype(np.float32), columns, rows, smooth=True)


def _quadratic(values: Array, weight: Array) -> Array:
    """Least-squares quadratic surface; the light of a window or a lamp is one to a few per cent."""
    y = np.linspace(-1, 1, values.shape[0], dtype=np.float32)[:, None]
    x = np.linspace(-1, 1, values.shape[1], dtype=np.float32)[None]
    some, w = values[::THINNED, ::THINNED], weight[::THINNED, ::THINNED].reshape(-1, 1).astype(float)
    x0, y0 = np.broadcast_arrays(x[:, ::THINNED], y[::THINNED])
    terms = np.stack([np.ones_like(x0), x0, y0, x0 * x0, x0 * y0, y0 * y0], axis=-1).reshape(-1, 6)
    normal = terms.T @ (w * terms) + (1e-6 * w.sum() + 1e-9) * np.eye(6)
    one, ax, ay, axx, axy, ayy = np.linalg.solve(normal, terms.T @ (w[:, 0] * some.reshape(-1)))
    surface: Array = (one + ax * x + axx * x * x) + (ay * y + ayy * y * y) + (np.float32(axy) * x * y)
    return surface.astype(np.float32)


def _keep(bgr: Array, weight: Array, stripe: bool) -> Bools:
    """Cells whose residual is like the others'."""
    rest = summed(np.square(bgr - folded(bgr, weight, stripe))) / 3
    seen = weight.sum(axis=(1, 3))
    error = (rest * weight).sum(axis=(1, 3)) / np.maximum(seen, 1e-6)
    used: Bools = seen > 0
    if used.sum() < 4:
        return used
    keep: Bools = used & (error <= ODD_ONE_OUT * np.median(error[used]) + 1.0)
    return keep
