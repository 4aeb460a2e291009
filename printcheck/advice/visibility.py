"""What an unmatched seam shows: the print's structure function, filtered for the eye."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import MeanCell
from printcheck.core.measurement import Needs, SeamsSeen, Verdict

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.core.handover import Floats

JUST_NOTICEABLE = 2.3  # Delta E (Mahy, Van Eycken, Oosterlinck 1994)
PATTERN_MATTERS = 10.0  # Delta E after the 8 mm blur: orders prints as the trade does (154 prints)
PATTERN_SIGMA_MM = 8.0  # the scale at which the eye takes order for pattern
SEWING_ACCURACY_MM = 2.0  # misplacements below this count as matched
PURE_CYCLES_PER_MM = 1 / 500  # waves flatter than one in half a metre run along an axis
MOST_SAMPLES = 256  # a side: the eye at arm's length resolves half a millimetre

# S-CIELAB, Zhang and Wandell 1996: (weight, spread in degrees) of the positive lobes of each opponent
# channel; a spread s is the Gaussian exp(-(r/s)^2). Negative lobes are left out and the filters act on
# L, a, b themselves: on linear opponents they push saturated colours out of gamut.
LOBES = {
    "L": ((0.921, 0.0283), (0.105, 0.133)),
    "a": ((0.531, 0.0392), (0.330, 0.494)),
    "b": ((0.488, 0.0536), (0.371, 0.386)),
}


@dataclass(frozen=True)
class Spectrum:
    """Power of the eye-filtered cell over its waves.

    Parameters
    ----------
    power : (rows, columns) float64
        Delta E squared of each wave, L, a and b together, full spectrum.
    across, along : (rows, columns) float64
        Cycles per mm of each wave on the cloth's axes.
    """

    power: Floats
    across: Floats
    along: Floats

    def blurred(self, sigma_mm: float) -> Spectrum:
        """Return the same after a further Gaussian blur."""
        k2 = self.across**2 + self.along**2
        factor = np.exp(-((2 * np.pi * sigma_mm) ** 2) * k2)
        return Spectrum(self.power * factor, self.across, self.along)


def seams_of(cell: MeanCell, *, stripe: bool, viewing_distance_m: float = 1.5) -> SeamsSeen:
    """Expected Delta E across a seam that was not matched, as seen and as pattern.

    Parameters
    ----------
    cell : MeanCell
        The print's average cell.
    stripe : bool, keyword-only
        Whether every shift along the second vector is a match.
    viewing_distance_m : float, keyword-only
        From where the seam is looked at.

    Notes
    -----
    For an offset d the expected squared difference is ``2 (C(0) - C(d))``, C the autocovariance of the
    filtered cell. Seen at all: its root mean over all offsets but those within sewing accuracy of a match.
    As pattern: over all offsets, after a Gaussian of 8 mm. Rows matter where shifting along the cloth alone
    changes the pattern, columns where shifting across does.
    """
    spectrum = spectrum_of(cell, viewing_distance_m=viewing_distance_m)
    mismatch = _unmatched(spectrum, cell.basis_mm, stripe=stripe)
    pattern = spectrum.blurred(PATTERN_SIGMA_MM)
    shown = math.sqrt(2 * float(pattern.power.sum()))
    verdict = verdict_of(mismatch, shown)
    return SeamsSeen(mismatch, shown, viewing_distance_m, verdict, _needs(pattern))


def loose_seams(swatch: MeanCell | None, *, viewing_distance_m: float, repeats: bool = False) -> SeamsSeen:
    """What any seam shows on a print without a known repeat, from the picture itself.

    The picture is mirrored at its sides, so that they make no edge. Where the print ``repeats`` beyond the
    picture, what is seen of it tells whether rows, columns or both matter; where it does not, nothing is
    there to match. Without a picture the safe verdict is slight.
    """
    if swatch is None:
        return SeamsSeen(0.0, 0.0, viewing_distance_m, "slight", "none")
    half = np.concatenate([swatch.lab, swatch.lab[:, ::-1]], axis=1)
    doubled = replace(swatch, lab=np.concatenate([half, half[::-1]]), basis_mm=2 * swatch.basis_mm)
    spectrum = spectrum_of(doubled, viewing_distance_m=viewing_distance_m)
    pattern = spectrum.blurred(PATTERN_SIGMA_MM)
    shown, coarse = (math.sqrt(2 * float(s.power.sum())) for s in (spectrum, pattern))
    needs = _needs(pattern) if repeats else "none"
    return SeamsSeen(shown, coarse, viewing_distance_m, verdict_of(shown, coarse), needs)


def spectrum_of(cell: MeanCell, *, viewing_distance_m: float) -> Spectrum:
    """Power spectrum of the cell after the eye's filter at this distance."""
    height, width = (min(n, MOST_SAMPLES) for n in cell.lab.shape[:2])
    lab = cv2.resize(cell.lab, (width, height), interpolation=cv2.INTER_AREA)
    waves = np.fft.fft2(lab - lab.mean(axis=(0, 1)), axes=(0, 1)) / (width * height)
    reciprocal = np.linalg.inv(cell.basis_mm).T
    m = np.fft.fftfreq(width, 1 / width)[None, :, None] * reciprocal[0]
    k = m + np.fft.fftfreq(height, 1 / height)[:, None, None] * reciprocal[1]
    k2 = (k**2).sum(axis=2)
    power = np.zeros(k2.shape)
    for channel, name in enumerate("Lab"):
        power += np.abs(waves[..., channel]) ** 2 * eye_transfer(name, k2, viewing_distance_m) ** 2
    return Spectrum(power, k[..., 0], k[..., 1])


