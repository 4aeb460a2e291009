"""Bars of stripes, checks and plaids: their sequence, widths and colours, and whether they fold."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np

from printcheck.core.colour import JUST_NOTICEABLE
from printcheck.core.handover import Array, MeanCell
from printcheck.core.measurement import SLANT_DEG, Bar, StripeOrCheck
from printcheck.motif.bars.edge_model import Steps, fitted, with_hidden
from printcheck.motif.bars.profile_edges import edges_of, is_passage, middle_of
from printcheck.motif.build.evidence import NEAR_STEPS
from printcheck.motif.cv_types import mean_colour, resized
from printcheck.motif.way.symmetry import Symmetry, turn_shows

ONE_SIDED = 0.97  # share of the variance in one profile alone: a stripe; a check has both
FOLDS = 0.96  # correlation with its own mirror image from which a sequence is balanced
EQUAL_BARS = 0.05  # of their mean: two bars of a gingham
QUARTER = 0.95  # quarter-turn score of a square check
SQUARE = 0.02  # the two periods of a square check differ by less
MOST_STEP_SAMPLES = 64  # a side: enough to see along which steps the bars run
SURE_ERRORS = 2.0  # a bar no wider than twice its standard error may be none (nineteen times in twenty)
THREAD_MM = 0.5  # of coarse cotton, twenty to the centimetre (common practice)
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


def _profile_shares(cell: MeanCell) -> tuple[float, float]:
    """Share of the cell's variance in its profile along the first and along the second vector."""
    centred = cell.lab - mean_colour(cell.lab)
    total = float((centred**2).mean())
    if total <= 0:
        return 0.0, 0.0
    first, second = (float((centred.mean(axis=axis) ** 2).mean()) for axis in (0, 1))
    return first / total, second / total


def bars_of(
    cell: MeanCell, symmetry: Symmetry, *, stripe: bool, crossed: bool = False, error: float = 0.0
) -> StripeOrCheck | None:
    """Bars of the print; None where it is neither stripe nor check.

    Parameters
    ----------
    cell : MeanCell
    symmetry : Symmetry
    stripe : bool, keyword-only
        Whether the print repeats in one direction only.
    crossed : bool, keyword-only
        Whether its edges and waves say that bars cross (:mod:`printcheck.motif.build`).
    error : float, keyword-only
        Relative error of the repeat, one sigma: every bar's width has it too.
    """
    only = 0 if stripe else only_axis(cell)
    turns = not turn_shows(symmetry, cell)
    if only is not None:
        return _stripe(cell, error, only, turns=turns)
    if not crossed:
        return None
    along_bars, times = turned_to_bars(cell)
    across, along = (profile_of(along_bars, axis, times=times, error=error) for axis in (0, 1))
    bars, bars_along = sequence(across), sequence(along)
    if not bars or not bars_along:
        return None
    square = abs(across.period_mm / along.period_mm - 1) < SQUARE and symmetry.quarter >= QUARTER
    gingham = _gingham(bars, bars_along) if square else None
    return StripeOrCheck(
        "check" if max(len(bars), len(bars_along)) <= 2 else "plaid",
        turns or balance(across) >= FOLDS,
        turns or balance(along) >= FOLDS,
        bars,
        bars_along,
        gingham,
        angle_deg=_slant(along_bars.basis_mm),
    )


def turned_to_bars(cell: MeanCell) -> tuple[MeanCell, int]:
    """The cell on the two steps its bars run along, and how many of its own cells that holds.

    Bars that run along a step have waves that do not change along it; the two steps with most of the
    variance are taken.
    """
    grid = resized(cell.lab, 2 * MOST_STEP_SAMPLES, 2 * MOST_STEP_SAMPLES).astype(float)
    grid -= grid.mean(axis=(0, 1))
    power = (np.abs(np.fft.fft2(grid, axes=(0, 1))) ** 2).sum(axis=2)
    wave = np.rint(np.fft.fftfreq(len(power), 1 / len(power))).astype(int)
    share = {(p, q): power[(p * wave[None] + q * wave[:, None]) == 0].sum() for p, q in NEAR_STEPS}
    first, second, *_ = sorted(share, key=lambda step: -share[step])
    steps = np.array(sorted((first, second), key=lambda s: abs(float((np.array(s) @ cell.basis_mm)[1]))))
    times = abs(round(float(np.linalg.det(steps))))
    if (np.abs(steps) == np.eye(2)).all():
        return cell, 1
    side = cell.lab.shape[0]
    at = (np.stack(np.meshgrid(np.arange(side), np.arange(side)), axis=-1) + 0.5) / side @ steps % 1
    places = (at * (cell.lab.shape[1], side)).astype(int)
    lab = cell.lab[places[..., 1], places[..., 0]]
    return replace(cell, lab=lab, basis_mm=steps @ cell.basis_mm), times


def _slant(basis: Array) -> float:
    """Angle of the first bars from the cloth's nearer axis, degrees."""
    angle = math.degrees(math.atan2(abs(basis[0, 1]), abs(basis[0, 0])))
    return min(angle, 90 - angle)


def only_axis(cell: MeanCell) -> int | None:
    """Vector along which alone the print changes: a stripe, whatever lattice was found on it."""
    shares = _profile_shares(cell)
    most = int(np.argmax(shares))
    return most if shares[most] >= ONE_SIDED else None


def _stripe(cell: MeanCell, error: float, axis: int, *, turns: bool) -> StripeOrCheck | None:
    profile = profile_of(cell, axis, error=error)
    bars = sequence(profile)
    if not bars:
        return None
    along, across = np.abs(cell.basis_mm[1 - axis])  # of the bars' run; what changes lies square to it
    limit = np.tan(np.deg2rad(SLANT_DEG))
    folds = turns or balance(profile) >= FOLDS
    return StripeOrCheck(
        "stripe",
        folds if across > limit * along else None,  # a slanting stripe varies both ways
        folds if along > limit * across else None,
        bars,
        angle_deg=_slant(cell.basis_mm[[1 - axis, axis]]),
    )


