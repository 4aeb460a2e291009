"""Prints made of motifs set down in a cell: exact copies at whole-pixel places, or by an unsteady hand."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from printcheck.core.measurement import Way
from tests.drawn.art import Art, Cell, Colour, Floats, Hand, Image, Raster
from tests.drawn.figures import Figure, extent, turned

FINE = 4  # sub-pixels a side: edges are anti-aliased by area
LARGE_PX = 200  # motifs larger than this are anti-aliased at half that: their edges are few
SUB_BITS = 4  # fractional bits of cv2's polygon corners


@dataclass(frozen=True)
class Stamp:
    """One motif of a cell: its figure, centre in mm, size in mm (of the unit box), turn, mirror and inks."""

    figure: Figure
    at_mm: tuple[float, float]
    size_mm: float
    inks: tuple[Colour, ...]
    turn_deg: float = 0.0
    flip: bool = False

    @property
    def box_mm(self) -> tuple[float, float]:
        """Width and height of the inked parts, as it lies."""
        left, top, right, bottom = extent(self.figure, self.turn_deg, self.flip)
        return (right - left) * self.size_mm, (bottom - top) * self.size_mm


def largest_box(stamps: list[Stamp]) -> tuple[float, float] | None:
    """Box of the stamp with the largest box."""
    return max((s.box_mm for s in stamps), key=lambda b: b[0] * b[1], default=None)


def paint_cell(
    raster: Raster, cell: Cell, stamps: list[Stamp], ground: Colour, *, under: Image | None = None
) -> Image:
    """One tile: the stamps of a cell at every node of the cell's lattice, exactly alike.

    They lie on the plain ground, or on what is ``under`` them, (H, W, 3) uint8.
    """
    plain = np.full((raster.height, raster.width, 3), ground, np.uint8)
    picture = plain if under is None else under.copy()
    for stamp in stamps:
        sprite = _sprite(stamp, raster, ground)
        x, y = _pixel(stamp.at_mm, raster)
        for dx, dy in cell.nodes(raster):
            _paste(picture, sprite, x + dx, y + dy)
    return picture


def paint_loose(
    raster: Raster, cell: Cell, stamps: list[Stamp], ground: Colour, *, tiles: tuple[int, int], hand: Hand
) -> Image:
    """Several tiles side by side, each motif set down a little differently."""
    rng = np.random.default_rng(hand.seed)
    picture = np.full((raster.height * tiles[1], raster.width * tiles[0], 3), ground, np.uint8)
    for stamp in stamps:
        for j in range(tiles[1]):
            for i in range(tiles[0]):
                for dx, dy in cell.nodes(raster):
                    one, (ex, ey) = _unsteady(stamp, hand, rng)
                    x, y = _pixel(stamp.at_mm, raster)
                    place = (x + dx + i * raster.width, y + dy + j * raster.height)
                    shift = (round(ex / raster.mm[0]), round(ey / raster.mm[1]))
                    _paste(picture, _sprite(one, raster, ground), place[0] + shift[0], place[1] + shift[1])
    return picture


def stamped(
    names: tuple[str, str],
    cell: Cell,
    stamps: list[Stamp],
    ground: Colour,
    *,
    way: Way | None,
    note: str = "",
) -> Art:
    """A print of stamps; ``names`` are its family and variety."""

    def paint(raster: Raster) -> Image:
        return paint_cell(raster, cell, stamps, ground)

    def loose(raster: Raster, tiles: tuple[int, int], hand: Hand) -> Image:
        return paint_loose(raster, cell, stamps, ground, tiles=tiles, hand=hand)

    return Art(
        *names,
        cell.tile_mm,
        cell.steps,
        paint,
        basis_mm=cell.basis_mm,
        layout=cell.layout,
        drop=cell.drop,
        way=way,
        motif_mm=largest_box(stamps),
        headings_deg=tuple(s.turn_deg % 360 for s in stamps),
        motifs_per_cell=len(stamps),
        note=note,
        loose=loose,
    )


def _unsteady(stamp: Stamp, hand: Hand, rng: np.random.Generator) -> tuple[Stamp, tuple[float, float]]:
    ex, ey, turn, size, shade = rng.normal(size=5)
    lift = shade * hand.shade
    inks = tuple((_lit(b, lift), _lit(g, lift), _lit(r, lift)) for b, g, r in stamp.inks)
    one = replace(
        stamp,
        turn_deg=stamp.turn_deg + turn * hand.turn_deg,
        size_mm=stamp.size_mm * float(np.clip(1 + size * hand.size, 0.7, 1.3)),
        inks=inks,
    )
    return one, (ex * hand.shift_mm, ey * hand.shift_mm)


def _lit(value: int, lift: float) -> int:
    return int(np.clip(value + lift, 0, 255))


def _pixel(at_mm: tuple[float, float], raster: Raster) -> tuple[int, int]:
    return round(at_mm[0] / raster.mm[0]), round(at_mm[1] / raster.mm[1])


Sprite = tuple[Floats, Floats, int, int]


def _sprite(stamp: Stamp, raster: Raster, ground: Colour) -> Sprite:
    """Colour and cover of one motif, and its offset from the centre, in pixels of the raster."""
    left, top, right, bottom = extent(stamp.figure, stamp.turn_deg, stamp.flip)
    sx, sy = stamp.size_mm / raster.mm[0], stamp.size_mm / raster.mm[1]
    x0, y0 = int(np.floor(left * sx)) - 1, int(np.floor(top * sy)) - 1
    w, h = int(np.ceil(right * sx)) + 1 - x0, int(np.ceil(bottom * sy)) + 1 - y0
    fine = FINE if max(w, h) <= LARGE_PX else FINE // 2
    colour = np.full((h * fine, w * fine, 3), ground, np.uint8)
    cover = np.zeros((h * fine, w * fine), np.uint8)
    for role, part in stamp.figure:
        points = turned(part * (-1, 1) if stamp.flip else part, stamp.turn_deg) * (sx, sy) - (x0, y0)
        corners = np.rint((points * fine - 0.5) * (1 << SUB_BITS)).astype(np.int32)
        ink = ground if role < 0 else stamp.inks[role % len(stamp.inks)]
        cv2.fillPoly(colour, [corners], ink, shift=SUB_BITS)
        cv2.fillPoly(cover, [corners], 0 if role < 0 else 255, shift=SUB_BITS)
    solid = cv2.resize(cover, (w, h), interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    colour[cover == 0] = 0
    inked = cv2.resize(colour.astype(np.float32), (w, h), interpolation=cv2.INTER_AREA)
    return inked, solid, x0, y0


def _paste(picture: Image, sprite: Sprite, x: int, y: int) -> None:
    """Lay the sprite on the picture, wrapping round its borders."""
    inked, cover, x0, y0 = sprite
    height, width = picture.shape[:2]
    h, w = cover.shape
    left, top = (x + x0) % width, (y + y0) % height
    for y1, rows, from_y in _runs(top, h, height):
        for x1, columns, from_x in _runs(left, w, width):
            part = np.s_[from_y : from_y + rows, from_x : from_x + columns]
            place = np.s_[y1 : y1 + rows, x1 : x1 + columns]
            mixed = picture[place] * (1 - cover[part][..., None]) + inked[part]
            picture[place] = np.rint(mixed)


def _runs(start: int, count: int, size: int) -> list[tuple[int, int, int]]:
    """Pieces (place, length, offset) of a run that wraps round a border, any number of times."""
    pieces, done = [], 0
    while done < count:
        place = (start + done) % size
        length = min(size - place, count - done)
        pieces.append((place, length, done))
        done += length
    return pieces
