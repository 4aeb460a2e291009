"""A lattice fitted to the whole picture, wrinkles and lens included.

The model: the cloth shows one cell M again and again, on a lattice that lies a little bent in the picture.
A smooth map x(i, j), a polynomial in the lattice coordinates, says where. Round by round the picture is
drawn out to a raster of whole cells, the mean cell is formed, and the map is moved so that the raster
agrees better with it (Gauss and Newton, with the mean cell's gradient). The derivative of the map is the
lattice, everywhere in the picture; its scatter is what the cloth and the lens do to the measure.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import cv2
import numpy as np

from printcheck.repeat.arrays import Image, Vectors, cut_up, masked, slopes_of, summed
from printcheck.repeat.cells.explained import share_explained
from printcheck.repeat.cells.residual import residual_of
from printcheck.repeat.cells.warp import POWERS, Frame, coordinates, straight_frame
from printcheck.repeat.surface.illumination import View

DEGREES = (1, 1, 3, 3)  # of the map, round by round: a stiff map first finds its feet
REACH = (0.4, 0.7, 1.0, 1.0)  # share of the picture looked at, from the middle outwards
FOLDED_DEGREES = (5, 5, 5)  # further rounds for cloth that the cubic does not lay flat
FLAT_ENOUGH = 0.85  # share of variance explained above which the cubic is left alone
NOTHING = 0.05  # share of variance: what explains less after the cubic is no repeat, however it bends
LEAST_GAIN = 0.03  # share of variance that the freer map must explain besides
RIDGE = 1e-3  # share of the mean curvature: keeps bends that the print does not show at nothing
BLOCK_PX = 12  # raster: the map is far smoother than this
FITTING_CELL_PX = 45  # mean cell side while fitting: a cell of ten fine lines is still told apart
FITTING_PX = 160_000  # pixels in the fitting raster: the map is smooth, more only costs time
FINAL_CELL_PX = 64  # mean cell side in the raster that is handed on
SHORTEST_CELL_PX = 5
WIDE_STEP_PX = 1.5  # working pixels to a raster pixel, from which on the picture is softened first
STEP_BLUR = 0.4  # sigma in raster pixels, against aliasing
LEAST_SEEN = 0.5  # weight below which a raster pixel counts as not seen
ROBUST = 4.0  # squared residual over the usual one at which a pixel's say is halved
JACOBIAN_GRID = 7  # places each way where the local lattice is read off


@dataclass(frozen=True)
class Fit:
    """A fitted lattice and the picture drawn out cell by cell.

    Parameters
    ----------
    basis : (2, 2) float64
        Mean lattice vectors over the seen cloth, working pixels.
    centre_basis : (2, 2) float64
        The same for the middle of the picture: what a lens adds to it towards the rim is taken off.
    spread : float
        Scatter of the local lattice over the cloth, as a share (root mean square).
    strain : float
        What of that scatter is no lens's.
    degree : int
        Of the map: below three it cannot show what a lens does.
    node, origin : (2,) float64
        Lattice coordinates and place (working pixels) of the node nearest the middle of the picture.
    cells : (nj, ni, ch, cw, 3) float32
        The picture cell by cell, in CIELAB.
    weight : (nj, ni, ch, cw) float32
        1 where seen.
    mean : (ch, cw, 3) float32
        The mean cell.
    explained : float
        Share of the picture's variance that the mean cell explains (corrected for the cells' number).
    short_side : int
        Of the picture, working pixels.
    """

    frame: Frame
    basis: Vectors
    centre_basis: Vectors
    spread: float
    strain: float
    degree: int
    node: Vectors
    origin: Vectors
    cells: Image
    weight: Image
    mean: Image
    explained: float
    short_side: int

    @property
    def left(self) -> Image:
        """What each cell shows beyond the mean cell, 0 where not seen, (nj, ni, ch, cw, 3)."""
        return np.asarray((self.cells - self.mean) * self.weight[..., None], dtype=np.float32)

    @property
    def count(self) -> Image:
        """How many cells show each place of the cell, (ch, cw)."""
        return np.asarray(self.weight.sum(axis=(0, 1)), dtype=np.float32)

    @property
    def number(self) -> float:
        """How many cells are seen, parts counted as parts."""
        return float(self.weight.sum()) / self.mean[..., 0].size

    @cached_property
    def residual(self) -> Image:
        """What cells show beyond the mean, less slow light and small shifts of each, (nj, ni, ch, cw, 3)."""
        return residual_of(self.short_side, self.left, self.weight, self.mean, self.basis)

    @cached_property
    def scatter(self) -> Image:
        """Sum of the squared residuals of all cells and channels at each place of the cell, (ch, cw)."""
        return summed(np.square(self.residual).sum(axis=(0, 1)))

    def mean_basis_at(self, points: Vectors) -> Vectors:
        """Mean of the local lattice over points of the working picture (n, 2)."""
        at = coordinates(self.frame, points)
        return np.asarray(self.frame.basis_at(at[:, 0], at[:, 1]).mean(axis=0))

    def straight_basis_through(self, points: Vectors) -> Vectors:
        """Straight lattice that lies closest to the bent one at points of the working picture (n, 2)."""
        at = coordinates(self.frame, points)
        sides = np.column_stack([at, np.ones(len(at))])
        return np.asarray(np.linalg.lstsq(sides, points, rcond=None)[0][:2])


def fit_lattice(view: View, basis: Vectors, *, origin: Vectors | None = None, striped: bool = False) -> Fit:
    """Fit the lattice to the whole working picture.

    Parameters
    ----------
    view : View
    basis : (2, 2) float64
        Vectors to start from, working pixels.
    origin : (2,) float64, optional
        Place of a node; the middle of the picture by default.
    striped : bool
        Whether the print is to hold all along the second vector, which is then of no account: else it
        might by chance be the repeat of motifs on the stripes, and explain them as if it were stripe.
    """
    frame = straight_frame(view, basis, origin)
    crowded = float(np.sqrt(FITTING_PX / np.prod(frame.counts)))
    cell, final_cell = (_cell_size(basis, side) for side in (min(FITTING_CELL_PX, crowded), FINAL_CELL_PX))
    coarse, fine = (_softened_for(view, basis, size) for size in (cell, final_cell))
    stiffest = _highest_degree(view, basis)
    for degree, reach in zip(DEGREES, REACH, strict=True):
        frame = _improved(coarse, frame, cell, min(degree, stiffest), reach, striped)
    fit = _drawn_out(fine, frame, final_cell, min(DEGREES[-1], stiffest), striped)
    if not NOTHING < fit.explained <= FLAT_ENOUGH or max(frame.counts) < 2 * POWERS:
        return fit
    for degree in FOLDED_DEGREES:
        frame = _improved(coarse, frame, cell, degree, 1.0, striped)
    bent = _drawn_out(fine, frame, final_cell, FOLDED_DEGREES[-1], striped)
    return bent if bent.explained > fit.explained + LEAST_GAIN else fit


def _highest_degree(view: View, basis: Vectors) -> int:
    """Degree of map that the repeats in view bear: with few, a bend and the cell's own form look alike."""
    width, height = view.size
    waves = np.linalg.inv(basis)
    seen = [abs(wave[0]) * width + abs(wave[1]) * height for wave in waves.T]
    return max(2, int(min(seen)) - 1)


