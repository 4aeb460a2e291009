"""Evidence of how a print is built, each a share from 0 to 1 that needs no size."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.cv_types import resized, sampled, summed

GRID = 128  # samples a side for spectra: bars of a sixty-fourth of the repeat still count
BLUR_SHARE = 1 / 64  # of the shorter vector: weave and JPEG noise have edges of their own
NEARBY = 1 / 24  # of each side to one sigma: the edges about a place
SECTOR_DEG = 12.0  # half width of a direction: cloth laid by hand bends by a few degrees
ANGLE_BINS = 90  # of the half circle
NEAR_STEPS = ((1, 0), (0, 1), (1, 1), (1, -1), (2, 1), (1, 2), (2, -1), (1, -2))
"""Small lattice steps along which bars may run: sides and diagonals of the cell."""
BLOCKS = 2  # a side of a picture: a bar or two more than that, and few folds
BLOCK_SAMPLES = 48  # a side
BLOCK_TURNS = [
    np.array([[np.cos(t), np.sin(t)], [-np.sin(t), np.cos(t)]]) for t in np.deg2rad(np.arange(0, 90, 5))
]
JUMP_COLUMNS = 3  # of the grid: the weave's blur spreads a jump over so many
ALIGN_ROUNDS = 3  # of aligning the columns with their mean; the third changes little


@dataclass(frozen=True)
class Evidence:
    """What the edges and waves of a print say.

    Parameters
    ----------
    one_way_edges, two_way_edges : float
        Share of the edges along the commonest direction, and along the commonest pair of directions at
        right angles; dots and flowers have 0.13 and 0.27 by chance.
    nearby_edges : float
        How far the edges about each place run one way: those of dots, bands and zigzags do wherever one looks
        closely, where bars cross and in flowers they do not (coherence; Bigun and Granlund 1987).
    first_bars, both_bars : float
        Share of the variance in bars of one direction, and of two; of a picture within its blocks.
    inverse : float
        How far some shift turns the print into its negative, 0 to 1: two colours that take equal turns.
    shifted : float
        Share of the variance explained by one profile that every column shows at a shift of its own.
    angle_deg : float
        Direction of the commonest pair of edges from the cloth's own axes, -45 to 45.
    run_deg : float
        Direction in which the edges of the commonest direction run, from along the cloth, -90 to 90.
    jump : float
        Largest step of that shift from one column to the next beyond its usual slope, 0 to 0.5 of the
        profile's period: none where bands turn, half a period where strokes break off.
    two_sided : float
        Share of the edges along the two commonest directions, whatever the angle between them: the sides of
        diamonds, right-angled or not.
    side_deg : float
        Least angle of those two from the cloth's own axes, 0 to 45.
    """

    one_way_edges: float
    two_way_edges: float
    nearby_edges: float
    first_bars: float
    both_bars: float
    inverse: float
    shifted: float
    angle_deg: float
    run_deg: float
    jump: float
    two_sided: float
    side_deg: float

    @property
    def features(self) -> tuple[float, ...]:
        """The shares by which the build is decided."""
        return (
            self.one_way_edges,
            self.two_way_edges,
            self.nearby_edges,
            self.first_bars,
            self.both_bars,
            self.inverse,
            self.shifted,
        )


def evidence_of(cell: MeanCell, *, periodic: bool = True) -> Evidence:
    """Measure the evidence on a cell, or on a picture that is none (``periodic`` False)."""
    lab = _without_weave(cell, periodic)
    tensor = _structure_tensor(lab, cell.basis_mm)
    shares, angles = _edge_directions(tensor)
    one = _windowed(shares)
    quarter = len(one) // 2
    other = np.where(_far(int(one.argmax()), len(one)), one, 0.0)
    two = one + np.roll(one, quarter)
    first, both, inverse = _waves(lab, periodic)
    shifted, jump = max(_shifted(lab), _shifted(lab.swapaxes(0, 1)))
    return Evidence(
        float(one.max()),
        float(two.max()),
        _coherence(tensor, periodic),
        first,
        both,
        inverse,
        shifted,
        _folded(_middle(shares + np.roll(shares, quarter), two, angles), 90.0),
        _folded(_middle(shares, one, angles), 180.0),
        jump,
        float(one.max() + other.max()),
        min(abs(_folded(_middle(shares, side, angles), 90.0)) for side in (one, other)),
    )


def _without_weave(cell: MeanCell, periodic: bool) -> Array:
    sides = np.hypot(cell.basis_mm[:, 0], cell.basis_mm[:, 1])
    height, width = cell.lab.shape[:2]
    blur = BLUR_SHARE * sides.min()
    return _smoothed(
        cell.lab, (max(0.3, blur / sides[0] * width), max(0.3, blur / sides[1] * height)), periodic
    )


def _smoothed(channels: Array, sigma: tuple[float, float], periodic: bool) -> Array:
    """Blur of a cell, which begins again at its rim, or of a picture."""
    height, width = channels.shape[:2]
    pad = [min(side, math.ceil(4 * s) + 1) for s, side in zip(sigma, (width, height), strict=True)]
    how = "wrap" if periodic else "reflect"
    wide = np.pad(channels, ((pad[1],) * 2, (pad[0],) * 2, (0, 0)), mode=how)  # type: ignore[call-overload]
    smooth = cv2.GaussianBlur(wide.astype(np.float32), (0, 0), sigmaX=sigma[0], sigmaY=sigma[1])
    return np.asarray(smooth)[pad[1] : -pad[1], pad[0] : -pad[0]]


def _structure_tensor(lab: Array, basis: Array) -> Array:
    """Of each sample, all three channels together (Bigun and Granlund 1987): xx, yy and xy on the cloth."""
    height, width = lab.shape[:2]
    to_mm = np.linalg.inv(basis / np.array([[width], [height]]))
    down, right = np.gradient(lab.astype(np.float32), axis=(0, 1))
    x, y = (right * across + down * along for across, along in to_mm.astype(np.float32))
    return np.stack([summed(np.square(x)), summed(np.square(y)), summed(x * y)], axis=-1)


def _coherence(tensor: Array, periodic: bool) -> float:
    """Share of the edges' energy that points one way within its neighbourhood."""
    coarse = resized(tensor, *(min(GRID, side) for side in tensor.shape[1::-1]))
    height, width = coarse.shape[:2]
    near = _smoothed(coarse, (max(0.3, NEARBY * width), max(0.3, NEARBY * height)), periodic)
    xx, yy, xy = np.moveaxis(near.astype(float), -1, 0)
    return float(np.hypot(xx - yy, 2 * xy).sum() / max(float((xx + yy).sum()), 1e-12))


