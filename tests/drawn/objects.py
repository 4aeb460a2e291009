"""Things of known size that lie on the cloth, and how they are laid into the photo."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np

from printcheck.core.reference.objects import known_object
from tests.drawn import colours
from tests.drawn.art import Colour, Floats, Image
from tests.drawn.camera import Camera

Rng = np.random.Generator
Cover = Floats
Drawing = tuple[Image, Cover]

CARD_MM = (85.60, 53.98)  # ISO/IEC 7810
CARD_CORNER_MM = 3.18  # ISO/IEC 7810: 2.88 to 3.48
CARD_THICK_MM = 0.76  # ISO/IEC 7810
PAPER_THICK_MM = 0.1
FINENESS = 0.6  # pixels of the drawing a photo pixel
MARGIN_PX = 60  # of the photo around an object: room for its shadow
NAMES = ("HEDGE LIBRARY", "READER", "MEMBER", "TEA ROOM", "SWIM CLUB", "GREEN BUS", "GUEST", "ALLOTMENTS")


@dataclass(frozen=True)
class Thing:
    """An object of known size: ``draw(px_per_mm)`` gives its picture and its cover (0 to 1)."""

    kind: str
    name: str
    size_mm: tuple[float, float]
    draw: Callable[[float], Drawing]
    height_mm: float = 0.0
    round: bool = False


@dataclass(frozen=True)
class Laid:
    """A thing at a place on the cloth: its centre in cloth mm from the view's centre, and its turn."""

    thing: Thing
    at_mm: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    shadow: float = 0.3
    shadow_mm: tuple[float, float] = (0.8, 1.0)

    def corners_mm(self) -> Floats:
        """The four corners on the cloth, in order round it from its own top left."""
        w, h = self.thing.size_mm
        box = np.array([[-w, -h], [w, -h], [w, h], [-w, h]]) / 2
        c, s = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        return box @ np.array([[c, s], [-s, c]]) + self.at_mm


def lay(picture: Floats, laid: Laid, camera: Camera) -> dict[str, Any]:
    """Draw the thing and its shadow into the picture (in place); what is true of it is returned."""
    thing = laid.thing
    corners = camera.project(laid.corners_mm(), thing.height_mm)
    facts = {
        "kind": thing.kind,
        "name": thing.name,
        "size_mm": thing.size_mm,
        "corners_px": [[float(v) for v in p] for p in corners],
        "at_mm": laid.at_mm,
        "turn_deg": laid.turn_deg,
        "mm_per_px": camera.scale_at(tuple(camera.project(np.array([laid.at_mm]))[0])),
    }
    window = _window(corners, camera)
    if window is None:
        return facts
    density = 1 / (camera.mm_per_px * FINENESS)
    drawn, cover = thing.draw(density)
    x, y = camera.cloth_map(thing.height_mm, window=window)
    c, s = math.cos(math.radians(laid.turn_deg)), math.sin(math.radians(laid.turn_deg))
    dx, dy = x - np.float32(laid.at_mm[0]), y - np.float32(laid.at_mm[1])
    sx, sy = cover.shape[1] / thing.size_mm[0], cover.shape[0] / thing.size_mm[1]
    mx = (dx * np.float32(c) + dy * np.float32(s) + np.float32(thing.size_mm[0] / 2)) * np.float32(sx)
    my = (dy * np.float32(c) - dx * np.float32(s) + np.float32(thing.size_mm[1] / 2)) * np.float32(sy)
    pad = 2  # clear pixels all round, so that the edge fades where it truly is
    mx, my = mx + np.float32(pad - 0.5), my + np.float32(pad - 0.5)
    ink = cv2.copyMakeBorder(drawn, pad, pad, pad, pad, cv2.BORDER_REPLICATE)
    alpha = cv2.copyMakeBorder(cover, pad, pad, pad, pad, cv2.BORDER_CONSTANT, value=0)
    seen = cv2.remap(ink, mx, my, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE).astype(np.float32)
    solid = cv2.remap(alpha, mx, my, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0)
    x0, y0, x1, y1 = window
    place = picture[y0:y1, x0:x1]
    if laid.shadow:
        place *= (1 - laid.shadow * _shadow(solid, laid, camera))[..., None]
    place += (seen - place) * solid[..., None]
    return facts


def _window(corners: Floats, camera: Camera) -> tuple[int, int, int, int] | None:
    w, h = camera.size_px
    x0, y0 = (max(0, math.floor(v) - MARGIN_PX) for v in corners.min(0))
    x1, y1 = (min(n, math.ceil(v) + MARGIN_PX) for v, n in zip(corners.max(0), (w, h), strict=True))
    return (x0, y0, x1, y1) if x1 > x0 and y1 > y0 else None


def _shadow(solid: Cover, laid: Laid, camera: Camera) -> Cover:
    """A soft shadow beside the thing."""
    dx, dy = (v / camera.mm_per_px for v in laid.shadow_mm)
    moved = cv2.warpAffine(solid, np.array([[1, 0, dx], [0, 1, dy]]), solid.shape[::-1])
    sigma = max(0.8, 0.6 * math.hypot(dx, dy))
    return np.asarray(cv2.GaussianBlur(moved, (0, 0), sigma), np.float32)


def rounded(width: int, height: int, radius: float) -> Cover:
    """Cover of a rounded rectangle that fills the raster, anti-aliased."""
    x = np.abs(np.arange(width) + 0.5 - width / 2)[None, :] - (width / 2 - radius)
    y = np.abs(np.arange(height) + 0.5 - height / 2)[:, None] - (height / 2 - radius)
    distance = np.hypot(np.maximum(x, 0), np.maximum(y, 0)) + np.minimum(np.maximum(x, y), 0) - radius
    return np.clip(0.5 - distance, 0, 1).astype(np.float32)


