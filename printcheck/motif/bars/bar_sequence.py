"""Bars of stripes, checks and plaids: their sequence, widths and colours, and whether they fold."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import MeanCell
from printcheck.core.measurement import Bar, StripeOrCheck
from printcheck.motif.bars.edge_model import Steps, with_hidden
from printcheck.motif.bars.profile_edges import edges_of, middle_of
from printcheck.motif.cv_types import Array, mean_colour, summed
from printcheck.motif.way.symmetry import Symmetry

SEPARABLE = (
    0.88  # share of the cell's variance in its two profiles: woven checks reach 0.98, blurred dots 0.82
)
HARDLY_SEPARABLE = 0.65  # broad printed lines that cross without adding up reach only this
ONE_SIDED = 0.97  # share of the variance in one profile alone: a stripe; a check has both
ALIGNED = 0.85  # share of the edges along the bars, asked for between the two: dots are round
ALIGNED_DEG = 12.0
ON_AXIS_DEG = 15.0  # bars further off the cloth's axes make a trellis, not a check
FOLDS = 0.96  # correlation with its own mirror image from which a sequence is balanced
EQUAL_BARS = 0.05  # of their mean: two bars of a gingham
QUARTER = 0.95  # quarter-turn score of a square check
SQUARE = 0.02  # the two periods of a square check differ by less
SEEN_DELTA_E = 2.3  # just noticeable (Mahy 1994): a fainter step is light left over, not an edge
UNEVEN = 0.005  # of a bar's width: how unevenly cloth laid by hand is pulled within one repeat


@dataclass(frozen=True)
class Profile:
    """Mean colour along one vector of the cell, (N, 3), and its length square to the bars in mm.

    ``rgb`` is the mean of the encoded sRGB values, in which a woven check is exactly one sequence across
    plus one along; ``error`` the relative error of the length, one sigma.
    """

    lab: Array
    rgb: Array
    period_mm: float
    px_mm: float = 0.0
    error: float = 0.0


def separability(cell: MeanCell) -> float:
    """Share of the cell's variance that is one profile across plus one along."""
    return sum(_profile_shares(cell))


def _profile_shares(cell: MeanCell) -> tuple[float, float]:
    """Share of the cell's variance in its profile along the first and along the second vector."""
    centred = cell.lab - mean_colour(cell.lab)
    total = float((centred**2).mean())
    if total <= 0:
        return 0.0, 0.0
    first, second = (float((centred.mean(axis=axis) ** 2).mean()) for axis in (0, 1))
    return first / total, second / total


def aligned(cell: MeanCell) -> float:
    """Share of the cell's slope energy that runs square to one of its two vectors."""
    height, width = cell.lab.shape[:2]
    slope = [(np.roll(cell.lab, -1, a) - np.roll(cell.lab, 1, a)) / 2 for a in (1, 0)]
    power = [summed(np.square(s)) for s in slope]
    sides = np.hypot(cell.basis_mm[:, 0], cell.basis_mm[:, 1])
    per_mm = [power[0] * (width / sides[0]) ** 2, power[1] * (height / sides[1]) ** 2]
    total = per_mm[0] + per_mm[1]
    small = np.minimum(*per_mm) <= np.sin(np.deg2rad(ALIGNED_DEG)) ** 2 * total
    return float(total[small].sum() / max(float(total.sum()), 1e-9))


def _additive(cell: MeanCell) -> bool:
    share = separability(cell)
    return share >= SEPARABLE or (share >= HARDLY_SEPARABLE and aligned(cell) >= ALIGNED)


def bars_of(cell: MeanCell, symmetry: Symmetry, *, stripe: bool, error: float = 0.0) -> StripeOrCheck | None:
    """Bars of the print; None where it is neither stripe nor check.

    ``error`` is the relative error of the repeat, one sigma: every bar's width has it too.
    """
    only = 0 if stripe else _only_axis(cell)
    if only is not None:
        return _stripe(cell, error, only)
    if not _on_axes(cell.basis_mm) or not _additive(cell):
        return None
    across, along = (profile_of(cell, axis, error=error) for axis in (0, 1))
    bars, bars_along = sequence(across), sequence(along)
    if not bars or not bars_along:
        return None
    square = abs(across.period_mm / along.period_mm - 1) < SQUARE and symmetry.quarter >= QUARTER
    gingham = _gingham(bars, bars_along) if square else None
    return StripeOrCheck(
        "check" if max(len(bars), len(bars_along)) <= 2 else "plaid",
        balance(across) >= FOLDS,
        balance(along) >= FOLDS,
        bars,
        bars_along,
        square,
        gingham,
        _dominant(bars, across),
    )


def _only_axis(cell: MeanCell) -> int | None:
    """Vector along which alone the print changes: a stripe, whatever lattice was found on it."""
    shares = _profile_shares(cell)
    most = int(np.argmax(shares))
    return most if shares[most] >= ONE_SIDED else None


