"""Is the true repeat a larger one? The super-lattice test.

Dots in alternating colours, motifs that alternate their facing, a plaid that nearly repeats twice in its
period: the autocorrelation is blind to them, for they change a thousandth of the picture's energy. But
what alternates does so *everywhere*, at a fixed place in the cell. So the cells' residuals are summed
with the phases of a wave over the cells whose period is k cells, and the largest place in the cell is
compared with what other waves give. Those carry the same noise, wrinkles and compression, and, taken
along the same line, the same differences from row to row that a hand-made or woven thing has.

At a sharp edge a tenth of a pixel of misfit looks like a difference of colour, so what a small shift of
the mean cell could make does not count.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.repeat.arrays import Image, Mask, Vectors, slopes_of, summed, wrapped
from printcheck.repeat.cells.refine import Fit
from printcheck.repeat.cells.row_test import band_of
from printcheck.repeat.surface.candidates import reduced
from printcheck.repeat.surface.illumination import View

Maps = NDArray[np.complex64]  # (waves, ch, cw, 3)

FACTORS = (2, 3, 5)
MANY_CELLS = 60  # fifths are looked for only when there are as many cells
MOST_CELLS = 32  # each way: more say nothing new and cost time
BLUR_SHARE = 0.03  # of the cell side: noise down, a small detail still there
MOST_BLUR = 0.5  # of the cell side: all is level by then (a fit that collapsed leaves a side of nothing)
BLUR_MM = 0.5  # sigma: a weave of 1.5 mm that beats with the print must not pass for a larger repeat
SLOWEST = 0.17  # cycles a cell: slower waves are light, wrinkles and the fit's own stiffness
GENERAL_WAVES = 6  # other waves, all over the spectrum, that say what chance gives
LINE_WAVES = 8  # and along the tested wave's own line
CLEARANCE = 0.6  # of the resolution 1/n: nearer waves still hold the tested one
TEST_CELL_PX = 36  # longest cell side in the test
NOTICEABLE = 2.7  # CIELAB: a difference between cells must be seen to count (2.3, Mahy 1994, and a margin)
JUST_SEEN = 1.0  # CIELAB, smoothed and less at edges: half and twice as much tell worse, left out of the fit
MISFIT_PX = 0.15  # working pixels: shifts that the fit, the raster and the lens leave
BLACK = np.array([16.0, 0.0, 0.0], dtype=np.float32)  # CIELAB grows as the cube root of light from L = -16
SEEN_AGAIN = 1.1  # periods in view from which a like cell comes again: till then a fold passes for a print
LEAST_ASKED = 0.1  # of the cell's places: fewer do not speak for it
LEAST_SUPPORT = 0.3  # of the best seen place of the cell: less is not asked


@dataclass(frozen=True)
class Satellite:
    """One wave over the cells.

    Parameters
    ----------
    factor, wave : int, (int, int)
        The wave runs wave / factor cycles to the cell along the two vectors.
    size : float
        Largest colour difference (CIELAB) between the cells it sets apart, discounted at edges.
    ratio : float
        Its power over that of chance.
    periods : float
        How many of the larger repeats are in view.
    gain : float
        Share of the differences between cells that the larger repeat explains; 0 where no two like
        cells are seen.
    """

    factor: int
    wave: tuple[int, int]
    size: float
    ratio: float
    periods: float
    gain: float


def satellites_of(view: View, fit: Fit, *, across_only: bool = False) -> list[Satellite]:
    """All waves that a larger repeat could show, the strongest ratio first."""
    if not fit.weight[_middle(fit.weight.shape[0]), _middle(fit.weight.shape[1])].any():
        return []
    cells = _Cells(fit, view.mm_per_px, view.mean)
    factors = [k for k in FACTORS if k <= 3 or cells.number >= MANY_CELLS or across_only]
    tested = [(k, wave) for k in factors for wave in _waves(k, across_only)]
    cells.sum_up(tested)
    found = [s for k, wave in tested if (s := cells.satellite(k, wave)) is not None]
    found += [s for axis in ((0,) if across_only else (0, 1)) if (s := _band(fit, cells, axis)) is not None]
    return sorted(found, key=lambda s: -s.ratio)


def _band(fit: Fit, cells: _Cells, axis: int) -> Satellite | None:
    """One row in n, across (axis 0) or down, as a wave of that many cells."""
    order = (1, 0, 2, 3) if axis == 0 else (0, 1, 2, 3)
    band = band_of(fit.residual.transpose(*order, 4), fit.weight.transpose(*order), cells.whole_discount)
    if band is None or band.size <= JUST_SEEN:
        return None
    wave = (1, 0) if axis == 0 else (0, 1)
    gain = cells.gain(band.number, wave, band.periods)
    return Satellite(band.number, wave, band.size, band.ratio, band.periods, gain)


def enlarged(basis: Vectors, waves: Sequence[Satellite]) -> Vectors:
    """Basis of the larger lattice that these waves show: all steps along which they stay in phase."""
    reach = math.prod(wave.factor for wave in waves)
    i, j = np.meshgrid(*2 * (np.arange(-reach, reach + 1),))
    kept = (i != 0) | (j != 0)
    for wave in waves:
        kept &= (wave.wave[0] * i + wave.wave[1] * j) % wave.factor == 0
    vectors = np.column_stack([i[kept], j[kept]]) @ basis
    vectors = vectors[np.argsort(np.square(vectors).sum(axis=1), kind="stable")]
    first = vectors[0]
    areas = np.abs(first[0] * vectors[:, 1] - first[1] * vectors[:, 0])
    aside = areas > 0.5 * abs(np.linalg.det(basis))
    return reduced(np.array([first, vectors[aside][np.argmin(areas[aside])]]))


class _Cells:
    """The cells' residuals, ready to be summed along waves."""

    def __init__(self, fit: Fit, mm_per_px: float, colour: Image) -> None:
        inner = _middle(fit.weight.shape[0]), _middle(fit.weight.shape[1])
        ch, cw = fit.weight.shape[2:]
        shrink = int(np.ceil(ch / TEST_CELL_PX)), int(np.ceil(cw / TEST_CELL_PX))
        residual = binned(fit.residual[inner], shrink)
        weight = binned(fit.weight[inner][..., None], shrink)[..., 0]
        nj, ni = weight.shape[:2]
        self.shape = residual.shape[2:4]
        self.residual, self.weight = residual, weight
        self.share = weight.mean(axis=(2, 3)).ravel()
        count = weight.sum(axis=(0, 1))
        self.count = np.maximum(count, LEAST_SUPPORT * count.max())
        j, i = np.divmod(np.arange(nj * ni), ni)
        self.places = np.stack([i, j], axis=1)
        self.number = float(self.share.sum())
        # cells in a full row with the same standard deviation of places as the cells seen
        middle = self.share @ self.places / self.number
        spread = self.share @ np.square(self.places - middle) / self.number
        self.extent = np.sqrt(12 * spread) + 0.3
        lengths = np.hypot(*fit.basis.T)
        self.sigma = [
            float(np.clip(BLUR_MM / (mm_per_px * float(length)), BLUR_SHARE, MOST_BLUR)) * side
            for length, side in zip(lengths, (self.shape[1], self.shape[0]), strict=True)
        ]
        mean = binned(fit.mean[None, None], shrink)[0, 0]
        self.discount = _edges_discounted(mean, lengths) * self.count / self.count.max()
        self.whole_discount = _edges_discounted(fit.mean, lengths)
        self.light = _light_shapes(mean + colour + BLACK)
        self._levelled: dict[tuple[bool, bool], Image] = {}
        self._known: dict[tuple[bool, bool], dict[tuple[float, float], Maps]] = {}

    def sum_up(self, tested: list[tuple[int, tuple[int, int]]]) -> None:
        """Sum along all these waves and their harmonics: at once the cells are read but once."""
        of: dict[tuple[bool, bool], list[Vectors]] = {}
        for factor, wave in tested:
            harmonics = np.arange(1, factor)[:, None] * _frequency(factor, wave)
            of.setdefault((bool(wave[0]), bool(wave[1])), []).extend(harmonics)
        for axes, waves in of.items():
            self._sums(np.unique(waves, axis=0), np.array(axes))

    def satellite(self, factor: int, wave: tuple[int, int]) -> Satellite | None:
        """How strong this wave is; None where less than one period is in view, or no difference is seen."""
        frequency = _frequency(factor, wave)
        periods = float(min(self.extent[n] for n in (0, 1) if frequency[n] != 0)) / factor
        if periods < 1:
            return None
        size = self._range(frequency, factor)
        if size <= JUST_SEEN:
            return None
        power = _power(self._sums(frequency[None], frequency)) * self.discount
        chance = self._chance(frequency)
        usual = float(np.median(chance)) if len(chance) else float(power.max())
        ratio = float(power.max()) / max(usual, 1e-9)
        return Satellite(factor, wave, size, ratio, periods, self.gain(factor, wave, periods))

    def _chance(self, frequency: Vectors) -> Vectors:
        """Largest power of other waves, once the tested one is taken out of the residuals."""
        others = self._others(frequency)
        if not len(others):
            return np.zeros(0)
        angle = 2 * np.pi * (self.places @ frequency)
        shapes = np.stack([np.cos(angle), np.sin(angle), np.ones(len(angle))], axis=1)
        normal = shapes.T @ (self.share[:, None] * shapes) + 1e-6 * np.eye(3)
        tested, level = self._sums(np.stack([frequency, np.zeros(2)]), frequency) * self.number
        sizes = np.tensordot(np.linalg.inv(normal), np.stack([tested.real, -tested.imag, level.real]), axes=1)
        leak = np.exp(-2j * np.pi * (others @ self.places.T)) @ (self.share[:, None] * shapes)
        left = self._sums(others, frequency) - np.tensordot(leak, sizes, axes=1) / self.number
        return np.asarray((_power(left) * self.discount).reshape(len(others), -1).max(axis=1))

    def _sums(self, waves: Vectors, tested: Vectors) -> Maps:
        """Mean over the cells of residual times each wave's phase, smoothed over the cell.

        Rows that differ are no noise to a wave across them: means along each axis that the tested wave runs
        along are taken off first, as in a two-way analysis of variance.
        """
        axes = bool(tested[0]), bool(tested[1])
        if axes not in self._levelled:
            self._levelled[axes] = levelled(self.residual, self.weight, axes)[0]
        known = self._known.setdefault(axes, {})
        new = np.array([wave for wave in waves if (wave[0], wave[1]) not in known])
        if len(new):
            stack = self._levelled[axes].reshape(len(self.places), -1)
            angle = (2 * np.pi * (new @ self.places.T)).astype(np.float32)
            sums = self._smoothed(np.concatenate([np.cos(angle), -np.sin(angle)]) @ stack)
            for wave, a, b in zip(new, sums, sums[len(new) :], strict=False):
                known[wave[0], wave[1]] = a + 1j * b
        return np.stack([known[wave[0], wave[1]] for wave in waves])

    def _smoothed(self, sums: Image) -> Image:
        """Means over the cells smoothed over the cell, less what light could add, (n, ch, cw, 3)."""
        means = sums.reshape(-1, *self.shape, 3) / self.count[..., None]
        pad = min(int(3 * max(self.sigma)) + 1, *self.shape)
        across, down = self.sigma
        blurred = (cv2.GaussianBlur(wrapped(mean, pad), (0, 0), across, sigmaY=down) for mean in means)
        smooth = np.stack([wide[pad:-pad, pad:-pad] for wide in blurred]).reshape(sums.shape)
        return np.asarray((smooth - smooth @ self.light.T @ self.light).reshape(means.shape))

    def _range(self, frequency: Vectors, factor: int) -> float:
        """Largest discounted difference between the mean cells of the classes the wave sets apart."""
        harmonics = self._sums(np.arange(1, factor)[:, None] * frequency, frequency)
        turns = np.exp(2j * np.pi * np.outer(np.arange(factor), np.arange(1, factor)) / factor)
        classes = np.tensordot(turns, harmonics, axes=1).real
        apart = max(
            float((summed(np.square(classes[a] - classes[b])) * self.discount).max())
            for a in range(factor)
            for b in range(a)
        )
        return float(np.sqrt(apart))

    def gain(self, factor: int, wave: tuple[int, int], periods: float) -> float:
        """Share of the cells' differences that goes when each class of cells has a mean of its own.

        Like cells say what hand, weave and light do: only what unlike cells differ by beyond that is a gain.
        Asked at the places of the cell that every class shows, and one of them twice; what has not come again
        gains nothing.
        """
        if periods < SEEN_AGAIN:
            return 0.0
        cells, seen = self._evened
        cells, means = levelled(cells, seen, (bool(wave[0]), bool(wave[1])))
        whole = summed(np.square(cells)).sum(axis=(0, 1))
        classes = (self.places @ np.array(wave)) % factor
        members = (classes == np.arange(factor)[:, None]).astype(np.float32).reshape(factor, *seen.shape[:2])
        counts, sums = (np.tensordot(members, part, axes=2) for part in (seen, cells))
        free = counts.sum(axis=0) - means  # differences between cells that are left
        asked = (counts > 0).all(axis=0) & (free > factor - 1)
        if asked.sum() < LEAST_ASKED * asked.size:
            return 0.0
        within = whole - (summed(np.square(sums)) / np.maximum(counts, 1)).sum(axis=0)
        alike = (within[asked] / (free - (factor - 1))[asked]).sum()
        together = (whole[asked] / free[asked]).sum()
        return float(1 - alike / max(float(together), 1e-9))

    @cached_property
    def _evened(self) -> tuple[Image, Image]:
        """Residuals smoothed over each cell (nj, ni, ch, cw, 3), and where they are seen."""
        share = self._smooth(self.weight[..., None])[..., 0]
        seen = ((self.weight > 0) & (share > 0.5)).astype(np.float32)
        even = self._smooth(self.residual) / np.maximum(share, 0.5)[..., None] * seen[..., None]
        return np.asarray(even), seen

    def _smooth(self, cells: Image) -> Image:
        """Each cell smoothed for itself: all one below the other with as much nothing between as is mixed."""
        across, down = (max(BLUR_SHARE * side, 0.3) for side in self.shape[::-1])
        pad = math.ceil(4 * max(across, down)) + 1
        apart = np.pad(cells, ((0, 0), (0, 0), (0, pad), (0, pad), (0, 0)))
        column = apart.reshape(-1, *apart.shape[3:])
        smooth = cv2.GaussianBlur(column, (0, 0), across, sigmaY=down, borderType=cv2.BORDER_CONSTANT)
        return np.asarray(smooth.reshape(apart.shape)[:, :, :-pad, :-pad])

    def _others(self, frequency: Vectors) -> Vectors:
        """Waves that say what chance gives: all over the spectrum, and along the tested one's line."""
        rng = np.random.default_rng(7)
        general = rng.uniform(-0.5, 0.5, (100, 2))
        line = rng.uniform(-0.5, 0.5, (100, 1)) * np.sign(frequency)
        chosen = [
            pool[self._clear(pool, frequency)][:wanted]
            for pool, wanted in ((general, GENERAL_WAVES), (line, LINE_WAVES))
        ]
        return np.concatenate(chosen)

    def _clear(self, waves: Vectors, frequency: Vectors) -> Mask:
        def apart(target: Vectors) -> Mask:
            off = waves - target
            off = off - np.round(off)
            return np.asarray((np.abs(off) * self.extent > CLEARANCE).any(axis=1))

        slow = np.where(self.extent > 2, SLOWEST, 0.3)
        quick = (np.abs(waves) > slow).any(axis=1)
        return np.asarray(apart(frequency) & apart(-frequency) & quick)


