"""The bound of outlines by their sections, against lengths worked out by hand."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting.demand.demands import Demand, Part, demands_of
from printcheck.cutting.exact.sections import UNIT_MM, WIDTH_UNIT_MM, sections_mm, sections_step, steps_of
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.shortest import shortest
from printcheck.cutting.search.state import Search

# 600 wide in the upper 300, 200 below, 1000 long, one below another on 800: the second begins 300 down at
# the least, where 200 and 600 lie side by side; turned it lies beside the first
BOOT = ((0.0, 0.0), (600.0, 0.0), (600.0, 300.0), (200.0, 300.0), (200.0, 1000.0), (0.0, 1000.0))


def boots(*seams: Seam) -> Project:
    pieces = tuple(Piece(f"boot#{n}", 600.0, 1000.0, BOOT) for n in (1, 2))
    return Project("boots", Cloth(800.0), pieces, seams)


def bound_mm(demand: Demand) -> float:
    search = shortest(Search(demand, Effort(0.5)))
    search.bound_mm, search.effort = 0.0, Effort(10.0)
    sections_step(search)
    assert search.bound_mm <= search.length_mm
    return search.bound_mm


def test_boots_by_hand() -> None:
    level = Seam((SeamEnd("boot#1", (100.0, 500.0)), SeamEnd("boot#2", (100.0, 500.0))), "level")
    print_ = Print(Lattice.of_steps(50.0, 450.0), "straight", "one-way", "project")
    demands = demands_of(boots(level), print_)
    assert demands.matched is not None
    units = 2 * UNIT_MM  # the steps are rounded
    assert 1300 - units <= bound_mm(demands.one_way) <= 1300
    assert 1450 - units <= bound_mm(demands.matched) <= 1450
    assert bound_mm(demands.plain) == 1000


@pytest.mark.parametrize("seed", range(6))
def test_steps_lie_within_the_outline(seed: int) -> None:
    rng = random.Random(seed)
    angles = sorted(rng.uniform(0, 2 * np.pi) for _ in range(9))
    ring = [
        (200 + r * np.cos(a), 300 + 1.4 * r * np.sin(a))
        for a, r in zip(angles, [rng.uniform(60, 200) for _ in angles], strict=True)
    ]
    low = np.min(ring, axis=0)
    ring = [(float(x - low[0]), float(y - low[1])) for x, y in ring]
    width, length = np.max(ring, axis=0)
    outline, part = Polygon(ring), Part("star", float(width), float(length), tuple(ring), may_turn=True)
    for turned in (False, True):
        steps = steps_of(part, turned=turned)
        for y in np.linspace(0.01, length - 0.01, 200):
            down = length - y if turned else y
            section = outline.intersection(LineString([(-1, down), (width + 1, down)])).length
            own = sum(w for first, end, w in steps if first * UNIT_MM <= y < end * UNIT_MM)
            assert own * WIDTH_UNIT_MM <= section + 1e-6
        area = sum((end - first) * w for first, end, w in steps) * UNIT_MM * WIDTH_UNIT_MM
        assert area > 0.75 * outline.area


def test_the_narrowest_section_of_a_triangle() -> None:
    triangle = ((0.0, 0.0), (100.0, 0.0), (0.0, 200.0))
    assert sections_mm(triangle, np.array([0.0, 50.0, 200.0])) == pytest.approx([75.0, 0.0])
    legs = ((0.0, 0.0), (100.0, 0.0), (100.0, 200.0), (50.0, 100.0), (0.0, 200.0))  # two, added up
    assert sections_mm(legs, np.array([0.0, 100.0, 150.0, 200.0])) == pytest.approx([100.0, 50.0, 0.0])


def test_pieces_free_to_turn_ask_for_no_more() -> None:
    demands = demands_of(boots(), Print(None, "none", "four-way", "none"))
    assert bound_mm(demands.plain) <= bound_mm(demands.one_way)
    wide = replace(demands.one_way, width_mm=1200.0)
    assert bound_mm(wide) == 1000