def _cell_size(basis: Vectors, longest: float) -> tuple[int, int]:
    lengths = np.hypot(*basis.T)
    sides = lengths * min(1.0, longest / float(np.sqrt(lengths[0] * lengths[1])))
    sides *= min(1.0, sides.min() / SHORTEST_CELL_PX)  # what the shorter side gains below, the longer gives
    across, down = (max(SHORTEST_CELL_PX, round(float(side))) for side in sides)
    return across, down


def _softened_for(view: View, basis: Vectors, cell: tuple[int, int]) -> View:
    """The view without what is too fine for a raster of this many pixels to the cell."""
    step = float(np.hypot(*basis[0])) / cell[0]
    if step < WIDE_STEP_PX:
        return view
    lab = cv2.GaussianBlur(view.lab, (0, 0), STEP_BLUR * step)
    return replace(view, lab=np.asarray(lab, dtype=np.float32))


def _sampled(
    view: View, frame: Frame, cell: tuple[int, int], how: int = cv2.INTER_LINEAR
) -> tuple[Image, Image]:
    """Raster of the picture (H, W, 3) and of its weight (H, W)."""
    x, y = frame.raster(cell)
    drawn = cv2.remap(view.lab, x, y, how, borderMode=cv2.BORDER_CONSTANT)
    seen = cv2.remap(view.weight, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT) > 0.99
    return np.asarray(drawn), seen.astype(np.float32)


