"""What a strong stripe drowns: cross lines, and motifs that stand on the stripes.

The picture is drawn out along the stripes, and every place across them freed of what changes slowly along
them: the stripe itself, the light on it, and an edge that the fitted map misses by part of a pixel. What
is left is searched for a second ridge that crosses the stripes, and for forms that come again along them.
"""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors
from printcheck.repeat.correlation import Surface, autocorrelate
from printcheck.repeat.fit import Fit
from printcheck.repeat.light import View, contrast
from printcheck.repeat.stripe import period_of, profile_of, ridge_of

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
SLOW = 0.2  # sigma along the stripes, of the short side: less would take the cross lines themselves


def second_direction(view: View, fit: Fit) -> Vectors | None:
    """Basis (working pixels) of stripes with cross lines or motifs; None where they hold all along."""
    left = _without_stripes(view, fit)
    if contrast(left) < LEAST_CONTRAST:
        return None
    short_side = min(left.size)
    surface = autocorrelate(left)
    period_px = fit.mean.shape[1]
    steps = _lines(surface, short_side, period_px)
    if steps is None:
        steps = _motifs(surface, short_side, period_px)
    if steps is None:
        return None
    ch, cw = fit.mean.shape[:2]
    return np.asarray(steps / (cw, ch) @ fit.basis)


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


def _motifs(surface: Surface, short_side: float, period_px: int) -> Vectors | None:
    """Lattice vectors, raster pixels, of motifs on the stripes; None where nothing comes again along them."""
    lags = np.arange(0, int(REACH * short_side), dtype=float)
    own = surface.at(np.stack([np.zeros_like(lags), lags], axis=-1)[:, None])[:, 0]
    found = period_of(own, shortest_px=SHORTEST_PX, least_peak=LEAST_MOTIF)
    if found is None:
        return None
    for stripes in range(1, MOST_STRIPES + 1):  # motifs may differ from stripe to stripe
        drops = np.arange(0, found[0])
        across = np.full_like(drops, stripes * period_px)
        next_to = surface.at(np.stack([across, drops], axis=-1)[:, None])[:, 0]
        if next_to.max() >= LEAST_MOTIF:
            return np.array([[stripes * period_px, drops[next_to.argmax()]], [0.0, found[0]]])
    return None


def _without_stripes(view: View, fit: Fit) -> View:
    """The picture drawn out along the stripes, less what changes slowly along each of their threads."""
    cw = fit.weight.shape[3]
    seen = _plane(fit.weight[..., None])[..., 0]
    picture = _plane(fit.cells)
    sigma = SLOW * min(seen.shape)
    slow = _along(picture * seen[..., None], sigma) / np.maximum(_along(seen, sigma), LEAST_SEEN)[..., None]
    left = np.asarray((picture - slow) * seen[..., None], dtype=np.float32)
    scale = float(np.hypot(*fit.basis[0])) / cw
    return View(left, seen, view.mean, view.mm_per_px * scale, view.reduction * scale, view.offset_px)


def _along(picture: Image, sigma_px: float) -> Image:
    """Gaussian sums down each column; a column mixes with no other."""
    kernel = cv2.getGaussianKernel(2 * int(3 * sigma_px) + 1, sigma_px, cv2.CV_32F)
    one = np.ones((1, 1), np.float32)
    return np.asarray(cv2.sepFilter2D(picture, -1, one, kernel, borderType=cv2.BORDER_CONSTANT))


def _plane(cells: Image) -> Image:
    nj, ni, ch, cw, channels = cells.shape
    plane = np.ascontiguousarray(cells.transpose(0, 2, 1, 3, 4)).reshape(nj * ch, ni * cw, channels)
    return np.asarray(plane, dtype=np.float32)
