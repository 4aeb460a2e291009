"""A coin on the cloth: its rim gives the scale, and next to nothing of the tilt."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.request import Reference
from printcheck.photo.scale.coin.denominations import Coin, coin_of
from printcheck.photo.scale.coin.ellipse_pose import RIM_ERROR, fit_coin
from printcheck.photo.scale.coin.hough import Circle, search
from printcheck.photo.scale.coin.metal import alike, hue_radius, is_coin, look_at, metals
from printcheck.photo.scale.coin.rim import (
    ON_RIM_PX,
    ON_RIM_SHARE,
    Rim,
    about_raised_rim,
    outermost,
    rings,
    rough_rims,
)
from printcheck.photo.scale.pose import camera_of
from printcheck.photo.scale.sighting import Sighting, hidden_by, on_cloth, to_photo_px

if TYPE_CHECKING:
    from printcheck.core.handover import Bgr, Lab, Picture

WORK_PX = 1600  # px of the long side at which the rim is measured
CANDIDATES = 16  # looked at, best first
ROUGH_COVER = 0.28  # share of rays on a first outline, for its rings to be looked for
COVER, TIGHTNESS, IN_VIEW = 0.88, 0.40, 0.80  # least of each, for a rim to be believed
HUE_TIGHTNESS = 0.28  # likewise where the hue changes at the rim, which then is as good a witness
HUE_APART_PX, HUE_APART = 1.5, 0.015  # px and of the radius: a ring this far from there is another one
RMS_SHARE = 0.42  # of what counts as on the rim: noise scatters evenly, which is 0.58
USUAL_DIAMETER_MM = 24.0  # of a coin of unknown name, for how large it may show
SURE_COVER, SURE_TIGHTNESS = 0.95, 0.50
EVIDENCE_SURE, EVIDENCE = 0.9, 0.75
# Share of the rim's height that counts, and one sigma, where EXIF does not tell the camera's distance: a
# whole photo by a phone's main lens (24 to 28 mm on film, common practice) shows all of it, a zoomed one
# about half, a photo of a flat picture none. In the middle neither end is off by more than half the effect.
# No camera writes the kinds of file that drawings and scans come in.
UNKNOWN_LIFT, DRAWN_LIFT = (0.5, 0.35), (0.0, 0.65)
DRAWN_KINDS = (".png", ".bmp", ".tif", ".tiff")
LARGEST_TILT_DEG = 25.0  # degrees: more is a wrong outline, not a photo from above


def find(picture: Picture, request: Reference) -> list[Sighting]:
    """The coin asked for, by name or diameter; nothing for ``auto``, as no coin is known by its looks.

    Raises
    ------
    InputError
        For an unknown name or a coin that is not round.
    NoAnswerError
        If two different coins are in sight, or the one in sight is not of the metal asked for.
    """
    if request.kind == "auto":
        return []
    coin = coin_of(request)
    lab, rims, factor = _in_sight(picture, coin.diameter_mm)
    if len(rims) > 1:
        raise NoAnswerError(
            "two-coins",
            "Two coins are in sight, and it cannot be told which one is meant.",
            "Leave only one coin on the cloth.",
        )
    if not rims:
        return []
    _check_metal(lab, rims[0], coin)
    sighting = _sighting(picture, coin, rims[0], factor)
    return [] if sighting is None else [sighting]


def seems_there(picture: Picture) -> bool:
    """Whether one thing in the photo looks like a coin, of whatever size."""
    _, rims, _ = _in_sight(picture, USUAL_DIAMETER_MM)
    return len(rims) == 1


def _in_sight(picture: Picture, diameter_mm: float) -> tuple[Lab, list[Rim], float]:
    """The picture at working size, what looks like a coin in it, and photo pixels per pixel of it."""
    factor = max(1.0, max(picture.bgr.shape[:2]) / WORK_PX)
    work = np.asarray(picture.bgr, np.uint8)
    if factor > 1:
        scale = 1 / factor
        work = np.asarray(cv2.resize(work, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8)
    lab = _lab(work)
    return lab, _rims(lab, search(work, diameter_mm)[:CANDIDATES]), factor


def _is_sure(rim: Rim) -> bool:
    return rim.cover >= SURE_COVER and rim.tightness >= SURE_TIGHTNESS


def _lab(bgr: Bgr) -> Lab:
    """CIELAB from 8 bit: a third of the time of the exact one, and fine enough for edges."""
    lab = cv2.cvtColor(bgr, cv2.COLOR_BGR2Lab).astype(np.float32)
    lab[..., 0] *= 100 / 255
    lab[..., 1:] -= 128
    return lab


def _rims(lab: Lab, circles: list[Circle]) -> list[Rim]:
    """Outlines of everything that looks like a coin and has no twin."""
    rough = [rim for rim in rough_rims(lab, circles) if rim is not None and rim.cover > ROUGH_COVER]
    found: list[Rim] = []
    others: list[Rim] = []
    for first in rough:
        if any(np.linalg.norm(first.centre - rim.centre) < rim.radius for rim in found):
            continue
        every_ring = rings(lab, first)
        rim = _outline(lab, every_ring)
        if rim is not None and is_coin(look_at(lab, rim)):
            found.append(rim)
        elif every_ring:
            others.append(rim or outermost(every_ring) or first)
    every = found + others
    return [
        rim for rim in found if not any(k is not rim and _apart(k, rim) and alike(lab, rim, k) for k in every)
    ]


def _outline(lab: Lab, every_ring: list[Rim]) -> Rim | None:
    """The coin's own outline: the outermost ring, or one about it where the hue still is the metal's there.

    None where a hue that changes elsewhere contradicts it: inside, one is a shadow's or the other a glare.
    """
    usual = outermost(every_ring)
    if usual is None or (radius := hue_radius(lab, usual)) is None:
        return usual if usual is not None and _is_closed(usual) else None
    slack = max(HUE_APART_PX, HUE_APART * radius)
    if radius < usual.radius - slack:
        return None
    there = [
        ring
        for ring in [usual, *about_raised_rim(lab, usual)]
        if abs(ring.radius - radius) < slack and _is_closed(ring, HUE_TIGHTNESS)
    ]
    return max(there, key=lambda ring: ring.tightness, default=None)


def _apart(one: Rim, other: Rim) -> bool:
    return float(np.linalg.norm(one.centre - other.centre)) > max(one.radius, other.radius)


def _is_closed(rim: Rim, least_tightness: float = TIGHTNESS) -> bool:
    tolerance = max(ON_RIM_PX, ON_RIM_SHARE * rim.radius)
    return (
        rim.cover >= COVER
        and rim.tightness >= least_tightness
        and rim.in_view >= IN_VIEW
        and rim.rms_px <= RMS_SHARE * tolerance
    )


def _check_metal(lab: Lab, rim: Rim, coin: Coin) -> None:
    """Refuse a coin of another metal than the one named: its size is not what was said."""
    seen = metals(look_at(lab, rim))
    if coin.metal is not None and coin.metal not in seen:
        raise NoAnswerError(
            "coin-of-other-metal",
            f"The coin in sight looks {' or '.join(sorted(seen))}, but {coin.name} is {coin.metal}.",
            "Name the coin that lies there, or give its diameter, such as coin:23.25mm.",
        )


def _sighting(picture: Picture, coin: Coin, rim: Rim, factor: float) -> Sighting | None:
    scale = factor * picture.reduction
    points = to_photo_px((rim.points + 0.5) * factor - 0.5, picture)
    outline = to_photo_px((rim.outline() + 0.5) * factor - 0.5, picture)
    camera = camera_of(picture)
    rim_pose = fit_coin(points, coin.diameter_mm, rms_px=rim.rms_px * scale, camera=camera)
    drawn = picture.facts.file.lower().endswith(DRAWN_KINDS)
    pose, lift_sigma = on_cloth(rim_pose, coin.thickness_mm, picture, DRAWN_LIFT if drawn else UNKNOWN_LIFT)
    if pose.tilt_deg > LARGEST_TILT_DEG or not math.isfinite(pose.chi2):
        return None
    error = math.hypot(pose.scale_sigma(camera.centre_px), RIM_ERROR, lift_sigma)
    return Sighting(
        "coin",
        f"coin {coin.diameter_mm:g} mm",
        np.asarray(np.linalg.inv(pose.to_photo), float),
        error,
        tilt_deg=None,
        outline_px=outline,
        hidden_px=hidden_by(outline),
        evidence=EVIDENCE_SURE if _is_sure(rim) else EVIDENCE,
        why="a closed round rim, metal with relief, and no second one like it",
        findings=(finding("scale-coin-tilt", percent=100 * error),),
        pose=pose,
    )
