"""Pieces and seam points of a cutting layout, where the plan puts them."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from printcheck.lattice import Vector
from printcheck.plan import Piece, Placement, Seam
from printcheck.report.content import shown_name
from printcheck.report.drawing import INK, PAPER, Dot, Item, Label, Line, Point, box_points, text_width
from printcheck.report.phrases import size
from printcheck.units import UnitSystem

SMALLEST_LETTER = 0.45  # of the usual size: below this a name no longer helps and is left out
UPRIGHT_BELOW = 0.7  # of the usual size: words stand upright rather than be smaller than that
SEAM_LETTER = 0.8  # of the usual size
LINE = 1.25  # line height, in letter sizes
WORDS_DOWN = (0.0, -0.15, 0.15, -0.3, 0.3, -0.42, 0.42)  # of the free length, from the middle
WORDS_ASIDE = (0.0, -0.3, 0.3)  # of the free width
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


@dataclass(frozen=True)
class Pen:
    """What all pieces of one layout are drawn with."""

    origin: Point
    key: str
    letter: float
    units: UnitSystem

    def at(self, point: Point) -> Point:
        """Place in the drawing of a point of the cloth."""
        return self.origin[0] + point[0], self.origin[1] + point[1]


def placed_items(pieces: list[tuple[Piece, Placement]], seams: tuple[Seam, ...], pen: Pen) -> list[Item]:
    """Outlines, seam points under the seams' numbers, and words clear of both."""
    dots = _seam_dots(pieces, seams, pen)
    rings = [tuple(pen.at(p) for p in outline_on_cloth(piece, spot)) for piece, spot in pieces]
    items: list[Item] = []
    for (piece, spot), ring in zip(pieces, rings, strict=True):
        data = {
            "piece": piece.name,
            "layout": pen.key,
            "x-mm": f"{spot.x_mm:.3f}",
            "y-mm": f"{spot.y_mm:.3f}",
        }
        items.append(Line(ring, INK, pen.letter / 7, closed=True, fill=PAPER, opacity=PIECE_VEIL, data=data))
    for number, name, at in dots:
        small = SEAM_LETTER * pen.letter
        data = {"seam": str(number), "end": name}
        items.append(Dot(at, 0.8 * small, PAPER, SEAM_COLOUR, small / 6, data))
        items.append(Label((at[0], at[1] + 0.35 * small), str(number), small, "middle", SEAM_COLOUR))
    taken = [at for _, _, at in dots]
    for (piece, spot), ring in zip(pieces, rings, strict=True):
        items += _piece_words(piece, spot, ring, taken, pen)
    return items


def _seam_dots(
    pieces: list[tuple[Piece, Placement]], seams: tuple[Seam, ...], pen: Pen
) -> list[tuple[int, str, Point]]:
    at_hand = {spot.piece: (piece, spot) for piece, spot in pieces}
    return [
        (number, end.piece, pen.at(point_on_cloth(*at_hand[end.piece], end.at)))
        for number, seam in enumerate(seams, start=1)
        for end in seam.join
        if end.piece in at_hand
    ]


def _piece_words(
    piece: Piece, spot: Placement, ring: tuple[Point, ...], taken: list[Point], pen: Pen
) -> list[Item]:
    """Name of a piece, its place and how it lies; the name alone where there is little room."""
    lies = [word for word, on in (("turned", spot.turned), ("mirrored", spot.mirrored)) if on]
    name, place = shown_name(piece.name, 24), size(spot.y_mm, pen.units)
    lie = [" and ".join(lies)] if lies else []
    choices = ([name, f"{place} from cut end", *lie], [name, place, "from cut end", *lie], [name])
    words = (_words(lines, ring, taken, pen.letter) for lines in choices)
    return list(next(filter(None, words), []))


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


def _words(lines: list[str], ring: tuple[Point, ...], taken: list[Point], letter: float) -> list[Item]:
    """Lines in a piece, lying or standing, whichever allows the larger letters, clear of what is taken."""
    extent = _extent(ring)
    longest, high = max(text_width(line, 1.0) for line in lines), LINE * len(lines)
    lying = min(ROOM * extent[0] / longest, ROOM * extent[1] / high)
    standing = min(ROOM * extent[1] / longest, ROOM * extent[0] / high)
    upright = lying < UPRIGHT_BELOW * letter and standing > lying
    fits = min(letter, standing if upright else lying)
    if fits < SMALLEST_LETTER * letter:
        return []
    block = (high * fits, longest * fits) if upright else (longest * fits, high * fits)
    middle = _clear_place(_middle(ring), extent, block, taken, SEAM_LETTER * letter)
    labels: list[Item] = []
    for i, line in enumerate(lines):
        down = (i - (len(lines) - 1) / 2) * LINE * fits + 0.35 * fits
        at = (middle[0] - down, middle[1]) if upright else (middle[0], middle[1] + down)
        turn = 90.0 if upright else 0.0
        labels.append(Label(at, line, fits, "middle", INK, PAPER, turn, bold=i == 0))
    return labels


def _clear_place(middle: Point, extent: Point, block: Point, taken: list[Point], radius: float) -> Point:
    """Middle for a block of words: up or down the piece, then aside, until no seam point lies under it."""
    free = (max(0.0, extent[0] - block[0]), max(0.0, extent[1] - block[1]))
    reach = (block[0] / 2 + radius, block[1] / 2 + radius)
    for aside, down in itertools.product(WORDS_ASIDE, WORDS_DOWN):
        at = (middle[0] + aside * free[0], middle[1] + down * free[1])
        if not any(abs(x - at[0]) < reach[0] and abs(y - at[1]) < reach[1] for x, y in taken):
            return at
    return middle
