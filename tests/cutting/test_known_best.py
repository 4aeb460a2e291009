"""Layouts whose best length is known beforehand, and laws that hold between layouts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting import plan_length

from tests.cutting.planted import planted  # isort: skip
from tests.cutting.random_projects import projects  # isort: skip
from tests.cutting.rectangle_garments import cushions, curtains, skirt, trousers  # isort: skip


PROVED_S = 300.0  # s: a search ends with its proof, within seconds on an idle machine


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("count", [6, 9, 12])
def test_perfect_packings_come_back(seed: int, count: int) -> None:
    project, print_, best = planted(seed, count)
    plan = plan_length(project, print_, seconds=PROVED_S)
    assert plan.plain.length_mm == pytest.approx(best, abs=0.1)
    assert plan.matched is not None and plan.matched.proved
    assert plan.matched.length_mm == pytest.approx(best, abs=0.1)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3, 6))
@pytest.mark.parametrize(("count", "seconds"), [(12, 30), (16, 90)])
def test_many_perfect_packings(seed: int, count: int, seconds: float) -> None:
    project, print_, best = planted(seed, count)
    plan = plan_length(project, print_, seconds=seconds)
    assert plan.matched is not None
    assert plan.matched.length_mm == pytest.approx(best, abs=0.1)


def test_cushions_in_three_columns_are_proved() -> None:
    """Six pieces of two covers in three columns: 44 + 23, 44 + 23, 30 + 30 (by hand); the print asks more."""
    plan = plan_length(cushions(covers=2), with_lattice(Lattice.of_steps(320, 320)), seconds=PROVED_S)
    assert plan.plain.length_mm == pytest.approx(670, abs=0.1) and plan.plain.proved
    assert plan.matched is not None and plan.matched.proved and plan.matched.length_mm > 670


def with_lattice(lattice: Lattice, way: str = "one-way") -> Print:
    return Print(lattice, "straight", way, "project")  # type: ignore[arg-type]


def lengths(project: Project, print_: Print, seconds: float = PROVED_S) -> tuple[float, float]:
    """Matched length and its bound."""
    plan = plan_length(project, print_, seconds=seconds)
    assert plan.matched is not None
    return plan.matched.length_mm, plan.matched.bound_mm


@pytest.mark.parametrize("garment", [skirt, trousers])
def test_a_finer_lattice_never_needs_more(garment: object) -> None:
    project = garment()  # type: ignore[operator]
    fine = lengths(project, with_lattice(Lattice.of_steps(160, 265)))
    coarse = lengths(project, with_lattice(Lattice.of_steps(640, 530)))
    half = lengths(project, with_lattice(Lattice.of_steps(320, 530, 0.5)))
    # straight 640 x 530 is part of the half-drop of columns 320, and of 160 x 265
    assert fine[1] <= coarse[0] + 1e-6 and half[1] <= coarse[0] + 1e-6
    assert fine[0] <= coarse[0] + 0.1 and half[0] <= coarse[0] + 0.1


def test_turning_never_needs_more() -> None:
    lattice = Lattice.of_steps(640, 530)
    one = lengths(skirt(), with_lattice(lattice))
    two = lengths(skirt(), with_lattice(lattice, "two-way"))
    assert two[0] <= one[0] + 0.1 and two[1] <= one[0] + 1e-6


def test_turning_a_pair_saves_cloth() -> None:
    """Two pairs with level heads: 700 + 600 all one way; feet against heads, 500 + 700 (by hand)."""
    pieces, seams = [], []
    for n in (1, 2):
        pieces += [Piece(f"a#{n}", 600, 500), Piece(f"b#{n}", 600, 700)]
        seams.append(Seam((SeamEnd(f"a#{n}", (0, 0)), SeamEnd(f"b#{n}", (0, 0))), "level"))
    project = Project("pairs", Cloth(1300), tuple(pieces), tuple(seams))
    one = lengths(project, with_lattice(Lattice.of_steps(600, 400)))
    two = lengths(project, with_lattice(Lattice.of_steps(600, 400), "two-way"))
    assert one == pytest.approx((1300, 1300), abs=0.1)
    assert two == pytest.approx((1200, 1200), abs=0.1)


def test_turned_pieces_turn_with_their_seam() -> None:
    """Two panels whose seam points only meet closely when both are turned; one piece held the way it is."""
    wide = Piece("wide", 600, 500)
    long = Piece("long", 600, 700)
    seam = Seam((SeamEnd("wide", (600, 0)), SeamEnd("long", (0, 0))))
    project = Project("pair", Cloth(1300), (wide, long), (seam,))
    plan = plan_length(project, with_lattice(Lattice.of_steps(600, 400), "two-way"), seconds=3)
    assert plan.matched is not None
    turned = {s.turned for s in plan.matched.placements}
    assert len(turned) == 1
    held = replace(project, pieces=(replace(wide, turn="none"), long))
    plan = plan_length(held, with_lattice(Lattice.of_steps(600, 400), "two-way"), seconds=3)
    assert plan.matched is not None and not any(s.turned for s in plan.matched.placements)


CALM = {"deadline": None, "suppress_health_check": list(HealthCheck), "derandomize": True}


@given(projects(), st.randoms(use_true_random=False))
@settings(max_examples=10, **CALM)
def test_shuffled_pieces_need_the_same(case: tuple[Project, Print], rng: object) -> None:
    project, print_ = case
    order = list(project.pieces)
    rng.shuffle(order)  # type: ignore[attr-defined]
    one = plan_length(project, print_, seconds=0.5)
    two = plan_length(replace(project, pieces=tuple(order)), print_, seconds=0.5)
    for a, b in ((one.plain, two.plain), (one.matched, two.matched)):
        if a is not None and b is not None:
            assert a.bound_mm <= b.length_mm + 1e-6 and b.bound_mm <= a.length_mm + 1e-6
            if a.proved and b.proved:
                assert a.length_mm == pytest.approx(b.length_mm, abs=0.2)


@given(projects())
@settings(max_examples=15, **CALM)
def test_a_further_piece_never_needs_less(case: tuple[Project, Print]) -> None:
    project, print_ = case
    one = plan_length(project, print_, seconds=0.5)
    more = replace(project, pieces=(*project.pieces, Piece("more", 120.0, 120.0)))
    two = plan_length(more, print_, seconds=0.5)
    assert one.plain.bound_mm <= two.plain.length_mm + 1e-6
    if one.matched and two.matched:
        assert one.matched.bound_mm <= two.matched.length_mm + 1e-6


@pytest.mark.parametrize("way", ["one-way", "two-way"])
def test_a_measured_repeat_is_met_exactly(way: str) -> None:
    """No common unit in sight: the layout is found on rounded sizes, and stands on the true ones."""
    project = replace(trousers(), cloth=Cloth(1530.0, 10.0, 0.033, 0.017))
    print_ = with_lattice(Lattice.of_steps(163.8724, 221.3178, 0.5), way)
    plan = plan_length(project, print_, seconds=6)
    assert plan.matched is not None and plan.matched.bound_mm <= plan.matched.length_mm
    assert max(s.residual_mm or 0.0 for s in plan.seams) < 1e-3


def test_many_pieces_are_answered_where_time_runs_out() -> None:
    pieces = tuple(Piece(f"p#{n}", 100.0 + 7 * n, 150.0 + 11 * (n % 13)) for n in range(60))
    seams = tuple(
        Seam((SeamEnd(f"p#{n}", (90, 20)), SeamEnd(f"p#{n + 1}", (10, 20)))) for n in range(0, 58, 2)
    )
    plan = plan_length(
        Project("many", Cloth(1400), pieces, seams), with_lattice(Lattice.of_steps(64, 64)), seconds=1
    )
    assert plan.matched is not None and plan.matched.bound_mm <= plan.matched.length_mm


@pytest.mark.parametrize("garment", [cushions, curtains])
def test_visible_seams_alone_never_need_more(garment: object) -> None:
    project = garment()  # type: ignore[operator]
    print_ = replace(with_lattice(Lattice.of_steps(120, 90)), needs="level", pattern_delta_e=5.0)
    plan = plan_length(project, print_, seconds=6)
    assert plan.worth is not None
    every, visible, none = (c.length_mm for c in plan.worth.choices)
    assert none is not None and visible is not None and every is not None
    assert none <= visible + 1e-6 and visible <= every + 1e-6
