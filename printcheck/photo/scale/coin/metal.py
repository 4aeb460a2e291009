"""What lies within a round outline: its colours, its relief, and the metal it may be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Floats, Lab
from printcheck.photo.scale.rectangle.edges import NO_LIGHT, REACH_PX, TO_LIGHTNESS, hue_steps
from printcheck.photo.scale.sampling import colours_at

if TYPE_CHECKING:
    from printcheck.photo.scale.coin.denominations import Coin
    from printcheck.photo.scale.coin.rim import Rim

FACE_PX = 128  # px across what is looked at; the coin's face takes up 90 of them
FACE_REACH = 1.42  # of the radius: how much of the cloth round the coin is looked at too
AROUND = 1.6  # of the radius: half the square cut out for looking
CORE, RING = 0.60, (0.77, 0.90)  # of the radius: inside the inner disc of a two-tone coin, and its ring
OUTSIDE = (1.1, 1.4)  # of the radius: the cloth round the coin
NOISE_BLUR_PX = 1.2  # px of the face: noise out, relief kept
LEAST_STEP, CLEAR_STEP = 4.0, 10.0  # Lab b from core to ring: of two-tone coins at least, of others at most
WHITE_QUANTILE, MOST_WHITE_CHROMA = 0.97, 15.0  # of lightness; Lab: what a lamp makes of white paper
CLEARLY_YELLOW, NEARLY_GREY = 25.0, 5.0  # Lab off the photo's white: brass has 35, copper 20, nickel 0 to 8
HUE_RAYS, HUE_STEP_PX = 64, 0.5  # across the outline, on which the hue's change is looked for
HUE_REACH = 0.12  # of the radius to either side: a raised rim's inner edge lies within
HUE_SURE = 0.8  # say of the hue from which it counts; 95 of 96 drawn coins then have it within 0.7 px
SHADE_BLUR_PX = 14.0  # px of the face: slow shading, which is not relief


@dataclass(frozen=True)
class Look:
    """What a face looks like, in CIELAB.

    Parameters
    ----------
    core, ring : (3,) float64
        Median colour of the middle, and of the ring about it.
    relief : float
        Spread of lightness within the middle, noise and slow shading taken out.
    tint : float
        Spread of colour (a, b) within the middle and within the ring, the larger.
    cloth : (3,) float64
        Median colour of the cloth round it.
    """

    core: Floats
    ring: Floats
    relief: float
    tint: float
    cloth: Floats


def look_at(lab: Lab, rim: Rim) -> Look:
    """Measure the face within an outline."""
    face = _face(lab, rim)
    line = (np.arange(FACE_PX) + 0.5) / FACE_PX * 2 - 1
    radius = np.hypot(line[:, None], line[None]) * FACE_REACH
    core, ring = radius < CORE, (radius > RING[0]) & (radius < RING[1])
    outside = (radius > OUTSIDE[0]) & (radius < OUTSIDE[1])
    smooth = np.asarray(cv2.GaussianBlur(face, (0, 0), NOISE_BLUR_PX), np.float32)
    detail = smooth - _masked_blur(smooth, radius < RING[1])
    tint = max(float(np.sqrt(np.mean(np.var(detail[part][:, 1:], axis=0)))) for part in (core, ring))
    return Look(
        core=np.median(smooth[core], 0).astype(float),
        ring=np.median(smooth[ring], 0).astype(float),
        relief=float(np.std(detail[core][:, 0])),
        tint=tint,
        cloth=np.median(smooth[outside], 0).astype(float),
    )


def white_of(lab: Lab) -> Floats | None:
    """The photo's own white; None where its lightest places are coloured, so that nothing there is white."""
    lightest = lab[lab[..., 0] >= np.quantile(lab[::4, ::4, 0], WHITE_QUANTILE)]
    white = np.median(lightest, axis=0).astype(float)
    return white if np.hypot(white[1], white[2]) < MOST_WHITE_CHROMA else None


