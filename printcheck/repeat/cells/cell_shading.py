"""Light told from print by the lattice: where like cells differ smoothly over the picture, it is light.

A smooth surface through the brightness cannot tell a broad form of the print from a shadow, and errs most
where few and large repeats are in view. Once a lattice is proposed, the difference between like places of
the cells holds no print at all, so the surface is fitted again, to that alone.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors, masked
from printcheck.repeat.cells.refine import Fit
from printcheck.repeat.surface.illumination import (
    CAST_DEGREE,
    LIGHT_DEGREE,
    THUMBNAIL_PX,
    View,
    mean_colour,
    polynomial_terms,
    robust_fit,
)

MOST_PLACES = 12_000  # of the raster: the light has sixteen coefficients
DARKEST = 0.02  # of full scale, before the logarithm
RIDGE = 1e-3  # variance that a term must have between like places to count: what they do not show is nothing


def relit(view: View, fit: Fit) -> View:
    """The view with the light divided out that this lattice's cells show.

    Parameters
    ----------
    view : View
    fit : Fit
        Of this view; it need not be the right lattice: what it says of the light is smooth all the same.
    """
    if not fit.weight.any():
        return view
    values, places, phases = _like_places(view, fit)
    grey = values.mean(axis=1)
    broad = _light_of(grey, places, phases, LIGHT_DEGREE)
    casts = [_light_of(values[:, c] - grey, places, phases, CAST_DEGREE) for c in range(3)]
    light = np.exp(np.stack([broad + cast for cast in casts], axis=-1)).astype(np.float32)
    light = np.asarray(cv2.resize(light, view.size, interpolation=cv2.INTER_LINEAR))
    bgr = cv2.cvtColor(view.lab + view.mean, cv2.COLOR_LAB2BGR)
    lab = np.asarray(cv2.cvtColor(bgr / light, cv2.COLOR_BGR2LAB), dtype=np.float32)
    centre = mean_colour(lab, view.weight)
    return replace(view, lab=masked(lab - centre, view.weight), mean=centre)


def _like_places(view: View, fit: Fit) -> tuple[Vectors, Vectors, Vectors]:
    """Log colours (n, 3), places over -1 ... 1 (n, 2) and numbers of the place in the cell (n,)."""
    nj, ni, ch, cw = fit.weight.shape
    step = max(1, int(np.sqrt(fit.weight.sum() / MOST_PLACES)))
    x, y = fit.frame.raster((cw, ch))
    down, across = min(step, ch), min(step, cw)
    inner = np.s_[:, :, down // 2 :: down, across // 2 :: across]
    seen = fit.weight[inner] > 0
    if not seen.any():
        inner = np.s_[:, :, :, :]
        seen = fit.weight > 0
    lab = np.ascontiguousarray((fit.cells[inner] + view.mean)[seen])[None]
    colours = cv2.cvtColor(lab, cv2.COLOR_LAB2BGR)
    numbers = np.broadcast_to(np.arange(ch * cw).reshape(ch, cw), fit.weight.shape)[inner][seen]
    at = [
        part.reshape(nj, ch, ni, cw).transpose(0, 2, 1, 3)[inner][seen] * 2 / (size - 1) - 1
        for part, size in zip((x, y), view.size, strict=True)
    ]
    return np.log(np.maximum(colours[0], DARKEST)).astype(np.float64), np.stack(at, axis=1), numbers


def _light_of(values: Vectors, places: Vectors, phases: Vectors, degree: int) -> Image:
    """Logarithm of the light on a thumbnail of the picture, from what differs between like places."""
    terms = polynomial_terms(places[:, 0], places[:, 1], degree)[:, 1:]
    terms, wanted = _less_mean(terms, phases), _less_mean(values[:, None], phases)[:, 0]
    coefficients = robust_fit(terms, wanted, ridge=RIDGE * len(terms))
    x, y = np.meshgrid(*2 * [np.linspace(-1, 1, THUMBNAIL_PX)])
    shapes = polynomial_terms(x.ravel(), y.ravel(), degree)[:, 1:]
    return np.asarray((shapes @ coefficients).reshape(THUMBNAIL_PX, THUMBNAIL_PX), dtype=np.float64)


def _less_mean(values: Vectors, phases: Vectors) -> Vectors:
    """Values less their mean over the like places."""
    count = np.maximum(np.bincount(phases), 1)
    means = [np.bincount(phases, weights=column) / count for column in values.T]
    return np.asarray(values - np.stack(means, axis=1)[phases])
