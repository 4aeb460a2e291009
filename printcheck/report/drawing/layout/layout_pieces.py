"""Pieces of a cutting layout where the plan puts them: outline, letter, size, grain, notches, corners."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from printcheck.core.plan import Piece, Placement, SeamResidual, outline_on_cloth, point_on_cloth
from printcheck.core.units import UnitSystem
from printcheck.report.drawing.labels import LINE, words_inside
from printcheck.report.drawing.primitives import (
    INK,
    PAPER,
    Dot,
    Item,
    Label,
    Line,
    Point,
    arrow,
    box_of,
    box_points,
    text_width,
)
from printcheck.report.words.content import piece_name
from printcheck.report.words.quantities import size
from printcheck.report.words.steps import AT_EDGE_MM

SEAM_LETTER = 0.8  # of the usual size
DOT = 0.8  # radius of the ring round a notch's number, of its letter
POINT = 0.22  # radius of the notch itself
INWARD = 1.3  # from a notch to its number, inside the piece, so that numbers of neighbours keep apart
CORNER_LETTER = 0.7  # of the usual size, for the distances at a piece's corners
SMALLEST = 0.2  # of the usual size: a letter in a piece that has room for none
SEAM_COLOUR = "#b3123f"
PLATE = 0.86  # opacity of the white under words on a print
NAME_LETTERS = 24
EDGES = ("#1a1a1a", "#5a1230", "#0b3f8a", "#2f6b2a", "#8a4b08", "#7a5fb0")
"""Edges of the pieces, one colour to a kind of piece: each a step lighter than the last, so that they
differ on a printer without colour too; white letters stand on all of them."""
GRAIN_SHARES = (0.12, 0.88, 0.5)  # of a piece's width: where its grain arrow is tried
SHORTEST_GRAIN, LONGEST_GRAIN = 4.0, 14.0  # letter sizes


@dataclass(frozen=True)
class Pen:
    """What all pieces of one stretch of a layout are drawn with; ``scale`` is drawn units to a mm."""

    origin: Point
    key: str
    letter: float
    units: UnitSystem
    scale: float = 1.0
    selvedge: float = 0.0
    one_way: bool = False
    letters: dict[str, str] | None = None  # of each piece, as the steps have them
    edge: float = 1.0  # width of the pieces' edges

    def at(self, point: Point) -> Point:
        """Place in the drawing of a point of the cloth."""
        return self.origin[0] + self.scale * point[0], self.origin[1] + self.scale * point[1]

    def letter_of(self, piece: str) -> str:
        """A piece's letter in the steps, the key and the drawing."""
        return (self.letters or {}).get(piece, "")

    def name_of(self, piece: str) -> str:
        """A piece's name as the steps say it."""
        return piece_name(piece, self.letters or {}, NAME_LETTERS)


Placed = Sequence[tuple[Piece, Placement]]


def edge_colours(pieces: Sequence[Piece]) -> dict[str, str]:
    """Edge colour of each piece: copies of one piece have one colour."""
    kinds = list(dict.fromkeys(piece.name.partition("#")[0] for piece in pieces))
    return {p.name: EDGES[kinds.index(p.name.partition("#")[0]) % len(EDGES)] for p in pieces}


def outlines(pieces: Placed, colours: dict[str, str], pen: Pen) -> list[Item]:
    """Outlines alone, with what a program needs that reads the drawing back."""
    items: list[Item] = []
    for piece, spot in pieces:
        ring = tuple(pen.at(p) for p in outline_on_cloth(piece, spot))
        data = {
            "piece": piece.name,
            "layout": pen.key,
            "x-mm": f"{spot.x_mm:.3f}",
            "y-mm": f"{spot.y_mm:.3f}",
            "letter": pen.letter_of(piece.name),
        }
        items.append(Line(ring, colours.get(piece.name, INK), pen.edge, closed=True, halo=PAPER, data=data))
    return items


def letters_only(pieces: Placed, pen: Pen) -> list[Item]:
    """A small layout's pieces, each under its letter."""
    items: list[Item] = []
    for piece, spot in pieces:
        ring = tuple(pen.at(p) for p in outline_on_cloth(piece, spot))
        name = pen.letter_of(piece.name) or pen.name_of(piece.name)
        words = words_inside([[name]], ring, [], letter=pen.letter, dot=0.0)
        words = words or _squeezed(name, ring, pen.letter)
        items += [*_plate(words), *words]
    return items


