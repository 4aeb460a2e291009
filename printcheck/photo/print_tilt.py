"""The camera's tilt as the print itself shows it, where no object of known size does.

A print repeats evenly, so its spectrum is a set of sharp lines. Seen at a slant it repeats faster at one
side than at the other, and the lines are drawn out. The tilt that, once undone, gathers the spectrum most
is that of the camera (shape from texture; Garding 1992, Malik and Rosenholtz 1997, by another measure).
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import cv2
import numpy as np

from printcheck.core.findings import finding
from printcheck.core.handover import Bgr, FlatCloth, Floats, Lab, Picture
from printcheck.photo.flatten import Selvedge, lay_flat, quarter_turned
from printcheck.photo.scale.pose import TYPICAL_FOCAL
from printcheck.photo.scale.sighting import Sighting, centre_px, untilted

LONGEST_PX = 320  # px: a tilt shows in the print as a whole
BROAD = 1 / 8  # of the short side, sigma: light and shade, which no repeat of interest is as broad as
STEPS = (-0.3, -0.15, 0.0, 0.15, 0.3)  # tangents tried each way, up to 23 degrees off the square
FINEST = 0.01  # tangent, half a degree
STEEPEST = 0.5  # tangent, 27 degrees: what seems steeper is no flat cloth
GAIN = 1.1  # times as gathered as without the tilt: less is chance, and a second search costs as much again
LEAST = 0.05  # tangent: a print tells the tilt to within two degrees (own drawings)


def flattened_by_print(cloth: FlatCloth, *, selvedge: Selvedge = "vertical") -> FlatCloth | None:
    """The same photo laid flat by the tilt that its print shows.

    Parameters
    ----------
    cloth : FlatCloth
        One photo, laid flat as if it were taken from straight above, for want of anything that tells.
    selvedge : {"vertical", "horizontal"}, keyword-only
        As it was laid flat with.

    Returns
    -------
    FlatCloth or None
        Its scale is that of before at the photo's middle. None where the print shows no tilt.
    """
    if cloth.photo_bgr is None:
        return None
    width = cloth.photo.width_px
    picture = Picture(cloth.photo, cloth.photo_bgr, width / cloth.photo_bgr.shape[1])
    tangent = _tangent(cloth.photo_bgr)
    if tangent is None:
        return None
    focal = TYPICAL_FOCAL * max(width, cloth.photo.height_px)
    tilted = _to_photo(tangent, focal, centre_px(picture))
    degrees = math.degrees(math.atan(math.hypot(*tangent)))
    sighting = Sighting(
        "given",
        cloth.scale.object,
        untilted(cloth.scale.mm_per_px) @ np.linalg.inv(tilted),
        cloth.scale.relative_error,
        degrees,
        cloth.outline_px,
        findings=(*cloth.findings, finding("tilt-by-print", degrees=degrees)),
        scale_known=cloth.scale_known,
    )
    flat = lay_flat(picture, sighting)
    flat = replace(flat, scale=replace(flat.scale, source=cloth.scale.source))
    return quarter_turned(flat) if selvedge == "horizontal" else flat


def _tangent(bgr: Bgr) -> tuple[float, float] | None:
    """Tangent of the tilt, in the picture to the right and down, towards which the cloth comes nearer."""
    lab = _print_of(bgr)

    @cache  # the search comes back to where it was
    def gathered(tangent: tuple[float, float]) -> float:
        return _gathered(lab, tangent)

    found = max(((x, y) for x in STEPS for y in STEPS), key=gathered)
    step = (STEPS[1] - STEPS[0]) / 2
    while step >= FINEST and math.hypot(*found) <= STEEPEST:
        x, y = found
        around = [found, (x + step, y), (x - step, y), (x, y + step), (x, y - step)]
        best = max(around, key=gathered)
        if best == found:
            step /= 2
        found = best
    shown = LEAST <= math.hypot(*found) <= STEEPEST and gathered(found) > GAIN * gathered((0.0, 0.0))
    return found if shown else None


def _print_of(bgr: Bgr) -> Lab:
    """The picture made small, in CIELAB, without what is broader than a print."""
    height, width = bgr.shape[:2]
    factor = min(1.0, LONGEST_PX / max(width, height))
    size = max(8, round(width * factor)), max(8, round(height * factor))
    small = cv2.resize(bgr, size, interpolation=cv2.INTER_AREA).astype(np.float32) / np.float32(255)
    lab = cv2.cvtColor(small, cv2.COLOR_BGR2LAB)
    return np.asarray(lab - cv2.GaussianBlur(lab, (0, 0), BROAD * min(size)), np.float32)


def _gathered(lab: Lab, tangent: tuple[float, float]) -> float:
    """How far the power of the spectrum is gathered in few places, once this tilt is undone."""
    height, width = lab.shape[:2]
    centre = (width - 1) / 2, (height - 1) / 2
    to_photo = _to_photo(tangent, TYPICAL_FOCAL * max(width, height), centre)
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    flat = cv2.warpPerspective(lab, to_photo, (width, height), flags=flags)
    window = np.outer(np.hanning(height), np.hanning(width)).astype(np.float32)
    spectrum = np.fft.rfft2(flat * window[..., None], axes=(0, 1))
    power = np.square(np.abs(spectrum)).sum(axis=2)
    return float(np.square(power).sum() / max(float(power.sum()), 1e-12) ** 2)


def _to_photo(tangent: tuple[float, float], focal: float, centre: tuple[float, float]) -> Floats:
    """Homography to the photo from the flat picture, which keeps the photo's middle and its scale there."""
    size = math.hypot(*tangent)
    cosine = 1 / math.hypot(1, size)
    across, down = (part / size for part in tangent) if size else (1.0, 0.0)
    turn = np.array([[across, -down, 0], [down, across, 0], [0, 0, 1.0]])
    even = 1 / math.sqrt(cosine)  # the lengthwise squeeze of the slant shared among both ways
    seen = np.diag([cosine * even, even, 1.0])
    seen[2, 0] = -size * cosine * even / focal
    move = np.array([[1, 0, centre[0]], [0, 1, centre[1]], [0, 0, 1.0]])
    return np.asarray(move @ turn @ seen @ turn.T @ np.linalg.inv(move))
