"""A coin on the cloth: its rim gives the scale, and next to nothing of the tilt."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.handover import Bgr, Floats, Lab, Picture
from printcheck.core.request import Reference
from printcheck.photo.scale.coin.coin_score import Disc, disc_features, evidence_of
from printcheck.photo.scale.coin.denominations import Coin, coin_of
from printcheck.photo.scale.coin.ellipse_pose import RIM_ERROR, fit_coin
from printcheck.photo.scale.coin.hough import Circle, search
from printcheck.photo.scale.coin.metal import contradicts, hue_radius, look_at, white_of
from printcheck.photo.scale.coin.rim import (
    Rim,
    about_raised_rim,
    choice_sigmas,
    clearness,
    coin_outline,
    rings,
    rough_rims,
)
from printcheck.photo.scale.doubts import EDGE_UNCLEAR, doubtful, place_of, points_of, reason
from printcheck.photo.scale.pose import camera_of
from printcheck.photo.scale.sampling import shrunk
from printcheck.photo.scale.sighting import Sighting, hidden_by, on_cloth, to_photo_px

if TYPE_CHECKING:
    from collections.abc import Iterator

WORK_PX = 1600  # px of the long side at which the rim is measured
CANDIDATES, HINTED = 16, 3  # looked at, best first: for a coin that was named, and to speak of one
ROUGH_COVER = 0.28  # share of rays on a first outline, for its rings to be looked for
LEAST, LIKELY = 0.8, 0.5  # evidence at which a disc is taken for a coin, and is more likely one than not
MOST_SIGMA = 0.05  # share of scale: what is less sure is asked about; twice it is a size too large or small
SAME_SIZE = 0.03  # share of the radius: several coins of one kind agree
USUAL_DIAMETER_MM = 24.0  # of a coin of unknown name, for how large it may show
# Share of the rim's height that counts, and one sigma, where EXIF does not tell the camera's distance: a
# whole photo by a phone's main lens (24 to 28 mm on film, common practice) shows all of it, a zoomed one
# about half, a photo of a flat picture none. In the middle neither end is off by more than half the effect.
UNKNOWN_LIFT = 0.5, 0.35
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
    picture = shrunk(picture, WORK_PX)
    lab, discs = in_sight(picture, coin.diameter_mm)
    coins = [disc for disc in discs if evidence_of(disc) >= LIKELY]
    if not coins:
        return []
    white = white_of(lab)
    mistaken = [contradicts(disc.look, coin, white) for disc in coins]
    fitting = [disc for disc, what in zip(coins, mistaken, strict=True) if what is None]
    if not fitting and evidence_of(coins[0]) >= LEAST:
        raise NoAnswerError(
            "coin-of-other-metal",
            f"The coin in sight looks {mistaken[0]}, but {coin.name} is {coin.metal}.",
            "Name the coin that lies there, or give its diameter, such as coin:23.25mm.",
            outline_px=points_of(_outline_px(coins[0].rim, picture)),
        )
    best = (fitting or coins)[0]
    if evidence_of(best) < LEAST:
        raise _unsure(picture, coin, best, reason("coin", disc_features(best)))
    outline = _outline_px(best.rim, picture)
    if any(abs(math.log(disc.rim.radius / best.rim.radius)) > SAME_SIZE for disc in fitting):
        raise NoAnswerError(
            "two-coins",
            f"{len(fitting)} coins of different sizes are in sight: it cannot be told which is meant.",
            f"Leave only one coin in sight; if the one near the {place_of(outline, picture)} of the photo "
            f"is meant, say {_span(outline, coin)}.",
            outline_px=points_of(outline),
        )
    sighting = _sighting(picture, coin, best)
    if sighting is not None and sighting.relative_error > MOST_SIGMA:
        raise _unsure(picture, coin, best, EDGE_UNCLEAR)
    return [] if sighting is None else [sighting]


def _unsure(picture: Picture, coin: Coin, disc: Disc, why: str) -> NoAnswerError:
    """The refusal of a round thing that may be the coin, with the two ends to say that it is."""
    outline = _outline_px(disc.rim, picture)
    return doubtful(picture, f"the coin ({coin.name})", outline, why, _span(outline, coin))


def _span(outline_px: Floats, coin: Coin) -> str:
    """The option that says that this outline is the coin's, from rim to rim."""
    ends = ",".join(f"{value:.0f}" for value in outline_px[[0, len(outline_px) // 2]].ravel())
    return f"--span {ends}={coin.diameter_mm:g}mm"


def coin_outline_px(picture: Picture) -> Floats | None:
    """Outline (N, 2) in photo px of something that looks like a coin of whatever size."""
    picture = shrunk(picture, WORK_PX)
    lab, circles = _lab(picture.bgr), search(picture.bgr, USUAL_DIAMETER_MM)
    likely = (disc for disc in discs_of(lab, circles[:HINTED]) if evidence_of(disc) >= LIKELY)
    return next((_outline_px(disc.rim, picture) for disc in likely), None)


def in_sight(picture: Picture, diameter_mm: float) -> tuple[Lab, list[Disc]]:
    """Colours of a picture of WORK_PX, and round outlines in it, surest first."""
    lab = _lab(picture.bgr)
    discs = discs_of(lab, search(picture.bgr, diameter_mm)[:CANDIDATES])
    return lab, sorted(discs, key=lambda disc: -evidence_of(disc))


def _lab(bgr: Bgr) -> Lab:
    """CIELAB from 8 bit: a third of the time of the exact one, and fine enough for edges."""
    lab = cv2.cvtColor(bgr, cv2.COLOR_BGR2Lab).astype(np.float32)
    lab[..., 0] *= 100 / 255
    lab[..., 1:] -= 128
    return lab


def discs_of(lab: Lab, circles: list[Circle]) -> Iterator[Disc]:
    """Round outlines about candidates, each once, with what lies within."""
    found: list[Disc] = []
    for first in rough_rims(lab, circles):
        if first is None or first.cover <= ROUGH_COVER:
            continue
        if any(np.linalg.norm(first.centre - disc.rim.centre) < disc.rim.radius for disc in found):
            continue
        disc = _disc(lab, rings(lab, first))
        if disc is not None:
            found.append(disc)
            yield disc


def _disc(lab: Lab, closed: list[Rim]) -> Disc | None:
    """The disc whose rim is one of some concentric rings."""
    usual = coin_outline(closed, clearness(lab, closed), None)
    if usual is None:
        return None
    hue = hue_radius(lab, usual)
    every = [*closed, *about_raised_rim(lab, usual)]
    clear = clearness(lab, every)
    rim = coin_outline(every, clear, hue) or usual
    return Disc(rim, look_at(lab, rim), hue, *choice_sigmas(rim, every, clear, hue))


def _outline_px(rim: Rim, picture: Picture) -> Floats:
    return to_photo_px(rim.outline(), picture)


def _sighting(picture: Picture, coin: Coin, disc: Disc) -> Sighting | None:
    rim, evidence = disc.rim, evidence_of(disc)
    scale = picture.reduction
    points, outline = to_photo_px(rim.points, picture), _outline_px(rim, picture)
    camera = camera_of(picture)
    choice_px = disc.oval_sigma * rim.radius * scale
    rim_pose = fit_coin(
        points, coin.diameter_mm, rms_px=rim.rms_px * scale, choice_px=choice_px, camera=camera
    )
    pose, lift_sigma = on_cloth(rim_pose, coin.thickness_mm, picture, UNKNOWN_LIFT)
    if pose.tilt_deg > LARGEST_TILT_DEG or not math.isfinite(pose.chi2):
        return None
    error = math.hypot(pose.scale_sigma(camera.centre_px), RIM_ERROR, lift_sigma, disc.choice_sigma)
    return Sighting(
        "coin",
        f"coin {coin.diameter_mm:g} mm",
        np.asarray(np.linalg.inv(pose.to_photo), float),
        error,
        tilt_deg=None,
        outline_px=outline,
        hidden_px=hidden_by(outline),
        evidence=evidence,
        findings=(finding("scale-coin-tilt", percent=100 * error),),
        pose=pose,
    )
