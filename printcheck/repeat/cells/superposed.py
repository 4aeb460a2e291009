"""What a strong stripe drowns: cross lines, and motifs that stand on the stripes.

The picture is drawn out along the stripes, and every place across them freed of what changes slowly along
them: the stripe itself, the light on it, and an edge that the fitted map misses by part of a pixel. What
is left is searched for a second ridge that crosses the stripes, and for forms that come again along them.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors, laid_out, slopes_of, summed
from printcheck.repeat.cells.refine import Fit
from printcheck.repeat.cells.superlattice import BLACK
from printcheck.repeat.surface.correlation import Surface, autocorrelate
from printcheck.repeat.surface.illumination import View, contrast
from printcheck.repeat.surface.stripe import period_of, profile_of, ridge_of

LEAST_ANGLE_DEG = 75.0  # between the two directions: warp and weft are square, or a few degrees off grain
LOW_PERCENTILE = 20  # of the ridge's ray: faint lines are noisier than a stripe
LEAST_RIDGE = 0.3  # cross lines of 4 CIELAB and more reach 0.41, folds and shading 0.25 (own trials)
LEAST_PEAK = 0.37  # of the profile; stripes without cross lines stayed below 0.30
TOLERANCE = 0.25  # below the best peak: a faint line's repeats scatter; alternate ones are asked for later
LEAST_MOTIF = 0.5  # correlation of motifs with the next along the stripe, and with those beside
MOST_STRIPES = 4  # of one kind that may pass before a motif comes again
LEAST_CONTRAST = 0.9  # CIELAB, of the residual: less is noise
REACH = 0.62  # of the short side
SHORTEST_PX = 5.0
LEAST_SEEN = 1e-3  # weight under the Gaussian
SMOOTH = 1 / 28  # sigma, of the short side: light, folds and strain are slower, forms have edges that are not
RIDGE = 0.01  # of the usual power: where a window holds no edge, no shift is seen
SMOOTH_ROUNDS = 3  # leave a thirtieth of a wave a quarter of the view long, and nine tenths of a form's
THUMBNAIL_SIGMA = 4.0  # pixels: a broad Gaussian is as good on a thumbnail
SLOW = 0.2  # sigma along the stripes, of the short side: less would take the cross lines themselves


@dataclass(frozen=True)
class Crossing:
    """What a strong stripe drowned.

    Parameters
    ----------
    comes_again : bool
        Whether something comes again along the stripes.
    basis : (2, 2) float64 or None
        Lattice vectors (working pixels) that it proposes; None where it proposes none.
    """

    comes_again: bool
    basis: Vectors | None = None


def crossing_of(view: View, fit: Fit) -> Crossing:
    """Cross lines or motifs on the stripes of this fit, if there are any."""
    left = _without_stripes(view, fit)
    if contrast(left) < LEAST_CONTRAST:
        return Crossing(False)
    short_side = min(left.size)
    surface = autocorrelate(left)
    ch, cw = fit.mean.shape[:2]
    steps = _lines(surface, short_side, cw)
    step = None if steps is not None else _step_along(surface, short_side)
    if step is not None:
        steps = _motifs(surface, step, cw)
    basis = None if steps is None else np.asarray(steps / (cw, ch) @ fit.basis)
    return Crossing(steps is not None or step is not None, basis)


def _lines(surface: Surface, short_side: float, period_px: int) -> Vectors | None:
    """Lattice vectors, raster pixels, of cross lines; None where no ridge crosses the stripes."""
    ridge = ridge_of(
        surface, short_side=short_side, percentile=LOW_PERCENTILE, off_upright_deg=LEAST_ANGLE_DEG
    )
    if ridge.strength < LEAST_RIDGE:
        return None
    profile = profile_of(surface, ridge, reach_px=REACH * short_side)
    found = period_of(profile, shortest_px=SHORTEST_PX, least_peak=LEAST_PEAK, tolerance=TOLERANCE)
    if found is None:
        return None
    across = np.array([-ridge.along[1], ridge.along[0]]) / found[0]  # cycles per raster pixel
    return np.asarray(np.linalg.inv(np.array([[1 / period_px, 0.0], across])).T)


def _step_along(surface: Surface, short_side: float) -> float | None:
    """Shift along the stripes, raster pixels, at which motifs come again; None where nothing does."""
    lags = np.arange(0, int(REACH * short_side), dtype=float)
    own = surface.at(np.stack([np.zeros_like(lags), lags], axis=-1)[:, None])[:, 0]
    found = period_of(own, shortest_px=SHORTEST_PX, least_peak=LEAST_MOTIF)
    return None if found is None else found[0]


def _motifs(surface: Surface, step: float, period_px: int) -> Vectors | None:
    """Lattice vectors, raster pixels, of motifs this far apart along the stripes; None where none is like."""
    for stripes in range(1, MOST_STRIPES + 1):  # motifs may differ from stripe to stripe
        drops = np.arange(0, step)
        across = np.full_like(drops, stripes * period_px)
        next_to = surface.at(np.stack([across, drops], axis=-1)[:, None])[:, 0]
        if next_to.max() >= LEAST_MOTIF:
            return np.array([[stripes * period_px, drops[next_to.argmax()]], [0.0, step]])
    return None


def _without_stripes(view: View, fit: Fit) -> View:
    """The picture drawn out along the stripes, less what changes slowly along each of their threads."""
    cw = fit.weight.shape[3]
    seen = laid_out(fit.weight)
    picture = laid_out(fit.cells)
    sigma = SLOW * min(seen.shape)
    slow = _along(picture * seen[..., None], sigma) / np.maximum(_along(seen, sigma), LEAST_SEEN)[..., None]
    left = np.asarray((picture - slow) * seen[..., None], dtype=np.float32)
    left -= _smooth_part(left, np.tile(fit.mean[:1] + view.mean + BLACK, (1, fit.weight.shape[1], 1)), seen)
    scale = float(np.hypot(*fit.basis[0])) / cw
    return View(left, seen, view.mean, view.mm_per_px * scale, view.reduction * scale, view.offset_px)


def _smooth_part(left: Image, line: Image, seen: Image) -> Image:
    """What of the residual is light, which adds to the stripes' colours in proportion, or a shift of them.

    Both change slowly over the picture, so their sizes are fitted in a Gaussian window round every place,
    and again to what that leaves: so the window takes all that is slow, and little that is not.
    """
    height, width = seen.shape
    block = SMOOTH * min(width, height) / THUMBNAIL_SIGMA
    small = max(4, round(width / block)), max(4, round(height / block))
    terms = line, slopes_of(line)[0]

    def gathered(product: Image) -> Image:
        return np.asarray(cv2.resize(summed(product) * seen, small, interpolation=cv2.INTER_AREA))

    normal = np.stack([np.stack([gathered(a * b) for a in terms], axis=-1) for b in terms], axis=-1)
    sizes = _slow_sizes(normal, np.stack([gathered(left * term) for term in terms], axis=-1))
    whole = cv2.resize(sizes, (width, height), interpolation=cv2.INTER_LINEAR) * seen[..., None]
    return np.asarray(np.einsum("yxt,txk->yxk", whole, np.concatenate(terms)), dtype=np.float32)


def _slow_sizes(normal: Image, wanted: Image) -> Image:
    """Slowly changing sizes (h, w, n) of n terms.

    Parameters
    ----------
    normal : (h, w, n, n) float32
        Sums over each block of the terms' products with one another.
    wanted : (h, w, n) float32
        The same of the picture's products with them.
    """

    def windowed(sums: Image) -> Image:
        flat = sums.reshape(*sums.shape[:2], -1)
        wide = cv2.GaussianBlur(flat, (0, 0), THUMBNAIL_SIGMA, borderType=cv2.BORDER_CONSTANT)
        return np.asarray(wide, dtype=np.float32).reshape(sums.shape)

    usual = normal.mean(axis=(0, 1)).diagonal()
    inverse = np.linalg.inv(windowed(normal) + np.diag(RIDGE * usual + LEAST_SEEN))
    sizes = np.zeros_like(wanted)
    for _ in range(SMOOTH_ROUNDS):
        left = wanted - np.einsum("yxab,yxb->yxa", normal, sizes)
        sizes += np.einsum("yxab,yxb->yxa", inverse, windowed(left))
    return sizes


def _along(picture: Image, sigma_px: float) -> Image:
    """Gaussian sums down each column; a column mixes with no other."""
    kernel = cv2.getGaussianKernel(2 * int(3 * sigma_px) + 1, sigma_px, cv2.CV_32F)
    one = np.ones((1, 1), np.float32)
    return np.asarray(cv2.sepFilter2D(picture, -1, one, kernel, borderType=cv2.BORDER_CONSTANT))