def details(
    pieces: Placed, seams: Sequence[SeamResidual], pen: Pen, avoid: Sequence[Point] = ()
) -> list[Item]:
    """Grain arrows, fold lines, notches under their numbers, and words clear of them all and of ``avoid``."""
    notches = _notches(pieces, seams, pen)
    items: list[Item] = []
    words: list[Label] = []
    for piece, spot in pieces:
        ring = tuple(pen.at(p) for p in outline_on_cloth(piece, spot))
        taken = [*avoid, *(p for notch in notches for p in (notch.at, notch.number_at))]
        fold = _fold_line(piece, spot, pen)
        grain = _grain(ring, taken, pen)
        corners = _corners(ring, spot, taken, pen)
        items += [*fold, *grain]
        taken += [p for line in (*fold, *grain) for p in points_along(line.points, pen.letter)]
        taken += [p for label in corners for p in _under(label)]
        words += [*_piece_words(piece, spot, ring, taken, pen), *corners]
    items += [*_plate(words), *words]
    return items + [item for notch in notches for item in notch.items(SEAM_LETTER * pen.letter)]


@dataclass(frozen=True)
class Notch:
    """A seam point, and its number inside the piece."""

    number: int
    piece: str
    at: Point
    number_at: Point

    def items(self, small: float) -> list[Item]:
        """Drawn over the words: what must meet is marked before what is called."""
        data = {"seam": str(self.number), "end": self.piece}
        x, y = self.number_at
        return [
            Line((self.at, self.number_at), SEAM_COLOUR, small / 6, halo=PAPER),
            Dot(self.at, POINT * small, SEAM_COLOUR, PAPER, small / 12, data),
            Dot(self.number_at, DOT * small, PAPER, SEAM_COLOUR, small / 6),
            Label((x, y + 0.35 * small), str(self.number), small, "middle", SEAM_COLOUR, bold=True),
        ]


def _notches(pieces: Placed, seams: Sequence[SeamResidual], pen: Pen) -> list[Notch]:
    """Notches of the seams, the number of each towards its piece's middle."""
    at_hand = {spot.piece: (piece, spot) for piece, spot in pieces}
    found = []
    for number, seam in enumerate(seams, start=1):
        for end in seam.join:
            if end.piece in at_hand:
                piece, spot = at_hand[end.piece]
                middle = point_on_cloth(piece, spot, (piece.width_mm / 2, piece.length_mm / 2))
                at = point_on_cloth(piece, spot, end.at)
                x, y = pen.at(at)
                inward = math.copysign(INWARD * pen.letter, middle[0] - at[0])
                found.append(Notch(number, piece.name, (x, y), (x + inward, y)))
    return found


def _fold_line(piece: Piece, spot: Placement, pen: Pen) -> list[Line]:
    """Middle of a piece whose paper half is cut on the fold."""
    if not piece.on_fold:
        return []
    ends = ((piece.width_mm / 2, 0.0), (piece.width_mm / 2, piece.length_mm))
    line = tuple(pen.at(point_on_cloth(piece, spot, end)) for end in ends)
    return [Line(line, INK, pen.letter / 9, dash=(1.2 * pen.letter, 0.5 * pen.letter), halo=PAPER)]


def _grain(ring: tuple[Point, ...], taken: Sequence[Point], pen: Pen) -> list[Line]:
    """Arrow along the cloth inside a piece; one head, at the print's up, where the print has one."""
    import shapely

    outline, letter = shapely.Polygon(ring), pen.letter
    left, top, right, bottom = outline.bounds
    for share in GRAIN_SHARES:
        x = left + share * (right - left)
        chord = outline.intersection(shapely.LineString([(x, top), (x, bottom)]))
        parts = [part for part in getattr(chord, "geoms", [chord]) if part.geom_type == "LineString"]
        if not parts:
            continue
        (_, high), (_, low) = max(parts, key=lambda part: part.length).coords[:2]
        reach = min(0.5 * abs(low - high), LONGEST_GRAIN * letter)
        middle = (high + low) / 2
        apart = 1.2 * letter < x - left + 1e-6 and 1.2 * letter < right - x + 1e-6
        free = all(abs(px - x) > letter or abs(py - middle) > reach / 2 + letter for px, py in taken)
        if reach >= SHORTEST_GRAIN * letter and apart and free:
            ends = ((x, middle + reach / 2), (x, middle - reach / 2))
            return [*arrow(*ends, width=letter / 8, head=letter, halo=PAPER, both=not pen.one_way)]
    return []


