"""Pieces from DXF files as garment CAD writes them (ASTM D6673): one block for each piece.

Layers: 1 cutting line, 4 notches, 6 mirror line, 7 grain line, 14 sewing line. The piece is turned so that
its grain runs along the cloth; a piece drawn to a mirror line is laid open.
"""

from __future__ import annotations

import io
import logging
import math
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding, finding
from printcheck.core.plan import MOST_PIECES
from printcheck.project.outline.beside import read_beside
from printcheck.project.outline.polygon import DrawnPiece, Ring, shape_of_points
from printcheck.project.schema import DrawingUnit, DxfTable, Side

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.layouts.base import BaseLayout
    from shapely import Polygon

BOUNDARY, NOTCHES, MIRROR, GRAIN, SEWING = 1, 4, 6, 7, 14  # layers of ASTM D6673
READ = (BOUNDARY, NOTCHES, MIRROR, GRAIN, SEWING)
MM_PER_UNIT: dict[str, float] = {"mm": 1.0, "cm": 10.0, "in": 25.4}
HEADER_UNITS: dict[int, DrawingUnit] = {1: "in", 4: "mm", 5: "cm"}  # $INSUNITS of the DXF reference
TEXT_UNITS: dict[str, DrawingUnit] = {"metric": "mm", "english": "in"}  # "Units: METRIC" of ASTM D6673
QUARTER_TURNS: dict[Side, complex] = {"up": 1, "right": 1j, "down": -1, "left": -1j}
UPRIGHT_DEG = 45.0  # degrees: a grain line that leans less is drawn upright, more lies across the drawing
FLAT_MM = 0.1  # mm: how far a chord may be from its curve; a pencil line is wider
CLOSED_MM = 0.5  # mm: ends nearer than this are closed without saying so; CAD rounds to a tenth
AXIS_MM = 0.5  # mm: points nearer to the mirror line lie on it
MOST_NAMES = 12  # pieces named in a message
OFF_THE_LINE_MM = 2.0  # mm: a notch farther from the cutting line was put somewhere else


def piece_from_dxf(folder: Path, wanted: DxfTable, allowance_mm: float, *, place: str) -> DrawnPiece:
    """Piece of a DXF file in the project's folder.

    Raises
    ------
    InputError
        If the file is no DXF, has no units, holds no such piece, or its cutting line is open.
    """
    where = f"{place}: {wanted.file}"
    data = read_beside(folder, wanted.file, place=place)
    with _sound(where):
        document = _document(data)
        name, block = _block(document, wanted, where)
        layers = _Layers(block, MM_PER_UNIT[wanted.units or _units(document, where)])
    where = f"{where}, {name}"
    turn, findings = _upright(layers, wanted, name)
    boundary = _closed(layers.lines(BOUNDARY), where)
    ring = [turn * p for p in boundary]
    sewn = [[turn * p for p in line] for line in layers.lines(SEWING)]
    notches = [turn * p for p in layers.notches(boundary)]
    axis = layers.lines(MIRROR)
    if axis:
        ring, sewn, notches = _opened(ring, sewn, notches, (turn * axis[0][0], turn * axis[0][-1]), where)
    shape = shape_of_points(_points(ring), place=where)
    left, top = shape.moved_by
    notches = _in_order(notches, ring)
    off = {n: mm for n, p in enumerate(notches) if (mm := _distance(p, ring)) > OFF_THE_LINE_MM}
    findings += [finding("dxf-notch-off", piece=name, notch=n + 1, off_mm=mm) for n, mm in off.items()]
    moved = [*_on_sewing_line(notches, ring, sewn, allowance_mm)]
    at = _points((drawn if n in off else moved[n]) + complex(left, top) for n, drawn in enumerate(notches))
    shape = replace(shape, moved_by=(0.0, 0.0))  # CAD coordinates mean nothing to the reader
    count, alternate = _quantity(block, where)
    upright = bool(axis) and abs((turn * (axis[0][-1] - axis[0][0])).real) <= AXIS_MM
    return DrawnPiece(shape, at, tuple(findings), count, alternate, on_fold=upright)