def _frequency(factor: int, wave: tuple[int, int]) -> Vectors:
    """Cycles a cell along the two vectors, from -0.5 to 0.5."""
    cycles = np.array(wave) / factor
    return np.asarray(cycles - np.round(cycles))


def levelled(cells: Image, seen: Image, axes: tuple[bool, bool]) -> tuple[Image, Image]:
    """Cells (nj, ni, ch, cw, 3) less their mean along each of these axes, and how many means (ch, cw)."""
    means = np.float32(1 - sum(axes))  # the mean of all is one of either way
    for axis in (axis for axis in (0, 1) if axes[1 - axis]):
        count = seen.sum(axis=axis, keepdims=True)
        mean = cells.sum(axis=axis, keepdims=True) / np.maximum(count, 1e-6)[..., None]
        cells = (cells - mean) * seen[..., None]
        means = means + (count > 0).sum(axis=(0, 1))
    return cells, np.asarray(means, dtype=np.float32)


def _edges_discounted(mean: Image, lengths: Vectors) -> Vectors:
    """Share of the power that counts at each place of the cell: less at edges."""
    ch, cw = mean.shape[:2]
    across, down = slopes_of(mean)
    steep = MISFIT_PX**2 * summed(np.square(across * (cw / lengths[0])) + np.square(down * (ch / lengths[1])))
    return np.asarray(1 / (1 + steep / NOTICEABLE**2))


