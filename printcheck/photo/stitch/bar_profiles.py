"""Where a print of crossing bars may lie on another picture of it, by its two profiles.

Bars both ways make a print that is about a sum of two profiles, so that what two pictures of it have in
common is the sum of what their profiles have in common: size and shifts are found in one dimension each.
Broad bars have few features, and a correlation in two dimensions at few sizes misses the true one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft, next_fast_len, rfft
from skimage.feature import peak_local_max

from printcheck.photo.stitch.view import Matrix, View, corners_of, moved

Floats = NDArray[np.float64]

EDGE_PX = 2.0  # sigma, half copies: what threads and noise stay below
BARS = 0.5  # share of the edges that run along two directions: figures have a third at most
CROSSED = 0.2  # of 1 for as many edges one way as the other, 0 for stripes
ZOOMS = np.exp(np.arange(-0.24, 0.241, 0.01))  # about the usual one
USUAL_ZOOM = 0.1  # one sigma of its logarithm
FROM_USUAL = 0.04  # of correlation, that the first sigma off costs
PEAKS = 6  # of each profile and size
NEXT_PX = 5  # between peaks, half copies
SHOWN = 0.3  # of a picture's side: what is seen less far across tells too little


@dataclass(frozen=True)
class _Upright:
    """Mean colours along the bars: profile (n, 3) and what is seen of it (n,), across and down."""

    profiles: tuple[tuple[Floats, Floats], ...]
    move: Matrix  # from the half copy's pixels


def bar_angle(view: View) -> float | None:
    """Turn of crossing bars off the axes, radians, at most 45 degrees; None where there are none."""
    soft = cv2.GaussianBlur(view.half.lab, (0, 0), EDGE_PX)
    seen = cv2.erode(view.half.seen.astype(np.uint8), np.ones((9, 9), np.uint8), borderValue=0) > 0
    slope = (cv2.Sobel(soft, cv2.CV_32F, 1, 0) + 1j * cv2.Sobel(soft, cv2.CV_32F, 0, 1))[seen]
    strength = np.square(np.abs(slope))
    whole = max(float(strength.sum()), 1e-6)
    fourfold = complex((slope**4 / np.maximum(strength, 1e-6)).sum())
    angle = float(np.angle(fourfold)) / 4
    across = float(np.square((slope * np.exp(-1j * angle)).real).sum()) / whole
    crossed = 4 * across * (1 - across)
    return angle if abs(fourfold) > BARS * whole and crossed > CROSSED else None


def bar_shifts(
    new: View, old: View, angles: tuple[float, float], usual: float
) -> Iterator[tuple[float, float, Matrix]]:
    """Movements at which the profiles agree both ways, with their correlation and overlap.

    ``angles`` are those of each picture's bars, ``usual`` the size at which the new picture is to be expected
    on the old one.
    """
    quarter = math.pi / 2
    turn = angles[1] + quarter * round((angles[0] - angles[1]) / quarter)
    a, b = _upright(new, angles[0]), _upright(old, turn)
    back = np.linalg.inv(b.move)
    for zoom in usual * ZOOMS:
        ways = [
            _agreeing(_resized(*one, zoom), other) for one, other in zip(a.profiles, b.profiles, strict=True)
        ]
        cost = FROM_USUAL * (math.log(zoom / usual) / USUAL_ZOOM) ** 2
        for x, across in ways[0]:
            for y, along in ways[1]:
                product, mine, theirs, _ = across + along
                share = float(across[3] * along[3])
                laid = back @ np.array([[zoom, 0, x], [0, zoom, y], [0, 0, 1.0]]) @ a.move
                yield product / math.sqrt(max(mine * theirs, 1e-9)) - cost, share, laid


def _upright(view: View, angle: float) -> _Upright:
    turn = np.vstack([cv2.getRotationMatrix2D((0, 0), math.degrees(angle), 1.0), [0, 0, 1]])
    corners = moved(corners_of(view.size), turn)
    turn[:2, 2] = -corners.min(0)
    size = tuple(int(v) for v in np.ceil(np.ptp(corners, axis=0)) + 1)
    lab = cv2.warpPerspective(view.lab, turn, size)
    seen = cv2.warpPerspective(view.seen.astype(np.float32), turn, size)
    profiles = []
    for axis in (0, 1):
        depth = seen.sum(axis)
        mean = (lab * seen[..., None]).sum(axis) / np.maximum(depth, 1.0)[:, None]
        shown = depth > SHOWN * min(view.size)
        profiles.append((mean * shown[:, None], shown.astype(float)))
    return _Upright(tuple(profiles), turn)


def _resized(profile: Floats, shown: Floats, zoom: float) -> tuple[Floats, Floats]:
    at = np.arange(math.ceil(len(shown) * zoom)) / zoom
    places = np.arange(len(shown))
    there = np.interp(at, places, shown) > 0.99
    colours = np.stack([np.interp(at, places, channel) for channel in profile.T], 1)
    return colours * there[:, None], there.astype(float)


def _agreeing(new: tuple[Floats, Floats], old: tuple[Floats, Floats]) -> list[tuple[int, Floats]]:
    """Shifts at which two profiles agree, each with their mean product, both energies and the share seen."""
    size = next_fast_len(len(new[1]) + len(old[1]), real=True)
    (a, seen_a, power_a), (b, seen_b, power_b) = (
        (rfft(p, size, axis=0), rfft(m, size), rfft(np.square(p).sum(1), size)) for p, m in (new, old)
    )
    spectra = [
        (b * a.conj()).sum(1),
        seen_b * power_a.conj(),
        power_b * seen_a.conj(),
        seen_b * seen_a.conj(),
    ]
    sums = np.fft.fftshift(irfft(np.array(spectra), size), axes=1)
    number = np.maximum(sums[3], 0.0)
    means = sums[:3] / np.maximum(number, 1.0)
    share = number / max(min(float(new[1].sum()), float(old[1].sum())), 1.0)
    alike = means[0] / np.sqrt(np.maximum(means[1] * means[2], 1e-9)) * np.minimum(share, 1.0) ** 0.25
    found = peak_local_max(  # type: ignore[no-untyped-call]
        alike, min_distance=NEXT_PX, threshold_abs=0.0, num_peaks=PEAKS, exclude_border=False
    )
    return [(int(at) - size // 2, np.array([*means[:, at], share[at]])) for at in found[:, 0]]
