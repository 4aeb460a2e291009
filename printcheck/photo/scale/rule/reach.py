"""How far a tape reaches: to hide it, its numbers and its other edge."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.handover import Floats

if TYPE_CHECKING:
    from collections.abc import Sequence

    from printcheck.photo.scale.rule.comb import Comb, Strip
    from printcheck.photo.scale.rule.graduations import Marks

WIDEST_MM = 32.0  # mm: tapes are 7 to 25 wide, rulers to 32 or so
LIKE_TAPE = 16.0  # grey levels: a row whose median differs by more is no longer the tape's ground
STEPS = 16  # pieces along the tape whose median is taken, as the light changes
BRIDGE_MM = 2.5  # mm: a line of numbers or a coloured stripe on the tape is passed over
PAPER_QUANTILE = 0.6  # of the grey of a piece: paper between the ink
PAST_EDGE_MM = 0.8  # mm: the tape's own edge beyond its ticks


def extent(strip: Strip, comb: Comb, marks: Marks, *, far_row: float | None = None) -> Floats:
    """Four corners (4, 2) of the tape in pixels of the picture the strip was cut from.

    ``far_row`` is where the ticks of the other edge start, if they were read.
    """
    per_mm = comb.period_px / marks.pitch_mm
    deeper = 1 if marks.deep_row > marks.edge_row else -1
    past = deeper * PAST_EDGE_MM * per_mm
    far = _far_edge(strip, comb, marks) if far_row is None else far_row + past
    near = marks.edge_row - past
    ends = np.array([comb.middle - comb.half, comb.middle + comb.half])
    return np.concatenate([strip.place(ends, near), strip.place(ends[::-1], far)])


def _far_edge(strip: Strip, comb: Comb, marks: Marks) -> float:
    """Row where the tape's ground ends."""
    per_mm = comb.period_px / marks.pitch_mm
    deeper = 1 if marks.deep_row > marks.edge_row else -1
    last = marks.edge_row + deeper * WIDEST_MM * per_mm
    ground = ground_along(strip, comb, [marks.deep_row + deeper * k for k in (1, 2, 3)])
    rows = np.arange(marks.deep_row, last, deeper)
    rows = rows[(rows >= 0) & (rows < len(strip.grey))].astype(int)
    first, end = int(comb.middle - comb.half), int(comb.middle + comb.half)
    pieces = np.array_split(strip.grey[rows, first : end + 1], STEPS, axis=1)
    each = np.stack([np.quantile(piece, PAPER_QUANTILE, axis=1) for piece in pieces], 1)
    far, missed = marks.deep_row, 0.0
    for row, alike in zip(rows, np.median(np.abs(each - ground), axis=1) < LIKE_TAPE, strict=True):
        far, missed = (float(row), 0.0) if alike else (far, missed + 1)
        if missed >= BRIDGE_MM * per_mm:
            break
    return far


def ground_along(strip: Strip, comb: Comb, rows: Sequence[float]) -> Floats:
    """Upper median of the grey along rows, piece by piece: paper between the ink."""
    inside = [int(np.clip(row, 0, strip.grey.shape[0] - 1)) for row in rows]
    first, last = int(comb.middle - comb.half), int(comb.middle + comb.half)
    pieces = np.array_split(strip.grey[inside, first : last + 1], STEPS, axis=1)
    return np.array([float(np.quantile(piece, PAPER_QUANTILE)) for piece in pieces])
