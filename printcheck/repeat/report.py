"""What the search found, as the answer that other rooms read: axes, millimetres, error, findings."""

from __future__ import annotations

import math

import cv2
import numpy as np

from printcheck.cloth import FlatCloth, PrintLattice
from printcheck.findings import Finding, finding
from printcheck.model import Repeat
from printcheck.repeat.arrays import Vectors
from printcheck.repeat.decide import LEAST_EXPLAINED, Evidence, fine_contrast, square_period
from printcheck.repeat.layout import Upright, upright_lattice, upright_stripe
from printcheck.repeat.light import View, contrast

LEAST_FINE_CONTRAST = 0.4  # CIELAB: plain cloth reaches 0.18, the faintest prints 0.42 (own trials)
LEAST_CONTRAST = 0.33  # CIELAB
PATCHES = 4.0  # independent patches of cloth behind the fitted map (a cubic has few degrees of freedom)
ENOUGH_SEEN = 2.0  # repeats, below which the photo shows too few
STRAIN_GRID = 9  # places each way
SLANT_DEG = 1.7  # 3 per cent of skew: a common limit for woven cloth (common practice; method: ASTM D3882)
FARTHEST = 0.62  # of each side: repeats up to this were looked for


def nothing_found(cloth: FlatCloth, view: View, best: float) -> PrintLattice:
    """No repeat: plain cloth, or a print whose repeat does not fit in the photo."""
    centre = np.array([(cloth.bgr.shape[1] - 1) / 2, (cloth.bgr.shape[0] - 1) / 2])
    rms = contrast(view)
    none = np.zeros((0, 2))
    if rms < 2.0:
        return PrintLattice(Repeat("none", confidence=1 - min(best, 0.9)), none, centre)
    at_least = FARTHEST * min(view.size) * view.mm_per_px
    repeat = Repeat("beyond-photo", at_least_mm=at_least, confidence=1 - min(best, 0.9))
    return PrintLattice(repeat, none, centre)


def lattice_of(cloth: FlatCloth, view: View, evidence: Evidence, *, best: float) -> PrintLattice:
    """Return the answer, or none where the evidence does not stand."""
    fit = evidence.fit
    fine = fine_contrast(view, fit)
    if fit.explained < LEAST_EXPLAINED or fine < LEAST_FINE_CONTRAST or contrast(view) < LEAST_CONTRAST:
        return nothing_found(cloth, view, best)
    basis = _basis_where_scaled(cloth, view, evidence)
    share = math.hypot(fit.spread / math.sqrt(PATCHES), cloth.scale.relative_error)
    basis_mm = basis * view.mm_per_px
    if evidence.stripe:
        basis = square_period(basis)[None]
        basis_mm = basis * view.mm_per_px
        upright = upright_stripe(basis_mm[0])
    else:
        sigma_deg = math.degrees(fit.spread / math.sqrt(PATCHES))
        upright = upright_lattice(basis_mm, sigma_deg=sigma_deg, sigma_share=fit.spread / math.sqrt(PATCHES))
    seen = _repeats_seen(view, basis)
    repeat = Repeat(
        "stripe" if evidence.stripe else "lattice",
        upright.layout,
        upright.drop,
        upright.across_mm,
        upright.along_mm,
        upright.basis_mm,
        share * float(np.hypot(*basis_mm.T).max()),
        _confidence(evidence, fine, seen),
        seen,
        upright.turn_deg,
        upright.skew_deg,
        raw_basis_mm=upright.raw_basis_mm,
    )
    return PrintLattice(
        repeat,
        basis * view.reduction,
        view.to_flat(fit.origin),
        math.radians(upright.turn_deg),
        findings=_findings(upright, seen),
    )


def _basis_where_scaled(cloth: FlatCloth, view: View, evidence: Evidence) -> Vectors:
    """Lattice where the scale is known: on the object, between the two points, or at the centre."""
    fit = evidence.fit
    if cloth.outline_px is None:
        return fit.centre_basis if cloth.scale.source == "given" else fit.basis
    outline = np.asarray(cloth.outline_px, dtype=np.float64).reshape(-1, 1, 2)
    flat = cv2.perspectiveTransform(outline, np.linalg.inv(cloth.to_photo))[:, 0]
    edge = np.concatenate([flat + (np.roll(flat, -1, axis=0) - flat) * t for t in (0.0, 0.25, 0.5, 0.75)])
    return fit.mean_basis_at(view.from_flat(edge))


def _repeats_seen(view: View, basis: Vectors) -> float:
    """How often the repeat fits into the picture, in the direction where it does so least."""
    width, height = view.size
    lattice = np.linalg.pinv(basis)
    waves = [lattice[:, n] for n in range(basis.shape[0])]
    return float(min(abs(wave[0]) * width + abs(wave[1]) * height for wave in waves))


def _confidence(evidence: Evidence, fine: float, seen: float) -> float:
    fit = evidence.fit
    sure = min(1.0, fine / 1.5) * min(1.0, fit.explained / 0.8)
    sure /= 1 + (evidence.worst_ratio / 8) ** 3
    return float(sure * min(1.0, max(seen - 1, 0.1) / 1.5))


def _findings(upright: Upright, seen: float) -> tuple[Finding, ...]:
    found = []
    if seen < ENOUGH_SEEN:
        found.append(finding("repeat-few-seen", seen=seen))
    if abs(upright.skew_deg) > SLANT_DEG:
        found.append(finding("repeat-off-grain", degrees=abs(upright.skew_deg)))
    return tuple(found)