def _stripe(cell: MeanCell, error: float, axis: int) -> StripeOrCheck | None:
    profile = profile_of(cell, axis, error=error)
    bars = sequence(profile)
    if not bars:
        return None
    along, across = np.abs(cell.basis_mm[1 - axis])  # of the bars' run; what changes lies square to it
    limit = np.tan(np.deg2rad(ON_AXIS_DEG))
    folds = balance(profile) >= FOLDS
    return StripeOrCheck(
        "stripe",
        folds if across > limit * along else None,  # a slanting stripe varies both ways
        folds if along > limit * across else None,
        bars,
        dominant=_dominant(bars, profile),
    )


def profile_of(cell: MeanCell, axis: int, *, error: float = 0.0) -> Profile:
    """Profile along vector 0 or 1 of the cell; the bars run along the other."""
    lab: Array = cell.lab.mean(axis=axis)
    rgb: Array = np.asarray(cv2.cvtColor(cell.lab, cv2.COLOR_Lab2RGB)).mean(axis=axis)
    other = cell.basis_mm[1 - axis]
    area = abs(float(np.linalg.det(cell.basis_mm)))
    uneven = UNEVEN / math.sqrt(max(1.0, cell.cells))
    return Profile(lab, rgb, area / float(np.hypot(*other)), cell.px_mm, math.hypot(error, uneven))


def balance(profile: Profile) -> float:
    """Best correlation of the profile with its own mirror image."""
    lab = profile.lab - profile.lab.mean(axis=0)
    spectrum = np.fft.rfft(lab, axis=0)
    power = float((lab**2).sum())
    if power <= 0:
        return 1.0
    folded = np.fft.irfft((spectrum * spectrum).sum(axis=1), n=len(lab))
    return float(folded.max()) / power


def sequence(profile: Profile) -> tuple[Bar, ...]:
    """Bars between the edges of the profile, from the first edge on, each with the error of its width."""
    lab, n = profile.lab, len(profile.lab)
    px = profile.px_mm / profile.period_mm * n
    edges = edges_of(lab, px, smear=profile.error * n)
    while len(edges) >= 2:
        steps = with_hidden(profile.rgb, edges, px)
        colours = [lab[middle_of(*ends, n)].mean(axis=0) for ends in _ends(steps.edges, n)]
        faint = _faintest(colours)
        if faint is None:
            return _bars(profile, steps, colours)
        edges = [edge for k, edge in enumerate(steps.edges) if k != faint]
    return ()


def _ends(edges: list[float], n: int) -> list[tuple[float, float]]:
    return list(zip(edges, [*edges[1:], edges[0] + n], strict=True))


def _faintest(colours: list[Array]) -> int | None:
    """Edge with the least step of colour, if nobody would see it; None where all are seen."""
    steps = [float(np.linalg.norm(c - colours[k - 1])) for k, c in enumerate(colours)]
    least = int(np.argmin(steps))
    return least if steps[least] < SEEN_DELTA_E else None


def _bars(profile: Profile, steps: Steps, colours: list[Array]) -> tuple[Bar, ...]:
    n = len(profile.lab)
    per_sample = profile.period_mm / n
    bars = []
    for (start, stop), error, colour in zip(_ends(steps.edges, n), steps.errors, colours, strict=True):
        width = (stop - start) * per_sample
        bars.append(Bar(width, hex_of(colour), math.hypot(error * per_sample, width * profile.error)))
    return tuple(bars)


def hex_of(lab: Array) -> str:
    """``#rrggbb`` of one CIELAB colour."""
    bgr = cv2.cvtColor(lab.reshape(1, 1, 3).astype(np.float32), cv2.COLOR_Lab2BGR)[0, 0]
    blue, green, red = (round(float(c) * 255) for c in np.clip(bgr, 0, 1))
    return f"#{red:02x}{green:02x}{blue:02x}"


def _on_axes(basis: Array) -> bool:
    limit = np.tan(np.deg2rad(ON_AXIS_DEG))
    return bool(abs(basis[0, 1]) <= limit * abs(basis[0, 0]) and abs(basis[1, 0]) <= limit * abs(basis[1, 1]))


def _gingham(bars: tuple[Bar, ...], bars_along: tuple[Bar, ...]) -> float | None:
    widths = [bar.width_mm for bar in bars + bars_along if bar.width_mm is not None]
    mean = float(np.mean(widths))
    if len(bars) != 2 or len(bars_along) != 2 or max(widths) - min(widths) > EQUAL_BARS * mean:
        return None
    return mean


def _dominant(bars: tuple[Bar, ...], profile: Profile) -> int:
    """Bar that stands out most: contrast with the mean times the square root of its width."""
    mean = profile.lab.mean(axis=0)
    weight = [float(np.linalg.norm(_lab(bar.colour) - mean)) * (bar.width_mm or 0.0) ** 0.5 for bar in bars]
    return int(np.argmax(weight))


def _lab(colour: str) -> Array:
    rgb = np.array([[[int(colour[k : k + 2], 16) for k in (1, 3, 5)]]], np.float32) / 255
    lab: Array = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2Lab))[0, 0]
    return lab
