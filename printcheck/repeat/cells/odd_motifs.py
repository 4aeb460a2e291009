"""One odd motif in a regular field: a few cells in another colour make the true repeat a larger one.

Two of sixteen flowers in teal change so little that no wave over the cells shows them. But they stand far
out of what like cells differ by, they look alike and differ where the motif stands alone; a fault, a finger
or what lies beside the cloth does not. Where the odd cells come again by whole steps of cells that keep the
others among themselves as well, those steps are the larger lattice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Mask, Places, Vectors, summed
from printcheck.repeat.cells.refine import Fit
from printcheck.repeat.surface.candidates import reduced

CELL_PX = 16  # side of the cells that are compared: motifs, not edges
BLUR_PX = 1.5  # sigma there: a tenth of a cell, which edges that do not quite meet stay below
STANDS_OUT = 5.0  # times what the usual cell departs from the usual one
NOTICEABLE = 6.0  # CIELAB: another colour, not another light
ALIKE = 0.8  # correlation of the departures of two odd cells
ITS_MOTIF = 0.5  # correlation of where an odd cell departs with where the motif stands: a stain lies anywhere
SAME_GROUND = 0.2  # of an odd cell that is as in the others
MOST_ODD = 0.35  # of the cells: more are no exception
WHOLLY, PARTLY = 0.8, 0.5  # of a cell seen: to be called usual, to be called odd
FEWEST = 6  # cells that say what is usual
MOST_CELLS = 36  # of the larger repeat: six by six


@dataclass(frozen=True)
class OddMotifs:
    """That some cells are odd, the larger lattice (2, 2) by which they come again, if by any, how likely."""

    basis: Vectors | None = None
    probability: float = 0.0


def odd_motifs(fit: Fit) -> OddMotifs | None:
    """What odd cells say of a fitted lattice; None where there are none."""
    cells, share, motif = _small(fit)
    seen = share > WHOLLY
    if seen.sum() < FEWEST:
        return None
    off = np.asarray(cells - np.median(cells[seen], axis=0), np.float32)
    apart = np.sqrt(np.square(off).sum(axis=-1)).reshape(*seen.shape, -1)
    size = np.asarray(apart.max(axis=-1), np.float32)
    outside = (share > PARTLY) & (size > max(NOTICEABLE, STANDS_OUT * float(np.median(size[seen]))))
    if not 1 <= outside.sum() <= MOST_ODD * seen.sum():
        return None
    odd = outside & _alike(off, size, outside) & ((apart < NOTICEABLE).mean(axis=-1) > SAME_GROUND)
    odd &= _correlation(apart, motif.ravel()) > ITS_MOTIF
    if not odd.any() or 2 * odd.sum() < outside.sum():
        return None
    steps = _steps(odd, seen | odd)  # of a usual cell in part the odd motif may be what is not seen
    return OddMotifs() if steps is None else OddMotifs(reduced(steps[0] @ fit.basis), steps[1])


def _small(fit: Fit) -> tuple[Image, Image, Image]:
    """Softened residuals of the cells (nj, ni, h, w, 3), their share that is seen, and the motif (h, w).

    The motif is how far the mean cell stands off its usual colour.
    Cut anew so that what differs most from cell to cell lies in their middle, not across their edges.
    """
    sheet, seen = _sheet(fit.residual), _sheet(fit.weight)
    sheet = np.asarray(cv2.GaussianBlur(sheet, (0, 0), BLUR_PX), np.float32)
    power = _cut(summed(np.square(sheet)) * seen, (0, 0)).sum(axis=(0, 1))
    power = np.asarray(cv2.GaussianBlur(np.tile(power, (3, 3)), (0, 0), BLUR_PX))
    power = power[CELL_PX : 2 * CELL_PX, CELL_PX : 2 * CELL_PX]
    y, x = np.unravel_index(int(power.argmax()), power.shape)
    start = (int(y) + CELL_PX // 2) % CELL_PX, (int(x) + CELL_PX // 2) % CELL_PX
    mean = np.roll(_sheet(fit.mean[None, None]), (-start[0], -start[1]), axis=(0, 1))
    motif = np.sqrt(np.square(mean - np.median(mean, axis=(0, 1))).sum(axis=-1))
    return _cut(sheet, start), np.asarray(_cut(seen, start).mean(axis=(2, 3))), np.asarray(motif, np.float32)


def _correlation(apart: Image, motif: Image) -> Image:
    """Correlation of where cells depart (nj, ni, places) with where the motif stands (places)."""
    a = apart - apart.mean(axis=-1, keepdims=True)
    b = motif - motif.mean()
    size = np.linalg.norm(a, axis=-1) * float(np.linalg.norm(b))
    return np.asarray(a @ b / np.maximum(size, 1e-6), np.float32)


def _sheet(cells: Image) -> Image:
    """Cells (nj, ni, h, w, ...) side by side, each shrunk to ``CELL_PX`` a side."""
    nj, ni, ch, cw = cells.shape[:4]
    whole = np.swapaxes(cells, 1, 2).reshape(nj * ch, ni * cw, *cells.shape[4:])
    return np.asarray(cv2.resize(whole, (ni * CELL_PX, nj * CELL_PX), interpolation=cv2.INTER_AREA))


def _cut(sheet: Image, start: tuple[int, int]) -> Image:
    """A sheet cut into cells (nj, ni, CELL_PX, CELL_PX, ...) from some row and column on."""
    part = sheet[start[0] :, start[1] :]
    nj, ni = (side // CELL_PX for side in part.shape[:2])
    part = part[: nj * CELL_PX, : ni * CELL_PX]
    cells = part.reshape(nj, CELL_PX, ni, CELL_PX, *sheet.shape[2:])
    return np.asarray(np.swapaxes(cells, 1, 2), np.float32)


def _alike(off: Image, size: Image, outside: Mask) -> Mask:
    """Cells that depart as the one does that departs in the middle of those outside."""
    places = np.argwhere(outside)
    middle = places[np.argsort(size[outside])[len(places) // 2]]
    shape = off[middle[0], middle[1]].ravel()
    flat = off.reshape(*outside.shape, -1)
    return np.asarray(flat @ shape > ALIKE * np.linalg.norm(flat, axis=-1) * np.linalg.norm(shape))


def _steps(odd: Mask, seen: Mask) -> tuple[Vectors, float] | None:
    """Whole steps of cells, as rows (across, down), by which odd cells likeliest come again, and how likely.

    None where none is likelier than chance, by which any cell is odd as often as there are odd ones. Of
    the many lattices that are tried, those along the rows and the slanted ones share half the odds each.
    """
    j, i = np.nonzero(seen)
    is_odd = odd[j, i]
    best, tried = (0.0, np.eye(2)), {False: 0, True: 0}
    for number in range(2, MOST_CELLS + 1):
        for down in (n for n in range(1, number + 1) if number % n == 0):
            for aside in range(number // down):
                tried[aside > 0] += 1
                across = number // down
                nats = _met(i, j, is_odd, (across, aside, down)) - math.log(2 * tried[aside > 0])
                best = max(best, (nats, np.array([[across, 0.0], [aside, down]])), key=lambda one: one[0])
    return (best[1], 1 / (1 + math.exp(-best[0]))) if best[0] > 0 else None


def _met(i: Places, j: Places, odd: Mask, steps: tuple[int, int, int]) -> float:
    """Nats by which cells are likelier to fall on their like so; minus infinity where one does not."""
    across, aside, down = steps
    row, rest = np.divmod(j, down)
    kind = rest * across + (i - row * aside) % across
    number = np.bincount(kind)
    odds = np.bincount(kind, weights=odd)
    if ((odds > 0) & (odds < number)).any():
        return -math.inf
    again = np.maximum(number - 1, 0)
    share = odd.mean()
    return -float(again[odds > 0].sum()) * math.log(share) - float(again[odds == 0].sum()) * math.log(
        1 - share
    )
