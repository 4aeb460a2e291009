"""Pieces and seam points of a cutting layout, where the plan puts them."""

from __future__ import annotations

from printcheck.lattice import Vector
from printcheck.plan import Piece, Placement, Seam
from printcheck.report.content import shown_name
from printcheck.report.drawing import INK, PAPER, Dot, Item, Label, Line, Point, box_points, text_width
from printcheck.report.phrases import size
from printcheck.units import UnitSystem

SMALLEST_LETTER = 0.45  # of the usual size: below this a name no longer helps and is left out
UPRIGHT_BELOW = 0.7  # of the usual size: words stand upright rather than be smaller than that
ROOM = 0.9  # of a piece's width and length that words may take
PIECE_VEIL = 0.5  # opacity of a piece's white
SEAM_COLOUR = "#b3123f"


def outline_on_cloth(piece: Piece, spot: Placement) -> tuple[Point, ...]:
    """Outline of a placed piece on washed cloth, turned as it lies; a rectangle without an outline."""
    ring = piece.outline or box_points(0.0, 0.0, piece.width_mm, piece.length_mm)
    return tuple(point_on_cloth(piece, spot, point) for point in ring)


def point_on_cloth(piece: Piece, spot: Placement, at: Vector) -> Point:
    """Place on washed cloth of a point of a piece."""
    x, y = at
    if spot.turned:
        x, y = piece.width_mm - x, piece.length_mm - y
    if spot.crosswise:  # a quarter turn: the piece's foot points to the right selvedge
        x, y = y, piece.width_mm - x
    return spot.x_mm + x, spot.y_mm + y


def piece_items(
    piece: Piece, spot: Placement, origin: Point, *, key: str, letter: float, units: UnitSystem
) -> list[Item]:
    """Outline of a placed piece with its name, its place and how it lies."""
    ring = tuple((origin[0] + x, origin[1] + y) for x, y in outline_on_cloth(piece, spot))
    data = {"piece": piece.name, "layout": key, "x-mm": f"{spot.x_mm:.3f}", "y-mm": f"{spot.y_mm:.3f}"}
    shape = Line(ring, INK, letter / 7, closed=True, fill=PAPER, opacity=PIECE_VEIL, data=data)
    lies = [word for word, on in (("turned", spot.turned), ("mirrored", spot.mirrored)) if on]
    name, place = shown_name(piece.name, 24), size(spot.y_mm, units)
    lie = [" and ".join(lies)] if lies else []
    choices = ([name, f"{place} from cut end", *lie], [name, place, "from cut end", *lie], [name])
    words = (_words(lines, _middle(ring), _extent(ring), letter) for lines in choices)
    return [shape, *next(filter(None, words), [])]


def _extent(ring: tuple[Point, ...]) -> Point:
    (left, right), (top, bottom) = ((min(p[i] for p in ring), max(p[i] for p in ring)) for i in (0, 1))
    return right - left, bottom - top


def _middle(ring: tuple[Point, ...]) -> Point:
    """Centre of gravity of an outline: inside it for all but hooked shapes."""
    (x0, y0), area, x, y = ring[0], 0.0, 0.0, 0.0
    shifted = [(px - x0, py - y0) for px, py in ring]
    for (ax, ay), (bx, by) in zip(shifted, (*shifted[1:], shifted[0]), strict=True):
        cross = ax * by - bx * ay
        area, x, y = area + cross, x + cross * (ax + bx), y + cross * (ay + by)
    return (x0 + x / (3 * area), y0 + y / (3 * area)) if area else ring[0]


def _words(lines: list[str], middle: Point, extent: Point, letter: float) -> list[Item]:
    """Lines in the middle of a piece, lying or standing, whichever allows the larger letters."""
    longest, high = max(text_width(line, 1.0) for line in lines), 1.25 * len(lines)
    lying = min(ROOM * extent[0] / longest, ROOM * extent[1] / high)
    standing = min(ROOM * extent[1] / longest, ROOM * extent[0] / high)
    upright = lying < UPRIGHT_BELOW * letter and standing > lying
    fits = min(letter, standing if upright else lying)
    if fits < SMALLEST_LETTER * letter:
        return []
    labels: list[Item] = []
    for i, line in enumerate(lines):
        down = (i - (len(lines) - 1) / 2) * 1.25 * fits + 0.35 * fits
        at = (middle[0] - down, middle[1]) if upright else (middle[0], middle[1] + down)
        turn = 90.0 if upright else 0.0
        labels.append(Label(at, line, fits, "middle", INK, PAPER, turn, bold=i == 0))
    return labels


def seam_points(
    seams: tuple[Seam, ...], placed: list[tuple[Piece, Placement]], origin: Point, letter: float
) -> list[Item]:
    """Both points of each seam under the seam's number."""
    at_hand = {spot.piece: (piece, spot) for piece, spot in placed}
    items: list[Item] = []
    for number, seam in enumerate(seams, start=1):
        for end in seam.join:
            if end.piece not in at_hand:
                continue
            x, y = point_on_cloth(*at_hand[end.piece], end.at)
            at, small = (origin[0] + x, origin[1] + y), 0.8 * letter
            data = {"seam": str(number), "end": end.piece}
            items.append(Dot(at, 0.8 * small, PAPER, SEAM_COLOUR, small / 6, data))
            items.append(Label((at[0], at[1] + 0.35 * small), str(number), small, "middle", SEAM_COLOUR))
    return items
