"""Is the true repeat a larger one? The super-lattice test.

Dots in alternating colours, motifs that alternate their facing, a plaid that nearly repeats twice in its
period: the autocorrelation is blind to them, for they change a thousandth of the picture's energy. But
what alternates does so *everywhere*, at a fixed place in the cell. So the cells' residuals are summed
with alternating signs (in general with the phases of a wave over the cells whose period is k cells) and
the largest place in the cell is compared with what sums along other waves give. Those carry the same
noise, wrinkles and compression, and, taken along the same line, the same differences from row to row
that a hand-made or woven thing has.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Mask, Vectors
from printcheck.repeat.candidates import reduced
from printcheck.repeat.fit import Fit

FACTORS = (2, 3, 5)
MANY_CELLS = 60  # fifths are looked for only when there are as many cells
BLUR_SHARE = 0.03  # of the cell side: noise down, a small detail still there
BLUR_MM = 0.5  # sigma: a weave of 1.5 mm that beats with the print must not pass for a larger repeat
SLOWEST = 0.17  # cycles a cell: slower waves are light, wrinkles and the fit's own stiffness
NULL_WAVES = 12  # other waves that say what chance gives
LINE_WAVES = 8  # of them along the same line of the spectrum
CLEARANCE = 0.6  # of the resolution 1/n: nearer waves still hold the tested one
TEST_CELL_PX = 40  # longest cell side in the test


@dataclass(frozen=True)
class Satellite:
    """One wave over the cells.

    ``size`` is the largest colour difference (CIELAB) between the cells it sets apart, ``ratio`` its
    power over that of chance, ``periods`` how many of its periods are in view.
    """

    factor: int
    wave: tuple[int, int]
    size: float
    ratio: float
    periods: float
    local_ratio: float

    @property
    def frequency(self) -> Vectors:
        """Cycles per cell along both vectors."""
        return np.array(self.wave) / self.factor


def satellites_of(fit: Fit, *, mm_per_px: float, across_only: bool = False) -> list[Satellite]:
    """All waves that a larger repeat could show, the strongest ratio first."""
    spectrum = _Spectrum(fit, mm_per_px)
    factors = [k for k in FACTORS if k <= 3 or spectrum.cells >= MANY_CELLS or across_only]
    found = []
    for k in factors:
        for wave in _waves(k, across_only):
            satellite = spectrum.satellite(k, wave)
            if satellite is not None:
                found.append(satellite)
    return sorted(found, key=lambda s: -s.ratio)


def enlarged(basis: Vectors, satellite: Satellite) -> Vectors:
    """Basis of the larger lattice that this wave shows: all steps along which it stays in phase."""
    p, q = satellite.wave
    k = satellite.factor
    steps = [
        np.array([i, j])
        for i in range(-k, k + 1)
        for j in range(-k, k + 1)
        if (p * i + q * j) % k == 0 and (i, j) != (0, 0)
    ]
    vectors = sorted((step @ basis for step in steps), key=lambda v: float(v @ v))
    first = vectors[0]
    area = k * abs(np.linalg.det(basis))
    for second in vectors[1:]:
        if np.isclose(abs(first[0] * second[1] - first[1] * second[0]), area):
            return reduced(np.array([first, second]))
    raise AssertionError("a lattice has a basis")


class _Spectrum:
    """Sums of the cells' residuals along waves over the cells."""

    def __init__(self, fit: Fit, mm_per_px: float) -> None:
        nj, ni, ch, cw = fit.weight.shape
        shrink = max(1, int(np.ceil(max(ch, cw) / TEST_CELL_PX)))
        residual = _binned(fit.residual, shrink)
        weight = _binned(fit.weight[..., None], shrink)[..., 0]
        self.shape = residual.shape[2:4]
        lengths_mm = np.hypot(*fit.basis.T) * mm_per_px
        self.sigma = [
            max(BLUR_SHARE, BLUR_MM / float(length)) * side
            for length, side in zip(lengths_mm, (self.shape[1], self.shape[0]), strict=True)
        ]
        seen = weight.sum(axis=(2, 3)).ravel() > 0
        self.stack = residual.reshape(nj * ni, -1)[seen]
        self.weight = weight.reshape(nj * ni, -1)[seen]
        j, i = np.divmod(np.flatnonzero(seen), ni)
        self.places = np.stack([i, j], axis=1)
        self.count = np.maximum(self.weight.sum(axis=0), 1e-6)
        self.cells = float(weight.sum() / (self.shape[0] * self.shape[1]))
        # standard deviation of the seen cells' places, as the number of cells a full row would have
        share = self.weight.sum(axis=1) / max(float(self.weight.sum()), 1e-9)
        middle = share @ self.places
        self.extent = np.sqrt(12 * (share @ np.square(self.places - middle))) + 0.3

    def powers(self, waves: Vectors, stack: Image) -> Vectors:
        """Squared colour difference over the cell for each wave (n, 2) in cycles a cell, (n, pixels)."""
        phases = (2 * np.pi * (self.places @ waves.T)).astype(np.float32)
        count = np.maximum(self.count, 0.3 * self.count.max()).reshape(self.shape)
        result = []
        cosines = np.cos(phases).T @ stack
        sines = np.sin(phases).T @ stack
        for real, imaginary in zip(cosines, sines, strict=True):
            parts = [
                self._smoothed(part.reshape(*self.shape, 3)) / count[..., None] for part in (real, imaginary)
            ]
            size = np.square(parts[0]).sum(axis=-1) + np.square(parts[1]).sum(axis=-1)
            # places seen in few cells are noisier: their say goes down with their count
            result.append((size * count / count.max()).ravel())
        return np.array(result)

    def _without(self, frequency: Vectors) -> Image:
        """The residuals less the tested wave, whose flanks would else pass for chance."""
        phase = 2 * np.pi * (self.places @ frequency)
        waves = np.stack([np.cos(phase), np.sin(phase), np.ones(len(phase))], axis=1)
        share = self.weight.mean(axis=1)[:, None]
        normal = waves.T @ (share * waves) + 1e-6 * np.eye(3)
        sizes = np.linalg.solve(normal, waves.T).astype(np.float32) @ self.stack
        left = self.stack - waves.astype(np.float32) @ sizes
        seen = self.weight.reshape(len(left), -1, 1)
        return np.asarray((left.reshape(*seen.shape[:2], 3) * seen).reshape(left.shape), dtype=np.float32)

    def _smoothed(self, cell: Image) -> Image:
        pad = min(int(3 * max(self.sigma)) + 1, *self.shape)
        wrapped = np.pad(cell, ((pad, pad), (pad, pad), (0, 0)), mode="wrap")
        blurred = cv2.GaussianBlur(wrapped, (0, 0), self.sigma[0], sigmaY=self.sigma[1])
        return np.asarray(blurred[pad:-pad, pad:-pad], dtype=np.float32)

    def satellite(self, factor: int, wave: tuple[int, int]) -> Satellite | None:
        frequency = np.array(wave) / factor
        frequency = frequency - np.round(frequency)
        # periods in view: along each vector that the wave runs over
        periods = min(
            (self.extent[n] * abs(frequency[n]) for n in (0, 1) if frequency[n] != 0),
            default=0.0,
        )
        if periods < 1:
            return None
        null = self._null(frequency)
        power = self.powers(frequency[None], self.stack)[0]
        place = int(np.argmax(power))
        size = 2 * float(np.sqrt(power[place]))
        if not len(null):
            return Satellite(factor, wave, size, 1.0, periods, 1.0)
        chance = self.powers(null, self._without(frequency))
        usual = float(np.median(chance.max(axis=1)))
        local = float(chance[:, place].mean() + chance.mean())
        return Satellite(
            factor,
            wave,
            size,
            float(power[place]) / max(usual, 1e-9),
            periods,
            float(power[place]) / max(local, 1e-9),
        )

    def _null(self, frequency: Vectors) -> Vectors:
        """Other waves: all over the spectrum, and along the line through 0 and the tested one."""
        rng = np.random.default_rng(7)
        general = rng.uniform(-0.5, 0.5, (200, 2))
        line = rng.uniform(-0.5, 0.5, (200, 1)) * (frequency != 0)
        if (frequency != 0).all():
            line = line * np.sign(frequency)
        chosen = []
        for pool, wanted in ((general, NULL_WAVES - LINE_WAVES), (line, LINE_WAVES)):
            clear = self._clear(pool, frequency)
            chosen.append(pool[clear][:wanted])
        return np.concatenate(chosen)

    def _clear(self, waves: Vectors, frequency: Vectors) -> Mask:
        def apart(target: Vectors) -> Mask:
            off = waves - target
            off = off - np.round(off)
            return np.asarray((np.abs(off) * self.extent > CLEARANCE).any(axis=1))

        slow = np.where(self.extent > 2, SLOWEST, 0.3)
        quick = (np.abs(waves - np.round(waves)) > slow * 1.0).any(axis=1)
        return np.asarray(apart(frequency) & apart(-frequency) & quick)


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


def _binned(cells: Image, shrink: int) -> Image:
    """Cells with ``shrink`` by ``shrink`` pixels averaged (the rim that does not divide is dropped)."""
    if shrink == 1:
        return cells
    nj, ni, ch, cw, channels = cells.shape
    ch, cw = ch // shrink, cw // shrink
    trimmed = cells[:, :, : ch * shrink, : cw * shrink]
    return np.asarray(trimmed.reshape(nj, ni, ch, shrink, cw, shrink, channels).mean(axis=(3, 5)))
