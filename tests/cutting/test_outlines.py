"""True outlines: geometry against shapely, the order laws, and the room's own checker."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from shapely import affinity, unary_union
from shapely.geometry import Polygon

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, CutLayout, Piece, Place, Placement, Print, Project, Seam, SeamEnd
from printcheck.cutting.check import faults
from printcheck.cutting.demand.demands import Spot, demands_of, spots_of
from printcheck.cutting.length import plan_length
from printcheck.cutting.repeat_error import held_mm, repeat_error, with_repeat
from printcheck.cutting.search.compact import pressed
from printcheck.cutting.search.layouts import lay_out
from printcheck.cutting.search.shortest import area_bound_mm
from printcheck.cutting.shape.no_fit import depth_map, no_fit
from printcheck.cutting.shape.simplify import THINNED_MM, shape_of
from tests.cutting import garments

CELL_MM = 4.0
ONE_WAY = Print(Lattice.of_steps(100, 100), "straight", "one-way", "test")
NOISE_MM = 1e-3  # mm: a hundredth of the step lengths are told in


def circle(radius: float, points: int = 200) -> tuple[tuple[float, float], ...]:
    turns = (2 * math.pi * k / points for k in range(points))
    return tuple((radius + radius * math.cos(t), radius + radius * math.sin(t)) for t in turns)


def polygon(piece: Piece, spot) -> Polygon:
    ring = piece.outline or (
        (0.0, 0.0), (piece.width_mm, 0.0), (piece.width_mm, piece.length_mm), (0.0, piece.length_mm),
    )  # fmt: skip
    poly = Polygon(ring)
    if spot.turned:
        poly = affinity.rotate(poly, 180, origin=(piece.width_mm / 2, piece.length_mm / 2))
    return affinity.translate(poly, spot.x_mm, spot.y_mm)


def overlap_mm2(project: Project, layout) -> float:
    """Largest area that two pieces share."""
    polys = [polygon(p, s) for p, s in zip(project.pieces, layout.placements, strict=True)]
    return max(a.intersection(b).area for i, a in enumerate(polys) for b in polys[:i])


def all_pieces() -> list[Piece]:
    return [p for name in garments.GARMENTS for p in garments.garment(name).pieces]


@pytest.mark.parametrize("piece", all_pieces(), ids=lambda p: p.name)
def test_a_thinned_outline_holds_the_true_one_and_hardly_more(piece):
    shape = shape_of(piece.width_mm, piece.length_mm, piece.outline)
    true, thin = Polygon(piece.outline), Polygon(shape.ring)
    assert true.difference(thin).area < NOISE_MM
    assert true.exterior.hausdorff_distance(thin.exterior) <= 3 * THINNED_MM  # at a dent's ends
    assert thin.bounds == pytest.approx((0, 0, piece.width_mm, piece.length_mm), abs=1e-9)
    assert unary_union([Polygon(part) for part in shape.parts]).area == pytest.approx(thin.area, abs=1e-3)


def test_a_circle_is_thinned_to_few_points():
    shape = shape_of(400.0, 400.0, circle(200))
    assert len(shape.ring) < 60
    assert len(shape.parts) == 1
    assert Polygon(shape.ring).area < math.pi * (200 + THINNED_MM) ** 2


def test_no_fit_polygons_agree_with_shapely():
    rng = random.Random(3)
    shapes = [shape_of(p.width_mm, p.length_mm, p.outline) for p in all_pieces()]
    shapes += [s.turned for s in shapes]
    met = 0
    for _ in range(600):
        one, two = rng.choice(shapes), rng.choice(shapes)
        d = (rng.uniform(-300, 300), rng.uniform(-300, 300))
        gap = no_fit(one, two).apart_mm(np.array([d]))[0]
        shared = Polygon(one.ring).intersection(affinity.translate(Polygon(two.ring), *d)).area
        met += shared > 0
        assert (gap < -1e-9) == (shared > 1e-9) or abs(gap) < 1e-3
    assert met > 100


def test_depth_maps_tell_apart_from_overlapping_to_a_cell():
    rng = random.Random(4)
    shapes = [shape_of(p.width_mm, p.length_mm, p.outline) for p in all_pieces()]
    for _ in range(400):
        one, two = rng.choice(shapes), rng.choice(shapes)
        d = np.array([(rng.uniform(-300, 300), rng.uniform(-300, 300))])
        gap, depth = no_fit(one, two).apart_mm(d)[0], depth_map(one, two, CELL_MM).depth_mm(d)[0]
        if gap >= 0:
            assert depth == 0  # what lies apart is never held to overlap
        if depth > 0:
            assert gap < 0
        if gap < -CELL_MM:  # and an overlap of more than a cell never looks like none
            assert depth > 0
        # the map's depth reaches to the rim of all no-fit polygons together, the gap to that of one
        assert depth >= -gap - 3 * CELL_MM


@pytest.mark.parametrize("name", garments.GARMENTS)
def test_pressing_takes_overlaps_apart_and_never_makes_any(name):
    project = garments.garment(name)
    demand = demands_of(project, ONE_WAY).one_way
    # all pieces in rows by their boxes, pushed into each other by 8 mm
    x = y = row = 0.0
    spots = []
    for part in demand.parts:
        if x + part.width_mm > demand.width_mm:
            x, y, row = 0.0, y + row - 8, 0.0
        spots.append(Spot(x, y))
        x, row = x + part.width_mm - 8, max(row, part.length_mm)
    found = pressed(demand, spots, rounds=40)
    assert found is not None and found.sound
    polys = [polygon(p, s) for p, s in zip(project.pieces, found.spots, strict=True)]
    assert max(a.intersection(b).area for i, a in enumerate(polys) for b in polys[:i]) < 1e-2
    assert min(s.x_mm for s in found.spots) >= -1e-6
    assert found.length_mm < y + row + 8 * len(spots)


def check(project: Project, print_: Print, answers) -> None:
    """The order law, the bound, the room's checker, and shapely at a hundredth of its tolerance."""
    layouts = [answers.plain, answers.one_way, answers.matched]
    lengths = [layout.length_mm for layout in layouts if layout is not None]
    assert lengths == sorted(lengths)
    assert faults(project, print_, answers.plain, keeps_way=False) == []
    assert faults(project, print_, answers.one_way, keeps_way=True) == []
    assert not any(p.turned for p in answers.one_way.placements)
    assert answers.matched is not None
    assert (
        faults(project, print_, answers.matched, keeps_way=True, seams=project.seams, places=project.places)
        == []
    )
    for layout in layouts:
        assert layout.bound_mm <= layout.length_mm + 1e-9
        assert overlap_mm2(project, layout) < 0.05


