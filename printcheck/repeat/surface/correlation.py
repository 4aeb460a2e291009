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
from printcheck.repeat.surface.illumination import View

FARTHEST = 0.7  # of each side: beyond it the overlap is too small to trust its correlation as it is
WHOLE = 0.92  # of each side: beyond it not even much detail in the overlap says anything
COARSE = 4  # working pixels a step where only windows of nearly the picture's size are summed
FLATTEST = 1e-3  # of the whole picture's variance: an overlap is given no less
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
    power : same shape, float32
        Share of the picture's variance that is seen in both (the geometric mean of either part's).
    """

    values: Image
    overlap: Image
    power: Image

    @property
    def reach(self) -> tuple[int, int]:
        """Largest shift (columns, rows)."""
        return self.values.shape[1] // 2, self.values.shape[0] // 2

    def within(self, size: tuple[int, int]) -> Surface:
        """The part, of a picture of this size, in which a correlation can be trusted as it is."""
        (rx, ry), (far_x, far_y) = self.reach, (int(FARTHEST * side) for side in size)
        part = np.s_[ry - far_y : ry + far_y + 1, rx - far_x : rx + far_x + 1]
        values, overlap = self.values[part].copy(), self.overlap[part]
        values[overlap < LEAST_OVERLAP] = 0
        return Surface(values, overlap, self.power[part])

    def at(self, shifts: Vectors) -> Vectors:
        """Values at shifts (..., 2) as (x, y), bilinear; outside 0."""
        return _sample(self.values, shifts, self.reach)

    def overlap_at(self, shifts: Vectors) -> Vectors:
        """Overlap at shifts (..., 2) as (x, y), bilinear; outside 0."""
        return _sample(self.overlap, shifts, self.reach)


def autocorrelate(view: View) -> Surface:
    """Masked normalised autocorrelation of the working picture, where it can be trusted as it is."""
    return whole_surface(view).within(view.size)


def whole_surface(view: View) -> Surface:
    """Masked normalised autocorrelation as far as any overlap says something.

    Sums over the overlap alone change slowly with the shift, so they are taken from a smaller picture.
    """
    plan = _Plan(view.size, WHOLE)
    lightness, red, yellow = (_power(plan.forward(view.lab[:, :, c])) for c in range(3))
    together = plan.back(lightness + red + yellow)
    count, shared, spread = (_enlarged(part, view.size, plan.reach) for part in _overlap_sums(view))
    likeness = np.divide(together - shared, spread, out=np.zeros_like(together), where=spread != 0)
    values = np.asarray(likeness, dtype=np.float32)
    overlap = np.asarray(count / count[plan.reach[1], plan.reach[0]], dtype=np.float32)
    middle = plan.reach[1], plan.reach[0]
    power = np.asarray(spread / max(float(spread[middle]), 1e-9), dtype=np.float32)
    return Surface(np.clip(values, -1, 1), overlap, power)


class _Plan:
    """Transforms of pictures of one size, with room for the shifts up to a share of each side."""

    def __init__(self, size: tuple[int, int], farthest: float, spare: int = 0) -> None:
        self.size = size
        self.reach = int(farthest * size[0]) + spare, int(farthest * size[1]) + spare
        (width, height), (rx, ry) = size, self.reach
        self.shape = _quick_length(height + ry + 1), _quick_length(width + rx + 1)

    def forward(self, channel: Image) -> Image:
        width, height = self.size
        padded = np.zeros(self.shape, np.float32)
        padded[:height, :width] = channel
        return np.asarray(cv2.dft(padded))  # told which rows are zero, it takes a path thrice as slow

    def back(self, product: Image) -> Image:
        """Sums for shifts of -reach ... reach."""
        wrapped = cv2.dft(product, flags=cv2.DFT_INVERSE | cv2.DFT_REAL_OUTPUT | cv2.DFT_SCALE)
        return _unwrapped(np.asarray(wrapped), *self.reach)


def _quick_length(least: int) -> int:
    """Even length that a transform is quick at."""
    return 2 * int(cv2.getOptimalDFTSize((least + 1) // 2))


def _power(transform: Image) -> Image:
    return np.asarray(cv2.mulSpectrums(transform, transform, 0, conjB=True))


def _overlap_sums(view: View) -> tuple[Image, Image, Image]:
    """Over each overlap: pixels, the means' share of the products, and the root of both variances.

    For shifts on a grid of about COARSE pixels.
    """
    width, height = view.size
    small = _small_of(view.size)
    pixels = width * height / (small[0] * small[1])
    plan = _Plan(small, WHOLE, spare=1)

    def shrunk(picture: Image) -> Image:
        return np.asarray(cv2.resize(picture, small, interpolation=cv2.INTER_AREA))

    seen = plan.forward(shrunk(view.weight))

    def over_the_overlap(picture: Image) -> Image:
        product = np.asarray(cv2.mulSpectrums(seen, plan.forward(picture), 0, conjB=True), np.float32)
        return np.asarray(plan.back(product) * pixels, dtype=np.float32)

    lab = shrunk(view.lab)
    energy = shrunk(np.asarray(cv2.transform(np.square(view.lab), np.ones((1, 3), np.float32))))
    means = [over_the_overlap(lab[:, :, c]) for c in range(3)]
    count = np.maximum(over_the_overlap(shrunk(view.weight)), 1.0)
    spread = over_the_overlap(energy) - np.sum(np.square(means), axis=0) / count
    middle = plan.reach[1], plan.reach[0]
    spread = np.maximum(spread, FLATTEST * float(spread[middle]) * count / float(count[middle]))
    shared = np.sum([mean * mean[::-1, ::-1] for mean in means], axis=0) / count
    return count, shared, np.sqrt(spread * spread[::-1, ::-1])


def _enlarged(sums: Image, size: tuple[int, int], reach: tuple[int, int]) -> Image:
    """Sums for every shift up to this reach, from those for shifts on a coarser grid (bilinear)."""
    ry, rx = (n // 2 for n in sums.shape)
    step_x, step_y = (sums_of / full for sums_of, full in zip(_small_of(size), size, strict=True))
    there = np.array([[step_x, 0, rx - reach[0] * step_x], [0, step_y, ry - reach[1] * step_y]])
    shape = 2 * reach[0] + 1, 2 * reach[1] + 1
    return np.asarray(cv2.warpAffine(sums, there, shape, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP))


def _small_of(size: tuple[int, int]) -> tuple[int, int]:
    """Size of the smaller picture that the sums over the overlap are taken from."""
    return max(2, round(size[0] / COARSE)), max(2, round(size[1] / COARSE))


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
