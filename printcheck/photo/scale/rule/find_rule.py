"""A tape measure or ruler on the cloth: its ticks give the scale along it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.handover import Floats, Picture
from printcheck.core.request import Reference
from printcheck.photo.scale.doubts import place_of, points_of
from printcheck.photo.scale.pose import camera_of
from printcheck.photo.scale.rule.bands import Band, find_bands
from printcheck.photo.scale.rule.comb import SAME_PERIOD, Comb, Strip, find_combs, straighten
from printcheck.photo.scale.rule.graduations import TENTHS, UNSURE, Marks, read_marks
from printcheck.photo.scale.rule.line_pose import POINTS, fit_rule, tape_error
from printcheck.photo.scale.rule.reach import WIDEST_MM, extent
from printcheck.photo.scale.sampling import shrunk
from printcheck.photo.scale.sighting import Sighting, grown, to_photo_px

if TYPE_CHECKING:
    from printcheck.photo.scale.rule.bands import Grey

WORK_PX, COARSE_PX = 1600, 800  # px of the long side at which ticks are looked for: fine ones, then wide ones
FINE_PX = 2400  # and then, where the tape is named, strokes are in sight, and the photo has the pixels
SAME_SCALE = 0.06  # share: both edges of a rule agree so well, 35 mm apart at 25 degrees of tilt from 300 mm
CLEARLY = 0.06  # of clarity: the better of two readings that do not agree leads by this much
LINE_ERROR = 0.0004  # share: what remains of lens and reading along the line; reference study
THICKNESS_MM = 0.4  # mm: of a tape; a ruler has 1 to 2, so as much again is left open
SURE_FIT, EVIDENCE_SURE, EVIDENCE = 0.75, 0.95, 0.8
NARROWEST_MM = 5.0  # mm: of a tape with ticks on both edges
MASK_MM = 2.0  # mm: hidden round the tape
UNCLEAR = {  # unit of marks that are not measured by -> what is known
    UNSURE: "seems to be a rule in inches, but whether its smallest marks are eighths, sixteenths or "
    "thirty-seconds",
    TENTHS: "seems to be a rule, but whether its smallest marks are millimetres or tenths of an inch",
}
LARGEST_TILT_DEG = 25.0  # degrees: more is a wrong reading, not a photo from above
MOST_SIGMA = 0.025  # share of scale at the photo's middle: what is less sure is asked for nearer the middle


@dataclass(frozen=True)
class Reading:
    """A row of ticks that was understood, in its strip."""

    strip: Strip
    comb: Comb
    marks: Marks

    @property
    def mm_per_px(self) -> float:
        """Mean scale along it, mm per px of the picture searched."""
        return self.marks.pitch_mm / self.comb.period_px

    @property
    def weight(self) -> float:
        """The better the clearer, and the better its lengths fit."""
        return self.comb.clarity * self.marks.fit


def find(picture: Picture, request: Reference) -> list[Sighting]:
    """The tape or ruler in the photo.

    Raises
    ------
    NoAnswerError
        If two readings contradict one another.
    """
    long_side = max(picture.bgr.shape[:2])
    strokes: list[Band] = []
    for size in (WORK_PX, COARSE_PX, FINE_PX):
        if size == FINE_PX and (request.kind == "auto" or not strokes or long_side <= WORK_PX):
            break
        if size == COARSE_PX and request.kind == "auto" and not strokes:
            break
        small = shrunk(picture, size)
        grey = np.asarray(cv2.cvtColor(small.bgr, cv2.COLOR_BGR2GRAY), np.uint8)
        strokes = find_bands(grey)
        readings = _readings(grey, strokes)
        if readings:
            known = [r for r in readings if not UNCLEAR.keys() & {r.marks.unit, _unit_of(r, readings)}]
            if not known:
                outline, what = _outline(small, readings[0]), UNCLEAR[readings[0].marks.unit]
                raise _refusal(picture, outline, "tape-unit-unclear", f"{what} cannot be told")
            sighting = _sighting(small, _agreed(small, known))
            return [] if sighting is None else [sighting]
    return []


def _readings(grey: Grey, bands: list[Band]) -> list[Reading]:
    """Rows of ticks understood, best first; those of the first band that has any."""
    for band in bands:
        strip = straighten(grey, band)
        found = []
        for comb in find_combs(strip):
            marks = read_marks(strip, comb)
            if marks is not None:
                found.append(Reading(strip, comb, marks))
        if found:
            return sorted(found, key=lambda reading: -reading.weight)
    return []


def _unit_of(reading: Reading, readings: list[Reading]) -> str:
    """Unit by the clearest row of the same spacing: where it leaves the unit open, no other row tells it."""
    return next(
        row.marks.unit
        for row in readings
        if abs(math.log(row.comb.period_px / reading.comb.period_px)) < SAME_PERIOD
    )


def _agreed(picture: Picture, readings: list[Reading]) -> list[Reading]:
    """The best reading, and those of other rows that agree with it."""
    best = readings[0]
    off = [abs(math.log(r.mm_per_px / best.mm_per_px)) for r in readings]
    same = [r for r, share in zip(readings, off, strict=True) if share < SAME_SCALE]
    others = [r for r, share in zip(readings, off, strict=True) if share >= SAME_SCALE]
    if any(other.comb.clarity > best.comb.clarity - CLEARLY for other in others):
        outline = _outline(picture, best)
        raise _refusal(picture, outline, "tape-unclear", "seems to be a rule, but its marks go two ways")
    return same


def _refusal(picture: Picture, outline_px: Floats, code: str, what: str) -> NoAnswerError:
    """The refusal of a rule that was seen, with the option that settles its scale."""
    place = place_of(outline_px, picture)
    return NoAnswerError(
        code,
        f"{picture.facts.file}: what lies near the {place} of the photo {what}.",
        "Give two of its marks and the distance between them with --span X1,Y1,X2,Y2=LENGTH, or lay it "
        "across the middle of the cloth and photograph it from straight above.",
        outline_px=points_of(outline_px),
    )


def _outline(picture: Picture, reading: Reading, far_row: float | None = None) -> Floats:
    """Four corners (4, 2) of the rule in photo px."""
    corners = extent(reading.strip, reading.comb, reading.marks, far_row=far_row)
    return to_photo_px(corners, picture)


def _sighting(picture: Picture, readings: list[Reading]) -> Sighting | None:
    px = picture.reduction
    camera = camera_of(picture)
    best = readings[0]
    edges = _rows_apart(readings)
    # a tape lies nearer to the camera than the cloth; a picture without EXIF may as well be a scan
    lift = THICKNESS_MM if picture.focal_px is not None else 0.0
    pose = fit_rule([_row(picture, r) for r in edges], thickness_mm=lift, px=px, camera=camera)
    if pose.tilt_deg > LARGEST_TILT_DEG:
        return None
    length = best.comb.ticks * best.marks.pitch_mm
    error = math.hypot(
        pose.scale_sigma(camera.centre_px),
        tape_error(length),
        LINE_ERROR,
        THICKNESS_MM / pose.distance_mm,
    )
    outline = _outline(picture, best, edges[1].marks.edge_row if len(edges) > 1 else None)
    if error > MOST_SIGMA:
        raise _refusal(
            picture,
            outline,
            "tape-too-far-off",
            "is a rule that shows the scale where it lies, but too little of the camera's tilt to tell it at "
            f"the photo's middle, where it may be {200 * error:.0f} % off",
        )
    findings = (finding("scale-rule-tilt", percent=100 * error),) if len(edges) == 1 else ()
    return Sighting(
        "rule",
        f"tape with {best.marks.unit} ticks",
        np.asarray(np.linalg.inv(pose.to_photo), float),
        error,
        tilt_deg=pose.tilt_deg if len(edges) > 1 else None,
        outline_px=outline,
        hidden_px=(grown(outline, MASK_MM / best.mm_per_px * px),),
        evidence=EVIDENCE_SURE if best.marks.fit > SURE_FIT else EVIDENCE,
        findings=findings,
        pose=pose,
    )


def _rows_apart(readings: list[Reading]) -> list[Reading]:
    """The best reading, and the best one of the other edge: its ticks face those of the first."""
    best = readings[0]
    deeper = best.marks.deep_row - best.marks.edge_row
    for other in readings[1:]:
        apart = (other.marks.edge_row - best.marks.edge_row) * math.copysign(best.mm_per_px, deeper)
        faces = (other.marks.deep_row - other.marks.edge_row) * deeper < 0
        if faces and NARROWEST_MM < apart < WIDEST_MM:
            return [best, other]
    return [best]


def _row(picture: Picture, reading: Reading) -> tuple[Floats, Floats]:
    """Places along a row of ticks in mm (N,), and in photo px (N, 2)."""
    comb = reading.comb
    columns = np.linspace(comb.middle - comb.half, comb.middle + comb.half, POINTS)
    seen = reading.strip.place(columns, comb.row)
    return comb.number(columns) * reading.marks.pitch_mm, to_photo_px(seen, picture)
