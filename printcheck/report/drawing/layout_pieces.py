"""Pieces and seam points of a cutting layout, where the plan puts them."""

from __future__ import annotations

from dataclasses import dataclass

from printcheck.core.lattice import Vector
from printcheck.core.plan import Piece, Placement, Seam
from printcheck.core.units import UnitSystem
from printcheck.report.drawing.labels import words_inside
from printcheck.report.drawing.primitives import INK, PAPER, Dot, Item, Label, Line, Point, box_points
from printcheck.report.words.content import shown_name
from printcheck.report.words.quantities import size

SEAM_LETTER = 0.8  # of the usual size
DOT = 0.8  # radius of a seam point, of its letter
AT_END_MM = 0.05  # mm: nearer, a piece lies at the cut end
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
    taken = [at for _, _, at in dots]
    for (piece, spot), ring in zip(pieces, rings, strict=True):
        items += _piece_words(piece, spot, ring, taken, pen)
    small = SEAM_LETTER * pen.letter
    for number, name, at in dots:  # over the words: what must meet is marked before what is called
        data = {"seam": str(number), "end": name}
        items.append(Dot(at, DOT * small, PAPER, SEAM_COLOUR, small / 6, data))
        items.append(Label((at[0], at[1] + 0.35 * small), str(number), small, "middle", SEAM_COLOUR))
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
) -> list[Label]:
    """Name of a piece, its place and how it lies; the name alone where there is little room."""
    lies = [word for word, on in (("turned", spot.turned), ("mirrored", spot.mirrored)) if on]
    name, place = shown_name(piece.name, 24), size(spot.y_mm, pen.units)
    lie = [" and ".join(lies)] if lies else []
    short, long = [place, "from cut end"], [f"{place} from cut end"]
    if abs(spot.y_mm) < AT_END_MM:
        short, long = ["at the", "cut end"], ["at the cut end"]
    choices = ([name, *long, *lie], [name, *short, *lie], [name], name.split(maxsplit=1) or [name])
    return words_inside(choices, ring, taken, letter=pen.letter, dot=DOT * SEAM_LETTER * pen.letter)