def gradient(width: int, height: int, a: Colour, b: Colour, angle: float) -> Image:
    """Colour running from ``a`` to ``b``."""
    x = np.linspace(-1, 1, width)[None, :] * math.cos(angle) + np.linspace(-1, 1, height)[:, None] * math.sin(
        angle
    )
    share = np.clip(x / 2 + 0.5, 0, 1)[..., None]
    return np.rint(np.asarray(a) * (1 - share) + np.asarray(b) * share).astype(np.uint8)


def write(picture: Image, text: str, at: tuple[float, float], *, height: float, ink: Colour) -> None:
    """Lettering of a cap height in pixels, baseline at ``at``."""
    scale = height / 21.0  # a cap of Hershey Simplex is 21 px high at scale 1
    place = (round(at[0]), round(at[1]))
    weight = max(1, round(height / 7))
    cv2.putText(picture, text, place, cv2.FONT_HERSHEY_SIMPLEX, scale, ink, weight, cv2.LINE_AA)


def card(
    rng: Rng,
    *,
    size_mm: tuple[float, float] = CARD_MM,
    name: str = "card",
    corner_mm: float = CARD_CORNER_MM,
) -> Thing:
    """An ID-1 card of any colours: plain or blended, with lettering, a chip, a stripe or a picture."""
    first = colours.ink(rng, (15, 97), (0, 70))
    second = first if rng.random() < 0.4 else colours.ink(rng, (15, 97), (0, 70))
    letters = colours.inks(rng, 1, first)[0]
    angle, word = rng.uniform(0, 2 * math.pi), str(rng.choice(NAMES))
    number = "  ".join(f"{int(v):04d}" for v in rng.integers(0, 10000, 2))
    has = dict(
        zip(
            ("chip", "stripe", "number", "word", "band"),
            rng.random(5) < (0.4, 0.25, 0.6, 0.7, 0.25),
            strict=True,
        )
    )
    spots = [
        (rng.uniform(0, 1, 2), rng.uniform(0.05, 0.25), colours.ink(rng, (20, 90), (0, 60))) for _ in range(3)
    ]
    picture_of = bool(rng.random() < 0.3)

    def draw(density: float) -> Drawing:
        w, h = round(size_mm[0] * density), round(size_mm[1] * density)
        face = gradient(w, h, first, second, angle)
        for (x, y), r, ink in spots if picture_of else ():
            cv2.circle(face, (round(x * w), round(y * h)), round(r * h), ink, -1, cv2.LINE_AA)
        if has["band"]:
            face[: round(0.2 * h)] = letters
        if has["stripe"]:
            face[round(0.1 * h) : round(0.33 * h)] = (24, 22, 22)
        if has["chip"]:
            x0, y0 = round(0.12 * w), round(0.36 * h)
            face[y0 : y0 + round(0.19 * h), x0 : x0 + round(0.14 * w)] = (110, 175, 205)
        if has["word"]:
            write(face, word, (0.1 * w, 0.3 * h), height=4.2 * density, ink=letters)
        if has["number"]:
            write(face, number, (0.1 * w, 0.74 * h), height=4.0 * density, ink=letters)
        return face, rounded(w, h, corner_mm * density)

    return Thing("card", name, size_mm, draw, CARD_THICK_MM)


def sheet(rng: Rng, *, name: str = "A6", size_mm: tuple[float, float] | None = None) -> Thing:
    """A sheet of paper with some lines of writing, printing or nothing; lies landscape before its turn."""
    short, long = sorted(size_mm or known_object(name).size_mm or ())
    paper = colours.ink(rng, (88, 98), (0, 8)) if rng.random() < 0.8 else colours.ink(rng, (75, 92), (5, 30))
    ink = colours.ink(rng, (15, 55), (0, 40))
    lines = [
        (rng.uniform(0.08, 0.2), y, rng.uniform(0.4, 0.9))
        for y in np.arange(0.15, 0.9, rng.uniform(0.05, 0.12))
    ]
    written = bool(rng.random() < 0.75)
    shade, angle = float(rng.uniform(0, 8)), rng.uniform(0, 2 * math.pi)

    def draw(density: float) -> Drawing:
        w, h = round(long * density), round(short * density)
        darker = (paper[0] - round(shade), paper[1] - round(shade), paper[2] - round(shade))
        face = gradient(w, h, paper, darker, angle)
        for start, y, end in lines if written else ():
            row = round(y * h)
            cv2.line(face, (round(start * w), row), (round(end * w), row), ink, max(1, round(0.5 * density)))
        return face, np.ones((h, w), np.float32)

    return Thing("rect" if size_mm else "sheet", name, (long, short), draw, PAPER_THICK_MM)


def picture(
    bgr: Image, size_mm: tuple[float, float], *, name: str = "board", height_mm: float = 0.3
) -> Thing:
    """Any raster of known size, such as a printed scale card."""

    def draw(density: float) -> Drawing:
        w, h = round(size_mm[0] * density), round(size_mm[1] * density)
        shrinks = w < bgr.shape[1]
        face = cv2.resize(bgr, (w, h), interpolation=cv2.INTER_AREA if shrinks else cv2.INTER_LINEAR)
        return np.asarray(face, np.uint8), np.ones((h, w), np.float32)

    return Thing("board", name, size_mm, draw, height_mm)
