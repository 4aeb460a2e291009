"""The print on the thing as sewn, laid flat: what meets at the seams, matched by the layout and not."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, replace

import cv2
import numpy as np

from printcheck.core.handover import Bgr
from printcheck.core.lattice import Vector
from printcheck.core.plan import CutLayout, Piece, Placement, Project, SeamEnd
from printcheck.report.drawing.cell_view import ClothView
from printcheck.report.drawing.primitives import (
    INK,
    PAPER,
    Drawing,
    Item,
    Label,
    Line,
    Point,
    Raster,
    text_width,
)
from printcheck.report.words.content import piece_name, shown_name

PAGE_MM = (180.0, 225.0)  # that A4 and US Letter both print inside their margins, above a caption
LETTERS_ACROSS = 38  # letter sizes to the drawing's width: thirteen points on that page
MOST_PANELS = 6
LONGEST_PANEL = 24  # letters of its name below it
ROUND = "sleeve"  # sewn into a round hole: it meets the front at one notch alone
SIDE_SHARE = 0.28  # of a piece's width: a seam point farther in, as a sleeve's notch, is at no side
LEAST_SHARE = 0.5  # of the first panel's length: shorter pieces, as bands and pockets, are left out
MOST_PIXELS = 500_000  # of one row
SEAM_COLOUR = "#b3123f"

# where they lie on the body's outline at a height of 168 cm; from memory, as a look
BUST_MM, WAIST_MM, HIP_MM = 270.0, 410.0, 610.0
# half of a woman's outline from the middle, across and down from the side of the neck; from memory, as a look
BODY_MM = (
    (52, -60), (58, -8), (180, 34), (198, 70), (166, 190), (150, 270), (126, 410), (176, 610), (170, 720),
    (150, 900), (128, 1080),
)  # fmt: skip
FROM_SHOULDER = frozenset({"dress", "shirt", "blouse", "pyjamas"})  # kinds of projects
FROM_WAIST = frozenset({"skirt", "a-line-skirt", "trousers", "pyjama-trousers"})


@dataclass(frozen=True)
class Panel:
    """A piece in the row as sewn: where its corner lies, and from where to where it shows."""

    piece: Piece
    at: Vector
    low: float
    high: float


def panels(project: Project) -> list[Panel]:
    """Pieces joined side by side at their seams, left to right about the front.

    Where they make a ring the first is shown again at the right, so that the last seam is seen too.
    """
    pieces = {piece.name: piece for piece in project.pieces}
    ends = [end for seam in project.seams for end in seam.join if end.piece in pieces]
    if not ends:
        return []
    first = min(ends, key=lambda end: (not end.piece.startswith("front"), -pieces[end.piece].width_mm)).piece
    least = LEAST_SHARE * pieces[first].length_mm
    joints = [
        (own, other)
        for seam in project.seams
        for own, other in (seam.join, seam.join[::-1])  # own at its right side, the other at its left
        if own.piece in pieces and other.piece in pieces
        if pieces[own.piece].width_mm - own.at[0] <= SIDE_SHARE * pieces[own.piece].width_mm
        if other.at[0] <= SIDE_SHARE * pieces[other.piece].width_mm
        if all(pieces[e.piece].length_mm >= least and not e.piece.startswith(ROUND) for e in (own, other))
    ]
    row = [Panel(pieces[first], (0.0, 0.0), 0.0, pieces[first].width_mm)]
    while len(row) < MOST_PANELS:
        first, last = row[0].piece.name, row[-1].piece.name
        rest = pieces.keys() - {panel.piece.name for panel in row}
        if joint := _between(joints, last, rest):
            row[-1], new = _joined(row[-1], joint, pieces)
            row.append(new)
        elif joint := _between([(b, a) for a, b in joints], first, rest):
            row[0], new = _joined(row[0], joint, pieces)
            row.insert(0, new)
        elif len(row) > 2 and (joint := _between(joints, last, {first})):
            high = row[0].high
            row[-1], new = _joined(row[-1], joint, pieces)
            return [*row, replace(new, high=high)]
        else:
            break
    return row


Joint = tuple[SeamEnd, SeamEnd]


def _between(joints: list[Joint], name: str, others: Set[str]) -> Joint | None:
    return next((j for j in joints if j[0].piece == name and j[1].piece in others), None)


def _joined(panel: Panel, joint: Joint, pieces: dict[str, Piece]) -> tuple[Panel, Panel]:
    """The panel cut off at a seam, and the one that is sewn to it there."""
    own, other = joint
    two = pieces[other.piece]
    at = (panel.at[0] + own.at[0] - other.at[0], panel.at[1] + own.at[1] - other.at[1])
    if own.at[0] > panel.piece.width_mm / 2:
        return replace(panel, high=own.at[0]), Panel(two, at, other.at[0], two.width_mm)
    return replace(panel, low=own.at[0]), Panel(two, at, 0.0, other.at[0])


def drawing(view: ClothView, project: Project, matched: CutLayout, unmatched: CutLayout) -> Drawing | None:
    """The row of panels twice: cut as the layout has it, and as pieces fall where nothing is matched.

    One unit is a millimetre of washed cloth; None where no two pieces are joined side by side.
    """
    row = panels(project)
    turned = any(s.crosswise for layout in (matched, unmatched) for s in layout.placements)
    if len(row) < 2 or turned:
        return None
    left, right = row[0].at[0] + row[0].low, row[-1].at[0] + row[-1].high
    top = min(p.at[1] for p in row)
    bottom = max(p.at[1] + p.piece.length_mm for p in row)
    width, high = right - left, bottom - top
    letter = width / LETTERS_ACROSS
    head = letter - BODY_MM[0][1] if project.kind in FROM_SHOULDER else 0.0
    items: list[Item] = []
    y = 0.0
    told = ((matched, "As this layout cuts it"), (unmatched, "As it falls where nothing is matched"))
    for layout, words in told:
        items.append(Label((0.0, y + 1.2 * letter), words, 1.1 * letter, bold=True))
        y += 2.2 * letter + head
        spots = {spot.piece: spot for spot in layout.placements}
        picture = _picture(view, row, spots, (left, top), (width, high))
        items.append(Raster((0.0, y, width, high), picture, 76))
        items += _marks(row, project, (left, top - y), (width, high), letter)
        y += high + 2.6 * letter
    title = f"The print on {shown_name(project.name)}, laid flat"
    said = f"{len(row)} pieces joined side by side, once as the layout cuts them and once unmatched."
    return Drawing(width, y, tuple(items), title, said, min(PAGE_MM[0], PAGE_MM[1] * width / y))


def _picture(
    view: ClothView, row: list[Panel], spots: dict[str, Placement], corner: Vector, extent: Vector
) -> Bgr:
    """The panels' print, each from where its piece lies on the cloth; white between."""
    px_mm = min(1.0, (MOST_PIXELS / (extent[0] * extent[1])) ** 0.5)
    canvas = np.full((round(extent[1] * px_mm), round(extent[0] * px_mm), 3), 255, np.uint8)
    for panel in row:
        piece, spot = panel.piece, spots[panel.piece.name]
        bgr = view.laid(spot.x_mm, spot.y_mm, piece.width_mm, piece.length_mm, 1 / px_mm)
        bgr = bgr[::-1, ::-1] if spot.turned else bgr
        mask = np.zeros(bgr.shape[:2], np.uint8)
        cv2.fillPoly(
            mask, [np.array([(x * px_mm, y * px_mm) for x, y in piece.ring]).round().astype(np.int32)], 1
        )
        mask[:, : round(panel.low * px_mm)] = 0
        mask[:, round(panel.high * px_mm) :] = 0
        x, y = (round((panel.at[k] - corner[k]) * px_mm) for k in (0, 1))
        _paste(canvas, bgr, mask, x, y)
    return canvas


