"""Parts that belong together joined, motifs that touch parted."""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.handover import Array
from printcheck.motif.figures.torus import Piece

SATELLITE_AREA = 0.15  # of its piece: a whale's spout, a dot on an i
SATELLITE_GAP = 0.08  # of the square root of the piece's area
LARGER_THAN_USUAL = 1.6  # times the median area (of pieces above a fifth of it): maybe two that touch
COUNTED_FROM = 0.2  # share of the largest from which a piece counts for the median
ERODE = 0.14  # of the square root of the area: breaks the bridge between two that touch
PART_FROM = 0.3  # share of the largest part from which a part is a motif of its own
HOLLOW = 0.8  # area over that of the convex hull: blooms in a chain stay below, a bloom alone lies above
WORN = 0.04  # of the square root of the area: where motifs merely touch, this parts them
BIT = 0.02  # of the piece's area: smaller bits left by the wear are tips and points
MOST_PIECES = 400  # beyond this many pieces a cell is texture; joining is left out for speed


def joined_satellites(pieces: list[Piece], step: Array, shape: tuple[int, ...]) -> list[Piece]:
    """Pieces with their small close companions joined to them.

    Parameters
    ----------
    pieces : list of Piece
        Largest first.
    step : (2, 2) float64
        Millimetres of one sample along columns and rows.
    shape : (2,) int
        Samples of the cell.
    """
    if len(pieces) > MOST_PIECES:
        return pieces
    kept: list[Piece] = []
    for piece in pieces:
        host = _host(piece, kept, step, shape)
        if host is None:
            kept.append(piece)
        else:
            index, rows, columns = host
            kept[index] = kept[index].joined(piece, rows=rows, columns=columns)
    return kept


def _host(
    piece: Piece, larger: list[Piece], step: Array, shape: tuple[int, ...]
) -> tuple[int, int, int] | None:
    """Nearest larger piece close enough to take this one, with the shift by whole cells; None if none."""
    sample_mm = float(np.sqrt(abs(np.linalg.det(step))))
    best, found = np.inf, None
    for index, other in enumerate(larger):
        if piece.area > SATELLITE_AREA * other.area:
            break  # largest first
        reach = SATELLITE_GAP * np.sqrt(other.area) + 1.5
        for rows in _shifts(piece.rows, other.rows, shape[0], reach):
            for columns in _shifts(piece.columns, other.columns, shape[1], reach):
                gap = _gap(piece, other, step, (rows, columns)) / sample_mm
                if gap < min(best, reach):
                    best, found = gap, (index, rows, columns)
    return found


def _shifts(mine: Array, others: Array, size: int, reach: float) -> list[int]:
    """Whole-cell shifts that bring my samples within reach of the other's along one axis."""
    first = int(np.ceil((others.min() - reach - mine.max()) / size))
    last = int(np.floor((others.max() + reach - mine.min()) / size))
    return [k * size for k in range(first, last + 1)]


def _gap(piece: Piece, other: Piece, step: Array, shift: tuple[int, int]) -> float:
    """Shortest distance between the two in mm, over at most a few hundred samples of each."""
    mine = np.stack([piece.columns + shift[1], piece.rows + shift[0]], axis=1)[:: max(1, piece.area // 200)]
    low, high = mine.min(axis=0) - 12, mine.max(axis=0) + 12
    near = (
        (other.columns >= low[0])
        & (other.columns <= high[0])
        & (other.rows >= low[1])
        & (other.rows <= high[1])
    )
    if not near.any():
        return float("inf")
    theirs = np.stack([other.columns[near], other.rows[near]], axis=1)
    theirs = theirs[:: max(1, len(theirs) // 800)]
    apart = (mine[:, None] - theirs[None]) @ step
    return float(np.sqrt((apart**2).sum(axis=2).min()))


def split_touching(pieces: list[Piece]) -> list[Piece]:
    """Pieces much larger than the others parted where they fall apart when worn down."""
    if not pieces:
        return pieces
    areas = np.array([piece.area for piece in pieces], float)
    usual = float(np.median(areas[areas > COUNTED_FROM * areas.max()]))
    if areas.max() <= LARGER_THAN_USUAL * usual:
        return pieces
    kept: list[Piece] = []
    for piece in pieces:
        kept += _parts(piece) if piece.area > LARGER_THAN_USUAL * usual else [piece]
    return kept


def runs_together(piece: Piece) -> bool:
    """Whether the piece is several motifs that touch: hollow in outline, and parted by a little wear."""
    points = np.stack([piece.columns, piece.rows], axis=1).astype(np.float32)
    hull = cv2.contourArea(cv2.convexHull(points))
    if piece.area > HOLLOW * max(hull, 1.0):
        return False
    depth, _ = _depth(piece)
    _, _, stats, _ = cv2.connectedComponentsWithStats((depth > WORN * np.sqrt(piece.area)).astype(np.uint8))
    return int((stats[1:, cv2.CC_STAT_AREA] >= BIT * piece.area).sum()) > 1


def _depth(piece: Piece) -> tuple[Array, tuple[Array, Array]]:
    """Distance of every sample from the piece's rim, and where the piece's own samples stand in it."""
    top, left = int(piece.rows.min()), int(piece.columns.min())
    picture = np.zeros((int(piece.rows.max()) - top + 3, int(piece.columns.max()) - left + 3), np.uint8)
    at = (piece.rows - top + 1, piece.columns - left + 1)
    picture[at] = 1
    return np.asarray(cv2.distanceTransform(picture, cv2.DIST_L2, 3)), at


def _parts(piece: Piece) -> list[Piece]:
    depth, at = _depth(piece)
    worn = (depth > ERODE * np.sqrt(piece.area)).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(worn)
    sizes = stats[1:, cv2.CC_STAT_AREA]
    if count < 3:
        return [piece]
    large = [k + 1 for k in range(count - 1) if sizes[k] >= PART_FROM * sizes.max()]
    if len(large) < 2:
        return [piece]
    away = np.stack(
        [cv2.distanceTransform((labels != k).astype(np.uint8), cv2.DIST_L2, 3)[at] for k in large]
    )
    nearest = away.argmin(axis=0)
    return [piece.part(nearest == k) for k in range(len(large))]
