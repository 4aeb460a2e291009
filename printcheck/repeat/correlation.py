"""How well the print falls on itself after every shift: the masked normalised autocorrelation.

For a shift v the overlap of the picture with its shifted self is taken over the pixels seen in both,
and the correlation coefficient is formed there with the means and variances of that overlap alone, so
that neither the mask nor the frame leaves a trace (Padfield, "Masked Object Registration in the Fourier
Domain", IEEE Trans. Image Process. 21(5), 2012). Lightness and both colour channels are summed before
the ratio: prints that differ only in hue are common.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors
from printcheck.repeat.light import View

FARTHEST = 0.66  # of each side: beyond it the overlap is too small to trust
LEAST_OVERLAP = 0.08  # of the seen pixels; less is set to zero


@dataclass(frozen=True)
class Surface:
    """Correlation over shifts.

    Parameters
    ----------
    values : (2 ry + 1, 2 rx + 1) float32
        Correlation coefficient, -1 to 1, for shifts of -ry ... ry rows and -rx ... rx columns.
    overlap : same shape, float32
        Share of the seen pixels that are seen in both.
    """

    values: Image
    overlap: Image

    @property
    def reach(self) -> tuple[int, int]:
        """Largest shift (columns, rows)."""
        return self.values.shape[1] // 2, self.values.shape[0] // 2

    def at(self, shifts: Vectors) -> Vectors:
        """Values at shifts (..., 2) as (x, y), bilinear; outside 0."""
        return _sample(self.values, shifts, self.reach)

    def overlap_at(self, shifts: Vectors) -> Vectors:
        """Overlap at shifts (..., 2) as (x, y), bilinear; outside 0."""
        return _sample(self.overlap, shifts, self.reach)


def autocorrelate(view: View) -> Surface:
    """Masked normalised autocorrelation of the working picture."""
    height, width = view.weight.shape
    rx, ry = int(FARTHEST * width), int(FARTHEST * height)
    shape = cv2.getOptimalDFTSize(height + ry + 1), cv2.getOptimalDFTSize(width + rx + 1)

    def forward(channel: Image) -> Image:
        padded = np.zeros(shape, np.float32)
        padded[:height, :width] = channel
        return np.asarray(cv2.dft(padded, nonzeroRows=height))

    def correlate(first: Image, second: Image) -> Image:
        product = cv2.mulSpectrums(second, first, 0, conjB=True)
        wrapped = cv2.dft(product, flags=cv2.DFT_INVERSE | cv2.DFT_REAL_OUTPUT | cv2.DFT_SCALE)
        return _unwrapped(np.asarray(wrapped), rx, ry)

    seen = forward(view.weight)
    energy = forward(np.square(view.lab).sum(axis=2))
    channels = [forward(np.ascontiguousarray(view.lab[:, :, c])) for c in range(3)]
    count = np.maximum(correlate(seen, seen), 1.0)
    power = np.stack([cv2.mulSpectrums(f, f, 0, conjB=True) for f in channels]).sum(axis=0)
    wrapped = cv2.dft(power, flags=cv2.DFT_INVERSE | cv2.DFT_REAL_OUTPUT | cv2.DFT_SCALE)
    together = _unwrapped(np.asarray(wrapped), rx, ry)
    spread = correlate(energy, seen)
    for channel in channels:
        mean = correlate(channel, seen)
        together -= mean * mean[::-1, ::-1] / count
        spread -= mean**2 / count
    spread = np.maximum(spread, 1e-3 * float(spread[ry, rx]) * count / float(count[ry, rx]))
    values = np.asarray(together / np.sqrt(spread * spread[::-1, ::-1]), dtype=np.float32)
    overlap = np.asarray(count / count[ry, rx], dtype=np.float32)
    values[overlap < LEAST_OVERLAP] = 0
    return Surface(np.clip(values, -1, 1), overlap)


def _unwrapped(wrapped: Image, rx: int, ry: int) -> Image:
    """Shifts of -r ... r in order, from the transform's order 0 ... r, -r ... -1."""
    rows = np.concatenate([wrapped[-ry:], wrapped[: ry + 1]])
    return np.ascontiguousarray(np.concatenate([rows[:, -rx:], rows[:, : rx + 1]], axis=1))


def _sample(values: Image, shifts: Vectors, reach: tuple[int, int]) -> Vectors:
    if not len(shifts):
        return np.zeros(shifts.shape[:-1])
    x = (shifts[..., 0] + reach[0]).astype(np.float32)
    y = (shifts[..., 1] + reach[1]).astype(np.float32)
    flat = cv2.remap(
        values, x.reshape(len(x), -1), y.reshape(len(y), -1), cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT
    )
    return np.asarray(flat, dtype=np.float64).reshape(x.shape)
