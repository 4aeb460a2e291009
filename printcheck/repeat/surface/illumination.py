"""From a flat picture of cloth to what the search works on: smaller, evenly lit, in CIELAB.

The light over a piece of cloth changes slowly and multiplies the colours; the print does neither. So a
smooth surface is fitted to the logarithm of the brightness, robustly (the print must not pull it), and
divided out of all three channels, which keeps hues as they are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np

from printcheck.core.handover import FlatCloth
from printcheck.repeat.arrays import Bgr, Image, Mask, Vectors, masked, summed

LONGEST_SIDE_PX = 640  # working pixels; 1000 cost 2.4 times the time and found no more (own trials)
FINEST_MM = 0.2  # working pixel: finer shows the weave (0.3 to 0.8 mm) and nothing of the print
THUMBNAIL_PX = 80  # longest side for fitting the light, which is smooth
LIGHT_DEGREE = 3  # of the polynomial in x and y: one-sided light, vignette and one broad fold
CAST_DEGREE = 2  # the light's colour changes more simply: a window on one side, a lamp on the other
MOST_CAST = 0.7  # of a channel's logarithm over the picture; of plain cloth in mixed light it stays below
RIM_SHARE = 0.012  # of the shorter side: cameras leave dark or coloured edges
ROBUST_ROUNDS = 4
DARKEST_LIGHT = 0.2  # share of the usual light below which a pixel shows noise, not print
WEAVE_BLUR_MM = 0.3  # sigma: takes threads of up to 0.8 mm, leaves stripes of 1.6 mm at half contrast
LEAST_BLUR_PX = 0.8  # sigma: aliasing and JPEG blocks


@dataclass(frozen=True)
class View:
    """The working picture.

    Parameters
    ----------
    lab : (H, W, 3) float32
        CIELAB with the light evened out and the mean colour taken off.
    weight : (H, W) float32
        1 where cloth is seen and lit, 0 elsewhere.
    mean : (3,) float32
        The mean colour that was taken off.
    mm_per_px : float
        Of the working picture.
    reduction : float
        Pixels of the flat picture per working pixel.
    offset_px : (2,) float64
        Flat pixel of the corner (not centre) of the top left working pixel.
    """

    lab: Image
    weight: Image
    mean: Image
    mm_per_px: float
    reduction: float
    offset_px: Vectors

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in working pixels."""
        return self.lab.shape[1], self.lab.shape[0]

    def to_flat(self, points: Vectors) -> Vectors:
        """Flat pixels of points of the working picture (pixel centres are whole numbers)."""
        return (points + 0.5) * self.reduction + self.offset_px - 0.5

    def from_flat(self, points: Vectors) -> Vectors:
        """Points of the working picture from flat pixels."""
        return (points + 0.5 - self.offset_px) / self.reduction - 0.5


