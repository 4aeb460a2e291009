"""Projects whose best length is known because they are cut from a full rectangle of cloth.

A rectangle is cut into pieces by straight cuts, and seams are planted between points of pieces that lie
a lattice vector apart in that layout. The area alone then proves that nothing shorter exists.
"""

from __future__ import annotations

import random

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd

LATTICES = (
    Lattice.of_steps(64, 64),
    Lattice.of_steps(120, 90),
    Lattice.of_steps(160, 240),
    Lattice.of_steps(60, 80, 0.5),
    Lattice.of_steps(80, 120, 1 / 3),
    Lattice.of_steps(320, 320),
)
SMALLEST_MM = 90
Box = tuple[int, int, int, int]


def cut_up(rng: random.Random, width: int, length: int, count: int) -> list[Box]:
    boxes = [(0, 0, width, length)]
    while len(boxes) < count:
        boxes.sort(key=lambda b: -b[2] * b[3])
        x, y, w, h = boxes.pop(0 if rng.random() < 0.7 else rng.randrange(len(boxes)))
        if w >= h and w >= 2 * SMALLEST_MM:
            at = rng.randrange(SMALLEST_MM, w - SMALLEST_MM + 1)
            boxes += [(x, y, at, h), (x + at, y, w - at, h)]
        elif h >= 2 * SMALLEST_MM:
            at = rng.randrange(SMALLEST_MM, h - SMALLEST_MM + 1)
            boxes += [(x, y, w, at), (x, y + at, w, h - at)]
        else:
            boxes.append((x, y, w, h))
    return boxes


def planted(seed: int, count: int) -> tuple[Project, Print, int]:
    """Project, print and best length in mm."""
    rng = random.Random(seed)
    width, length = rng.choice((1100, 1400, 1480)), rng.randrange(900, 2200, 10)
    lattice = LATTICES[seed % len(LATTICES)]
    boxes = cut_up(rng, width, length, count)
    pieces = tuple(Piece(f"part#{n + 1}", w, h) for n, (_, _, w, h) in enumerate(boxes))
    seams = []
    for one in range(0, count - 1, 2):
        seam = _seam(rng, lattice, boxes, one, one + 1)
        if seam is not None:
            seams.append(seam)
    order = list(pieces)
    rng.shuffle(order)
    print_ = Print(lattice, "straight", "one-way", "project")
    return Project(f"planted {seed}", Cloth(width, sold_by_mm=10), tuple(order), tuple(seams)), print_, length


def _seam(rng: random.Random, lattice: Lattice, boxes: list[Box], one: int, two: int) -> Seam | None:
    (x1, y1, w1, h1), (x2, y2, w2, h2) = boxes[one], boxes[two]
    for _ in range(100):
        at = (rng.randrange(w1 + 1), rng.randrange(h1 + 1))
        aim = (x2 + rng.random() * w2 - x1 - at[0], y2 + rng.random() * h2 - y1 - at[1])
        i, j = (round(k) for k in lattice.coordinates(aim))
        (a, b), (c, d) = lattice.basis_mm
        there = (x1 + at[0] + i * a + j * c - x2, y1 + at[1] + i * b + j * d - y2)
        if 0 <= there[0] <= w2 and 0 <= there[1] <= h2:
            kind = rng.choice(("both", "both", "level", "upright"))
            ends = (SeamEnd(f"part#{one + 1}", at), SeamEnd(f"part#{two + 1}", there))
            return Seam(ends, kind)
    return None