def profile_of(cell: MeanCell, axis: int, *, times: int = 1, error: float = 0.0) -> Profile:
    """Profile along vector 0 or 1 of the cell; the bars run along the other.

    A cell that holds the print's own several ``times`` shows the profile as often.
    """
    lab: Array = _once(cell.lab.mean(axis=axis), times)
    rgb: Array = _once(np.asarray(cv2.cvtColor(cell.lab, cv2.COLOR_Lab2RGB)).mean(axis=axis), times)
    other = cell.basis_mm[1 - axis]
    area = abs(float(np.linalg.det(cell.basis_mm))) / times
    uneven = UNEVEN / math.sqrt(max(1.0, cell.cells))
    return Profile(lab, rgb, area / float(np.hypot(*other)), cell.px_mm, math.hypot(error, uneven))


def _once(profile: Array, times: int) -> Array:
    """Mean of the profile's repetitions."""
    if times == 1:
        return profile
    n = len(profile) // times
    at = (
        np.arange(times)[:, None] / times * len(profile) + np.arange(n) * len(profile) / (times * n)
    ).astype(int)
    mean: Array = profile[at].mean(axis=0)
    return mean


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
    """Bars between the edges of the profile, from the first edge on, each with the error of its width.

    Notes
    -----
    Two tones, where the profile has two, are tried beside all the edges that its slope shows: more edges
    stand only where blurred steps at them leave much less of the profile than without them. So what stays
    is decided by the profile's own noise and blur.
    """
    lab, n = profile.lab, len(profile.lab)
    px = profile.px_mm / profile.period_mm * n
    thread = THREAD_MM / profile.period_mm * n
    all_edges = edges_of(lab, px, smear=profile.error * n, thread=thread)
    steps = with_hidden(profile.rgb, all_edges, px, thread=thread) if len(all_edges) >= 2 else None
    turns = _two_tone(lab)
    if turns:
        two = fitted(profile.rgb, turns, px)
        steps = two if steps is None or not steps.betters(two) else steps
    while steps is not None and len(steps.edges) >= 2:
        colours = [lab[middle_of(*ends, n)].mean(axis=0) for ends in _ends(steps.edges, n)]
        needless = _faintest(colours)
        if needless is None:
            needless = _unsure(steps, n)
        if needless is None:
            fewer = _without(profile.rgb, steps, px)
        else:
            fewer = _fitted_but(profile.rgb, steps, needless, px)
        if fewer is None:
            return _bars(profile, steps, colours)
        steps = fewer
    return ()


def _two_tone(lab: Array) -> list[float]:
    """Both edges of a profile that passes twice through its middle tone, however soft; else none."""
    axis = np.linalg.svd(lab - lab.mean(axis=0), full_matrices=False)[2][0]
    tone = (lab - lab.mean(axis=0)) @ axis
    high = tone > (np.percentile(tone, 5) + np.percentile(tone, 95)) / 2
    turns = np.nonzero(high != np.roll(high, 1))[0]
    return [float(t) for t in turns] if len(turns) == 2 else []


def _without(rgb: Array, steps: Steps, px: float) -> Steps | None:
    """Fit without an edge that is hardly missed, beside a bar of a colour between its neighbours'.

    Blur and strain make such a bar of one edge. None where every edge counts.
    """
    n = len(rgb)
    colours = [rgb[middle_of(*ends, n)].mean(axis=0) for ends in _ends(steps.edges, n)]
    between = [k for k in range(len(colours)) if len(colours) > 2 and is_passage(*_about(colours, k))]
    beside = sorted({edge for k in between for edge in (k, (k + 1) % len(colours))})
    best = min((_fitted_but(rgb, steps, k, px) for k in beside), key=lambda one: one.misfit, default=None)
    return best if best is not None and not steps.betters(best) else None


def _about(colours: list[Array], k: int) -> tuple[Array, Array, Array]:
    return colours[k - 1], colours[k], colours[(k + 1) % len(colours)]


def _fitted_but(rgb: Array, steps: Steps, index: int, px: float) -> Steps:
    """Fit without one of the edges."""
    return fitted(rgb, [edge for k, edge in enumerate(steps.edges) if k != index], px)


def _ends(edges: list[float], n: int) -> list[tuple[float, float]]:
    return list(zip(edges, [*edges[1:], edges[0] + n], strict=True))


def _faintest(colours: list[Array]) -> int | None:
    """Edge with the least step of colour, if it is light that is left over; None where all are seen."""
    steps = [float(np.linalg.norm(c - colours[k - 1])) for k, c in enumerate(colours)]
    least = int(np.argmin(steps))
    return least if steps[least] < JUST_NOTICEABLE else None


def _unsure(steps: Steps, n: int) -> int | None:
    """First edge of the bar least known among those no wider than twice their error; None where none is."""
    if len(steps.edges) < 3:
        return None
    widths = np.array([stop - start for start, stop in _ends(steps.edges, n)])
    known = widths / np.maximum(steps.errors, 1e-9)
    least = int(np.argmin(known))
    return least if known[least] < SURE_ERRORS else None


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


def _gingham(bars: tuple[Bar, ...], bars_along: tuple[Bar, ...]) -> float | None:
    widths = [bar.width_mm for bar in bars + bars_along if bar.width_mm is not None]
    mean = float(np.mean(widths))
    if len(bars) != 2 or len(bars_along) != 2 or max(widths) - min(widths) > EQUAL_BARS * mean:
        return None
    return mean
