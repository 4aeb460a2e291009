"""The whole search on one screen: flat cloth in, lattice with its error out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from printcheck.cloth import FlatCloth, PrintLattice, Working
from printcheck.model import Repeat
from printcheck.repeat.candidates import SHORTEST_MM, SHORTEST_PX, peaks_of, propose
from printcheck.repeat.correlation import autocorrelate
from printcheck.repeat.layout import upright_lattice, upright_stripe
from printcheck.repeat.light import look
from printcheck.repeat.stripe import is_stripe, period_of, profile_of, ridge_of

LEAST_CORRELATION = 0.6  # random prints reach 0.56, true repeats of ordinary contrast 0.93 (own trials)


def find_lattice(cloth: FlatCloth, *, working: Callable[[Working], None] | None = None) -> PrintLattice:
    """Find the print's repeat in millimetres on the cloth's own axes."""
    view = look(cloth)
    surface = autocorrelate(view)
    shortest = max(SHORTEST_PX, SHORTEST_MM / view.mm_per_px)
    peaks = peaks_of(surface, shortest_px=shortest)
    short_side = min(view.size)
    ridge = ridge_of(surface, short_side=short_side)
    centre = np.array([(cloth.bgr.shape[1] - 1) / 2, (cloth.bgr.shape[0] - 1) / 2])
    basis_px = np.zeros((0, 2))
    if is_stripe(ridge, peaks.best):
        found = period_of(profile_of(surface, ridge, reach_px=0.62 * short_side), shortest_px=shortest)
        if found is not None:
            across = np.array([-ridge.along[1], ridge.along[0]])
            basis_px = (across * found[0])[None]
    elif peaks.best >= LEAST_CORRELATION:
        pair = propose(peaks)
        basis_px = basis_px if pair is None else pair
    basis_mm = basis_px * view.mm_per_px
    basis_px = basis_px * view.reduction
    if len(basis_px) == 0:
        return PrintLattice(Repeat("none"), basis_px, centre)
    error = 0.005 * float(np.hypot(*basis_mm[-1]))
    if len(basis_px) == 1:
        upright = upright_stripe(basis_mm[0])
    else:
        upright = upright_lattice(basis_mm, sigma_deg=0.1, sigma_share=0.01)
    repeat = Repeat(
        "stripe" if len(basis_px) == 1 else "lattice",
        upright.layout,
        upright.drop,
        upright.across_mm,
        upright.along_mm,
        upright.basis_mm,
        error,
        0.5,
        float(min(np.array(view.size) / np.maximum(np.abs(basis_px / view.reduction).max(axis=0), 1))),
        upright.turn_deg,
        upright.skew_deg,
        raw_basis_mm=upright.raw_basis_mm,
    )
    return PrintLattice(repeat, basis_px, centre, np.deg2rad(upright.turn_deg))
