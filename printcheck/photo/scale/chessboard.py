"""The printed scale card: markers say where, its corners exactly (see ``core.reference.scalecard``)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding, finding
from printcheck.core.handover import Floats, Picture
from printcheck.core.reference.scalecard import BAR_MM, BAR_TRUST, BOARDS, Board
from printcheck.core.request import Reference
from printcheck.photo.scale.pose import Pose, camera_of, fit_pose, project, scale_of_pair
from printcheck.photo.scale.sighting import Sighting, hidden_by, to_photo_px

if TYPE_CHECKING:
    Grey = np.ndarray[tuple[int, int], np.dtype[np.uint8]]

SEARCH_PX = 1600  # px of the long side: markers of 7.5 mm on 650 mm of cloth still have 3 px a bit there
LEAST_MARKERS = 3  # one or two can be noise; three in their places on one board never are
LEAST_PERIMETER = 0.03  # of the long side, all four sides: a 7.5 mm marker on 800 mm of cloth, and room
LEAST_CORNERS = 6  # a pose with priors needs four; two more show whether they agree
CORNER_SIGMA_PX = 0.06  # px of the picture: least sigma of a corner, whatever the residuals say
INDEPENDENT_CORNERS = 10  # errors of printing, paper and lens are shared by neighbours: more add little
LENS_CORNERS = 40  # from here on the corners say more of the lens than common practice does
LENS_SIGMA = 0.05  # of k1: lets a wide lens be as it is
ROUNDS = 100  # of fitting, until it stands still: tilt, focal length and lens pull at one another here
BENT_SHARE = 0.012  # of a square: a corner residual of paper that does not lie flat
UNMEASURED_ERROR = 0.004  # share: how true printers print at "actual size", from memory
BAR_READING_MM = 0.2  # mm: one sigma of reading a ruler at both ends of the bar
SURE_MARKERS = 6  # from here on the card is beyond doubt
EVIDENCE_SURE, EVIDENCE_FEW = 0.98, 0.9


@dataclass(frozen=True)
class _Corners:
    """Chessboard corners found: on the card in mm, and in pixels of the picture."""

    plane_mm: Floats
    seen_px: Floats
    markers: int


def find(picture: Picture, request: Reference) -> list[Sighting]:
    """Scale cards in the photo; ``request.bar_mm`` is the length of the printed bar where measured.

    Raises
    ------
    InputError
        If the bar is said to be more than a tenth off: then something else was measured.
    """
    stretch = _stretch(request.bar_mm)
    grey = np.asarray(cv2.cvtColor(picture.bgr, cv2.COLOR_BGR2GRAY), np.uint8)
    markers = _markers(grey, thorough=request.kind == "board")
    sightings = []
    for board in BOARDS.values():
        corners = _corners(grey, board, markers)
        if corners is not None:
            sightings.append(_sighting(picture, board, corners, stretch, request.bar_mm))
    return sorted(sightings, key=lambda s: -s.evidence)


def _stretch(bar_mm: float | None) -> float:
    """How much larger than drawn the card was printed."""
    stretch = 1.0 if bar_mm is None else bar_mm / BAR_MM
    if abs(stretch - 1) > BAR_TRUST:
        raise InputError(
            "bar-unlikely",
            f"--bar: the printed bar should be {BAR_MM:.1f} mm, and {bar_mm:g} mm is too far from it.",
            "Measure the bar under the card from end to end, and give the length with its unit.",
        )
    return stretch


def _dictionary() -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_100)


@cache
def _marker_detector() -> cv2.aruco.ArucoDetector:
    settings = cv2.aruco.DetectorParameters()
    settings.minMarkerPerimeterRate = LEAST_PERIMETER
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    return cv2.aruco.ArucoDetector(_dictionary(), settings)


@cache
def _board_detector(board: Board) -> cv2.aruco.CharucoDetector:
    squares = (board.columns, board.rows)
    numbers = np.array(board.marker_numbers)
    drawn = cv2.aruco.CharucoBoard(squares, board.square_mm, board.marker_mm, _dictionary(), numbers)
    settings = cv2.aruco.CharucoParameters()
    settings.minMarkers = 1  # a corner with one marker beside it counts: the other may be hidden
    return cv2.aruco.CharucoDetector(drawn, settings)


def _markers(grey: Grey, *, thorough: bool) -> dict[int, Floats]:
    """Corners (4, 2) in pixels of ``grey`` of every marker, by number."""
    long_side = max(grey.shape)
    found: dict[int, Floats] = {}
    for factor in [max(1.0, long_side / SEARCH_PX)] + ([1.0] if thorough and long_side > SEARCH_PX else []):
        scale = 1 / factor
        small = (
            grey if factor == 1 else cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        )
        quads, numbers, _ = _marker_detector().detectMarkers(small)
        for quad, number in zip(quads, [] if numbers is None else np.asarray(numbers).ravel(), strict=True):
            found.setdefault(int(number), (np.asarray(quad, float).reshape(4, 2) + 0.5) * factor - 0.5)
        if len(found) >= LEAST_MARKERS:
            break
    return found


def _corners(grey: Grey, board: Board, markers: dict[int, Floats]) -> _Corners | None:
    """Chessboard corners to a fraction of a pixel; None where the markers do not make up the board."""
    mine = [number for number in markers if number in board.marker_numbers]
    if len(mine) < LEAST_MARKERS:
        return None
    detector = _board_detector(board)
    quads = [markers[number].astype(np.float32)[None] for number in mine]
    seen, numbers, _, _ = detector.detectBoard(grey, None, None, quads, np.array(mine, np.int32)[:, None])
    if numbers is None or len(numbers) < LEAST_CORNERS:
        return None
    inner = np.asarray(detector.getBoard().getChessboardCorners(), float)[np.asarray(numbers).ravel(), :2]
    plane = inner + np.array([board.left_mm, board.top_mm])
    return _Corners(plane, np.asarray(seen, float).reshape(-1, 2), len(mine))


def _sighting(
    picture: Picture, board: Board, corners: _Corners, stretch: float, bar_mm: float | None
) -> Sighting:
    seen = to_photo_px(corners.seen_px, picture)
    camera = camera_of(picture)
    if len(seen) >= LENS_CORNERS:
        camera = replace(camera, k1_sigma=LENS_SIGMA)
    plane = corners.plane_mm * stretch
    alike = math.sqrt(max(1.0, len(seen) / INDEPENDENT_CORNERS))
    sigma = CORNER_SIGMA_PX * picture.reduction
    pair = fit_pose(plane, seen, sigma_px=sigma * alike, camera=camera, rounds=ROUNDS)
    rms = _rms(pair[0], plane, seen)
    if rms > sigma:  # the residuals know better: blur, or paper that does not lie flat
        pair = fit_pose(plane, seen, sigma_px=rms * alike, camera=camera, rounds=ROUNDS)
    pose = pair[0]
    card = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float) * [board.width_mm, board.height_mm] * stretch
    outline = _seen(pose, card)
    _, fit_error = scale_of_pair(pair, camera.centre_px)
    printing = UNMEASURED_ERROR if bar_mm is None else BAR_READING_MM / BAR_MM
    square_px = (
        float(np.median(np.linalg.norm(np.diff(outline, axis=0), axis=1)[::2]))
        / board.width_mm
        * board.square_mm
    )
    return Sighting(
        "board",
        f"scale card, {board.name} size",
        np.asarray(np.linalg.inv(pose.to_photo), float),
        math.hypot(fit_error, printing),
        tilt_deg=pose.tilt_deg,
        outline_px=outline,
        hidden_px=hidden_by(outline),
        evidence=EVIDENCE_SURE if corners.markers >= SURE_MARKERS else EVIDENCE_FEW,
        findings=_findings(bar_mm, rms > BENT_SHARE * square_px),
        lens_k1=pose.k1,
        pose=pose,
    )


def _findings(bar_mm: float | None, bent: bool) -> tuple[Finding, ...]:
    said = (
        ()
        if bar_mm is not None
        else (finding("scale-board-unmeasured", nominal_mm=BAR_MM, percent=100 * UNMEASURED_ERROR),)
    )
    return (*said, finding("scale-board-bent")) if bent else said


def _rms(pose: Pose, plane: Floats, seen: Floats) -> float:
    """Root mean square residual of a coordinate, for the parameters spent on the fit."""
    off = _seen(pose, plane) - seen
    freedom = max(1, off.size - 7)
    return float(np.sqrt(np.sum(off**2) / freedom))


def _seen(pose: Pose, plane_mm: Floats) -> Floats:
    """Photo pixels where points of the card are seen."""
    return np.asarray(project(pose.numbers[None], plane_mm, pose.centre_px)[0])
