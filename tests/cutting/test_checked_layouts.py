"""No layout may leave the room that separate code finds fault with, whatever the project."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from printcheck.core.lattice import Lattice
from printcheck.core.plan import (
    MATCH_TOLERANCE_MM,
    Cloth,
    LengthPlan,
    MatchKind,
    Piece,
    Placement,
    Print,
    Project,
    Seam,
    SeamEnd,
)
from printcheck.cutting import plan_length
from printcheck.cutting.check import seam_residual_mm
from printcheck.cutting.demand.demands import Spot, demands_of
from printcheck.cutting.demand.ties import keeps_ties
from printcheck.cutting.demand.unmet_seams import SLACK_MM

from tests.cutting.random_projects import projects  # isort: skip

SECONDS = 0.3
HARDLY_ANY_S = 0.01


def must_hold(project: Project, print_: Print, plan: LengthPlan) -> None:
    """The contract read literally, on boxes; written apart from the package's own checker."""
    layouts = [plan.plain, plan.one_way, *([plan.matched] if plan.matched else [])]
    size = {p.name: (p.width_mm, p.length_mm) for p in project.pieces}
    for layout in layouts:
        assert sorted(s.piece for s in layout.placements) == sorted(size)
        boxes = []
        for spot in layout.placements:
            w, h = size[spot.piece][::-1] if spot.crosswise else size[spot.piece]
            assert spot.x_mm >= -1e-3 and spot.y_mm >= -1e-3
            assert spot.x_mm + w <= project.cloth.usable_width_mm + 1e-3
            assert spot.y_mm + h <= layout.length_mm + 1e-3
            boxes.append((spot.x_mm, spot.y_mm, spot.x_mm + w, spot.y_mm + h))
        for a, b in itertools.combinations(boxes, 2):
            apart = max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3])
            assert apart >= -0.02
        assert layout.bound_mm <= layout.length_mm + 1e-6
        assert layout.proved == (layout.length_mm - layout.bound_mm <= 0.1)
    assert not any(s.turned for s in plan.one_way.placements)
    lengths = [layout.length_mm for layout in layouts]
    assert lengths == sorted(lengths)
    if plan.matched is None:
        assert plan.extra_mm is None and plan.buy.matched_mm is None
        assert any(f.severity == "warning" for f in plan.findings)
        return
    _seams_hold(project, print_, plan)


def _seams_hold(project: Project, print_: Print, plan: LengthPlan) -> None:
    assert plan.matched is not None
    at = {s.piece: s for s in plan.matched.placements}
    size = {p.name: (p.width_mm, p.length_mm) for p in project.pieces}
    cloth, basis = project.cloth, print_.lattice.basis_mm if print_.lattice else ()
    basis = [(a * (1 - cloth.shrink_across), b * (1 - cloth.shrink_along)) for a, b in basis]
    for seam in project.seams:
        points = []
        for end in seam.join:
            (x, y), (w, h), spot = end.at, size[end.piece], at[end.piece]
            if spot.turned:
                x, y = w - x, h - y
            if spot.crosswise:
                x, y = y, w - x
            points.append((spot.x_mm + x, spot.y_mm + y))
        assert at[seam.join[0].piece].turned == at[seam.join[1].piece].turned
        gap = (points[0][0] - points[1][0], points[0][1] - points[1][1])
        if seam.match == "both" and basis:
            assert _off(gap, basis) <= 0.5 + 1e-6
    if print_.way == "one-way":
        assert not any(s.turned for s in at.values())


def _off(gap: tuple[float, float], basis: list[tuple[float, float]]) -> float:
    if len(basis) == 1:
        size = math.hypot(*basis[0])
        along = (gap[0] * basis[0][0] + gap[1] * basis[0][1]) / size
        return abs(along - size * round(along / size))
    (a, b), (c, d) = basis
    det = a * d - b * c
    i0, j0 = round((gap[0] * d - gap[1] * c) / det), round((a * gap[1] - b * gap[0]) / det)
    return min(
        math.hypot(gap[0] - i * a - j * c, gap[1] - i * b - j * d)
        for i in range(i0 - 12, i0 + 13)
        for j in range(j0 - 12, j0 + 13)
    )


CALM = {"deadline": None, "suppress_health_check": list(HealthCheck), "derandomize": True}


@given(projects())
@settings(max_examples=25, **CALM)
def test_random_projects_give_no_false_answer(case: tuple[Project, Print]) -> None:
    must_hold(*case, plan_length(*case, seconds=SECONDS))


@given(projects())
@settings(max_examples=30, **CALM)
def test_nor_do_they_where_time_runs_out(case: tuple[Project, Print]) -> None:
    """First layouts, not yet stretched to their true sizes, and questions broken off."""
    must_hold(*case, plan_length(*case, seconds=HARDLY_ANY_S))


# any tie may have needed all the slack there is on both axes, and any layout may be off by more than that
@given(
    st.sampled_from(("both", "level", "upright")),
    st.tuples(*[st.floats(-0.8, 0.8)] * 2),
    st.tuples(*[st.floats(0.0, SLACK_MM)] * 2),
    st.sampled_from((0.0, 0.5, 1 / 3)),
)
@settings(max_examples=200, **CALM)
def test_what_a_search_takes_for_matched_the_checker_does_too(
    kind: MatchKind, off: tuple[float, float], slack: tuple[float, float], drop: float
) -> None:
    pieces = (Piece("a", 300.0, 200.0), Piece("b", 300.0, 200.0))
    project = Project(
        "pair", Cloth(1000.0), pieces, (Seam((SeamEnd("a", (0.0, 0.0)), SeamEnd("b", (0.0, 0.0))), kind),)
    )
    print_ = Print(Lattice.of_steps(300.0, 200.0, drop), "drop", "one-way", "project")
    demand = demands_of(project, print_).matched
    assert demand is not None
    tie = replace(demand.ties[0], slack_across_mm=slack[0], slack_along_mm=slack[1])
    spots = [Spot(0.0, 1.0), Spot(300.0 + off[0], 1.0 + 200.0 * drop + off[1])]
    at = {p.name: Placement(p.name, s.x_mm, s.y_mm) for p, s in zip(pieces, spots, strict=True)}
    if keeps_ties(replace(demand, ties=(tie,)), spots):
        assert seam_residual_mm(project, print_, at, project.seams[0]) <= MATCH_TOLERANCE_MM
