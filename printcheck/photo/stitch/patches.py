"""Small patches of one picture looked for in another, near where a movement puts them."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.core.parabola import peak_offset
from printcheck.photo.stitch.view import PATCH_PX, Matrix, View, moved, patch_variance

LEAST_CONTRAST = 1.0  # CIELAB, rms: a barer patch shows nothing but noise
LEAST_CORRELATION = 0.7  # of a patch with where it was found, to count as found


@dataclass(frozen=True)
class Matched:
    """Patches of the overlap.

    Parameters
    ----------
    pairs : (n, 2, 2) float64
        Those that were found: places in the one and the other.
    tensors : (n, 2, 2) float64
        How well each is told either way, 1 at best: along an edge a patch slides.
    residual, energy : (m,) float64
        Of all that show anything in either, CIELAB squared.
    """

    pairs: Matrix
    tensors: Matrix
    residual: NDArray[np.float64]
    energy: NDArray[np.float64]


def matched(new: View, old: View, move: Matrix, reach: int, every: int = PATCH_PX // 2) -> Matched:
    """Patches of the overlap, one in ``every`` pixels, looked for near where the movement puts them."""
    laid = np.asarray(cv2.warpPerspective(new.lab, move, old.size, flags=cv2.INTER_LINEAR), np.float32)
    cover = cv2.warpPerspective(new.seen.astype(np.uint8), move, old.size, flags=cv2.INTER_NEAREST)
    both = ((cover > 0) & old.seen).astype(np.uint8)
    whole = cv2.erode(both, np.ones((PATCH_PX, PATCH_PX), np.uint8), borderValue=0) > 0
    energy, energy_laid, tensors = old.energy, patch_variance(laid), old.tensors
    half, (width, height) = PATCH_PX // 2, old.size
    field = np.pad(old.lab, ((reach, reach), (reach, reach), (0, 0)))
    shown = np.maximum(energy, energy_laid) >= LEAST_CONTRAST**2
    pairs, likeness, energies, told = [], [], [], []
    for y in range(half, height - half, every):
        for x in range(half, width - half, every):
            if not (whole[y, x] and shown[y, x]):
                continue
            patch = laid[y - half : y + half + 1, x - half : x + half + 1]
            wide = field[y - half : y + half + 1 + 2 * reach, x - half : x + half + 1 + 2 * reach]
            alike = np.asarray(cv2.matchTemplate(wide, patch, cv2.TM_CCOEFF_NORMED), np.float32)
            _, best, _, (i, j) = cv2.minMaxLoc(alike)
            energies.append((float(energy[y, x]), float(energy_laid[y, x])))
            likeness.append(max(0.0, best))
            if best >= LEAST_CORRELATION and 0 < i < 2 * reach and 0 < j < 2 * reach:
                told.append(tensors[y, x])
                off_x, off_y = peak_offset(*alike[j, i - 1 : i + 2]), peak_offset(*alike[j - 1 : j + 2, i])
                pairs.append(((x, y), (x + i - reach + off_x, y + j - reach + off_y)))
    found = np.array(pairs, dtype=np.float64).reshape(-1, 2, 2)
    if len(found):
        found[:, 0] = moved(found[:, 0], np.linalg.inv(move))
    both_energies = np.array(energies, dtype=np.float64).reshape(-1, 2)
    tensor = np.array(told, dtype=np.float64).reshape(-1, 2, 2)
    return Matched(found, tensor, _left(both_energies, np.array(likeness)), both_energies.max(1))


def _left(energies: NDArray[np.float64], likeness: NDArray[np.float64]) -> NDArray[np.float64]:
    """Variance left of each patch, of variances (n, 2) and correlations (n,), at one gain for all.

    Exposures differ by a gain; a patch that asks for another shows something else.
    """
    if not len(likeness):
        return likeness
    one, other = np.sqrt(energies.T)
    gain = float(np.median(one / np.maximum(other, 1e-6)))
    return np.asarray(one**2 - 2 * gain * likeness * one * other + (gain * other) ** 2)
