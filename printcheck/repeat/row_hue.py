"""Is one row of cells of another hue? Checks whose every third or fourth line is of another dye.

Their lightness repeats at a fraction of the whole, and with a handful of cells in view no wave and no
ratio of powers tells one foreign row from folds and shading. Hue does: light multiplies all channels, so
colour as a share of lightness stays the same in any light and on any fold. A row is of another hue where
it differs in that from the others by more than its own cells differ among themselves.
"""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Mask, summed
from printcheck.repeat.refine import Fit
from printcheck.repeat.superlattice import BLACK, binned

CELL_PX = 32  # longest cell side in the test, which blurs by more than a pixel anyway
FEWEST_ROWS, MOST_ROWS = 2, 6  # more rows are told apart by waves and bands
BLUR_SHARE = 0.04  # sigma, of the cell side: colour is noisy, and JPEG keeps it at half the resolution
SHIFT_SHARE = 0.05  # of the cell side: by as much may the stiff map of few cells miss an edge
LEAST_LIKE = 0.7  # correlation of a cell's lightness with the mean cell's: less is another print
DARKEST = 8.0  # CIELAB from black: below it hue is noise
BRIGHTEST = 0.85  # of the lightest place: lighter ones may be burnt out, and then have no hue
LEAST_CELLS = 2  # in a row, and in the others: one cell does not speak for a row
LEAST_ROW = 0.5  # of the cell's places that a row must show so often: light is odd at the picture's rim
LEAST_SHOWN = 0.5  # of the cell's places that a row and the others must show together
LEAST_SIZE = 1.0  # CIELAB, root mean square over the cell: a seventh of it just noticeably different (2.7)
LEAST_RATIO = 0.75  # to the scatter within the row: like rows of that size reached 0.54, foreign ones 0.85


def has_row_of_another_hue(fit: Fit, colour: Image) -> bool:
    """Whether a row of cells, along either vector, differs in hue by more than its own cells do.

    Parameters
    ----------
    fit : Fit
    colour : (3,) float32
        The mean colour that was taken off the cells.
    """
    if min(fit.weight.shape[:2]) > MOST_ROWS + 2:  # the outermost are hardly seen
        return False
    shrink = tuple(-(-side // CELL_PX) for side in fit.mean.shape[:2])
    whole = binned(fit.weight[..., None], shrink)[..., 0] > 0.99
    cells = binned(fit.cells, shrink)
    hues, seen = _hues(cells + colour + BLACK, whole.astype(np.float32))
    depth = binned(fit.mean[None, None], shrink)[0, 0, :, :, 0] + (colour + BLACK)[0]
    depth = np.where(depth < BRIGHTEST * depth.max(), depth, 0)
    alike = seen & _same_print(cells[..., 0], seen)[..., None, None]
    return any(
        _one_stands_apart(hues.transpose(*axes, 4), seen.transpose(axes), depth)
        and _one_stands_apart(hues.transpose(*axes, 4), alike.transpose(axes), depth)
        for axes in ((0, 1, 2, 3), (1, 0, 2, 3))
    )


def _same_print(light: Image, seen: Mask) -> Mask:
    """Cells (nj, ni) whose lightness follows the others': what lies beyond the cloth has its own hue."""
    count = np.maximum(seen.sum(axis=(0, 1)), 1)
    mean = (light * seen).sum(axis=(0, 1)) / count
    here = np.maximum(seen.sum(axis=(2, 3)), 1)[..., None, None]
    a, b = light * seen, mean * seen
    a, b = (part - part.sum(axis=(2, 3), keepdims=True) / here * seen for part in (a, b))
    power = np.sqrt(np.square(a).sum(axis=(2, 3)) * np.square(b).sum(axis=(2, 3)))
    return np.asarray((a * b).sum(axis=(2, 3)) >= LEAST_LIKE * power)


def _hues(lab: Image, weight: Image) -> tuple[Image, Mask]:
    """Colour as a share of lightness in each cell, smoothed, (nj, ni, ch, cw, 2), and where it is seen."""
    ch, cw = weight.shape[2:]
    across, down = max(BLUR_SHARE * cw, 0.5), max(BLUR_SHARE * ch, 0.5)

    def smooth(cell: Image) -> Image:
        return np.asarray(cv2.GaussianBlur(cell, (0, 0), across, sigmaY=down, borderType=cv2.BORDER_CONSTANT))

    shares = lab[..., 1:] / np.maximum(lab[..., :1], DARKEST) * weight[..., None]
    known = np.stack([smooth(cell) for cell in weight.reshape(-1, ch, cw)]).reshape(weight.shape)
    total = np.stack([smooth(cell) for cell in np.asarray(shares, np.float32).reshape(-1, ch, cw, 2)])
    seen = np.asarray((known > 0.5) & (weight > 0))
    hues = total.reshape(shares.shape) / np.maximum(known, 0.5)[..., None] * seen[..., None]
    return np.asarray(hues, np.float32), seen


def _one_stands_apart(hues: Image, seen: Mask, depth: Image) -> bool:
    """Whether one row along the first axis differs from the others."""
    count = seen.sum(axis=1).astype(np.float32)
    rows = np.flatnonzero((count >= LEAST_CELLS).mean(axis=(1, 2)) > LEAST_ROW)
    if not FEWEST_ROWS <= len(rows) <= MOST_ROWS:
        return False
    totals = hues.sum(axis=1)
    for j in rows:
        others = rows[rows != j]
        there = count[others].sum(axis=0)
        shown = (count[j] >= LEAST_CELLS) & (there >= LEAST_CELLS)
        if shown.mean() < LEAST_SHOWN:
            continue
        mean = totals[j] / np.maximum(count[j], 1)[..., None]
        rest = totals[others].sum(axis=0) / np.maximum(there, 1)[..., None]
        size = _rms(_apart(mean, rest, shown) * depth, shown)
        if size >= LEAST_SIZE and size >= LEAST_RATIO * _rms(_scatter(hues[j], seen[j]) * depth, shown):
            return True
    return False


def _apart(row: Image, rest: Image, shown: Mask) -> Image:
    """By how much a row's hue lies outside what the others show near by, once a common cast is taken off."""
    cast = np.median((row - rest)[shown], axis=0)
    reach = [2 * max(1, round(SHIFT_SHARE * side)) + 1 for side in rest.shape[:2]]
    near = np.ones(reach, np.uint8)
    above = row - cast - cv2.dilate(rest, near)
    below = cv2.erode(rest, near) - row + cast
    return np.asarray(np.hypot(*np.moveaxis(np.maximum(0, np.maximum(above, below)), -1, 0)))


def _scatter(hues: Image, seen: Mask) -> Image:
    """Standard deviation of the hue between the cells (n, ch, cw, 2) of a row at each place."""
    count = seen.sum(axis=0)
    mean = hues.sum(axis=0) / np.maximum(count, 1)[..., None]
    off = summed(np.square(hues - mean)) * seen
    return np.asarray(np.sqrt(off.sum(axis=0) / np.maximum(count - 1, 1)))


def _rms(values: Image, where: Mask) -> float:
    return float(np.sqrt(np.square(values[where]).mean()))
