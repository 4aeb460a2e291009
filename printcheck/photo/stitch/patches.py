"""Small patches of one picture looked for in another, near where a movement puts them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.core.parabola import peak_offset
from printcheck.photo.stitch.view import PATCH_PX, Matrix, View, moved, patch_variance

LEAST_CONTRAST = 1.0  # CIELAB, rms: a barer patch shows nothing but noise
STAYS = (
    0.02  # of correlation, that a patch at the edge of its reach costs: along an edge all places are alike
)
BLUNT = 0.02  # of correlation a pixel off: noise and light bend it as much, and move the top by a pixel
UNTOLD = 1.7  # CIELAB, rms: what noise and broad light leave between two photos of one place
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
    unlike : float
        Share of what all patches show in either that is left between the two; NaN where they show nothing.
    """

    pairs: Matrix
    tensors: Matrix
    unlike: float


def matched(new: View, old: View, move: Matrix, reach: int, *, most: int | None = None) -> Matched:
    """Patches of the overlap, looked for near where the movement puts them.

    They lie side by side; where at most so many are asked for, by half over one another or farther apart.
    """
    laid = np.asarray(cv2.warpPerspective(new.lab, move, old.size, flags=cv2.INTER_LINEAR), np.float32)
    cover = cv2.warpPerspective(new.seen.astype(np.uint8), move, old.size, flags=cv2.INTER_NEAREST)
    both = ((cover > 0) & old.seen).astype(np.uint8)
    whole = cv2.erode(both, np.ones((PATCH_PX, PATCH_PX), np.uint8), borderValue=0) > 0
    energy, energy_laid = old.energy, patch_variance(laid)
    half = PATCH_PX // 2
    side = (2 * reach + 1) * 1j
    stay = STAYS * sum(np.square(np.mgrid[-1:1:side, -1:1:side]))
    field = np.pad(old.lab, ((reach, reach), (reach, reach), (0, 0)))
    shown = whole & (np.maximum(energy, energy_laid) >= LEAST_CONTRAST**2)
    every = PATCH_PX if most is None else max(half, math.ceil(math.sqrt(shown.sum() / most)))
    pairs, likeness, energies, told = [], [], [], []
    for y, x in half + every * np.argwhere(shown[half::every, half::every]):
        patch = laid[y - half : y + half + 1, x - half : x + half + 1]
        wide = field[y - half : y + half + 1 + 2 * reach, x - half : x + half + 1 + 2 * reach]
        alike = np.asarray(cv2.matchTemplate(wide, patch, cv2.TM_CCOEFF_NORMED), np.float32)
        _, _, _, (i, j) = cv2.minMaxLoc(alike - stay)
        best = float(alike[j, i])
        energies.append((float(energy[y, x]), float(energy_laid[y, x])))
        likeness.append(max(0.0, best))
        if best >= LEAST_CORRELATION and 0 < i < 2 * reach and 0 < j < 2 * reach:
            told.append(_bend(alike[j - 1 : j + 2, i - 1 : i + 2]))
            off_x, off_y = peak_offset(*alike[j, i - 1 : i + 2]), peak_offset(*alike[j - 1 : j + 2, i])
            pairs.append(((x, y), (x + i - reach + off_x, y + j - reach + off_y)))
    found = np.array(pairs, dtype=np.float64).reshape(-1, 2, 2)
    if len(found):
        found[:, 0] = moved(found[:, 0], np.linalg.inv(move))
    return Matched(
        found,
        _told(np.array(told, dtype=np.float64).reshape(-1, 2, 2)),
        _unlike(np.array(energies, dtype=np.float64).reshape(-1, 2), np.array(likeness)),
    )


def _bend(around: NDArray[np.float32]) -> NDArray[np.float64]:
    """How sharply correlation falls off round a place (3, 3), (2, 2)."""
    (a, b, c), (d, e, f), (g, h, i) = around.tolist()
    return np.array([[2 * e - d - f, (c + g - a - i) / 4], [(c + g - a - i) / 4, 2 * e - b - h]])


def _told(bends: NDArray[np.float64]) -> NDArray[np.float64]:
    """How well that tells places either way, 1 at best: edges slide along themselves, shades both ways."""
    sharp, ways = np.linalg.eigh(bends)
    sharp = np.square(np.maximum(sharp, 0.0))
    return np.asarray((ways * (sharp / (sharp + BLUNT**2))[:, None]) @ ways.transpose(0, 2, 1), np.float64)


def _unlike(energies: NDArray[np.float64], likeness: NDArray[np.float64]) -> float:
    """Mean share of variance left of patches, of variances (n, 2) and correlations (n,), at one gain for all.

    Exposures differ by a gain; a patch that asks for another shows something else.
    """
    if not len(likeness):
        return math.nan
    one, other = np.sqrt(energies.T)
    other = other * float(np.median(one / np.maximum(other, 1e-6)))
    left = one**2 - 2 * likeness * one * other + other**2
    return float((left / (UNTOLD**2 + energies.max(1))).mean())
