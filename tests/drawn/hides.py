"""Prints of animal hides, drawn two ways that share no code, and blotches that are none.

``GROWN`` are patterns of an activator and an inhibitor that reach differently far (Turing 1952; Young 1984, A
local activator-inhibitor model of vertebrate skin patterns). ``SET_OUT`` place each mark by itself.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

Rng = np.random.Generator
Field = NDArray[np.float32]
Bgr = NDArray[np.uint8]
Hide = Callable[[Rng, int, float], Bgr]  # side and length of a mark's pitch, pixels

ROUNDS = 14  # of growth: few marks change after ten
TAWNY, SAND, CREAM, WHITE = (86, 150, 204), (120, 176, 214), (200, 226, 240), (240, 244, 246)  # BGR
BROWN, DARK, BLACK = (38, 68, 112), (34, 42, 58), (26, 26, 30)


def _blurred(field: Field, along: float, across: float, turn: float) -> Field:
    """Gaussian mean that reaches differently far along a direction and across it, round the sides."""
    side = field.shape[0]
    wave = np.fft.fftfreq(side)
    fx, fy = np.cos(turn) * wave[None] + np.sin(turn) * wave[:, None], 0.0
    fy = np.cos(turn) * wave[:, None] - np.sin(turn) * wave[None]
    mean = np.exp(-2 * np.pi**2 * ((along * fx) ** 2 + (across * fy) ** 2))
    return np.asarray(np.fft.ifft2(np.fft.fft2(field) * mean).real, np.float32)


def grown(rng: Rng, side: int, pitch: float, *, bias: float, stretch: float = 1.0) -> Field:
    """Activation, -1 to 1, with marks at this pitch: spots where the bias is low, bands at nought."""
    field = rng.normal(size=(side, side)).astype(np.float32)
    turn, near, far = rng.uniform(0, np.pi), 0.18 * pitch, 0.36 * pitch
    for _ in range(ROUNDS):
        driven = _blurred(field, near * stretch, near, turn) - _blurred(field, far * stretch, far, turn)
        field = np.tanh(3.0 * driven / max(float(driven.std()), 1e-6) + bias).astype(np.float32)
    return _blurred(field, 0.03 * pitch, 0.03 * pitch, 0.0)


def inked(base: Bgr, ink: tuple[int, int, int], cover: Field) -> Bgr:
    """Ink over a picture where the cover is above nought, its edge a pixel soft."""
    share = np.clip(cover + 0.5, 0, 1)[..., None]
    return np.asarray(base * (1 - share) + share * np.array(ink), np.uint8)


def _ground(side: int, colour: tuple[int, int, int]) -> Bgr:
    return np.full((side, side, 3), colour, np.uint8)


def _varied(rng: Rng, colour: tuple[int, int, int]) -> tuple[int, int, int]:
    b, g, r = (int(np.clip(c + rng.normal(0, 12), 10, 250)) for c in colour)
    return b, g, r


def _grown_spots(rng: Rng, side: int, pitch: float) -> Bgr:
    spots = grown(rng, side, pitch, bias=rng.uniform(-1.7, -1.2))
    return inked(_ground(side, _varied(rng, TAWNY)), _varied(rng, BLACK), 4 * spots)


def _grown_rosettes(rng: Rng, side: int, pitch: float) -> Bgr:
    spots = grown(rng, side, pitch, bias=rng.uniform(-1.6, -1.1))
    broken = grown(rng, side, 0.45 * pitch, bias=0.4)
    middle = _blurred(spots, 0.06 * pitch, 0.06 * pitch, 0.0)
    picture = inked(_ground(side, _varied(rng, SAND)), _varied(rng, BROWN), 6 * (middle - 0.55))
    rim = 0.45 - np.abs(middle - 0.1)
    return inked(picture, _varied(rng, BLACK), 6 * np.minimum(rim, broken + 0.2))


def _grown_bands(rng: Rng, side: int, pitch: float) -> Bgr:
    bands = grown(rng, side, pitch, bias=rng.uniform(-0.1, 0.1), stretch=rng.uniform(1.5, 3))
    return inked(_ground(side, _varied(rng, WHITE)), _varied(rng, BLACK), 4 * bands)


def _grown_tiger(rng: Rng, side: int, pitch: float) -> Bgr:
    bands = grown(rng, side, pitch, bias=rng.uniform(-0.5, -0.3), stretch=rng.uniform(2, 3.5))
    return inked(_ground(side, _varied(rng, (60, 130, 214))), _varied(rng, BLACK), 4 * bands)


def _grown_patches(rng: Rng, side: int, pitch: float) -> Bgr:
    patches = grown(rng, side, pitch, bias=rng.uniform(1.0, 1.5))
    return inked(_ground(side, _varied(rng, CREAM)), _varied(rng, BROWN), 5 * patches)


GROWN: dict[str, Hide] = {
    "spots": _grown_spots,
    "rosettes": _grown_rosettes,
    "bands": _grown_bands,
    "tiger": _grown_tiger,
    "patches": _grown_patches,
}


def _places(rng: Rng, side: int, pitch: float) -> list[NDArray[np.float64]]:
    """Places no nearer than the pitch, thrown until hardly one more fits."""
    found: list[NDArray[np.float64]] = []
    for place in rng.uniform(-pitch, side + pitch, (int(30 * (side / pitch + 2) ** 2), 2)):
        if all(np.hypot(*(place - other)) > pitch for other in found):
            found.append(place)
    return found


def _blot(rng: Rng, middle: NDArray[np.float64], size: float, *, rough: float = 0.25) -> NDArray[np.int32]:
    turns = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    radii = size * (
        1 + sum(rough / k * rng.normal() * np.cos(k * turns + rng.uniform(0, 6)) for k in (2, 3, 4))
    )
    return np.round(middle + np.stack([np.cos(turns), np.sin(turns)], 1) * radii[:, None]).astype(np.int32)


def _set_spots(rng: Rng, side: int, pitch: float) -> Bgr:
    picture = _ground(side, _varied(rng, TAWNY))
    ink = _varied(rng, BLACK)
    for place in _places(rng, side, 0.8 * pitch):
        cv2.fillPoly(picture, [_blot(rng, place, pitch * rng.uniform(0.2, 0.32))], ink, cv2.LINE_AA)
    return picture


def _set_rosettes(rng: Rng, side: int, pitch: float) -> Bgr:
    picture = _ground(side, _varied(rng, SAND))
    ink, middle = _varied(rng, BLACK), _varied(rng, BROWN)
    for place in _places(rng, side, 0.9 * pitch):
        cv2.fillPoly(picture, [_blot(rng, place, 0.3 * pitch)], middle, cv2.LINE_AA)
        start = rng.uniform(0, 2 * np.pi)
        for k in range(int(rng.integers(3, 6))):
            turn = start + 2 * np.pi * k / 4 + rng.normal(0, 0.2)
            at = place + 0.34 * pitch * np.array([np.cos(turn), np.sin(turn)])
            cv2.fillPoly(
                picture, [_blot(rng, at, pitch * rng.uniform(0.1, 0.17), rough=0.4)], ink, cv2.LINE_AA
            )
    return picture


def _set_bands(rng: Rng, side: int, pitch: float) -> Bgr:
    """Bands that wander, fork and end: phase with dislocations (a plain wave plus turns about points)."""
    y, x = np.mgrid[:side, :side].astype(np.float32)
    turn = rng.uniform(0, np.pi)
    phase = (x * np.cos(turn) + y * np.sin(turn)) * 2 * np.pi / pitch
    noise = cv2.GaussianBlur(rng.normal(size=(side, side)).astype(np.float32), (0, 0), pitch)
    phase += 1.6 * noise / noise.std()
    for px, py in rng.uniform(0, side, (int((side / pitch) ** 2 / 14) + 1, 2)):
        phase += rng.choice([-1, 1]) * np.arctan2(y - py, x - px)
    orange = rng.random() < 0.5
    ground = (60, 130, 214) if orange else WHITE
    return inked(_ground(side, _varied(rng, ground)), _varied(rng, BLACK), 3 * (np.cos(phase) - 0.2 * orange))


def _set_patches(rng: Rng, side: int, pitch: float) -> Bgr:
    """The cells of places, each drawn in from its rim."""
    places = np.array(_places(rng, side, 0.75 * pitch))
    y, x = np.mgrid[:side, :side].astype(np.float32)
    noise = cv2.GaussianBlur(
        rng.normal(size=(2, side, side)).astype(np.float32).transpose(1, 2, 0), (0, 0), 0.15 * pitch
    )
    x, y = x + 0.05 * pitch * noise[..., 0] / noise.std(), y + 0.05 * pitch * noise[..., 1] / noise.std()
    away = np.sort(np.stack([np.hypot(x - px, y - py) for px, py in places]), axis=0)
    return inked(_ground(side, _varied(rng, CREAM)), _varied(rng, BROWN), (away[1] - away[0]) - 0.18 * pitch)


SET_OUT: dict[str, Hide] = {
    "spots": _set_spots,
    "rosettes": _set_rosettes,
    "bands": _set_bands,
    "patches": _set_patches,
}


def _camouflage(rng: Rng, side: int, pitch: float) -> Bgr:
    """Blotches of many sizes in three or four earthy colours."""
    inks = [(70, 110, 90), (50, 80, 60), (60, 90, 120), (40, 50, 50), (120, 160, 180), (110, 120, 110)]
    order = rng.permutation(len(inks))[:4]
    picture = _ground(side, _varied(rng, inks[order[0]]))
    for k in order[1:]:
        noise = sum(
            (
                size
                * cv2.GaussianBlur(rng.normal(size=(side, side)).astype(np.float32), (0, 0), size * pitch)
                * size
                * pitch
                for size in (0.25, 0.5, 1.0)
            ),
            np.zeros((side, side), np.float32),
        )
        picture = inked(picture, _varied(rng, inks[k]), 6 * (noise / noise.std() - 0.5))
    return picture


def _clouds(rng: Rng, side: int, pitch: float) -> Bgr:
    """Soft blotches of every size between two brown tones."""
    noise = sum(
        (
            s * s * cv2.GaussianBlur(rng.normal(size=(side, side)).astype(np.float32), (0, 0), s * pitch)
            for s in (0.1, 0.3, 0.9)
        ),
        np.zeros((side, side), np.float32),
    )
    return inked(_ground(side, _varied(rng, SAND)), _varied(rng, BROWN), 0.35 * noise / noise.std())


def _blots(rng: Rng, side: int, pitch: float) -> Bgr:
    """Spots of all sizes in bright colours, thrown at random."""
    picture = _ground(side, tuple(int(v) for v in rng.integers(150, 255, 3)))
    for place in rng.uniform(0, side, (int(0.8 * (side / pitch) ** 2), 2)):
        ink = tuple(int(v) for v in rng.integers(10, 230, 3))
        cv2.fillPoly(picture, [_blot(rng, place, pitch * rng.uniform(0.1, 0.5))], ink, cv2.LINE_AA)
    return picture


def _greys(rng: Rng) -> tuple[tuple[int, int, int], ...]:
    """A ground and three tones, no colour among them, and the lightest first as often as last."""
    tones = [(int(v),) * 3 for v in sorted(rng.uniform(15, 245, 4))]
    return tuple(tones if rng.random() < 0.5 else tones[::-1])


def _pebbles(rng: Rng, side: int, pitch: float) -> Bgr:
    """Rounded stones side by side, in greys."""
    ground, *inks = _greys(rng)
    picture = _ground(side, ground)
    for place in _places(rng, side, 0.8 * pitch):
        ink = inks[int(rng.integers(len(inks)))]
        cv2.fillPoly(
            picture, [_blot(rng, place, pitch * rng.uniform(0.3, 0.42), rough=0.1)], ink, cv2.LINE_AA
        )
    return picture


def _chips(rng: Rng, side: int, pitch: float) -> Bgr:
    """Sharp chips of every size, one over another, in greys."""
    ground, *inks = _greys(rng)
    picture = _ground(side, ground)
    for place in rng.uniform(0, side, (int(2 * (side / pitch) ** 2), 2)):
        turns = np.sort(rng.uniform(0, 2 * np.pi, int(rng.integers(3, 7))))
        size = pitch * rng.uniform(0.1, 0.6)
        corners = place + size * np.stack([np.cos(turns), np.sin(turns)], 1)
        cv2.fillPoly(picture, [np.round(corners).astype(np.int32)], inks[int(rng.integers(3))], cv2.LINE_AA)
    return picture


def _straw(rng: Rng, side: int, pitch: float) -> Bgr:
    """Strokes that lie about one way, in greys."""
    ground, *inks = _greys(rng)
    picture = _ground(side, ground)
    lies = rng.uniform(0, np.pi)
    for place in rng.uniform(0, side, (int(6 * (side / pitch) ** 2), 2)):
        turn = lies + rng.normal(0, 0.3)
        half = 0.7 * pitch * np.array([np.cos(turn), np.sin(turn)])
        start, stop = (tuple(int(v) for v in place + sign * half) for sign in (-1, 1))
        cv2.line(picture, start, stop, inks[int(rng.integers(3))], max(1, int(0.08 * pitch)), cv2.LINE_AA)
    return picture


NO_HIDES: dict[str, Hide] = {
    "camouflage": _camouflage, "clouds": _clouds, "blots": _blots, "pebbles": _pebbles, "chips": _chips,
    "straw": _straw,
}  # fmt: skip


WAYS = {"hide grown": GROWN, "hide set out": SET_OUT, "blotches": NO_HIDES}


def photographed(rng: Rng, bgr: Bgr) -> Bgr:
    """As a camera has it: light that falls off, a little blur and noise."""
    side = bgr.shape[0]
    y, x = np.mgrid[:side, :side] / side - 0.5
    turn = rng.uniform(0, 2 * np.pi)
    light = 1 + 0.2 * (np.cos(turn) * x + np.sin(turn) * y)
    lit = cv2.GaussianBlur(bgr.astype(np.float32), (0, 0), 0.8) * light[..., None].astype(np.float32)
    return np.asarray(np.clip(lit + rng.normal(0, 3, lit.shape), 0, 255), np.uint8)