@contextmanager
def _sound(where: str) -> Iterator[None]:
    """What the library makes of a damaged file, wherever it meets the damage, as one sentence."""
    from ezdxf.lldxf.const import DXFError

    damage = (DXFError, ValueError, LookupError, TypeError, AttributeError, ArithmeticError, OSError)
    try:
        yield
    except InputError:
        raise
    except (*damage, RecursionError) as error:
        reason = str(error).splitlines()[0][:80].rstrip(".") if str(error) else type(error).__name__
        raise InputError(
            "not-dxf", f"{where} is not a sound DXF file ({reason}).", "Save it again."
        ) from None


def _document(data: bytes) -> Drawing:
    from ezdxf import recover

    logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # its remarks are not for the terminal
    return recover.read(io.BytesIO(data))[0]


def _block(document: Drawing, wanted: DxfTable, where: str) -> tuple[str, BaseLayout]:
    """Block of the wanted piece and size, by its own name or the "Piece Name" written in it."""
    blocks: dict[str, BaseLayout] = {
        block.name: block
        for block in document.blocks
        if not block.name.startswith("*") and _holds_piece(block)
    }
    if not blocks and _holds_piece(document.modelspace()):  # drawn without blocks: one piece
        blocks = {wanted.piece or "drawing": document.modelspace()}
    if not blocks:
        raise InputError(
            "dxf-no-piece",
            f"{where} holds no piece: nothing is drawn on layer 1, the cutting line.",
            "Export it as ASTM D6673 (AAMA) pieces, one block for each.",
        )
    titles = {name: {name.lower(), *_written(block, "piece name")} for name, block in blocks.items()}
    found = [name for name in blocks if wanted.piece is None or wanted.piece.strip().lower() in titles[name]]
    sizes = {name: _written(blocks[name], "size") for name in found}
    if wanted.size is not None:
        found = [name for name in found if wanted.size.strip().lower() in sizes[name]]
    if len(found) == 1:
        return found[0], blocks[found[0]]
    if wanted.piece is not None and sizes:
        told = sorted(size.upper() for size in set().union(*sizes.values()))
        said = f"{len(found) or 'no'} pieces are called {wanted.piece!r}"
        said += "" if wanted.size is None else f" in size {wanted.size!r}"
        help_ = f"Give size as one of {', '.join(told[:MOST_NAMES])}." if told else "Name the block itself."
        raise InputError("dxf-no-such-size", f"{where}: {said}.", help_)
    said = "no piece is named" if wanted.piece is None else f"no piece is called {wanted.piece!r}"
    raise InputError(
        "dxf-no-such-piece",
        f"{where}: {said}.",
        f"Give piece as one of {', '.join(sorted(blocks)[:MOST_NAMES])}.",
    )


def _quantity(block: BaseLayout, where: str) -> tuple[int, bool]:
    """How many of a piece are cut, and whether every second one is mirrored.

    The standard's "Quantity" is one number, or two of equal pieces: as drawn, and turned over.
    """
    written = _written(block, "quantity")
    if not written:
        return 1, False
    text = min(written)
    numbers = [int(word) for word in re.findall(r"\d+", text)]
    if len(written) > 1 or len(numbers) not in (1, 2) or not 1 <= sum(numbers) <= MOST_PIECES:
        raise InputError(
            "dxf-quantity",
            f"{where}: its quantity {text!r} cannot be read.",
            "Give count in the project file.",
        )
    as_drawn, turned_over = (*numbers, 0)[:2]
    if turned_over and as_drawn != turned_over:
        raise InputError(
            "dxf-quantity",
            f"{where}: {as_drawn} are cut as drawn and {turned_over} turned over.",
            "Write two pieces, each with its own count.",
        )
    return as_drawn + turned_over, turned_over > 0


def _holds_piece(block: BaseLayout) -> bool:
    return any(_layer(entity) == BOUNDARY and entity.dxftype() in _LINES for entity in block)