def _paste(canvas: Bgr, bgr: Bgr, mask: Bgr, x: int, y: int) -> None:
    """Put a picture down where its mask is set, its corner at (x, y) of the canvas."""
    rows, columns = canvas.shape[:2]
    low, high = (max(0, -x), max(0, -y)), (min(bgr.shape[1], columns - x), min(bgr.shape[0], rows - y))
    part = mask[low[1] : high[1], low[0] : high[0]] > 0
    shown = bgr[low[1] : high[1], low[0] : high[0]]
    canvas[y + low[1] : y + high[1], x + low[0] : x + high[0]][part] = shown[part]


def _marks(row: list[Panel], project: Project, corner: Vector, extent: Vector, letter: float) -> list[Item]:
    """Seams, the names of the panels, the body's outline with bust and hip."""
    items: list[Item] = []
    foot = min(panel.at[1] for panel in row) - corner[1] + extent[1]
    for panel, after in zip(row, [*row[1:], None], strict=True):
        x, y = panel.at[0] - corner[0], panel.at[1] - corner[1]
        middle = x + (panel.low + panel.high) / 2
        name = piece_name(panel.piece.name, (piece.name for piece in project.pieces), LONGEST_PANEL)
        room = 0.95 * (panel.high - panel.low) / text_width(name, 1.0)
        items.append(Label((middle, foot + 1.4 * letter), name, min(letter, room), "middle"))
        if after is not None:
            seam = ((x + panel.high, y), (x + panel.high, y + panel.piece.length_mm))
            items.append(Line(seam, SEAM_COLOUR, letter / 12, dash=(letter / 2, letter / 2)))
    return [*items, *_bodies(row, project, corner, extent, letter)]