def look(cloth: FlatCloth, *, finest_mm: float = FINEST_MM, crop: float = 1.0) -> View:
    """Working picture of the middle of the cloth.

    Parameters
    ----------
    cloth : FlatCloth
    finest_mm : float
        Working pixels are no smaller than this.
    crop : float
        Share of each side that is looked at.
    """
    bgr, mask, offset = _middle(cloth.bgr, cloth.mask, crop)
    height, width = mask.shape
    reduction = max(1.0, finest_mm / cloth.mm_per_px, max(height, width) / LONGEST_SIDE_PX)
    size = max(8, round(width / reduction)), max(8, round(height / reduction))
    small = cv2.resize(bgr, size, interpolation=cv2.INTER_AREA).astype(np.float32) / np.float32(255)
    cover = cv2.resize(mask.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    weight = _without_rim((cover > 0.99).astype(np.float32))
    light = _light(small, weight)
    brightness = summed(light)
    weight *= brightness > DARKEST_LIGHT * _median(brightness, weight)
    lab = np.asarray(cv2.cvtColor(small / light, cv2.COLOR_BGR2LAB), dtype=np.float32)
    mm_per_px = cloth.mm_per_px * width / size[0]
    lab = blurred(lab, weight, max(LEAST_BLUR_PX, WEAVE_BLUR_MM / mm_per_px))
    centre = mean_colour(lab, weight)
    return View(masked(lab - centre, weight), weight, centre, mm_per_px, width / size[0], offset)


def blurred(lab: Image, weight: Image, sigma_px: float) -> Image:
    """Gaussian mean over the pixels that have weight."""
    if weight.all():
        return np.asarray(cv2.GaussianBlur(lab, (0, 0), sigma_px, borderType=cv2.BORDER_REFLECT))
    total, share = (
        np.asarray(cv2.GaussianBlur(part, (0, 0), sigma_px), np.float32)
        for part in (masked(lab, weight), weight)
    )
    return masked(total, np.reciprocal(np.maximum(share, np.float32(1e-3))))


def high_passed(view: View, sigma_px: float) -> View:
    """The view less its broad Gaussian mean, which takes what light and wrinkles left."""
    scale = max(1.0, sigma_px / 6)  # a broad Gaussian is as good on a thumbnail, and hundreds of times faster
    width, height = view.size
    small = max(4, round(width / scale)), max(4, round(height / scale))
    total = cv2.resize(masked(view.lab, view.weight), small, interpolation=cv2.INTER_AREA)
    share = cv2.resize(view.weight, small, interpolation=cv2.INTER_AREA)
    sigma = sigma_px * small[0] / width
    broad = cv2.GaussianBlur(total, (0, 0), sigma) / np.maximum(
        cv2.GaussianBlur(share, (0, 0), sigma), 1e-3
    ).reshape(small[1], small[0], 1)
    lab = view.lab - cv2.resize(broad, (width, height), interpolation=cv2.INTER_LINEAR)
    return replace(view, lab=masked(lab - mean_colour(lab, view.weight), view.weight))


def softened(view: View, sigma_px: float) -> View:
    """The view with its noise blurred away, and the smallest forms with it."""
    return replace(view, lab=masked(blurred(view.lab, view.weight, sigma_px), view.weight))


def mean_colour(lab: Image, weight: Image) -> Image:
    """Mean colour of what is seen."""
    return np.asarray(cv2.mean(lab, (weight > 0).astype(np.uint8))[:3], dtype=np.float32)


def contrast(view: View) -> float:
    """Root mean square distance from the mean colour, in CIELAB units."""
    return cv2.norm(view.lab) / math.sqrt(max(float(view.weight.sum()), 1.0))


def _middle(bgr: Bgr, mask: Mask, crop: float) -> tuple[Bgr, Mask, Vectors]:
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not len(rows):
        return bgr, mask, np.zeros(2)
    top, bottom, left, right = rows[0], rows[-1] + 1, columns[0], columns[-1] + 1
    height, width = max(1, round((bottom - top) * crop)), max(1, round((right - left) * crop))
    top += (bottom - top - height) // 2
    left += (right - left - width) // 2
    window = np.s_[top : top + height, left : left + width]
    return bgr[window], mask[window], np.array([left, top], dtype=np.float64)


def _without_rim(weight: Image) -> Image:
    rim = max(1, round(RIM_SHARE * min(weight.shape)))
    inner = np.zeros_like(weight)
    inner[rim:-rim, rim:-rim] = weight[rim:-rim, rim:-rim]
    return inner


def _light(bgr: Image, weight: Image) -> Image:
    """Light in the three channels: robust polynomials through the brightness and through the colour cast."""
    height, width = weight.shape
    scale = max(1.0, max(height, width) / THUMBNAIL_PX)
    small = max(4, round(width / scale)), max(4, round(height / scale))
    thumbnail = np.maximum(cv2.resize(bgr, small, interpolation=cv2.INTER_AREA), 0.01).reshape(-1, 3)
    seen = cv2.resize(weight, small, interpolation=cv2.INTER_AREA).ravel() > 0.5
    if seen.sum() < 30:
        return np.ones((height, width, 3), np.float32)
    grey = np.log(thumbnail.mean(axis=1))
    fitted = _smooth_part(grey, seen, _terms(*small, LIGHT_DEGREE))[:, None]
    plain = _terms(*small, CAST_DEGREE)
    casts = [_smooth_part(np.log(thumbnail[:, c]) - grey, seen, plain) for c in range(3)]
    cast = np.stack(casts, axis=1)
    if np.ptp(cast[seen], axis=0).max() > MOST_CAST:  # broad forms of the print itself
        cast = np.zeros_like(cast)
    light = np.exp(np.clip(fitted + cast, -3, 3)).astype(np.float32)
    whole = cv2.resize(light.reshape(small[1], small[0], 3), (width, height), interpolation=cv2.INTER_LINEAR)
    return np.asarray(whole, dtype=np.float32)


def _smooth_part(values: Vectors, seen: Mask, terms: Vectors) -> Vectors:
    """Robust polynomial through the seen values, less its own median."""
    fitted = terms @ robust_fit(terms[seen], values[seen])
    return np.asarray(fitted - np.median(fitted[seen]))


def robust_fit(terms: Vectors, wanted: Vectors, *, ridge: float = 1e-6) -> Vectors:
    """Coefficients of the terms (n, k) whose sum comes near the wanted values (n,), outliers left out."""
    trust = np.ones(len(wanted))
    coefficients = np.zeros(terms.shape[1])
    for _ in range(ROBUST_ROUNDS):
        left = terms * trust[:, None]
        normal = left.T @ terms + ridge * np.eye(terms.shape[1])
        coefficients = np.linalg.solve(normal, left.T @ wanted)
        residual = wanted - terms @ coefficients
        spread = 1.4826 * np.median(np.abs(residual)) + 1e-3  # a normal law's sigma from its median deviation
        trust = 1 / (1 + (residual / (2 * spread)) ** 2)
    return coefficients


def _terms(width: int, height: int, degree: int) -> Vectors:
    x, y = np.meshgrid(np.linspace(-1, 1, width), np.linspace(-1, 1, height))
    return polynomial_terms(x.ravel(), y.ravel(), degree)


def polynomial_terms(x: Vectors, y: Vectors, degree: int) -> Vectors:
    """All products of powers up to the degree, the constant first, (n, terms)."""
    powers = [(p, q) for p in range(degree + 1) for q in range(degree + 1 - p)]
    return np.stack([x**p * y**q for p, q in powers], axis=1)


def _median(values: Image, weight: Image) -> float:
    seen = values[weight > 0]
    return float(np.median(seen)) if seen.size else 1.0


def outline_on(cloth: FlatCloth) -> Vectors:
    """Outline of the object of known size, or the two points, on the flat picture: (n, 2) pixels."""
    outline = np.asarray(cloth.outline_px, dtype=np.float64).reshape(-1, 1, 2)
    return np.asarray(cv2.perspectiveTransform(outline, np.linalg.inv(cloth.to_photo))[:, 0])