def _mean_cell(raster: Image, weight: Image, cell: tuple[int, int], striped: bool) -> tuple[Image, Image]:
    """Weighted mean cell (ch, cw, 3) and the weight behind each of its pixels (ch, cw).

    Of a stripe the mean is taken all along it as well: its cell holds the same down every column.
    """
    cw, ch = cell
    nj, ni = raster.shape[0] // ch, raster.shape[1] // cw
    total = masked(raster, weight).reshape(nj, ch, ni * cw, 3).sum(axis=0)
    total = total.reshape(ch, ni, cw, 3).sum(axis=1)
    count = weight.reshape(nj, ch, ni * cw).sum(axis=0).reshape(ch, ni, cw).sum(axis=1)
    if striped:
        total, count = (np.broadcast_to(part.mean(axis=0), part.shape) for part in (total, count))
    mean = np.asarray(total / np.maximum(count, 1e-6)[..., None], dtype=np.float32)
    return mean, np.asarray(count, dtype=np.float32)


def _improved(
    view: View, frame: Frame, cell: tuple[int, int], degree: int, reach: float, striped: bool
) -> Frame:
    raster, weight = _sampled(view, frame, cell)
    rows, columns = weight.shape
    s = (np.arange(columns) + 0.5) * 2 / columns - 1
    t = (np.arange(rows) + 0.5) * 2 / rows - 1
    if reach < 1:
        inside = _inside(view, frame, cell, reach)
        weight = weight * inside
    mean, _ = _mean_cell(raster, weight, cell, striped)
    error = raster - np.tile(mean, (frame.counts[1], frame.counts[0], 1))
    squared = summed(np.square(error))
    usual = float((squared * weight).sum() / max(float(weight.sum()), 1.0)) + 1e-6
    trust = np.asarray(weight / (1 + squared / (ROBUST * usual)), dtype=np.float32)
    sums, at = _block_sums(error, mean, trust, frame, cell)
    terms = [(p, q) for p in range(degree + 1) for q in range(degree + 1 - p)]
    block_s, block_t = np.interp(at[0], np.arange(columns), s), np.interp(at[1], np.arange(rows), t)
    phi = np.stack([block_s[None, :] ** p * block_t[:, None] ** q for p, q in terms], axis=-1)
    step = _solved(sums, phi.reshape(-1, len(terms)), np.array([p + q for p, q in terms]))
    coefficients = frame.coefficients.copy()
    for n, (p, q) in enumerate(terms):
        coefficients[:, p, q] += step[:, n]
    return Frame(coefficients, frame.first, frame.counts)


def _inside(view: View, frame: Frame, cell: tuple[int, int], reach: float) -> Image:
    """1 for raster pixels in the middle part of the picture."""
    width, height = view.size
    x, y = frame.raster(cell)
    near = (np.abs(x - width / 2) < reach * width / 2) & (np.abs(y - height / 2) < reach * height / 2)
    return np.asarray(near, dtype=np.float32)


def _block_sums(
    error: Image, mean: Image, trust: Image, frame: Frame, cell: tuple[int, int]
) -> tuple[Vectors, tuple[Vectors, Vectors]]:
    """Per block the sums of gx gx, gx gy, gy gy, gx e, gy e in picture axes, and the blocks' places."""
    by_column, by_row = (slope * np.float32(side) for slope, side in zip(slopes_of(mean), cell, strict=True))
    jacobian = np.stack(
        [frame.coefficients[:, 1, 0] * 2 / frame.counts[0], frame.coefficients[:, 0, 1] * 2 / frame.counts[1]]
    )
    to_picture = np.linalg.inv(jacobian).astype(np.float32)  # gradient by (i, j) to gradient by (x, y)
    gx = to_picture[0, 0] * by_column + to_picture[0, 1] * by_row
    gy = to_picture[1, 0] * by_column + to_picture[1, 1] * by_row
    repeats = (frame.counts[1], frame.counts[0])
    steepness = [np.tile(summed(product), repeats) for product in (gx * gx, gx * gy, gy * gy)]
    pull = [summed(np.tile(g, (*repeats, 1)) * error) for g in (gx, gy)]
    rows, columns = trust.shape
    size = max(1, round(columns / BLOCK_PX)), max(1, round(rows / BLOCK_PX))
    means = [cv2.resize(part * trust, size, interpolation=cv2.INTER_AREA) for part in (*steepness, *pull)]
    at = (
        (np.arange(size[0]) + 0.5) * columns / size[0] - 0.5,
        (np.arange(size[1]) + 0.5) * rows / size[1] - 0.5,
    )
    return np.stack(means, axis=-1).reshape(-1, 5).astype(np.float64), at