@pytest.mark.parametrize(
    ("name", "lattice", "way"),
    [
        ("trousers", Lattice.of_steps(100, 100), "one-way"),
        ("shirt", Lattice.of_steps(60, 80, 0.5), "two-way"),
        ("swim", Lattice(((40.0, 0.0),)), "one-way"),
    ],
)
def test_garments_keep_every_demand(name, lattice, way):
    project = garments.garment(name)
    print_ = Print(lattice, "straight", way, "test")
    check(project, print_, lay_out(demands_of(project, print_), seconds=4))


def shaped(rng: random.Random, count: int) -> Project:
    """Random pieces, some of them rectangles, with seams and places of every kind."""
    pieces, seams, places = [], [], []
    for n in range(count):
        w, h = rng.uniform(80, 500), rng.uniform(80, 600)
        kind = rng.choice(["box", "wedge", "ell", "circle"])
        outline = {
            "box": (),
            "wedge": ((0.0, 0.0), (w * 0.6, 0.0), (w, h), (0.0, h * 0.8)),
            "ell": ((0.0, 0.0), (w * 0.4, 0.0), (w * 0.4, h * 0.6), (w, h * 0.6), (w, h), (0.0, h)),
            "circle": circle(w / 2, 40),
        }[kind]
        if kind == "circle":
            w = h = max(x for x, _ in outline)
            outline = tuple((x, min(y, h)) for x, y in outline)
        pieces.append(Piece(f"p{n}#1", w, h, outline, turn=rng.choice(["half", "none"])))
    for _ in range(count // 2):
        a, b = rng.sample(pieces, 2)
        ends = [SeamEnd(p.name, (p.width_mm * rng.uniform(0.1, 0.3), p.length_mm * 0.85)) for p in (a, b)]
        if not any({e.piece for e in s.join} == {a.name, b.name} for s in seams):
            seams.append(Seam((ends[0], ends[1]), rng.choice(["both", "level", "upright"])))
    for p in rng.sample(pieces, 2):
        places.append(Place(p.name, (p.width_mm * 0.2, p.length_mm * 0.8), "motif"))
    return Project("random", Cloth(1400.0, 10.0, 0.03, 0.02), tuple(pieces), tuple(seams), tuple(places))


@pytest.mark.parametrize("seed", range(6))
def test_random_projects_have_no_false_answer(seed):
    rng = random.Random(seed)
    project = shaped(rng, rng.randint(3, 9))
    lattice = rng.choice([
        Lattice.of_steps(64, 64), Lattice.of_steps(60, 80, 0.5), Lattice.of_steps(90, 120, 1 / 3),
        Lattice.of_steps(200, 300), Lattice(((0.0, 30.0),)), Lattice(((25.0, 25.0),)),
    ])  # fmt: skip
    print_ = Print(lattice, "straight", rng.choice(["one-way", "two-way"]), "test")
    plan = plan_length(project, print_, seconds=2)  # its own check raises on a false answer
    lengths = [plan.plain.length_mm, plan.one_way.length_mm]
    lengths += [plan.matched.length_mm] if plan.matched else []
    assert lengths == sorted(lengths)
    for layout in (plan.plain, plan.one_way, plan.matched):
        if layout is not None:
            assert overlap_mm2(project, layout) < 0.05
            assert layout.bound_mm <= layout.length_mm + 1e-9


def test_two_half_discs_share_the_cloths_width():
    """Two right triangles fill a rectangle when one may turn: 500 x 400 on 500 of width (arithmetic)."""
    triangle = ((0.0, 0.0), (500.0, 0.0), (0.0, 400.0))
    pieces = tuple(Piece(f"half#{n}", 500.0, 400.0, triangle) for n in (1, 2))
    project = Project("sail", Cloth(500.0), pieces)
    print_ = replace(ONE_WAY, lattice=None, layout="none")
    answers = lay_out(demands_of(project, print_), seconds=2)
    assert answers.plain.length_mm == pytest.approx(400, abs=0.5)
    assert answers.plain.bound_mm == pytest.approx(400)
    assert answers.one_way.length_mm > 700  # unturned they can only be shifted down


def test_a_piece_as_wide_as_the_cloth_is_laid():
    notched = ((0.0, 0.0), (500.0, 0.0), (500.0, 300.0), (250.0, 200.0), (0.0, 300.0))
    pieces = (Piece("a#1", 500.0, 300.0, notched), Piece("b#1", 120.0, 90.0))
    project = Project("wide", Cloth(500.0), pieces)
    answers = lay_out(demands_of(project, ONE_WAY), seconds=2)
    assert answers.one_way.length_mm <= 390 + 1e-6
    assert overlap_mm2(project, answers.one_way) < 1e-3


def test_the_bound_counts_the_area_of_the_outlines():
    triangle = ((0.0, 0.0), (500.0, 0.0), (0.0, 400.0))
    project = Project(
        "sail", Cloth(1000.0), tuple(Piece(f"s#{n}", 500.0, 400.0, triangle) for n in range(1, 9))
    )
    assert area_bound_mm(demands_of(project, ONE_WAY).plain) == pytest.approx(8 * 100_000 / 1000)


def test_the_repeats_error_is_carried_through_an_outline_layout():
    """A plan that holds at both ends of the error holds between: tried at five repeats."""
    project = garments.garment("swim")
    print_ = replace(ONE_WAY, error_share=0.003)
    demand = demands_of(project, print_).matched
    answers = lay_out(demands_of(project, print_), seconds=3)
    error = repeat_error(demand, answers.matched, 0.006, seconds=3)
    assert error.safe_mm is None or error.safe_mm >= answers.matched.length_mm
    spots = spots_of(demand, answers.matched)
    assert held_mm(demand, spots, [demand]) <= answers.matched.length_mm + 1e-3
    shares = (-0.006, -0.003, 0.0, 0.003, 0.006)
    scaled = [with_repeat(demand, 1 + share, 1 + share) for share in shares]
    own = held_mm(demand, spots, [scaled[0], scaled[-1]])
    if own is not None:  # a tight plan may not hold; another one's length is told then
        for repeat in scaled:
            held = held_mm(demand, spots, [repeat])
            assert held is not None and held <= own + 1e-6


def test_the_length_that_holds_is_that_of_the_longer_repeat():
    """Two pieces of 250 four rows of 64 apart: 256 and 250, and half a per cent of 256 more (arithmetic)."""
    ring = ((0.0, 0.0), (400.0, 0.0), (400.0, 250.0), (200.0, 245.0), (0.0, 250.0))
    pieces = tuple(Piece(f"a#{n}", 400.0, 250.0, ring) for n in (1, 2))
    seam = Seam((SeamEnd("a#1", (50.0, 100.0)), SeamEnd("a#2", (50.0, 100.0))))
    demand = demands_of(
        Project("pair", Cloth(600.0), pieces, (seam,)), replace(ONE_WAY, lattice=Lattice.of_steps(64, 64))
    ).matched
    layout = CutLayout(506.0, 0.0, False, 0.0, (Placement("a#1", 0.0, 0.0), Placement("a#2", 0.0, 256.0)))
    error = repeat_error(demand, layout, 0.005, seconds=1)
    assert error.safe_mm == pytest.approx(256 * 1.005 + 250, abs=1e-6)


def test_a_layout_against_both_edges_does_not_hold_when_its_columns_grow():
    """Two boxes-with-a-notch fill the width exactly; wider columns push one off the cloth (arithmetic)."""
    notched = ((0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (150.0, 190.0), (0.0, 200.0))
    pieces = tuple(Piece(f"a#{n}", 300.0, 200.0, notched) for n in (1, 2))
    seam = Seam((SeamEnd("a#1", (50.0, 100.0)), SeamEnd("a#2", (50.0, 100.0))))
    print_ = replace(ONE_WAY, lattice=Lattice.of_steps(300, 900))
    project = Project("pair", Cloth(600.0), pieces, (seam,))
    demand = demands_of(project, print_).matched
    spots = [Spot(0.0, 0.0), Spot(300.0, 0.0)]
    assert held_mm(demand, spots, [demand]) == pytest.approx(200)
    assert held_mm(demand, spots, [with_repeat(demand, 1.01, 1.01)]) is None
    assert held_mm(demand, spots, [with_repeat(demand, 0.99, 0.99)]) is None  # they would overlap


def test_a_choice_of_matching_is_no_second_problem(monkeypatch):
    """Matching the visible seams alone is laid from what is known, and never takes more than all seams."""
    from printcheck.cutting import length

    calls = []
    whole = length.lay_out
    monkeypatch.setattr(length, "lay_out", lambda *a, **k: calls.append(1) or whole(*a, **k))
    project = garments.garment("swim")
    hidden = replace(
        project, seams=(*project.seams[:2], *(replace(s, visible=False) for s in project.seams[2:]))
    )
    plan = plan_length(hidden, ONE_WAY, seconds=4)
    assert len(calls) == 1
    every, visible, none = (choice.length_mm for choice in plan.worth.choices)
    assert none <= visible <= every == plan.matched.length_mm
