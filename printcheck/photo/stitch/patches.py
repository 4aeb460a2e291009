"""Small patches of one picture looked for in another, near where a movement puts them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.core.handover import Bgr
from printcheck.core.parabola import peak_offset
from printcheck.photo.stitch.view import PATCH_PX, Lab, Matrix, View, moved, patch_variance

LEAST_CONTRAST = 1.0  # CIELAB, rms: a barer patch shows nothing but noise
# of correlation, that a patch at the edge of its reach costs: along an edge all places are alike
STAYS = 0.02
BLUNT = 0.02  # of correlation a pixel off: noise and light bend it as much, and move the top by a pixel
SPARSE_PX = 3  # between the pixels of a patch whose colours are compared: nearer ones are alike
TONE, LEVELS = 0.03, 1.5  # one sigma of a pixel's tone: share that light and JPEG leave, and levels of noise
DARKEST = 4.0  # levels added before the logarithm: below it is noise
ASIDE_PX = 0.5  # one sigma of how far off a patch is found: at edges colours differ by that alone
MOST_GAIN = 1.25  # of contrast between two cameras
LEAST_SHOWN = 0.05  # share of a patch's pixels that stand off it: less is noise
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
        Share of what the patches show that has another colour in the other picture; infinite where they
        show nothing.
    worst : float
        Share of what a patch shows that differs in the patch where most does: one odd motif among like ones.
    """

    pairs: Matrix
    tensors: Matrix
    unlike: float
    worst: float


def matched(new: View, old: View, move: Matrix, reach: int, *, most: int | None = None) -> Matched:
    """Patches of the overlap, looked for near where the movement puts them.

    They lie side by side; where at most so many are asked for, by half over one another or farther apart.
    """
    laid = np.asarray(cv2.warpPerspective(new.lab, move, old.size), np.float32)
    soft = np.asarray(cv2.warpPerspective(new.soft, move, old.size), np.uint8)
    cover = cv2.warpPerspective(new.seen.astype(np.uint8), move, old.size, flags=cv2.INTER_NEAREST)
    both = ((cover > 0) & old.seen).astype(np.uint8)
    whole = cv2.erode(both, np.ones((PATCH_PX, PATCH_PX), np.uint8), borderValue=0) > 0
    half = PATCH_PX // 2
    side = (2 * reach + 1) * 1j
    stay = STAYS * sum(np.square(np.mgrid[-1:1:side, -1:1:side]))
    field = np.pad(old.lab, ((reach, reach), (reach, reach), (0, 0)))
    shown = whole & (np.maximum(old.energy, patch_variance(laid)) >= LEAST_CONTRAST**2)
    every = PATCH_PX if most is None else max(half, math.ceil(math.sqrt(shown.sum() / most)))
    spots, pairs, told = [], [], []
    for y, x in half + every * np.argwhere(shown[half::every, half::every]):
        patch = laid[y - half : y + half + 1, x - half : x + half + 1]
        wide = field[y - half : y + half + 1 + 2 * reach, x - half : x + half + 1 + 2 * reach]
        alike = np.asarray(cv2.matchTemplate(wide, patch, cv2.TM_CCOEFF_NORMED), np.float32)
        _, _, _, (i, j) = cv2.minMaxLoc(alike - stay)
        best = float(alike[j, i])
        spots.append((y, x, y + j - reach, x + i - reach))
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
        *(_unlike(_tones(soft), _tones(old.soft), np.array(spots)) if spots else (math.inf, math.inf)),
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


def _unlike(mine: Lab, theirs: Lab, spots: NDArray[np.intp]) -> tuple[float, float]:
    """Share of what patches of two pictures show, at spots (n, 4) of the one and the other, that differs.

    Of all of them, and where most differs.

    Light falls otherwise on two photos, but over a patch alike: the ratios of its colours stay, or all grow
    by the cameras' contrasts. They are weighed by what noise makes of them, and at edges by what a patch a
    little aside does.
    """
    about = np.arange(-(PATCH_PX // 2), PATCH_PX // 2 + 1, SPARSE_PX)
    parts, variance = [], np.zeros(1, np.float32)
    for tones, at in ((mine, spots[:, :2]), (theirs, spots[:, 2:])):
        y, x = (np.clip(n[:, None] + about, 0, side - 1) for n, side in zip(at.T, tones.shape, strict=False))
        here = y[:, :, None], x[:, None, :]
        parts.append(tones[here].reshape(len(spots), -1, 3))
        variance = variance + _tone_variance(tones)[here].reshape(len(spots), -1)
    weight = 1 / variance[..., None]
    off = [part - (part * weight).sum(1, keepdims=True) / weight.sum(1, keepdims=True) for part in parts]
    contrasts = [np.sqrt((np.square(part) * weight).mean(axis=(1, 2))) for part in off]
    gain = np.clip(np.median(contrasts[1] / np.maximum(contrasts[0], 1e-6)), 1 / MOST_GAIN, MOST_GAIN)
    differing, *shown = (_noticed(part, variance) for part in (gain * off[0] - off[1], *off))
    show = (shown[0] + shown[1]) / 2
    shares = [float(one(differing)) / max(float(one(show)), LEAST_SHOWN) for one in (np.mean, np.max)]
    return min(1.0, shares[0]), min(1.0, shares[1])


def _tones(soft: Bgr) -> Lab:
    """Logarithms of colours (h, w, 3), which light moves all alike."""
    return np.asarray(cv2.LUT(soft, np.log(np.arange(256, dtype=np.float32) + DARKEST)), np.float32)


def _noticed(off: Lab, variance: NDArray[np.float32]) -> NDArray[np.float32]:
    """Share of each patch's pixels (n, pixels, 3) off, from 0 to 1 the surer it is (Geman, McClure 1987)."""
    squared = np.square(off).mean(2)
    return np.asarray((squared / (squared + variance)).mean(1), np.float32)


def _tone_variance(tones: Lab) -> NDArray[np.float32]:
    """Variance of each pixel's tone (h, w)."""
    steep = sum(np.square(cv2.Sobel(tones, cv2.CV_32F, *way, scale=1 / 8)) for way in ((1, 0), (0, 1)))
    noise = np.square(LEVELS * np.exp(-tones)) + ASIDE_PX**2 * cv2.blur(np.asarray(steep), (3, 3))
    return np.asarray(TONE**2 / 2 + noise.mean(2), np.float32)
