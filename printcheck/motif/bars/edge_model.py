"""Bars as steps of colour that the camera blurred: all their edges fitted together, each with its error."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Array

# JPEG (ITU-T T.81, as JFIF uses it) and the colour mosaic of the sensor keep colour at about half the
# fineness of lightness, so each has a blur of its own; columns of YCrCb
GROUPS = ((0,), (1, 2))
FIRST_BLUR = (1.0, 1.5)  # pixels of the picture, lightness and colour; the fit finds its own
LEAST_BLUR = 0.4  # samples: a step sharper than this lies between two samples
ROUNDS = 14  # most scenes are done after six
DAMPING, EASIER, HARDER, HOPELESS = 1e-3, 0.2, 5.0, 1e6  # Levenberg and Marquardt's, common practice
DONE = 1e-6  # share of the misfit gained, below which the fit stands
NARROWEST = 0.2  # of the blur: narrower bars cannot be told from a weaker colour
REACH = 5.0  # of the blur: farther from an edge a step is over
ASTRAY = 3.0  # pixels of the picture, or blurs: an edge is never so far from its steepest place
HIDDEN_MISFIT = 2 / 255  # grey levels left by the fit, from which an edge is missing: usual are 0.1 to 0.7
BETTER = 0.5  # of the misfit left, at most, by an edge that was indeed there
ALIKE = 2.5  # neighbouring samples share their noise over about this many times the blur

_erf = np.frompyfunc(math.erf, 1, 1)


@dataclass(frozen=True)
class _Part:
    """One group of channels: indicator of every bar (N, K), colours (K, c), what is left (N, c), blur."""

    bars: Array
    colours: Array
    rest: Array
    sigma: float


@dataclass(frozen=True)
class Steps:
    """A fitted sequence of bars, in samples.

    Parameters
    ----------
    edges, errors : list of float
        Places, and the standard error of the bar from edge k to the next.
    rest : (N,) float64
        What the fit leaves in every sample, root mean square over the channels, 0 to 1.
    """

    edges: list[float]
    errors: list[float]
    rest: Array

    @property
    def misfit(self) -> float:
        """Root mean square of what is left."""
        return float(np.sqrt((self.rest**2).mean()))

    def betters(self, fewer: Steps) -> bool:
        """Whether it leaves so much less than a fit with fewer edges that its further edges are there."""
        return self.misfit < BETTER * fewer.misfit


def fitted(rgb: Array, edges: list[float], px: float) -> Steps:
    """Edges where blurred steps fit the profile best, and the standard error of each bar's width.

    Parameters
    ----------
    rgb : (N, 3) array
        Encoded sRGB once round the repeat, 0 to 1: cameras, JPEG and averages mix these values.
    edges : list of float
        First guess in samples, in order; 0 is the start of the first sample.
    px : float
        Samples to a pixel of the picture.

    Returns
    -------
    Steps

    Notes
    -----
    The steepest places of a blurred narrow bar stand further apart than its edges; a model of sharp bars
    under one blur does not, and places an edge to a small part of a pixel. Edges and blur by Levenberg and
    Marquardt, the colours solved for at every step (variable projection, Golub and Pereyra 1973).
    """
    picture = np.asarray(cv2.cvtColor(rgb[None].astype(np.float32), cv2.COLOR_RGB2YCrCb), float)[0]
    at = np.array(edges, float)
    sigmas = np.maximum(np.array(FIRST_BLUR) * px, LEAST_BLUR)
    parts = _parts(picture, at, sigmas)
    damping = DAMPING
    for _ in range(ROUNDS):
        normal, pull = _normal(parts, at)
        step = _step(picture, (at, sigmas, parts), (normal, pull), damping)
        if step is None:
            break
        gained = 1 - _misfit(step[2]) / max(_misfit(parts), 1e-12)
        at, sigmas, parts, damping = step
        if gained < DONE:
            break
    moved = np.abs(at - edges)
    rest = np.sqrt((np.concatenate([part.rest for part in parts], axis=1) ** 2).mean(axis=1))
    if moved.max() > ASTRAY * max(px, float(sigmas[0])):  # the model does not hold: say how badly
        return Steps(list(edges), (moved + np.roll(moved, -1)).tolist(), rest)
    return Steps(at.tolist(), _errors(parts, at), rest)


def with_hidden(rgb: Array, edges: list[float], px: float, *, thread: float = 0.0) -> Steps:
    """Fitted steps, with the edges that a stronger neighbour's slope hid, as long as each halves the misfit.

    An edge is tried where the fit leaves most, and in the middle of the bar that holds this place; none makes
    a bar narrower than a ``thread`` (samples).
    """
    steps = fitted(rgb, edges, px)
    while steps.misfit > HIDDEN_MISFIT:
        most = float(np.argmax(steps.rest)) + 0.5
        sets = [sorted([*edges, at % len(rgb)]) for at in (most, _middle_about(most, edges, len(rgb)))]
        tries = [
            (fitted(rgb, e, px), e) for e in sets if _widths(np.array(e), len(rgb)).min() > max(px, thread)
        ]
        best, more = min(tries, key=lambda one: one[0].misfit, default=(steps, edges))
        if not best.betters(steps):
            break
        steps, edges = best, more
    return steps


def _middle_about(place: float, edges: list[float], n: int) -> float:
    """Middle of the bar that holds the place."""
    start = max((e for e in edges if e <= place), default=edges[-1] - n)
    stop = min((e for e in edges if e > place), default=edges[0] + n)
    return (start + stop) / 2


def _step(
    picture: Array,
    now: tuple[Array, Array, list[_Part]],
    equations: tuple[Array, Array],
    damping: float,
) -> tuple[Array, Array, list[_Part], float] | None:
    """Return the next edges, blurs, parts and damping; None where no step betters the fit."""
    at, sigmas, parts = now
    normal, pull = equations
    n, stiff = len(picture), np.diag(np.diag(normal) + 1e-12)
    while damping < HOPELESS:
        step = np.clip(np.linalg.solve(normal + damping * stiff, pull), -sigmas[0], sigmas[0])
        moved, blurs = at + step[: len(at)], np.maximum(sigmas + step[len(at) :], LEAST_BLUR)
        if (_widths(moved, n) > NARROWEST * blurs[0]).all():
            tried = _parts(picture, moved, blurs)
            if _misfit(tried) < _misfit(parts):
                return moved, blurs, tried, max(damping * EASIER, 1e-9)
        damping *= HARDER
    return None


def _parts(picture: Array, at: Array, sigmas: Array) -> list[_Part]:
    found = []
    for channels, sigma in zip(GROUPS, sigmas, strict=True):
        values, bars = picture[:, channels], _indicators(at, float(sigma), len(picture))
        colours = np.linalg.lstsq(bars, values, rcond=None)[0]
        found.append(_Part(bars, colours, values - bars @ colours, float(sigma)))
    return found


def _indicators(at: Array, sigma: float, n: int) -> Array:
    """Share of every bar in every sample, (N, K): 1 inside, 0 outside, blurred at its two edges."""
    x = np.arange(n) + 0.5
    inside = (x - at[:, None]) % n < _widths(at, n)[:, None]
    away = _away(at, n)
    near = np.abs(away) < REACH * sigma
    smear = np.zeros_like(away)
    step = np.asarray(_erf(away[near] / (sigma * math.sqrt(2))), float) / 2 + 0.5
    smear[near] = step - (away[near] >= 0)
    bars: Array = (inside + smear - np.roll(smear, -1, axis=0)).T
    return bars


def _normal(parts: list[_Part], at: Array) -> tuple[Array, Array]:
    """Normal equations for the edges and the blurs, the colours' share taken out."""
    count, n = len(at), len(parts[0].rest)
    normal, pull = np.zeros((count + len(parts),) * 2), np.zeros(count + len(parts))
    for index, part in enumerate(parts):
        away = _away(at, n)
        bell = np.exp(-((away / part.sigma) ** 2) / 2) / (part.sigma * math.sqrt(2 * math.pi))
        jump = part.colours - np.roll(part.colours, 1, axis=0)
        slope = np.zeros((count + len(parts), *part.rest.shape))
        slope[:count] = -bell[:, :, None] * jump[:, None]
        slope[count + index] = -np.einsum("kn,kc->nc", bell * away / part.sigma, jump)
        span, _ = np.linalg.qr(part.bars)
        slope -= np.einsum("nm,km,pkc->pnc", span, span, slope, optimize=True)
        flat = slope.reshape(len(slope), -1)
        normal += flat @ flat.T
        pull += flat @ part.rest.ravel()
    return normal, pull


def _errors(parts: list[_Part], at: Array) -> list[float]:
    """Standard error of every bar's width in samples, from what the fit leaves."""
    normal, _ = _normal(parts, at)
    count, values = len(at), sum(part.rest.size for part in parts)
    apart = np.roll(np.eye(count), 1, axis=1) - np.eye(count)
    shared = max(1.0, ALIKE * parts[0].sigma)
    variance = _misfit(parts) / values * shared * np.linalg.pinv(normal)[:count, :count]
    errors: list[float] = np.sqrt(np.maximum(np.diag(apart @ variance @ apart.T), 0)).tolist()
    return errors


def _misfit(parts: list[_Part]) -> float:
    return float(sum((part.rest**2).sum() for part in parts))


def _away(at: Array, n: int) -> Array:
    """Distance of every sample from every edge the short way round, (K, N)."""
    away: Array = (np.arange(n) + 0.5 - at[:, None] + n / 2) % n - n / 2
    return away


def _widths(at: Array, n: int) -> Array:
    return np.diff(np.append(at, at[0] + n))
