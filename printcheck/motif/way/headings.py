"""Which way each motif heads: every motif against itself and its likes, turned and mirrored."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.motif.cv_types import Bools, sampled
from printcheck.motif.figures.segmentation import Motif, Separation

ANGLES = 96  # one every 3.75 degrees; likes agree within 12
RADII = 24
MASK_WEIGHT = 40.0  # CIELAB units: the outline counts as much as a strong contrast
FARTHEST_RMS = 2.6  # of the rms radius: a tail beyond it does not set the scale
FILLING = 0.12  # of the largest motif's area: smaller ones are filling
MOST_MOTIFS = 40  # largest motifs compared: enough to tell
MIN_SAMPLES = 30  # samples of a motif below which its picture says nothing
OWN_FROM_DEG = 25.0  # a motif that looks the same turned by this or more has no heading of its own
OWN_LEAST = 0.06  # correlation it must lose then
AXIS_LEAST = 0.06  # the same, the half turn left out of account: an axis without a head
SIZE_RATIO = 1.67  # of rms radius between likes
LIKE = 0.90  # correlation of likes at their best turn
MIRRORED = 0.88  # correlation of a motif with its own mirror image: a cactus, a cottage, a teddy
LEAN_DEG = 7.0  # lean of a mirror line that still counts as upright
LIKE_OF_OWN = 0.5  # a like differs by less than half of what turning changes: blots are all alike
UP_DEG = 12.0  # heads agree within this
UP_LOSS = 0.04  # and this much correlation may be lost for it
UP_LOSS_OF_OWN = 0.35  # at most this share of the heading's own strength: weak headings vote loosely


@dataclass(frozen=True)
class Headings:
    """What the motifs' headings say.

    Parameters
    ----------
    own : tuple of float
        Heading strength of each motif compared, 0 for one that looks alike every way.
    with_head : int
        Motifs that have a heading and a like; ``agree`` of them head as their like does.
    with_axis, parallel : int
        The same for motifs with an axis but no head (leaves), heads taken modulo a half turn.
    turns_deg : tuple of float
        Turn of each motif with a heading against the first of its likes.
    upright_axes, slanting_axes : int
        Headed motifs with a mirror line of their own, upright or on the slant.
    headed_area : float
        Share of the motifs' area that has a heading of its own; ``lying_area`` that has an axis only.
    """

    own: tuple[float, ...]
    with_head: int
    agree: int
    with_axis: int
    parallel: int
    turns_deg: tuple[float, ...]
    upright_axes: int
    slanting_axes: int
    headed_area: float
    lying_area: float


def headings_of(cell: MeanCell, separation: Separation, *, smallest: float = FILLING) -> Headings:
    """Compare the motifs of the cell with one another at every angle.

    Motifs below the share ``smallest`` of the largest one's area are left out.
    """
    motifs = _compared(separation, smallest)
    if not motifs:
        return Headings((), 0, 0, 0, 0, (), 0, 0, 0.0, 0.0)
    area = np.array([m.area_mm2 for m in motifs])
    polar, radius = zip(*(_polar(m, cell, separation) for m in motifs), strict=True)
    pictures, radii = np.stack(polar), np.array(radius)
    plain = _correlations(pictures, pictures)
    # left and right exchanged: angle a becomes a half turn less a; a mirrored copy keeps its up
    mirrored = _correlations(pictures[:, (ANGLES // 2 - np.arange(ANGLES)) % ANGLES], pictures)
    own, axis = _own(plain, OWN_FROM_DEG, 360), _own(plain, OWN_FROM_DEG, 180)
    likeness = _likes(plain, mirrored, radii)
    head = own > OWN_LEAST
    lies = ~head & (axis > AXIS_LEAST)
    with_head, agree = _votes(plain, mirrored, likeness, own * head, 360)
    with_axis, parallel = _votes(plain, mirrored, likeness, axis * lies, 180)
    turns = _turns(plain, likeness, head)
    headed, lying = (float(area[which].sum() / area.sum()) for which in (head, lies))
    upright, slanting = _mirror_lines(mirrored, head)
    votes = (with_head, agree, with_axis, parallel)
    return Headings(tuple(own.tolist()), *votes, turns, upright, slanting, headed, lying)


def _compared(separation: Separation, smallest: float) -> list[Motif]:
    motifs = sorted(separation.motifs, key=lambda m: -m.area_mm2)
    if not motifs:
        return []
    least = smallest * motifs[0].area_mm2
    chosen = [m for m in motifs if m.area_mm2 >= least and m.piece.area >= MIN_SAMPLES]
    return chosen[:MOST_MOTIFS]


def _polar(motif: Motif, cell: MeanCell, separation: Separation) -> tuple[Array, float]:
    """Picture of the motif about its centre, (angles, radii, 4), and its rms radius in mm."""
    height, width = separation.mask.shape
    step, samples = cell.step_mm, motif.piece.places
    middle = samples.mean(axis=0)
    away = np.hypot(*((samples - middle) @ step).T)
    rms = float(np.sqrt((away**2).mean()))
    reach = min(float(away.max()), FARTHEST_RMS * rms)
    angle = np.arange(ANGLES) * (2 * np.pi / ANGLES)
    radius = (np.arange(RADII) + 0.5) / RADII * reach
    circle = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    where = middle + (radius[None, :, None] * circle[:, None]) @ np.linalg.inv(step)
    low = samples.min(axis=0) - 2
    size = samples.max(axis=0) - low + 3
    rows, columns = (np.arange(size[k]) + low[k] for k in (1, 0))
    wrapped = np.ix_(rows % height, columns % width)
    mask = np.zeros((size[1], size[0]), np.float32)
    mask[motif.piece.rows - low[1], motif.piece.columns - low[0]] = 1
    colour = (cell.lab[wrapped] - separation.ground_lab) * mask[..., None]
    stack = np.dstack([colour, MASK_WEIGHT * mask])
    at = (where - low).astype(np.float32)
    picture = sampled(stack, at)
    picture *= np.sqrt(radius / reach)[None, :, None].astype(np.float32)
    return picture, rms


def _correlations(first: Array, second: Array) -> Array:
    """Correlation of every pair at every turn, (n, n, angles); not mean-removed, energies taken out.

    Entry ``[i, j, k]`` is high when motif j is motif i turned on by k steps.
    """
    n = len(first)
    a = np.fft.rfft(first.reshape(n, ANGLES, -1), axis=1).transpose(1, 0, 2)
    b = np.fft.rfft(second.reshape(n, ANGLES, -1), axis=1).transpose(1, 0, 2)
    surface = np.fft.irfft(np.matmul(a.conj(), b.transpose(0, 2, 1)), n=ANGLES, axis=0)
    norms = [np.sqrt((p.reshape(n, -1) ** 2).sum(axis=1)) for p in (first, second)]
    scores: Array = surface.transpose(1, 2, 0) / np.maximum(np.outer(*norms), 1e-9)[..., None]
    return scores


def _away(period_deg: float) -> Array:
    """Degrees of every turn from none, taken modulo the period."""
    turn = np.arange(ANGLES) * (360 / ANGLES) % period_deg
    away: Array = np.minimum(turn, period_deg - turn)
    return away


def _own(plain: Array, from_deg: float, period_deg: float) -> Array:
    own = np.einsum("iik->ik", plain)[:, _away(period_deg) >= from_deg]
    strength: Array = 1 - own.max(axis=1)
    return strength


def _likes(plain: Array, mirrored: Array, radii: Array) -> Array:
    """Best correlation of every pair, 0 with itself and where the sizes differ."""
    best: Array = np.maximum(plain.max(axis=2), mirrored.max(axis=2))
    ratio = radii[:, None] / radii[None]
    best[(ratio > SIZE_RATIO) | (ratio < 1 / SIZE_RATIO)] = 0
    np.fill_diagonal(best, 0)
    return best


def _votes(
    plain: Array, mirrored: Array, likeness: Array, strength: Array, period_deg: float
) -> tuple[int, int]:
    """How many motifs of any strength have a like, and how many head as their best like does."""
    near = _away(period_deg) <= UP_DEG
    voters = agree = 0
    for index in np.nonzero(strength)[0]:
        like = int(likeness[index].argmax())
        if likeness[index, like] < max(LIKE, 1 - LIKE_OF_OWN * strength[index]):
            continue
        voters += 1
        level = max(plain[index, like, near].max(), mirrored[index, like, near].max())
        loss = min(UP_LOSS, UP_LOSS_OF_OWN * float(strength[index]))
        agree += bool(level >= likeness[index, like] - loss)
    return voters, agree


def _mirror_lines(mirrored: Array, head: Bools) -> tuple[int, int]:
    """How many headed motifs have an upright mirror line, and how many a slanting one.

    A mirror line leaning by t from the upright shows as a copy turned by 2 t.
    """
    own = np.einsum("iik->ik", mirrored)[head]
    if not len(own):
        return 0, 0
    lines = own.max(axis=1) > MIRRORED
    lean = _away(360)[own.argmax(axis=1)][lines]
    upright = lean <= 2 * LEAN_DEG
    slanting = ~upright & (lean < 180 - 2 * LEAN_DEG)
    return int(upright.sum()), int(slanting.sum())


def _turns(plain: Array, likeness: Array, head: Bools) -> tuple[float, ...]:
    """Turn of every headed motif against the first of its likes."""
    turns: list[float] = []
    first: list[int] = []
    for index in range(len(head)):
        like = next((k for k in first if likeness[k, index] >= LIKE), None)
        if like is None:
            first.append(index)
        if head[index]:
            turns.append(0.0 if like is None else float(plain[like, index].argmax()) * 360 / ANGLES)
    return tuple(turns)
