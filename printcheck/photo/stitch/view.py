"""A picture of cloth made ready to be laid on others: its broad light taken off, and its features."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from printcheck.core.handover import Bgr, FlatCloth, Mask

Matrix = NDArray[np.float64]  # (3, 3) homography, or (n, 2) places: x right and y down
Lab = NDArray[np.float32]

WORKING_PX = 800  # longest side of the pictures that are compared: a motif of 5 mm is a dozen pixels
SLID_PX = 144  # longest side of the copies that are slid over one another
LIGHT_SHARE = 12  # pictures per sigma: light broader than this is no print
LIGHT_PX = 96  # longest side at which light is blurred
PATCH_PX = 33  # side of the patches that are matched, working pixels
FINE_PX = 1.5  # sigma, working pixels: what a shaken photo loses first
NOISE_PX = 1.0  # sigma by which working copies are freed of noise
COLOUR_REACH, COLOUR_STEP = 72.0, 12.0  # CIELAB: five just noticeable differences to a step
MOST_FEATURES = 2500  # of one picture: more add time and no new places


@dataclass(frozen=True)
class Features:
    """Keypoints of a picture.

    Parameters
    ----------
    scales, angles : (n,) float64
        Size in pixels, and heading in radians.
    descriptors : (n, 128) float32
        Root-SIFT, of unit length (Arandjelovic and Zisserman 2012).
    """

    scales: NDArray[np.float64]
    angles: NDArray[np.float64]
    descriptors: NDArray[np.float32]


@dataclass(frozen=True)
class View:
    """A picture on its working copy.

    Parameters
    ----------
    name : str
        The photo's file, for messages.
    whole : (width, height)
        Size of the picture itself.
    lab : (h, w, 3) float32
        CIELAB less its broad light; 0 where no cloth is seen.
    soft : (h, w, 3) uint8
        Freed of noise, the light left in.
    seen : (h, w) bool
    from_whole : (3, 3) float64
        From the whole picture's pixels to the working copy's.
    unit_mm : float or None
        Millimetres per whole pixel where the picture was laid flat at a scale of its own.
    """

    name: str
    whole: tuple[int, int]
    lab: Lab
    soft: Bgr
    seen: Mask
    from_whole: Matrix
    unit_mm: float | None = None

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the working copy."""
        return self.seen.shape[1], self.seen.shape[0]

    def smaller(self, factor: float) -> View:
        """The same picture on a smaller working copy."""
        size = max(1, round(self.size[0] * factor)), max(1, round(self.size[1] * factor))
        lab, soft = (
            cv2.resize(raster, size, interpolation=cv2.INTER_AREA) for raster in (self.lab, self.soft)
        )
        seen = cv2.resize(self.seen.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
        back = resizing(size[0] / self.size[0], size[1] / self.size[1]) @ self.from_whole
        return replace(
            self,
            lab=np.asarray(lab, np.float32),
            soft=np.asarray(soft, np.uint8),
            seen=np.asarray(seen),
            from_whole=back,
        )

    def upside_down(self) -> View:
        """The picture as it is seen from the other side of the table."""
        lab, soft = np.ascontiguousarray(self.lab[::-1, ::-1]), np.ascontiguousarray(self.soft[::-1, ::-1])
        return replace(self, lab=lab, soft=soft, seen=np.ascontiguousarray(self.seen[::-1, ::-1]))

    @cached_property
    def half(self) -> View:
        """The working copy at half its size."""
        return self.smaller(0.5)

    @cached_property
    def slid(self) -> View:
        """A copy small enough to be slid over others at every shift."""
        return self.smaller(SLID_PX / max(self.size))

    @cached_property
    def energy(self) -> NDArray[np.float32]:
        """Variance of the patch round each pixel, CIELAB squared, (h, w)."""
        return patch_variance(self.lab)

    @cached_property
    def sharpness(self) -> float:
        """Share of the picture's contrast that is finer than ``FINE_PX``."""
        fine = self.lab - cv2.GaussianBlur(self.lab, (0, 0), FINE_PX)
        return float(fine[self.seen].std() / max(float(self.lab[self.seen].std()), 1e-6))

    @cached_property
    def features(self) -> Features:
        """Keypoints on lightness and colour together: prints that differ in hue alone are common."""
        grey = self.lab @ np.array([1.0, 0.6, 0.6], np.float32)
        low, high = np.percentile(grey[self.seen], (0.5, 99.5)) if self.seen.any() else (0.0, 1.0)
        eight = np.clip((grey - low) / max(high - low, 1e-6) * 255, 0, 255).astype(np.uint8)
        found, raw = cv2.SIFT.create(MOST_FEATURES, contrastThreshold=0.02).detectAndCompute(
            eight, self.seen.astype(np.uint8)
        )
        if raw is None or not found:
            return Features(np.zeros(0), np.zeros(0), np.zeros((0, 128), np.float32))
        root = np.sqrt(raw / np.maximum(raw.sum(1, keepdims=True), 1e-6))
        return Features(
            np.array([k.size for k in found], float),
            np.deg2rad([k.angle for k in found]),
            np.asarray(root, np.float32),
        )


def view(name: str, bgr: Bgr, mask: Mask | None = None, *, unit_mm: float | None = None) -> View:
    """Working copy of a picture that shows cloth where the mask is true."""
    height, width = bgr.shape[:2]
    factor = min(1.0, WORKING_PX / max(height, width))
    size = max(1, round(width * factor)), max(1, round(height * factor))
    small = np.asarray(cv2.resize(bgr, size, interpolation=cv2.INTER_AREA), np.uint8)
    seen = np.ones(size[::-1], bool)
    if mask is not None:
        seen = np.asarray(cv2.resize(mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0)
    back = resizing(size[0] / width, size[1] / height)
    soft = np.asarray(cv2.GaussianBlur(small, (0, 0), NOISE_PX), np.uint8)
    return View(name, (width, height), _without_light(small, seen), soft, seen, back, unit_mm)


def flat_view(cloth: FlatCloth) -> View:
    """Working copy of a flat picture, the object of known size with it: it lies still on the cloth.

    The photo's own outline is convex, so it is the hull of what was left of it.
    """
    edge, _ = cv2.findContours(cloth.mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    hull = cv2.convexHull(np.concatenate(edge))
    whole = cv2.fillConvexPoly(np.zeros(cloth.mask.shape, np.uint8), hull, 1)
    return view(cloth.photo.file, cloth.bgr, np.asarray(whole > 0), unit_mm=cloth.mm_per_px)


def common_colours(one: View, other: View) -> float:
    """Share of colours, as they stand off each picture's light, that two views have in common."""
    edges = np.arange(-COLOUR_REACH, COLOUR_REACH + COLOUR_STEP, COLOUR_STEP)
    counts = []
    for small in (one.half, other.half):
        colours = np.clip(small.lab[small.seen], 1 - COLOUR_REACH, COLOUR_REACH - 1)
        histogram, _ = np.histogramdd(colours, bins=(edges, edges, edges))
        counts.append(histogram / max(float(histogram.sum()), 1.0))
    return float(np.minimum(*counts).sum())


def _summed(picture: Lab) -> NDArray[np.float32]:
    """Sum over three channels, many times as quick as numpy's own over so few."""
    return np.asarray(cv2.transform(picture, np.ones((1, 3), np.float32)), np.float32)


def patch_variance(picture: Lab) -> NDArray[np.float32]:
    """Variance of the patch round each pixel, summed over channels, (h, w)."""
    box = (PATCH_PX, PATCH_PX)
    mean = cv2.blur(picture, box)
    return np.asarray(cv2.blur(_summed(picture * picture), box) - _summed(mean * mean), np.float32)


def moved(places: Matrix, move: NDArray[np.floating[Any]]) -> Matrix:
    """Places (n, 2) moved by a homography."""
    return np.asarray(
        cv2.perspectiveTransform(np.asarray(places, np.float64)[:, None], move)[:, 0], np.float64
    )


def corners_of(size: tuple[int, int]) -> Matrix:
    """Middles of a picture's corner pixels (4, 2), in order round it."""
    right, low = size[0] - 1, size[1] - 1
    return np.array([[0, 0], [right, 0], [right, low], [0, low]], dtype=np.float64)


def resizing(x: float, y: float) -> Matrix:
    """From a picture's pixels (middles at whole numbers) to those of a copy so many times as large."""
    return np.array([[x, 0, x / 2 - 0.5], [0, y, y / 2 - 0.5], [0, 0, 1.0]])


def broad_light(picture: Lab, seen: Mask) -> Lab:
    """Mean colour round about each pixel, (H, W, 3), of what is seen."""
    small, total = summed_light(picture, seen)
    return enlarged(small / np.maximum(total, 1e-6)[..., None], seen.shape)


def summed_light(picture: NDArray[Any], seen: Mask, longest: int = LIGHT_PX) -> tuple[Lab, Lab]:
    """Blurred sum of colours (h, w, 3), and of what is seen (h, w), on a copy of this longest side."""
    height, width = seen.shape
    factor = longest / max(height, width)
    size = max(1, round(width * factor)), max(1, round(height * factor))
    shown = np.where(seen[..., None], picture, np.zeros(1, picture.dtype))
    small = cv2.resize(shown, size, interpolation=cv2.INTER_AREA).astype(np.float32)
    share = cv2.resize(seen.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    light, total = (cv2.GaussianBlur(part, (0, 0), LIGHT_PX / LIGHT_SHARE) for part in (small, share))
    return np.asarray(light, np.float32), np.asarray(total, np.float32)


def enlarged(light: NDArray[np.floating[Any]], shape: tuple[int, ...]) -> Lab:
    """A small copy's light for a picture of this shape."""
    whole = cv2.resize(light.astype(np.float32), shape[1::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(whole, np.float32)


def _without_light(picture: Bgr, seen: Mask) -> Lab:
    lab = np.asarray(cv2.cvtColor(picture.astype(np.float32) / 255, cv2.COLOR_BGR2LAB), np.float32)
    plain = cv2.GaussianBlur(lab, (0, 0), NOISE_PX) - broad_light(lab, seen)
    return np.asarray(plain * seen[..., None], dtype=np.float32)