def contradicts(look: Look, coin: Coin, white: Floats | None) -> str | None:
    """What a face looks like, in words, where that is clearly not the metal of the coin named."""
    step = float(look.ring[2] - look.core[2])  # yellower by so much in every light, as both lie in it
    if coin.metal in ("gold in silver", "silver in gold"):
        wanted = -step if coin.metal == "gold in silver" else step
        return (
            None
            if wanted > LEAST_STEP
            else "of one metal"
            if abs(step) < LEAST_STEP
            else "the other way round"
        )
    if coin.metal is None:
        return None
    if abs(step) > CLEAR_STEP:
        return "two-tone"
    if white is None:
        return None
    tint = look.core[1:] - white[1:] * look.core[0] / white[0]
    if coin.metal == "silver" and tint[1] > CLEARLY_YELLOW:
        return "gold or copper"
    return "silver" if coin.metal != "silver" and np.hypot(*tint) < NEARLY_GREY else None


def hue_radius(lab: Lab, near: Rim) -> float | None:
    """Radius in px at which the hue changes from the cloth's; None where it does not change clearly.

    Metal goes on to its edge, so that this is no inner edge of a raised rim, and no shadow.
    """
    reach = HUE_REACH * near.radius
    places = np.arange(reach, -reach - HUE_STEP_PX / 2, -HUE_STEP_PX)
    margin = np.arange(HUE_STEP_PX, REACH_PX + HUE_STEP_PX / 2, HUE_STEP_PX)
    out = np.concatenate([places[0] + margin[::-1], places, places[-1] - margin])
    edge = near.outline(HUE_RAYS)
    away = (edge - near.centre) / np.linalg.norm(edge - near.centre, axis=1, keepdims=True)
    colour = colours_at(lab, edge[:, None] + out[:, None] * away[:, None])
    eight_bit = colour / TO_LIGHTNESS + [0.0, NO_LIGHT[1], NO_LIGHT[2]]
    strength, say = hue_steps(eight_bit[None], HUE_STEP_PX)
    mean = strength[0].mean(0)
    return near.radius + float(places[int(np.argmax(mean))]) if float(say.item()) > HUE_SURE else None


def _face(lab: Lab, rim: Rim) -> Lab:
    """The face drawn square, its outline a circle of FACE_PX / 2 / FACE_REACH."""
    line = ((np.arange(FACE_PX) + 0.5) / FACE_PX * 2 - 1) * FACE_REACH
    x, y = np.meshgrid(line, line)
    angle, radius = np.arctan2(y, x), np.hypot(x, y)
    edge = rim.series[0] + rim.series[1] * np.cos(2 * angle) + rim.series[2] * np.sin(2 * angle)
    mx = rim.centre[0] + radius * edge * np.cos(angle)
    my = rim.centre[1] + radius * edge * np.sin(angle)
    step = max(1.0, 2 * FACE_REACH * rim.radius / FACE_PX)
    x0, y0 = (max(0, int(middle - AROUND * rim.radius)) for middle in rim.centre)
    reach = int(2 * AROUND * rim.radius) + 4
    source = lab[y0 : y0 + reach, x0 : x0 + reach]
    if step > 1.2:
        source = np.asarray(cv2.GaussianBlur(source, (0, 0), 0.4 * step), np.float32)
    return colours_at(source, np.stack([mx - x0, my - y0], -1))


def _masked_blur(picture: Lab, inside: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> Lab:
    """Slow part of a picture, from within a mask alone."""
    weight = cv2.GaussianBlur(inside.astype(np.float32), (0, 0), SHADE_BLUR_PX)
    summed = cv2.GaussianBlur(picture * inside[..., None].astype(np.float32), (0, 0), SHADE_BLUR_PX)
    return np.asarray(summed / np.maximum(weight, 1e-3)[..., None], np.float32)