def _solved(sums: Vectors, phi: Vectors, degrees: Vectors) -> Vectors:
    """Smallest-squares step (2, terms) of the map's coefficients."""
    n = phi.shape[1]
    xx, xy, yy = (phi.T @ (phi * sums[:, k : k + 1]) for k in range(3))
    normal = np.block([[xx, xy], [xy, yy]])
    right = -np.concatenate([phi.T @ sums[:, 3], phi.T @ sums[:, 4]])
    ridge = RIDGE * np.trace(normal) / (2 * n) + 1e-9
    normal[np.diag_indices(2 * n)] += ridge * np.tile(np.maximum(degrees, 0.1), 2)
    return np.linalg.solve(normal, right).reshape(2, n)


def _drawn_out(view: View, frame: Frame, cell: tuple[int, int], degree: int, striped: bool) -> Fit:
    raster, weight = _sampled(view, frame, cell, cv2.INTER_CUBIC)
    mean, count = _mean_cell(raster, weight, cell, striped)
    cells, seen = (cut_up(part, (cell[1], cell[0])) for part in (raster, weight))
    left = (cells - mean) * seen[..., None]
    mean_basis, centre_basis, spread, strain = _local_lattice(view, frame)
    width, height = view.size
    centre_i, centre_j = coordinates(frame, np.array([[(width - 1) / 2, (height - 1) / 2]]))[0]
    node = np.round([centre_i, centre_j])
    return Fit(
        frame,
        mean_basis,
        centre_basis,
        spread,
        strain,
        degree,
        node,
        frame.at(node[0], node[1]),
        cells,
        seen,
        mean,
        share_explained(left, mean, count),
        min(view.size),
    )


def local_lattices(view: View, frame: Frame) -> tuple[Vectors, Vectors]:
    """Places on a grid where cloth is seen (n, 2), and the lattice there (n, 2, 2)."""
    width, height = view.size
    x = np.linspace(0.05, 0.95, JACOBIAN_GRID) * width
    y = np.linspace(0.05, 0.95, JACOBIAN_GRID) * height
    places = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    places = places[view.weight[places[:, 1].astype(int), places[:, 0].astype(int)] > 0]
    if not len(places):
        places = np.array([[width / 2, height / 2]])
    at = coordinates(frame, places)
    return places, frame.basis_at(at[:, 0], at[:, 1])


def _local_lattice(view: View, frame: Frame) -> tuple[Vectors, Vectors, float, float]:
    """Mean lattice over the seen cloth and that for the middle; scatter with and without the lens's part.

    A lens moves a point at q (from the middle) to (1 + k q q) q, so it makes of a vector v there
    v + k (q q v + 2 (q v) q); k is fitted to the local lattices (Brown's first radial term).
    """
    places, local = local_lattices(view, frame)
    half = np.array(view.size) / 2
    q = (places - half) / half.max()
    mean = local.mean(axis=0)
    lens = mean * np.square(q).sum(axis=1)[:, None, None] + 2 * (q @ mean.T)[:, :, None] * q[:, None, :]
    off, bent = local - mean, lens - lens.mean(axis=0)
    k = float((off * bent).sum() / max(float(np.square(bent).sum()), 1e-9))
    return mean, mean - k * lens.mean(axis=0), _scatter(off, mean), _scatter(off - k * bent, mean)


def _scatter(off: Vectors, mean: Vectors) -> float:
    """Root mean square of these differences (n, 2, 2), as a share of each vector's length; the larger."""
    return float((np.sqrt(np.square(off).sum(axis=2).mean(axis=0)) / np.hypot(*mean.T)).max())