_LINES = {"POLYLINE", "LWPOLYLINE", "LINE", "ARC", "SPLINE", "ELLIPSE", "CIRCLE"}


def _layer(entity: DXFEntity) -> int | None:
    number = re.match(r"0*(\d+)", str(entity.dxf.get("layer", "")))
    return int(number[1]) if number else None


def _written(block: Iterable[DXFEntity], key: str) -> set[str]:
    """Values of annotations such as "Piece Name: FRONT", in small letters."""
    texts = (str(e.dxf.get("text", "")) for e in block if e.dxftype() in ("TEXT", "MTEXT"))
    pairs = (text.partition(":") for text in texts)
    return {value.strip().lower() for name, _, value in pairs if name.strip().lower() == key}


def _units(document: Drawing, where: str) -> DrawingUnit:
    """Units by the annotation of the standard, else by the header of the drawing."""
    everything = [document.modelspace(), *document.blocks]
    for word in sorted(word for block in everything for word in _written(block, "units")):
        if word in TEXT_UNITS:
            return TEXT_UNITS[word]
    known = HEADER_UNITS.get(document.header.get("$INSUNITS", 0))
    if known is None:
        raise InputError(
            "dxf-without-units",
            f"{where} does not say its units.",
            'Measure the drawing and give units = "mm", "cm" or "in" beside file.',
        )
    return known


class _Layers:
    """Lines and points of a block by layer, in mm, as complex numbers with y down as on the cloth."""

    def __init__(self, block: BaseLayout, scale: float) -> None:
        from ezdxf import path

        self.scale = scale
        self._lines: dict[int, list[list[complex]]] = {layer: [] for layer in READ}
        for entity in block:
            if (layer := _layer(entity)) in READ and entity.dxftype() in _LINES:
                flat = path.make_path(entity).flattening(FLAT_MM / scale)
                line = [self._at(v.x, v.y) for v in flat]
                if any(p != line[0] for p in line):
                    self._lines[layer].append(line)
        points = [e.dxf.location for e in block if _layer(e) == NOTCHES and e.dxftype() == "POINT"]
        self._points = [self._at(v.x, v.y) for v in points]

    def lines(self, layer: int) -> list[list[complex]]:
        """Flattened lines of a layer that have a length."""
        return self._lines[layer]

    def notches(self, ring: Sequence[complex]) -> list[complex]:
        """Notches: points, or short lines from the cutting line inwards."""
        lines = (min(line[0], line[-1], key=lambda p: _distance(p, ring)) for line in self.lines(NOTCHES))
        return [*self._points, *lines]

    def _at(self, x: float, y: float) -> complex:
        return complex(x * self.scale, -y * self.scale)


def _upright(layers: _Layers, wanted: DxfTable, name: str) -> tuple[complex, list[Finding]]:
    """Turn that brings the grain along the cloth with the piece's top up, and what is remarked on it."""
    lines = layers.lines(GRAIN)
    if not lines:
        turn = QUARTER_TURNS[wanted.top or "up"].conjugate()
        return turn, [finding("dxf-no-grain", piece=name)]
    line = max(lines, key=lambda points: abs(points[-1] - points[0]))
    along = (line[-1] - line[0]) / abs(line[-1] - line[0])
    leans = math.degrees(math.acos(min(1.0, abs(along.imag))))
    top = wanted.top or ("up" if leans <= UPRIGHT_DEG else "left")
    towards = QUARTER_TURNS[top] * -1j  # y runs down
    along = along if (along * towards.conjugate()).real > 0 else -along
    remarks = [finding("dxf-turned", piece=name)] if wanted.top is None and leans > UPRIGHT_DEG else []
    return -1j / along, remarks


