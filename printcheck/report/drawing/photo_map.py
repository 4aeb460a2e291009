"""Where a point of the cloth or the lattice lies in a shown photo."""

from __future__ import annotations

import math

import cv2
import numpy as np

from printcheck.core.handover import FlatCloth, Floats, PrintLattice
from printcheck.core.lattice import Lattice, Vector
from printcheck.report.drawing.primitives import Point, box_points

CELL = ((0, 0), (1, 0), (1, 1), (0, 1))  # its corners, in steps of the lattice
FARTHEST_NODE = 60  # steps from the middle: more nodes than that are never drawn
NODES_TRIED = 25  # lattice points nearest the middle from which the cell to be drawn is chosen
NEAR_EDGE = 0.02  # of the picture's shorter side: nearer its edge a corner hardly shows
CIRCLE_POINTS = 48


class PhotoMap:
    """Maps between cloth millimetres, lattice steps and pixels of a shown photo.

    Cloth points are ``(across, along)`` in mm from the lattice's origin, on the cloth's own axes.

    Parameters
    ----------
    cloth : FlatCloth
    lattice : PrintLattice
    shrink : float
        Shown pixels per photo pixel.
    """

    def __init__(self, cloth: FlatCloth, lattice: PrintLattice, shrink: float) -> None:
        self._cloth, self._lattice, self._shrink = cloth, lattice, shrink
        turn, per_mm = lattice.turn_rad, 1 / cloth.mm_per_px
        self._basis = _shortest(np.asarray(lattice.basis_px, float).reshape(-1, 2))
        self._axes = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]) * per_mm

    def at(self, mm: Vector) -> Point:
        """Shown pixel of a cloth point."""
        return self._shown(self._lattice.origin_px + self._axes @ np.asarray(mm))

    def back(self, shown: Point) -> Vector:
        """Cloth point under a shown pixel (strain left out)."""
        mm = np.linalg.solve(self._axes, self._flat(shown) - self._lattice.origin_px)
        return float(mm[0]), float(mm[1])

    def node(self, i: int, j: int) -> Point:
        """Shown pixel of a lattice point, where it is seen: unsnapped and with the cloth's strain."""
        return self._shown(self._flat_node(i, j), strained=True)

    def cell_mm(self, steps: tuple[int, int]) -> Vector:
        """Cloth point of a lattice point."""
        mm = np.linalg.solve(self._axes, self._flat_node(*steps) - self._lattice.origin_px)
        return float(mm[0]), float(mm[1])

    def cell(self, corner: tuple[int, int]) -> tuple[Point, ...]:
        """Shown pixels round the cell at a lattice point."""
        i, j = corner
        return tuple(self.node(i + di, j + dj) for di, dj in CELL)

    def ring(self, left: float, top: float, width: float, height: float) -> tuple[Point, ...]:
        """Shown pixels of a box on the cloth."""
        return tuple(self.at(corner) for corner in box_points(left, top, width, height))

    def circle(self, centre: Vector, radius_mm: float) -> tuple[Point, ...]:
        """Shown pixels of a circle on the cloth."""
        turns = np.linspace(0, 2 * np.pi, CIRCLE_POINTS, endpoint=False)
        return tuple(
            self.at((centre[0] + radius_mm * math.cos(t), centre[1] + radius_mm * math.sin(t))) for t in turns
        )

    def outline(self) -> tuple[Point, ...] | None:
        """Outline of the object of known size."""
        if self._cloth.outline_px is None:
            return None
        return tuple(self._scaled(x, y) for x, y in np.asarray(self._cloth.outline_px, float))

    def spacing(self) -> float:
        """Shown pixels between the nearest two lattice points, in the middle of the picture."""
        here = self.node(0, 0)
        return min(math.dist(here, self.node(i, j)) for i, j in ((1, 0), (0, 1), (1, 1), (1, -1)))

    def nodes(self, width: float, height: float) -> list[Point]:
        """Lattice points inside the shown picture, on cloth that is seen."""
        return [
            point
            for (i, j), point in self._all_nodes()
            if 0 <= point[0] < width and 0 <= point[1] < height and self._on_cloth(self._flat_node(i, j))
        ]

    def best_node(self, width: float, height: float, arms_mm: list[Vector]) -> tuple[int, int]:
        """Steps of the lattice point whose cell and arms are best in view, nearest the middle."""
        cell = CELL if len(self._basis) == 2 else CELL[:2]
        edge = NEAR_EDGE * min(width, height)

        def inside(x: float, y: float) -> bool:
            return edge <= x < width - edge and edge <= y < height - edge

        def worth(item: tuple[tuple[int, int], Point]) -> tuple[int, float]:
            (i, j), _ = item
            ring = [self.node(i + di, j + dj) for di, dj in cell]
            start = self.cell_mm((i, j))
            ring += [self.at((start[0] + mm[0], start[1] + mm[1])) for mm in arms_mm]
            hidden = sum(not (inside(x, y) and self.on_cloth((x, y))) for x, y in ring)
            x, y = (sum(p[axis] for p in ring) / len(ring) for axis in (0, 1))
            return hidden, math.hypot(x - width / 2, y - height / 2)

        middle = (width / 2, height / 2)
        nearest = sorted(self._all_nodes(), key=lambda item: math.dist(item[1], middle))[:NODES_TRIED]
        return min(nearest, key=worth)[0]

    def on_cloth(self, shown: Point) -> bool:
        """Whether cloth is seen at a shown pixel."""
        return self._on_cloth(self._flat(shown))

    def _all_nodes(self) -> list[tuple[tuple[int, int], Point]]:
        two = len(self._basis) == 2
        rows, columns = self._cloth.bgr.shape[:2]
        size = max(rows, columns)
        reach = [int(size / max(1.0, np.hypot(*v))) + 1 for v in self._basis]
        steps = min(FARTHEST_NODE, *reach) if reach else 0
        span = range(-steps, steps + 1)
        return [((i, j), self.node(i, j)) for i in span for j in (span if two else (0,))]

    def _flat_node(self, i: int, j: int) -> Floats:
        basis = self._basis
        point = self._lattice.origin_px + i * basis[0] if len(basis) else self._lattice.origin_px
        flat: Floats = np.asarray(point + (j * basis[1] if len(basis) == 2 else 0.0), float)
        return flat

    def _flat(self, shown: Point) -> Floats:
        """Flat pixel under a shown one."""
        x, y = (v / self._shrink - 0.5 for v in shown)
        flat = np.linalg.inv(self._cloth.to_photo) @ (x, y, 1.0)
        return np.asarray(flat[:2] / flat[2], float)

    def _on_cloth(self, flat: Floats) -> bool:
        rows, columns = self._cloth.mask.shape
        x, y = round(float(flat[0])), round(float(flat[1]))
        return 0 <= x < columns and 0 <= y < rows and bool(self._cloth.mask[y, x])

    def _shown(self, flat: Floats, *, strained: bool = False) -> Point:
        if strained:
            flat = flat + self._strain(flat)
        x, y, w = self._cloth.to_photo @ (flat[0], flat[1], 1.0)
        return self._scaled(x / w, y / w)

    def _scaled(self, x: float, y: float) -> Point:
        return float((x + 0.5) * self._shrink), float((y + 0.5) * self._shrink)

    def _strain(self, flat: Floats) -> Floats:
        grid = self._lattice.strain_px
        if grid is None:
            return np.zeros(2)
        rows, columns = self._cloth.bgr.shape[:2]
        x = float(np.clip(flat[0] / max(1, columns - 1), 0, 1)) * (grid.shape[1] - 1)
        y = float(np.clip(flat[1] / max(1, rows - 1), 0, 1)) * (grid.shape[0] - 1)
        right, down = (np.array([[v]], np.float32) for v in (x, y))
        at = cv2.remap(grid, right, down, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(at[0, 0], float)


def _shortest(basis: Floats) -> Floats:
    """The two shortest vectors of the same lattice, one to the right and one down: the plumpest cell."""
    if len(basis) < 2:
        return basis
    a, b = np.array(Lattice(tuple((float(x), float(y)) for x, y in basis)).reduced().basis_mm)
    first, second = (a, b) if abs(a[0] * b[1]) >= abs(b[0] * a[1]) else (b, a)
    return np.array([first * (1 if first[0] >= 0 else -1), second * (1 if second[1] >= 0 else -1)])
