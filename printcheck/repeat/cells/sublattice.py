"""Is the true repeat a smaller one? The sub-lattice test.

The mean cell of a lattice that is too coarse holds the true cell several times. So it is compared with
itself moved round by a fraction of its side: where the mean of the moved copies differs from the cell
nowhere by more than noise or than the eye sees, the finer lattice holds.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.repeat.arrays import Image, Vectors, summed, wrapped
from printcheck.repeat.cells.refine import Fit
from printcheck.repeat.surface.candidates import reduced

Spectrum = NDArray[np.complexfloating]  # (ch, cw, 3)

FRACTIONS = (2, 3, 4, 5, 7)
LEAST_CORRELATION = 0.55  # of the mean cell with itself moved: below it no copy is meant
LARGEST_DIFFERENCE = 2.7  # CIELAB: about the just noticeable difference (2.3, Mahy 1994)
CONTRAST_SHARE = 0.25  # of the mean cell's own contrast: faint prints must differ by less
CHANGE_SHARE = 0.5  # of the change along the cell's quieter side: faint lines across a stripe count too
BLUR_SHARE = 0.03  # of the cell side
MOST_ASKED = 48  # cells: they tell what like cells differ by to a tenth
NOISE_FACTOR = 3.0  # the largest of some hundred places of noise


def finer_lattice(fit: Fit) -> Vectors | None:
    """Basis of the finest lattice under which the mean cell falls on itself; None when that is its own."""
    cell = smoothed(fit.mean)
    centred = cell - cell.mean(axis=(0, 1))
    spectrum = np.fft.fft2(centred, axes=(0, 1))
    likely = _likely_steps(_circular_correlation(spectrum))
    if not likely:
        return None
    spread = float(np.sqrt(summed(np.square(centred)).mean()))
    largest = min(LARGEST_DIFFERENCE, CONTRAST_SHARE * spread, CHANGE_SHARE * _least_change(cell))
    limit = np.maximum(largest, NOISE_FACTOR * _error(fit))
    found = [np.array([i, j]) / k for i, j, k in likely if (_difference(spectrum, i, j, k) <= limit).all()]
    return _generated(fit.basis, found) if found else None


def _likely_steps(surface: Vectors) -> list[tuple[int, int, int]]:
    """Steps of i / k and j / k of the sides under which the cell falls nearly on itself."""
    return [
        (i, j, k)
        for k in FRACTIONS
        for i in range(k)
        for j in range(k)
        if math.gcd(i, j, k) == 1 and _at(surface, i / k, j / k) > LEAST_CORRELATION
    ]


def _least_change(cell: Image) -> float:
    """Largest colour change along the side of the cell where it changes least, CIELAB."""
    ranges = [np.ptp(cell, axis=axis) for axis in (0, 1)]
    return min(float(np.sqrt(np.square(change).sum(axis=-1)).max()) for change in ranges)


def smoothed(cell: Image) -> Image:
    """Cell with its noise blurred away, round to its other side."""
    ch, cw = cell.shape[:2]
    sigma_x, sigma_y = BLUR_SHARE * cw + 0.01, BLUR_SHARE * ch + 0.01
    pad = min(int(3 * max(sigma_x, sigma_y)) + 1, ch, cw)
    smooth = cv2.GaussianBlur(wrapped(cell, pad), (0, 0), sigma_x, sigmaY=sigma_y)[pad:-pad, pad:-pad]
    return np.asarray(smooth, dtype=np.float32)


def _circular_correlation(spectrum: Spectrum) -> Vectors:
    power = np.fft.ifft2((np.abs(spectrum) ** 2).sum(axis=2)).real
    return np.asarray(power / max(float(power[0, 0]), 1e-9))


def _at(surface: Vectors, u: float, v: float) -> float:
    ch, cw = surface.shape
    return float(surface[round(v * ch) % ch, round(u * cw) % cw])


def _difference(spectrum: Spectrum, i: int, j: int, k: int) -> Image:
    """Colour difference at each place between the cell and the mean of its copies moved by i / k and j / k.

    Waves that pass a whole number of cycles in that step are the same in all copies; the others cancel in
    their mean, so they are the difference.
    """
    ch, cw = spectrum.shape[:2]
    down, across = np.rint(np.fft.fftfreq(ch) * ch)[:, None], np.rint(np.fft.fftfreq(cw) * cw)[None]
    cancelled = (i * across + j * down) % k != 0
    left = np.fft.ifft2(spectrum * cancelled[..., None], axes=(0, 1)).real
    return np.asarray(np.sqrt(summed(np.square(left))))


def _error(fit: Fit) -> Image:
    """Standard error of the smoothed mean cell at each place, from what like cells differ by there.

    The cells are smoothed first: noise is the less for it, what a hand does from motif to motif is not.
    """
    ch, cw = fit.weight.shape[2:]
    weight = fit.weight.reshape(-1, ch, cw)
    fullest = np.argsort(-weight.mean(axis=(1, 2)), kind="stable")[:MOST_ASKED]
    known = np.stack([smoothed(cell) for cell in weight[fullest]])
    left = np.stack([smoothed(cell) for cell in fit.residual.reshape(-1, ch, cw, 3)[fullest]])
    asked = np.maximum(np.square(known).sum(axis=0), 1e-6)
    variance = summed(np.square(left)).sum(axis=0) / asked
    count = np.maximum(fit.count, 1e-6)
    return np.asarray(np.sqrt(variance / np.maximum(count - 1, 0.5)))


def _generated(basis: Vectors, fractions: list[Vectors]) -> Vectors:
    """Reduced basis of the lattice that the cell's vectors and these fractions of them make up."""
    steps = [np.array([1.0, 0.0]), np.array([0.0, 1.0]), *fractions]
    # whole-number elimination on the common denominator (row echelon of an integer lattice)
    whole = int(np.lcm.reduce(FRACTIONS))
    rows = [[round(float(v) * whole) for v in step] for step in steps]
    first = _eliminated(rows, 0)
    second = _eliminated([row for row in rows if row[0] == 0], 1)
    return reduced(np.array([first, second], dtype=np.float64) / whole @ basis)


def _eliminated(rows: list[list[int]], axis: int) -> list[int]:
    """Euclid on one coordinate: the row left over; the others get a zero there (in place)."""
    while True:
        live = sorted((row for row in rows if row[axis] != 0), key=lambda row: abs(row[axis]))
        if len(live) == 1:
            return live[0]
        for row in live[1:]:
            times = row[axis] // live[0][axis]
            row[0] -= times * live[0][0]
            row[1] -= times * live[0][1]