def _closed(lines: Sequence[Sequence[complex]], where: str) -> list[complex]:
    """Cutting line as one closed ring; segments are joined end to end."""
    left = [list(line) for line in lines]
    ring = left.pop(0)
    while left and abs(ring[0] - ring[-1]) > CLOSED_MM:
        ends = [(abs(ring[-1] - line[end]), n, end) for n, line in enumerate(left) for end in (0, -1)]
        gap, n, end = min(ends)
        if gap > CLOSED_MM:
            break
        following = left.pop(n)
        ring += following[1:] if end == 0 else following[-2::-1]
    if (gap := abs(ring[0] - ring[-1])) > CLOSED_MM:
        raise InputError(
            "dxf-outline-open",
            f"{where}: the cutting line is open, its ends are {gap:.1f} mm apart.",
            "Close it in the pattern program.",
        )
    if left:
        raise InputError(
            "dxf-many-outlines",
            f"{where}: there are {len(left)} lines more on layer 1 than one closed cutting line.",
            "Put internal lines on layer 8.",
        )
    return ring


def _opened(
    ring: list[complex],
    sewn: list[list[complex]],
    notches: list[complex],
    axis: tuple[complex, complex],
    where: str,
) -> tuple[list[complex], list[list[complex]], list[complex]]:
    """Half piece laid open about its mirror line."""
    from shapely import unary_union

    start, unit = axis[0], (axis[1] - axis[0]) / abs(axis[1] - axis[0])

    def image(p: complex) -> complex:
        return ((p - start) / unit).conjugate() * unit + start

    onto = [(p - start) / unit for p in ring]  # the mirror line becomes the real axis
    half = [complex(p.real, 0.0 if abs(p.imag) <= AXIS_MM else p.imag) for p in onto]
    whole = unary_union([_polygon(half), _polygon([p.conjugate() for p in half])])
    one_side = min(p.imag for p in half) == 0 or max(p.imag for p in half) == 0
    if not one_side or whole.geom_type != "Polygon" or whole.interiors:
        raise InputError(
            "dxf-mirror-off",
            f"{where}: the mirror line on layer 6 does not lie along an edge of the cutting line.",
            "Draw it along the edge that lies on the fold.",
        )
    opened = [complex(x, y) * unit + start for x, y in whole.exterior.coords[:-1]]
    both = [*notches, *(image(p) for p in notches if abs(image(p) - p) > 2 * AXIS_MM)]
    return opened, [*sewn, *([image(p) for p in line] for line in sewn)], both


def _in_order(notches: Sequence[complex], ring: Sequence[complex]) -> list[complex]:
    """Notches clockwise round the piece, from its upper left corner."""
    from shapely import LineString, Point

    area = sum((a.conjugate() * b).imag for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
    round_ = list(ring) if area > 0 else list(reversed(ring))  # y runs down: clockwise
    corner = complex(min(p.real for p in ring), min(p.imag for p in ring))
    first = min(range(len(round_)), key=lambda n: abs(round_[n] - corner))
    line = LineString(_points([*round_[first:], *round_[: first + 1]]))
    return sorted(notches, key=lambda p: float(line.project(Point(p.real, p.imag))))


def _on_sewing_line(
    notches: Sequence[complex], ring: Sequence[complex], sewn: Sequence[Sequence[complex]], allowance: float
) -> Iterator[complex]:
    """Each notch moved from the cutting line to where it is sewn."""
    from shapely import LineString, MultiLineString, Point
    from shapely.ops import nearest_points

    inner = _polygon(ring).buffer(-allowance).exterior if allowance else None
    line = MultiLineString([LineString(_points(part)) for part in sewn]) if sewn else inner
    for notch in notches:
        if line is None or line.is_empty:
            yield notch
            continue
        nearest, _ = nearest_points(line, Point(notch.real, notch.imag))
        yield complex(nearest.x, nearest.y)


def _distance(p: complex, ring: Sequence[complex]) -> float:
    from shapely import Point

    return float(_polygon(ring).exterior.distance(Point(p.real, p.imag)))


def _polygon(ring: Sequence[complex]) -> Polygon:
    from shapely import Polygon

    return Polygon(_points(ring)).buffer(0)


def _points(ring: Iterable[complex]) -> Ring:
    return tuple((p.real, p.imag) for p in ring)