def eye_transfer(channel: str, k2: NDArray[np.float64], viewing_distance_m: float) -> Floats:
    """Share of a wave's amplitude the eye keeps; ``k2`` in squared cycles per mm of cloth."""
    mm_per_degree = 1000 * viewing_distance_m * math.tan(math.radians(1))
    total = sum(weight for weight, _ in LOBES[channel])
    kept = np.zeros_like(k2)
    for weight, spread in LOBES[channel]:
        kept += weight / total * np.exp(-((np.pi * spread * mm_per_degree) ** 2) * k2)
    return kept


def verdict_of(mismatch: float, pattern: float) -> Verdict:
    """Unseen where it is below the just noticeable or lost in the print; plain to see from 10 on."""
    if mismatch < JUST_NOTICEABLE or pattern < JUST_NOTICEABLE:
        return "unseen"
    return "plain-to-see" if pattern >= PATTERN_MATTERS else "slight"


def _unmatched(spectrum: Spectrum, basis: Floats, *, stripe: bool) -> float:
    """Root mean square Delta E over all offsets that are no match."""
    surface = np.fft.ifft2(spectrum.power).real * spectrum.power.size
    change = np.maximum(2 * (surface[0, 0] - surface), 0)
    rows, columns = change.shape
    u, v = np.fft.fftfreq(columns)[None, :, None], np.fft.fftfreq(rows)[:, None, None]
    offset = u * basis[0] + (0 if stripe else 1) * v * basis[1]
    far = np.hypot(offset[..., 0], offset[..., 1]) > SEWING_ACCURACY_MM
    far = np.broadcast_to(far, change.shape)
    return float(np.sqrt(change[far].mean())) if far.any() else 0.0


def _needs(pattern: Spectrum) -> Needs:
    """Which way pieces must match for the pattern to run on."""
    total = float(pattern.power.sum())
    columns_only = float(pattern.power[np.abs(pattern.along) < PURE_CYCLES_PER_MM].sum())
    rows_only = float(pattern.power[np.abs(pattern.across) < PURE_CYCLES_PER_MM].sum())
    rows = math.sqrt(2 * max(0.0, total - columns_only)) >= JUST_NOTICEABLE
    columns = math.sqrt(2 * max(0.0, total - rows_only)) >= JUST_NOTICEABLE
    if rows and columns:
        return "both"
    return "level" if rows else "upright" if columns else "none"
