"""What each cell shows beyond the mean cell, once light and small shifts are taken off."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors, cut_up, laid_out, slopes_of

WIDEST_LIGHT = 0.25  # of the picture's short side: light and folds are no finer
LIGHT_CELLS = 2.0  # what alternates from cell to cell has no mean over two
STRAIN_CELLS = 1.0  # sigma: leaves a hundredth of what alternates from cell to cell
FARTHEST_SHIFT_PX = 0.6  # working pixels: what the smooth map leaves of the cloth's strain


def residual_of(short_side: int, left: Image, weight: Image, mean: Image, basis: Vectors) -> Image:
    """What the mean cell leaves, less its small shifts, less the local mean, (nj, ni, ch, cw, 3).

    Parameters
    ----------
    short_side : int
        Of the working picture, pixels.
    left : (nj, ni, ch, cw, 3) float32
        Cells less the mean cell, 0 where not seen.
    weight : (nj, ni, ch, cw) float32
    mean : (ch, cw, 3) float32
    basis : (2, 2) float64
        Lattice vectors in working pixels.
    """
    left = left - _shifts(left, weight, mean, basis)
    return _without_light(left, weight, short_side * WIDEST_LIGHT / np.hypot(*basis.T))


def _shifts(left: Image, weight: Image, mean: Image, basis: Vectors) -> Image:
    """What moving each cell as a whole by a fraction of a pixel explains."""
    nj, ni, ch, cw = weight.shape
    per_px = (cw, ch) / np.hypot(*basis.T)
    # change per working pixel along each vector
    slopes = np.stack([s * np.float32(n) for s, n in zip(slopes_of(mean), per_px, strict=True)])
    pulls = left.reshape(nj * ni, -1) @ slopes.reshape(2, -1).T
    products = np.einsum("arck,brck->abrc", slopes, slopes).reshape(4, -1)
    normal = (weight.reshape(nj * ni, -1) @ products.T).reshape(-1, 2, 2)
    normal += (1e-3 * normal.trace(axis1=1, axis2=2)[:, None, None] + 1e-6) * np.eye(2, dtype=np.float32)
    pulls = _spread(pulls.reshape(nj, ni, 2)).reshape(-1, 2)
    normal = _spread(normal.reshape(nj, ni, 4)).reshape(-1, 2, 2)
    moves = np.linalg.solve(normal, pulls[..., None])[..., 0]
    far = np.maximum(np.hypot(*moves.T) / FARTHEST_SHIFT_PX, 1)[:, None]
    explained = (moves / far).astype(np.float32) @ slopes.reshape(2, -1)
    return np.asarray(explained.reshape(left.shape) * weight[..., None])


def _spread(values: Image) -> Image:
    """Values of the cells smoothed over their neighbours: cloth strains smoothly, prints alternate."""
    whole = values.astype(np.float32)
    smooth = cv2.GaussianBlur(whole, (0, 0), STRAIN_CELLS, borderType=cv2.BORDER_CONSTANT)
    return np.asarray(smooth, dtype=np.float32).reshape(values.shape)


def _without_light(left: Image, weight: Image, widest: Vectors) -> Image:
    """Residual less its mean over a window of two cells, or of what light is no finer than."""
    ch, cw = weight.shape[2:]
    plane, seen = laid_out(left), laid_out(weight)
    across, down = (min(LIGHT_CELLS, float(cells)) for cells in widest)
    window = (2 * round(across * cw / 2) + 1, 2 * round(down * ch / 2) + 1)
    total = cv2.boxFilter(plane, -1, window, normalize=False, borderType=cv2.BORDER_CONSTANT)
    count = cv2.boxFilter(seen, -1, window, normalize=False, borderType=cv2.BORDER_CONSTANT)
    plane -= total / np.maximum(count, 1)[..., None]
    plane *= seen[..., None]
    return np.asarray(cut_up(plane, (ch, cw)))
