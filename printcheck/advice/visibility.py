"""What an unmatched seam shows: the print's structure function, filtered for the eye."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.advice.eye import contrast_waves, mm_per_degree, thresholds_seen, vernier_mm
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
class Waves:
    """Waves of a print at whatever size it has, as far as the eye resolves it.

    Parameters
    ----------
    power : (rows, columns, 3) float64
        Of L, a and b at each wave, full spectrum.
    contrast : (rows, columns) float64
        Of its luminance.
    basis_mm : (2, 2) float64
        Sides of what repeats.
    periodic : bool
        Whether the print itself does.
    """

    power: Floats
    contrast: Floats
    basis_mm: Floats
    periodic: bool

    def cycles(self) -> tuple[Floats, Floats]:
        """Cycles per mm of each wave across and along the cloth."""
        height, width = self.contrast.shape
        reciprocal = np.linalg.inv(self.basis_mm).T
        m = np.fft.fftfreq(width, 1 / width)[None, :, None] * reciprocal[0]
        k = m + np.fft.fftfreq(height, 1 / height)[:, None, None] * reciprocal[1]
        return k[..., 0], k[..., 1]


def waves_of(picture: MeanCell, *, periodic: bool = True) -> Waves:
    """Waves of the print's average cell, or of the picture itself where its repeat is not known.

    That is mirrored at its sides, so that they make no edge.
    """
    cell = picture if periodic else _mirrored(picture)
    height, width = (min(n, MOST_SAMPLES) for n in cell.lab.shape[:2])
    lab = np.asarray(cv2.resize(cell.lab, (width, height), interpolation=cv2.INTER_AREA)).astype(float)
    power = np.abs(np.fft.fft2(lab - lab.mean(axis=(0, 1)), axes=(0, 1)) / (width * height)) ** 2
    return Waves(power, contrast_waves(lab[..., 0]), cell.basis_mm, periodic)


def seams_of(
    waves: Waves, *, stripe: bool = False, lines: bool = False, viewing_distance_m: float = 1.5
) -> SeamsSeen:
    """Expected Delta E across a seam that was not matched, as seen and as pattern, and whether it is seen.

    Parameters
    ----------
    waves : Waves
        Of the print.
    stripe : bool, keyword-only
        Whether every shift along the second vector is a match.
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
    cycles = np.hypot(*waves.cycles())
    kept = [eye_transfer(name, cycles**2, viewing_distance_m) ** 2 for name in "Lab"]
    power = np.einsum("yxc,cyx->yx", waves.power, kept)
    total = math.sqrt(2 * float(power.sum()))
    mismatch = _unmatched(power, waves.basis_mm, stripe=stripe) if waves.periodic else total
    shown = math.sqrt(2 * float((power * np.exp(-((2 * np.pi * PATTERN_SIGMA_MM * cycles) ** 2))).sum()))
    light = thresholds_seen(waves.contrast, cycles, viewing_distance_m)
    longest_mm = 1 / cycles[cycles > 0].min(initial=np.inf)  # a seam breaks a line by half of it at most
    broken = lines and longest_mm / 2 > vernier_mm(viewing_distance_m)
    verdict = verdict_of(total, light, broken=broken)
    return SeamsSeen(mismatch, shown, viewing_distance_m, verdict, "none")


def verdict_of(delta_e: float, thresholds: float, *, broken: bool) -> Verdict:
    """Unseen below either threshold; plain to see above twice the just noticeable, or where a line breaks."""
    if delta_e < JUST_NOTICEABLE or thresholds < 1:
        return "unseen"
    return "plain-to-see" if broken or delta_e >= 2 * JUST_NOTICEABLE else "slight"


def _mirrored(picture: MeanCell) -> MeanCell:
    """Picture with its mirror images beside and below it, which repeats without an edge."""
    half = np.concatenate([picture.lab, picture.lab[:, ::-1]], axis=1)
    return replace(picture, lab=np.concatenate([half, half[::-1]]), basis_mm=2 * picture.basis_mm)


def eye_transfer(channel: str, k2: NDArray[np.float64], viewing_distance_m: float) -> Floats:
    """Share of a wave's amplitude the eye keeps; ``k2`` in squared cycles per mm of cloth."""
    degree_mm = mm_per_degree(viewing_distance_m)
    total = sum(weight for weight, _ in LOBES[channel])
    kept = np.zeros_like(k2)
    for weight, spread in LOBES[channel]:
        kept += weight / total * np.exp(-((np.pi * spread * degree_mm) ** 2) * k2)
    return kept


def _unmatched(power: Floats, basis: Floats, *, stripe: bool) -> float:
    """Root mean square Delta E over all offsets that are no match."""
    surface = np.fft.ifft2(power).real * power.size
    change = np.maximum(2 * (surface[0, 0] - surface), 0)
    rows, columns = change.shape
    u, v = np.fft.fftfreq(columns)[None, :, None], np.fft.fftfreq(rows)[:, None, None]
    offset = u * basis[0] + (0 if stripe else 1) * v * basis[1]
    far = np.hypot(offset[..., 0], offset[..., 1]) > SEWING_ACCURACY_MM
    far = np.broadcast_to(far, change.shape)
    return float(np.sqrt(change[far].mean())) if far.any() else 0.0