def _light_shapes(colour: Image) -> Image:
    """What slow light could add to a cell of these colours: orthonormal rows (6, pixels x 3).

    Light multiplies, so it adds in proportion to the colour's distance from black, times a smooth surface.
    """
    ch, cw = colour.shape[:2]
    u, v = np.meshgrid(np.linspace(-1, 1, cw), np.linspace(-1, 1, ch))
    smooth = [np.ones_like(u), u, v, u * u, u * v, v * v]
    shapes = np.stack([(colour * s[..., None]).ravel() for s in smooth], axis=1)
    return np.asarray(np.linalg.qr(shapes)[0].T, dtype=np.float32)


def _middle(number: int) -> slice:
    """The middle cells of a row, as many as are needed."""
    spare = max(0, number - MOST_CELLS) // 2
    return slice(spare, number - spare)


def _power(maps: Maps) -> Vectors:
    return summed(np.square(maps.real) + np.square(maps.imag))


def _waves(factor: int, across_only: bool) -> list[tuple[int, int]]:
    """Waves (p, q) / factor, one of each pair of opposite ones."""
    if across_only:
        return [(p, 0) for p in range(1, factor // 2 + 1)]
    found: list[tuple[int, int]] = []
    for p in range(factor):
        for q in range(factor):
            if (p, q) != (0, 0) and ((-p) % factor, (-q) % factor) not in found:
                found.append((p, q))
    return found


def binned(cells: Image, shrink: tuple[int, int]) -> Image:
    """Cells with so many pixels down and across averaged (the rim that does not divide is dropped)."""
    down, across = shrink
    if shrink == (1, 1):
        return cells
    nj, ni, ch, cw, channels = cells.shape
    ch, cw = ch // down, cw // across
    trimmed = cells[:, :, : ch * down, : cw * across]
    return np.asarray(trimmed.reshape(nj, ni, ch, down, cw, across, channels).mean(axis=(3, 5)))
