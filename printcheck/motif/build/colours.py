"""The colours of a print: the modes of its cell, seen against the photo's own white."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.colour import plain_name
from printcheck.core.handover import Array, FlatCloth, MeanCell
from printcheck.core.measurement import Build, Colour
from printcheck.motif.cv_types import delta_e, lab_of, resized

MOST_COLOURS = 5  # the ground and up to four more
LOOKED_AT = 320  # samples a side: colours need no finer
BIN = 5.0  # CIELAB units: bins in which the commonest colours are looked for
NEAR = 10.0  # Delta E: what is this near a mode belongs to it
LEAST_SHARE = 0.03  # of the cloth: from here on a colour is named
ACCENT = 0.08  # of what is not ground: so is one that leads among small figures, but
LEAST_ACCENT = 0.001  # of the cloth: less is a speck
ALIKE = 4.6  # Delta E from sample to sample, twice the just noticeable: more is an edge
LEAST_FLAT = 0.1  # of the samples: of a print finer than that all are taken
MIXED = 1.08  # detour over a mode, against the straight way between two others: threads of both, not a dye
WHITE_PERCENTILE = 90.0  # of the lightness of nearly neutral places: the photo's white, glare left out
WHITE_LEAST = 70.0  # CIELAB lightness below which the brightest is no white
WHITE_CHROMA = 12.0  # CIELAB chroma above which it is a colour: pale pink has 13, white paper by a lamp 11
OTHER_TINT = 6.0  # CIELAB, a and b: what differs less from a colour of the cloth is the cloth itself
LUMINANCE = 0.90  # of white paper and bleached cotton, CIELAB lightness 96; from memory


def colours_of(
    cloth: FlatCloth, cell: MeanCell, build: Build | None, *, periodic: bool = True
) -> tuple[Colour, ...]:
    """Colours of the print with their shares, the ground first; of a picture where ``periodic`` is False.

    Notes
    -----
    The commonest colours one after another, each the mean about a peak of the colour histogram, not a mean
    over a place, which blur and mixing make paler. Where bars cross, a tone between two others is threads
    of both and is left out. Exposure and tint of the light are set by the brightest nearly neutral place
    beside the cloth (a card, paper, the table); without one the print's own white sets the exposure alone.
    """
    side = tuple(min(n, LOOKED_AT) for n in cell.lab.shape[1::-1])
    lab = resized(cell.lab, *side)
    # without a repeat the light cannot be told from a paler dye: lightness counts half
    weight = np.array([1.0 if periodic else 0.5, 1.0, 1.0], np.float32)
    modes, shares = _modes(_flat(lab) * weight, lab.reshape(-1, 3) * weight)
    modes = modes / weight
    if build == "crossed":
        modes, shares = _without_mixed(modes, shares)
    seen = _against_white(modes, cloth)
    order = sorted(range(len(seen)), key=lambda k: -shares[k])
    if build in ("crossed", "stripe"):
        ground = max(order[:2], key=lambda k: seen[k][0])
        order.sort(key=lambda k: k != ground)
    return tuple(_named(seen[k], shares[k]) for k in order[:MOST_COLOURS])


def _named(lab: Array, share: float) -> Colour:
    light, red, yellow = (round(float(v), 1) for v in lab)
    return Colour(plain_name((light, red, yellow)), (light, red, yellow), round(float(share), 3))


def _flat(lab: Array) -> Array:
    """Samples alike their neighbours, (N, 3): at an edge blur mixes two colours into one that is no dye."""
    alike = np.ones(lab.shape[:2], bool)
    for axis in (0, 1):
        step = delta_e(lab, np.roll(lab, 1, axis=axis)) < ALIKE
        alike &= step & np.roll(step, -1, axis=axis)
    flat: Array = lab[alike]
    return flat if alike.mean() > LEAST_FLAT else lab.reshape(-1, 3)


def _modes(flat: Array, lab: Array) -> tuple[Array, Array]:
    """Modes (K, 3) of the ``flat`` samples, and the share of all samples nearest to each."""
    found: list[Array] = []
    left, least = flat, LEAST_SHARE * len(flat)
    while len(left) >= least and len(found) < 2 * MOST_COLOURS:
        bins = np.floor(left / BIN).astype(np.int64)
        first = bins.min(axis=0)
        room = tuple(bins.max(axis=0) - first + 1)
        counts = np.bincount(np.ravel_multi_index(tuple((bins - first).T), room))
        centre = (np.unravel_index(int(counts.argmax()), room) + first + 0.5) * BIN
        near = delta_e(left[None], centre)[0] < NEAR
        if near.any():
            centre = left[near].mean(axis=0)
        found.append(centre)
        left = left[delta_e(left[None], centre)[0] >= NEAR]
        if len(found) == 1:  # what is not ground
            least = max(LEAST_ACCENT * len(flat), min(least, ACCENT * len(left)))
    return _counted(flat, lab, np.array(found))


def _counted(flat: Array, lab: Array, modes: Array) -> tuple[Array, Array]:
    """Modes far enough apart and common enough, with their shares."""
    kept: list[Array] = []
    for mode in modes:
        if all(np.linalg.norm(mode - other) >= NEAR for other in kept):
            kept.append(mode)
    centres = np.array(kept)
    pure, shares = (_nearest(samples, centres) for samples in (flat, lab))
    rest = 1 - pure.max()
    enough = pure >= max(LEAST_ACCENT, min(LEAST_SHARE, ACCENT * rest))
    return centres[enough], shares[enough] / shares[enough].sum()


def _nearest(lab: Array, centres: Array) -> Array:
    """Share of the samples nearest to each centre."""
    nearest = np.stack([delta_e(lab[None], c)[0] for c in centres]).argmin(axis=0)
    shares: Array = np.bincount(nearest, minlength=len(centres)) / len(lab)
    return shares


def _without_mixed(modes: Array, shares: Array) -> tuple[Array, Array]:
    def mixed(k: int) -> bool:
        others = [j for j in range(len(modes)) if j != k]
        return any(
            np.linalg.norm(modes[k] - modes[i]) + np.linalg.norm(modes[k] - modes[j])
            <= MIXED * np.linalg.norm(modes[i] - modes[j])
            for i in others
            for j in others
            if i < j
        )

    kept = [k for k in range(len(modes)) if not mixed(k)]
    return modes[kept], shares[kept] / shares[kept].sum()


def _against_white(modes: Array, cloth: FlatCloth) -> Array:
    """CIELAB of the modes with the photo's white at the lightness of white cloth."""
    rgb = _linear(np.asarray(cv2.cvtColor(modes[None].astype(np.float32), cv2.COLOR_Lab2RGB))[0])
    gain = _beside_gain(cloth, modes)
    if gain is None:
        gain = _own_gain(modes, rgb)
    encoded = np.clip(_encoded(np.clip(rgb * gain, 0, 1)), 0, 1).astype(np.float32)
    seen: Array = np.asarray(cv2.cvtColor(encoded[None], cv2.COLOR_RGB2Lab))[0]
    return seen