def _bodies(row: list[Panel], project: Project, corner: Vector, extent: Vector, letter: float) -> list[Item]:
    """Outline of a body over the front and the back, bust and hip as lines across."""
    if project.kind not in FROM_SHOULDER | FROM_WAIST:
        return []
    up = WAIST_MM if project.kind in FROM_WAIST else 0.0
    items: list[Item] = []
    fronts = [panel.at[1] for panel in row if panel.piece.name.startswith("front")]
    top = (fronts or [row[0].at[1]])[0] - corner[1]
    for axis in _axes(row, corner):
        side = [(x, y - up) for x, y in BODY_MM if (y - up >= 0 or not up) and y - up <= extent[1]]
        for sign in (-1, 1):
            points: tuple[Point, ...] = tuple((axis + sign * x, top + y) for x, y in side)
            items.append(Line(points, INK, letter / 5, halo=PAPER))
    for name, y in (("bust", BUST_MM - up), ("hip", HIP_MM - up)):
        if 0 < y < extent[1]:
            line = ((0.0, top + y), (extent[0], top + y))
            items.append(Line(line, INK, letter / 10, dash=(letter, letter / 2), halo=PAPER))
            at = (0.4 * letter, top + y - 0.3 * letter)
            items.append(Label(at, name, letter, colour=INK, halo=PAPER, bold=True))
    return items


def _axes(row: list[Panel], corner: Vector) -> list[float]:
    """Middles of the front and of the back in the row: of one piece, or where two halves meet."""
    names = [panel.piece.name.partition("#")[0] for panel in row]
    halves = {n for n in names if len({p.piece.name for p in row if p.piece.name.startswith(f"{n}#")}) > 1}
    halves = {n for n in halves if n.endswith(("front", "back"))}
    axes = []
    for k, (panel, name) in enumerate(zip(row, names, strict=True)):
        left, right = (panel.at[0] + x - corner[0] for x in (panel.low, panel.high))
        if name not in halves:
            axes.append((left + right) / 2)
        elif name in names[k + 1 : k + 2]:
            axes.append(right)
        elif name not in names[k - 1 : k] and k in (0, len(row) - 1):  # its other half is at the other end
            axes.append(right if k else left)
    return axes
