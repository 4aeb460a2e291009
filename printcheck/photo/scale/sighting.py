"""What every file of this folder gives: a :class:`Sighting`.

How to add an object of known size
----------------------------------
Add its row to :mod:`printcheck.core.reference.objects`; where no search fits it, write a file of this folder
with one public function::

    def find(picture: Picture, request: Reference) -> list[Sighting]

- All pixel coordinates in a Sighting are **photo pixels** (``picture.facts.width_px`` wide; the centre of
  the top left pixel is 0, 0). ``picture.bgr`` may be reduced: turn its pixels into photo pixels with
  :func:`to_photo_px`.
- Return the sightings that you would stand behind, best first; usually one. Return ``[]`` where there is
  none: ``scale/__init__.py`` then says so in words ("no-reference"). Raise ``NoAnswerError`` only to
  say something better than that ("the tape is too blurred to read"), and ``InputError`` for a request
  that cannot be met (a coin that is not round).
- ``request.kind`` is your own kind, or ``"auto"``: then look for every object of your kind that is worth
  guessing at, and be strict, since nobody said that there is one.
- ``to_mm`` need not place or turn anything: only its scale and tilt are used, the picture is laid upright
  by :mod:`printcheck.photo.flatten`. Where the tilt is unknown use :func:`untilted`.
- ``relative_error`` is one sigma of ``mm_per_px`` **at the picture's centre**, as a share, everything
  included: edge noise, unknown tilt, the object's own tolerance.
- ``evidence``: 0.5 hardly, 0.8 would be used alone, 0.95 beyond doubt. Do not return anything below 0.5.
- Findings: enter them in ``printcheck/core/findings.py`` under ``photo``.
- :mod:`printcheck.photo.scale.pose` fits a camera pose to points, with priors on focal length and lens,
  and gives scale and sigma at any pixel (``camera_of``, ``fit_pose``, ``scale_of_pair``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import cv2
import numpy as np

from printcheck.core.findings import Finding
from printcheck.core.handover import Floats, Picture
from printcheck.core.measurement import ScaleSource
from printcheck.photo.scale.pose import Pose, local_scale

SHADOW = 0.06  # of the object's size: hidden round it, for its blur, and where a light shadow may lie
NEAREST_MM = 120.0  # camera to cloth: a phone's main lens does not focus nearer, so that the view is zoomed
UNKNOWN_TILT_DEG = 4.0  # one sigma of the tilt of a photo meant to be taken from straight above


@dataclass(frozen=True)
class Sighting:
    """One object of known size, or one statement of scale, and what it says of the photo.

    Parameters
    ----------
    source : ScaleSource
        For ``scale.source``.
    object : str
        In words, such as ``"bank card"``, ``"A6 sheet"``, ``"coin 23.25 mm"``.
    to_mm : (3, 3) float64
        Homography from photo pixels to mm on the cloth, up to place and turn; must not mirror.
    relative_error : float
        One sigma of the scale at the picture's centre, as a share.
    tilt_deg : float or None
        Angle of the camera off the square; None where unknown.
    outline_px : (N, 2) float64 or None
        Outline in photo pixels, for the picture.
    hidden_px : tuple of (N, 2) float64
        Polygons in photo pixels of what is not cloth: the object with a margin, its shadow.
    evidence : float
        0 to 1.
    lens_k1 : float
        First radial term of the lens where measured (a board); 0 otherwise.
    pose : Pose or None
        The fit, where there is one, with its covariance.
    scale_known : bool
        False where nothing of known size is seen and ``to_mm`` is a guess.
    """

    source: ScaleSource
    object: str
    to_mm: Floats
    relative_error: float
    tilt_deg: float | None = None
    outline_px: Floats | None = None
    hidden_px: tuple[Floats, ...] = ()
    evidence: float = 1.0
    findings: tuple[Finding, ...] = ()
    lens_k1: float = 0.0
    pose: Pose | None = field(default=None, compare=False)
    scale_known: bool = True

    def mm_per_px(self, at_px: tuple[float, float]) -> float:
        """Geometric mean of mm per photo pixel at a photo pixel."""
        return local_scale(self.to_mm, at_px)

    def with_findings(self, *more: Finding) -> Sighting:
        """The same with more findings."""
        return replace(self, findings=(*self.findings, *more))


def untilted(mm_per_px: float) -> Floats:
    """``to_mm`` of a photo taken straight from above, for all we know."""
    return np.diag([mm_per_px, mm_per_px, 1.0])


def tilt_misfit(numbers: Floats) -> Floats:
    """Two residuals of a pose (8,) whose object hardly shows the tilt: little of it is expected."""
    sigma = math.radians(UNKNOWN_TILT_DEG) / math.sqrt(2)  # of each of its two parts
    return np.asarray(numbers[:2] / sigma)


def to_photo_px(points: Floats, picture: Picture) -> Floats:
    """Photo pixels of pixels of ``picture.bgr``, any shape ending in (x, y)."""
    return np.asarray((points + 0.5) * picture.reduction - 0.5)


def to_picture_px(points: Floats, picture: Picture) -> Floats:
    """Pixels of ``picture.bgr`` of photo pixels, any shape ending in (x, y)."""
    return np.asarray((points + 0.5) / picture.reduction - 0.5)


def centre_px(picture: Picture) -> tuple[float, float]:
    """Centre of the photo, in photo pixels."""
    return (picture.facts.width_px - 1) / 2, (picture.facts.height_px - 1) / 2


def on_cloth(
    pose: Pose, thickness_mm: float, picture: Picture, unknown: tuple[float, float]
) -> tuple[Pose, float]:
    """Pose of the cloth under an object, from that of its upper face, and what its height leaves open.

    Parameters
    ----------
    pose : Pose
        Of the upper face, which is nearer to the camera by the thickness and so seems larger.
    thickness_mm : float
    picture : Picture
    unknown : tuple of float
        Where EXIF does not give the focal length: the share of that effect to allow for, as a usual lens
        would show it, and one sigma of the share.

    Returns
    -------
    Pose, and one sigma of the scale, as a share, for what is not known of the camera's distance.
    """
    if picture.focal_px is not None:
        return pose.lowered(thickness_mm), 0.0
    effect = thickness_mm / max(pose.distance_mm, NEAREST_MM)
    return pose.lowered(unknown[0] * effect * pose.distance_mm), unknown[1] * effect


def grown(outline_px: Floats, by_px: float) -> Floats:
    """Convex outline moved outwards by a distance, as a polygon round its corners."""
    points = np.asarray(outline_px, float)
    circle = np.linspace(0, 2 * math.pi, 16, endpoint=False)
    ring = by_px * np.stack([np.cos(circle), np.sin(circle)], 1)
    hull = cv2.convexHull((points[:, None] + ring[None]).reshape(-1, 1, 2).astype(np.float32))
    return np.asarray(hull[:, 0], float)


def hidden_by(outline_px: Floats) -> tuple[Floats, ...]:
    """Polygons to hide for an object with this outline: margin, and room for a light shadow."""
    size = math.sqrt(abs(float(cv2.contourArea(outline_px.astype(np.float32)))))
    return (grown(outline_px, size * SHADOW),)