def _edge_directions(tensor: Array) -> tuple[Array, Array]:
    """Share of the edges' energy by direction of their slope over the half circle, and those directions.

    0 is a slope across the cloth, whose edge runs along it; each sample is weighted with how far it points
    one way.
    """
    xx, yy, xy = np.moveaxis(tensor, -1, 0)
    angle = np.rad2deg(np.arctan2(2 * xy, xx - yy) / 2) % 180
    energy = np.hypot(xx - yy, 2 * xy)
    shares, ends = np.histogram(angle, bins=ANGLE_BINS, range=(0, 180), weights=energy)
    return shares / max(float(shares.sum()), 1e-12), (ends[:-1] + ends[1:]) / 2


def _far(at: int, count: int) -> Array:
    """Directions whose sector does not meet the one about a direction, round the half circle."""
    away = np.abs((np.arange(count) - at + count // 2) % count - count // 2)
    far: Array = away > 2 * round(SECTOR_DEG / 180 * count)
    return far


def _windowed(shares: Array) -> Array:
    """Sum over a sector about every direction, round the half circle."""
    reach = round(SECTOR_DEG / 180 * len(shares))
    total: Array = sum((np.roll(shares, k) for k in range(-reach, reach + 1)), np.zeros_like(shares))
    return total


def _middle(shares: Array, windowed: Array, angles: Array) -> float:
    """Mean direction of the edges in the sector that holds most."""
    centre = float(angles[int(windowed.argmax())])
    away = (angles - centre + 90) % 180 - 90
    near = np.abs(away) <= SECTOR_DEG
    return centre + float(np.average(away[near], weights=shares[near] + 1e-12))


def _waves(lab: Array, periodic: bool) -> tuple[float, float, float]:
    """Variance in bars of one and of two directions, and how negative the autocorrelation becomes."""
    grid = resized(lab, GRID, GRID).astype(float)
    if not periodic:
        window = np.hanning(GRID + 2)[1:-1]
        grid = (grid - grid.mean(axis=(0, 1))) * (window[:, None] * window)[..., None]
    grid -= grid.mean(axis=(0, 1))
    power = (np.abs(np.fft.fft2(grid, axes=(0, 1))) ** 2).sum(axis=2)
    total = float(power.sum())
    if total <= 0:
        return 0.0, 0.0, 0.0
    shares = sorted(_on_lines(power) / total, reverse=True) if periodic else _in_blocks(lab)
    surface = np.fft.ifft2(power).real * power.size / total
    low = -float(surface.min()) if periodic else -float(_unwindowed(surface).min())
    return shares[0], shares[0] + shares[1], max(0.0, min(1.0, low))


def _on_lines(power: Array) -> Array:
    """Power of the waves that do not change along each small lattice step."""
    wave = np.rint(np.fft.fftfreq(GRID, 1 / GRID)).astype(int)
    lines = [power[(p * wave[None] + q * wave[:, None]) == 0].sum() for p, q in NEAR_STEPS]
    return np.array(lines, float)


def _in_blocks(lab: Array) -> list[float]:
    """Share of the variance within a block of the picture in rows, and in columns, more of them first.

    A two-way layout (Fisher 1925): each block is turned to where its rows and columns together explain most.
    Bars are straight over a block though folds bend them over the picture; figures and folds leave little to
    a second direction.
    """
    height, width = lab.shape[:2]
    places = (np.arange(BLOCK_SAMPLES) + 0.5) / BLOCK_SAMPLES - 0.5
    grid = np.stack(np.meshgrid(places, places), axis=-1) * min(height, width) / BLOCKS
    shares, total = np.zeros(2), 0.0
    for middle in itertools.product(*((np.arange(BLOCKS) + 0.5) / BLOCKS * side for side in (width, height))):
        layouts = [_layout(sampled(lab, grid @ turn + middle, outside=None)) for turn in BLOCK_TURNS]
        best = max(layouts, key=lambda layout: sum(layout[:2]))
        shares += sorted(best[:2], reverse=True)
        total += best[2]
    rows, columns = shares / max(total, 1e-12)
    return [float(rows), float(columns)]


def _layout(block: Array) -> tuple[float, float, float]:
    """Sum of squares between the rows of a block, between its columns, and in all."""
    block = block - block.mean(axis=(0, 1))
    rows, columns = (float((block.mean(axis=axis) ** 2).sum()) * BLOCK_SAMPLES for axis in (1, 0))
    return rows, columns, float((block**2).sum())


def _unwindowed(surface: Array) -> Array:
    """Autocorrelation out to a quarter of the picture, where the window still leaves enough."""
    near: Array = np.fft.fftshift(surface)[GRID // 4 : -GRID // 4, GRID // 4 : -GRID // 4]
    return near


def _shifted(lab: Array) -> tuple[float, float]:
    """Variance explained by one profile at a shift of its own in every column, and its largest jump."""
    grid = resized(lab, GRID, GRID).astype(float)
    grid -= grid.mean(axis=(0, 1))
    total = float((grid**2).sum())
    waves = np.fft.rfft(grid, axis=0)
    profile = waves[:, int((np.abs(waves) ** 2).sum(axis=(0, 2)).argmax())]
    explained = 0.0
    for _ in range(ALIGN_ROUNDS):
        match = np.fft.irfft((waves * profile[:, None].conj()).sum(axis=2), n=GRID, axis=0)
        shift = match.argmax(axis=0)
        turn = np.exp(2j * np.pi * np.arange(len(waves))[:, None] * shift / GRID)
        profile = (waves * turn[..., None]).mean(axis=1)
        aligned = np.fft.irfft(profile, n=GRID, axis=0)
        explained = GRID * float((aligned**2).sum())
    return (explained / total, _jump(shift * _waves_of(profile) / GRID)) if total > 0 else (0.0, 0.0)


def _waves_of(profile: Array) -> int:
    """How often the profile itself repeats: the number of its strongest wave."""
    return max(1, int((np.abs(profile[1:]) ** 2).sum(axis=1).argmax()) + 1)


def _jump(phase: Array) -> float:
    """Largest change of phase over a few columns beyond what their usual slope makes, 0 to 0.5."""
    step = (np.diff(phase, append=phase[:1]) + 0.5) % 1 - 0.5
    slope = float(np.median(np.abs(step)))
    over = np.abs((sum(np.roll(step, k) for k in range(JUMP_COLUMNS)) + 0.5) % 1 - 0.5)
    return float(np.clip(over - JUMP_COLUMNS * slope, 0, 0.5).max())


def _folded(angle: float, turn: float) -> float:
    """Angle brought to within half a turn of nought."""
    return (angle + turn / 2) % turn - turn / 2
