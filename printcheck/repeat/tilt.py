"""The lattice as a second witness of the camera's tilt.

A print is printed evenly. When its repeats, in the picture that was laid flat, shrink steadily from one
side to the other, the picture was not laid flat rightly: the camera was tilted and nothing told so, or
the object of known size lay at a slant.
"""

from __future__ import annotations

import math

import numpy as np

from printcheck.core.findings import Finding, finding
from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.repeat.cells.refine import local_lattices
from printcheck.repeat.decide import Evidence
from printcheck.repeat.surface.illumination import View

LEAST_SLOPE = 0.025  # share by which the repeat changes from side to side; a lens or a fold does less
LEAST_SHARE = 0.7  # of the change that a steady slope must explain: a fold goes up and down
FEWEST_PLACES = 12
LIKELIER_THAN_NOT = 0.5


def shows_tilt(undone: PrintLattice, as_pictured: PrintLattice | None) -> bool:
    """Whether a lattice that was found with a tilt undone is likelier than the one, or none, found without.

    Where both are one lattice, a tilt that was there leaves it more even: more of its scatter is explained
    than left. A fold that is taken for a tilt leaves most of it.
    """
    if not undone.repeat.known:
        return False
    if as_pictured is None or not as_pictured.repeat.known:
        return undone.repeat.confidence > LIKELIER_THAN_NOT
    sizes = _size_mm(undone), _size_mm(as_pictured)
    if undone.repeat.kind == as_pictured.repeat.kind and round(math.log2(sizes[0] / sizes[1])) == 0:
        return 2 * undone.spread**2 < as_pictured.spread**2
    return undone.repeat.confidence > as_pictured.repeat.confidence


def _size_mm(lattice: PrintLattice) -> float:
    """Area of a cell, mm2, or period of a stripe, mm."""
    basis = np.array(lattice.repeat.basis_mm)
    return float(np.sqrt(np.linalg.det(basis @ basis.T)))


def slope_of(view: View, evidence: Evidence) -> tuple[float, float]:
    """Share by which the repeat changes steadily across the picture, and how much of all change that is."""
    if evidence.stripe:  # one period alone cannot tell a slope from a fan
        return 0.0, 0.0
    places, local = local_lattices(view, evidence.fit.frame)
    if len(places) < FEWEST_PLACES:
        return 0.0, 0.0
    size = 0.5 * np.log(np.abs(np.linalg.det(local)))  # of a length
    half = np.array(view.size) / 2
    terms = np.concatenate([(places - half) / half, np.ones((len(places), 1))], axis=1)
    coefficients, *_ = np.linalg.lstsq(terms, size, rcond=None)
    off = size - size.mean()
    left = size - terms @ coefficients
    share = 1 - float(left @ left) / max(float(off @ off), 1e-12)
    return 2 * float(np.hypot(*coefficients[:2])), share


def lean_sigma_of(cloth: FlatCloth, view: View, evidence: Evidence) -> float:
    """Degrees by which the lattice may lean for an object's tilt that the print contradicts; else 0.

    A tilt wrongly undone draws out one direction against the other, and so leans the lattice; by about as
    much as it changes lengths from the middle to a side.
    """
    slope = _steady_slope(view, evidence)
    return 0.0 if slope is None or not cloth.scale.tilt_deg else math.degrees(slope / 2)


def _steady_slope(view: View, evidence: Evidence) -> float | None:
    """Share by which the repeat changes from side to side; None where it is no steady change."""
    slope, share = slope_of(view, evidence)
    return None if slope < LEAST_SLOPE or share < LEAST_SHARE else slope


def check_tilt(cloth: FlatCloth, view: View, evidence: Evidence) -> Finding | None:
    """Return a finding where the print contradicts the tilt that the picture was laid flat with."""
    slope = _steady_slope(view, evidence)
    if slope is None or any(found.code == "tilt-by-print" for found in cloth.findings):
        return None
    code = "repeat-tilt-unknown" if cloth.scale.tilt_deg is None else "repeat-tilt-disagrees"
    return finding(code, percent=100 * slope)
