"""What an unmatched seam shows: the print's structure function, filtered for the eye."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.advice.eye import thresholds_seen, vernier_mm
from printcheck.core.colour import JUST_NOTICEABLE
from printcheck.core.handover import MeanCell
from printcheck.core.measurement import SeamsSeen, Verdict

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.core.handover import Floats

PATTERN_SIGMA_MM = 8.0  # a wave of one inch keeps an eighth of its height: what is left are larger figures
SEWING_ACCURACY_MM = 2.0  # misplacements below this count as matched
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


def seams_of(
    picture: MeanCell,
    *,
    stripe: bool = False,
    periodic: bool = True,
    lines: bool = False,
    viewing_distance_m: float = 1.5,
) -> SeamsSeen:
    """Expected Delta E across a seam that was not matched, as seen and as pattern, and whether it is seen.

    Parameters
    ----------
    picture : MeanCell
        The print's average cell, or the picture itself where its repeat is not known.
    stripe : bool, keyword-only
        Whether every shift along the second vector is a match.
    periodic : bool, keyword-only
        Whether the picture is a cell; if not, it is mirrored at its sides so that they make no edge.
    lines : bool, keyword-only
        Whether the print has lines that run on across a seam: a break in one is seen by vernier acuity.
    viewing_distance_m : float, keyword-only
        From where the seam is looked at.

    Notes
    -----
    For an offset d the expected squared difference is ``2 (C(0) - C(d))``, C the autocovariance of the
    filtered cell (its structure function). Seen at all: its root mean over all offsets but those within
    sewing accuracy of a match. As pattern: over all offsets, after a Gaussian of 8 mm. It is unseen where
    the print's light and dark lie below the contrast threshold of :mod:`printcheck.advice.eye`, or its
    colours below the just noticeable; plain to see where it is more than twice that, or where lines break
    by more than the eye's vernier acuity.
    """
    cell = picture if periodic else _mirrored(picture)
    spectrum = spectrum_of(cell, viewing_distance_m=viewing_distance_m)
    total = math.sqrt(2 * float(spectrum.power.sum()))
    mismatch = _unmatched(spectrum, cell.basis_mm, stripe=stripe) if periodic else total
    shown = math.sqrt(2 * float(spectrum.blurred(PATTERN_SIGMA_MM).power.sum()))
    cycles = np.hypot(spectrum.across, spectrum.along)
    light = thresholds_seen(_sampled(cell)[..., 0].astype(float), cycles, viewing_distance_m)
    broken = lines and _coarsest_mm(spectrum) / 2 > vernier_mm(viewing_distance_m)
    verdict = verdict_of(total, light, broken=broken)
    return SeamsSeen(mismatch, shown, viewing_distance_m, verdict, "none")


def verdict_of(delta_e: float, thresholds: float, *, broken: bool) -> Verdict:
    """Unseen below either threshold; plain to see above twice the just noticeable, or where a line breaks."""
    if delta_e < JUST_NOTICEABLE or thresholds < 1:
        return "unseen"
    return "plain-to-see" if broken or delta_e >= 2 * JUST_NOTICEABLE else "slight"


def _coarsest_mm(spectrum: Spectrum) -> float:
    """Longest wave of the print: the largest break a seam can make is half of it."""
    cycles = np.hypot(spectrum.across, spectrum.along)
    return float(1 / cycles[cycles > 0].min()) if (cycles > 0).any() else 0.0


def _mirrored(picture: MeanCell) -> MeanCell:
    """Picture with its mirror images beside and below it, which repeats without an edge."""
    half = np.concatenate([picture.lab, picture.lab[:, ::-1]], axis=1)
    return replace(picture, lab=np.concatenate([half, half[::-1]]), basis_mm=2 * picture.basis_mm)


def _sampled(cell: MeanCell) -> NDArray[np.float32]:
    """The cell at no more samples than the eye resolves."""
    height, width = (min(n, MOST_SAMPLES) for n in cell.lab.shape[:2])
    return np.asarray(cv2.resize(cell.lab, (width, height), interpolation=cv2.INTER_AREA))


def spectrum_of(cell: MeanCell, *, viewing_distance_m: float) -> Spectrum:
    """Power spectrum of the cell after the eye's filter at this distance."""
    lab = _sampled(cell)
    height, width = lab.shape[:2]
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