def _corners(ring: tuple[Point, ...], spot: Placement, taken: Sequence[Point], pen: Pen) -> list[Label]:
    """Distances from the left edge and from the cut end, at the upper left and lower right corner."""
    import shapely

    outline, small = shapely.Polygon(ring), CORNER_LETTER * pen.letter
    left, top, right, bottom = outline.bounds
    found: list[Label] = []
    mm = ((left, top), (right, bottom))
    for (x, y), anchor in zip(mm, ("start", "end"), strict=True):
        cloth = ((x - pen.origin[0]) / pen.scale, (y - pen.origin[1]) / pen.scale)
        end = "at cut end" if abs(cloth[1]) < AT_EDGE_MM else f"{size(cloth[1], pen.units)} from end"
        lines = (f"{size(cloth[0] + pen.selvedge, pen.units)} from left", end)
        wide = max(text_width(line, small) for line in lines) + 0.6 * small
        high = 2 * LINE * small + 0.4 * small
        box = (x, y, x + wide, y + high) if anchor == "start" else (x - wide, y - high, x, y)
        inside = shapely.box(*box)
        if (
            outline.buffer(small / 10).contains(inside)
            and not any(inside.buffer(pen.letter).contains(shapely.Point(p)) for p in taken)
            and right - left > 1.2 * wide
            and bottom - top > 3 * high
        ):
            side = 0.4 * small if anchor == "start" else -0.4 * small
            for k, line in enumerate(lines):
                base = box[1] + 0.2 * small + LINE * small * (k + 0.78)
                found.append(Label((x + side, base), line, small, anchor, INK))  # type: ignore[arg-type]
    return found


def _piece_words(
    piece: Piece, spot: Placement, ring: tuple[Point, ...], taken: list[Point], pen: Pen
) -> list[Label]:
    """Letter and name of a piece, its size and how it lies; the letter alone where there is little room."""
    ways = (("turned", spot.turned), ("mirrored", spot.mirrored))
    lies = [word for word, on in ways if on]
    letter, name = pen.letter_of(piece.name), pen.name_of(piece.name)
    head = f"{letter} {name}".strip()
    wide, long = size(piece.width_mm, pen.units), size(piece.length_mm, pen.units)
    lie = [" and ".join(lies)] if lies else []
    fold = ["middle on the fold"] if piece.on_fold else []
    choices = [
        [head, f"{wide} x {long}", *lie, *fold], [head, wide, f"x {long}", *lie, *fold],
        [letter, *name.split(maxsplit=1), wide, f"x {long}", *lie], [head, *lie],
        [letter, *name.split(maxsplit=1)], [letter or name],
    ]  # fmt: skip
    choices = [[line for line in lines if line] for lines in choices]
    dot = DOT * SEAM_LETTER * pen.letter
    found = words_inside(choices, ring, taken, letter=pen.letter, dot=dot)
    return found or _squeezed(letter or name, ring, pen.letter)


def _squeezed(text: str, ring: tuple[Point, ...], letter: float) -> list[Label]:
    """A letter in a piece that has no room for it: as small as it must be, for larger prints and zooming."""
    left, top, right, bottom = box_of(ring)
    high = max(SMALLEST * letter, min(0.9 * (right - left) / text_width(text, 1.0), 0.8 * (bottom - top)))
    at = ((left + right) / 2, (top + bottom) / 2 + 0.35 * high)
    return [Label(at, text, high, "middle", INK, PAPER, bold=True)]


def _plate(words: Sequence[Label]) -> Iterator[Item]:
    """White under each line of words, so that it can be read on any print."""
    for word in words:
        wide, high = text_width(word.text, word.size) * 1.1 / 2, 0.62 * word.size
        shift = {"start": wide, "middle": 0.0, "end": -wide}[word.anchor]
        (x, y), up = word.at, 0.35 * word.size
        if word.turn_deg:
            ring = box_points(x - up + 0.7 * word.size - high, y - wide, 2 * high, 2 * wide)
        else:
            ring = box_points(x + shift - wide, y - up - high, 2 * wide, 2 * high)
        yield Line(ring, None, closed=True, fill=PAPER, opacity=PLATE)


def points_along(points: tuple[Point, ...], step: float) -> Iterator[Point]:
    """Points along a line, close enough that no word slips between."""
    for a, b in itertools.pairwise(points):
        count = max(1, math.ceil(math.dist(a, b) / step))
        for k in range(count + 1):
            yield a[0] + (b[0] - a[0]) * k / count, a[1] + (b[1] - a[1]) * k / count


def _under(label: Label) -> Iterator[Point]:
    wide = text_width(label.text, label.size) * (1 if label.anchor == "start" else -1)
    y = label.at[1] - 0.35 * label.size
    yield from ((label.at[0] + wide * k / 4, y) for k in range(5))