def _is_white(lab: Array) -> Array:
    white: Array = (np.hypot(lab[..., 1], lab[..., 2]) < WHITE_CHROMA) & (lab[..., 0] >= WHITE_LEAST)
    return white


def _beside_gain(cloth: FlatCloth, modes: Array) -> Array | None:
    """Factor on linear R, G, B that makes the brightest place beside the cloth white; None without one.

    What is no cloth is the card or the paper: if it is nearly neutral its tint is the light's. Cloth
    about the card is told by having a tint of the print's own ``modes``.
    """
    outside = ~cloth.mask if cloth.beside is None else cloth.beside
    if not outside.any():
        return None
    height, width = outside.shape
    scale = max(1.0, max(height, width) / (2 * LOOKED_AT))
    size = (max(1, round(width / scale)), max(1, round(height / scale)))
    beside = resized(outside.astype(np.uint8) * 255, *size) == 255
    bgr = resized(cloth.bgr, *size)[beside].astype(np.float32)
    lab = lab_of(bgr[None])[0] if len(bgr) else np.zeros((0, 3))
    tints = np.hypot(*(lab[:, None, 1:] - modes[None, :, 1:]).transpose(2, 0, 1))
    white = _is_white(lab) & (tints.min(axis=1) > OTHER_TINT)
    if white.mean() < LEAST_SHARE if len(lab) else True:
        return None
    bright = white & (lab[:, 0] >= np.percentile(lab[white, 0], WHITE_PERCENTILE))
    seen = np.median(_linear(bgr[bright][:, ::-1] / 255), axis=0)
    gain: Array = LUMINANCE / np.maximum(seen, 1e-3)
    return gain


def _own_gain(modes: Array, rgb: Array) -> Array:
    """Factor that sets the exposure by the print's own brightest nearly neutral colour, its tint kept."""
    white = _is_white(modes)
    if not white.any():
        return np.ones(3)
    brightest = rgb[white] @ np.array((0.2126, 0.7152, 0.0722))
    return np.full(3, max(1.0, LUMINANCE / float(brightest.max())))


def _linear(value: Array) -> Array:
    """Linear light of encoded sRGB (IEC 61966-2-1)."""
    linear: Array = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return linear


def _encoded(value: Array) -> Array:
    encoded: Array = np.where(value <= 0.0031308, 12.92 * value, 1.055 * value ** (1 / 2.4) - 0.055)
    return encoded
