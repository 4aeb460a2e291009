"""Motifs cut by outlines, and the warning that a piece only just clears whole repeats."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely import affinity
from shapely.geometry import Polygon, box

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, CutLayout, Piece, Placement, Print, Project, Seam, SeamEnd
from printcheck.cutting.demand.demands import demands_of
from printcheck.cutting.length import plan_length
from printcheck.cutting.repeat_error import cliffs
from printcheck.cutting.search.layouts import lay_out
from printcheck.cutting.shape.cut_figures import spared
from tests.cutting import garments

LATTICE = Lattice.of_steps(90, 110, 0.5)
MOTIF = (40.0, 55.0)
FIGURED = Print(LATTICE, "half-drop", "one-way", "test", motif_width_mm=40.0, motif_height_mm=55.0)


def counted(project: Project, layout: CutLayout, at: tuple[float, float]) -> tuple[int, int]:
    """Motifs cut and touched, by shapely, one at a time."""
    (a, b), (c, d) = LATTICE.basis_mm
    cut, touched = set(), set()
    for piece, spot in zip(project.pieces, layout.placements, strict=True):
        poly = Polygon(piece.outline)
        if spot.turned:
            poly = affinity.rotate(poly, 180, origin=(piece.width_mm / 2, piece.length_mm / 2))
        poly = affinity.translate(poly, spot.x_mm, spot.y_mm)
        for i in range(-60, 60):
            for j in range(-60, 60):
                x, y = at[0] + i * a + j * c, at[1] + i * b + j * d
                # the cloth's own edges cut nothing
                left, right = max(0.0, x - 20), min(project.cloth.usable_width_mm, x + 20)
                if right <= left:
                    continue
                motif = box(left, y - 27.5, right, y + 27.5)
                on = poly.intersection(motif).area if poly.intersects(motif) else 0.0
                if on > 1e-3:
                    touched.add((i, j))
                    if on < motif.area - 1e-3:
                        cut.add((i, j))
    return len(cut), len(touched)


@pytest.fixture(scope="module")
def swim():
    project = garments.garment("swim")
    demands = demands_of(project, FIGURED)
    return project, demands.matched, lay_out(demands, seconds=1.5).matched


def test_motifs_cut_are_counted_as_shapely_counts_them(swim):
    project, demand, layout = swim
    found = spared(project, FIGURED, demand, layout, LATTICE)
    assert found is not None
    moved, figures = found
    assert (figures.cut, figures.touched) == counted(project, moved, figures.motif_at_mm)


def test_sparing_cuts_fewer_motifs_at_the_same_length(swim):
    project, demand, layout = swim
    moved, figures = spared(project, FIGURED, demand, layout, LATTICE)
    assert moved.length_mm == layout.length_mm
    tried = [
        counted(project, layout, (i * 90 / 4, j * 110 / 4))[0] for i, j in ((0, 0), (1, 2), (2, 1), (3, 3))
    ]
    assert figures.cut < sum(tried) / len(tried)
    plan = plan_length(project, FIGURED, seconds=1.5)  # its own check raises on a false answer
    assert plan.figures is not None and plan.figures.cut <= plan.figures.touched


def notched(length: float) -> Project:
    """Two pieces too wide to lie side by side, a shallow notch at the foot: 256 on 64, and the like."""
    ring = ((0.0, 0.0), (400.0, 0.0), (400.0, length), (200.0, length - 5), (0.0, length))
    pieces = tuple(Piece(f"a#{n}", 400.0, length, ring) for n in (1, 2))
    return Project(
        "pair", Cloth(600.0), pieces, (Seam((SeamEnd("a#1", (50.0, 100.0)), SeamEnd("a#2", (50.0, 100.0)))),)
    )


# four repeats of 64 are 256: at 1 % less they are 253.4, which 256 and 254 do not clear (arithmetic)
@pytest.mark.parametrize(("length", "warned"), [(256.0, True), (254.0, True), (250.0, False), (200.0, False)])
def test_a_piece_that_only_just_clears_whole_repeats_is_named(length, warned):
    print_ = Print(Lattice.of_steps(64, 64), "straight", "one-way", "test")
    demand = demands_of(notched(length), print_).matched
    steps = math.ceil(length / 64) * 64.0
    spots = (Placement("a#1", 0.0, 0.0), Placement("a#2", 0.0, steps))
    found = cliffs(demand, CutLayout(steps + length, 0.0, False, 0.0, spots), 0.01)
    assert [f.code for f in found] == (["repeat-cliff"] if warned else [])
    plan = plan_length(notched(length), replace(print_, error_share=0.005), seconds=2)
    assert ("repeat-cliff" in [f.code for f in plan.findings]) == warned
