"""The check values of the trade, each as a best length that the planner proves."""

from __future__ import annotations

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting import plan_length
from printcheck.cutting.money import to_buy_mm
from printcheck.report.words.findings import said

IN = 25.4  # mm, exact
WIDTH = 1400.0


def panels(length: float, count: int, repeat: float | None, drop: float = 0.0) -> tuple[Project, Print]:
    """Drops of the full width, sewn side by side: one column of the print to each width."""
    pieces = tuple(Piece(f"drop#{n}", WIDTH, length) for n in range(1, count + 1))
    seams = tuple(
        Seam((SeamEnd(f"drop#{n}", (WIDTH, 100.0)), SeamEnd(f"drop#{n + 1}", (0.0, 100.0))))
        for n in range(1, count)
    )
    lattice = None if repeat is None else Lattice.of_steps(WIDTH, repeat, drop)
    print_ = Print(lattice, "straight", "one-way", "project")
    return Project("drops", Cloth(WIDTH, sold_by_mm=1), pieces, seams), print_


# straight drops: bare run = (n - 1) x drop rounded up to whole repeats + drop. Derived from the rule of
# The Fabric Quantity Handbook (metric), p. 6-7
STRAIGHT = [
    ("A1", 2440, 640, 3, 7560),
    ("A2", 2560, 640, 3, 7680),
    ("A3", 2570, 640, 2, 5770),
    ("A5", 98 * IN, 12 * IN, 4, 422 * IN),
    ("A7", 81 * IN, 13.5 * IN, 2, 162 * IN),
    ("A8", 2440, None, 3, 7320),
]
# half-drop: starts alternate by half a repeat; best = the shortest order on the cloth. Derived by arithmetic
HALF_DROP = [
    ("H1", 2440, 640, 4, 10440),
    ("H2", 2440, 640, 3, 7880),
    ("H3", 2200, 640, 2, 4440),
    ("H4", 2200, 640, 4, 8920),
    ("H5", 2260, 320, 6, 14260),
    ("H6", 2700, 610, 3, 8190),
]


@pytest.mark.parametrize(("name", "length", "repeat", "count", "best"), STRAIGHT, ids=lambda v: str(v))
def test_straight_drops(name: str, length: float, repeat: float | None, count: int, best: float) -> None:
    plan = plan_length(*panels(length, count, repeat), seconds=10)
    assert plan.matched is not None
    assert plan.matched.length_mm == pytest.approx(best, abs=0.1)
    assert plan.matched.proved and plan.plain.proved
    assert plan.plain.length_mm == pytest.approx(count * length, abs=0.1)


@pytest.mark.parametrize(("name", "length", "repeat", "count", "best"), HALF_DROP, ids=lambda v: str(v))
def test_half_drops(name: str, length: float, repeat: float, count: int, best: float) -> None:
    plan = plan_length(*panels(length, count, repeat, 0.5), seconds=10)
    assert plan.matched is not None
    assert plan.matched.length_mm == pytest.approx(best, abs=0.1)
    assert plan.matched.proved


def test_exact_repeats_warn_of_the_cliff() -> None:
    plan = plan_length(*panels(2560, 3, 640), seconds=5)  # A2: 256 on 64
    assert "repeat-cliff" in {f.code for f in plan.findings}
    plan = plan_length(*panels(2440, 3, 640), seconds=5)  # A1 has 12 cm to spare
    assert "repeat-cliff" not in {f.code for f in plan.findings}


# usable 140: columns of 35 join level, 46.667 dropped, 40 not at all. Derived by arithmetic
@pytest.mark.parametrize(("column", "joins"), [(350.0, "level"), (466.667, "dropped"), (400.0, "no")])
def test_full_widths_join_by_the_count_of_columns(column: float, joins: str) -> None:
    project, _ = panels(2440, 2, 640)
    print_ = Print(Lattice.of_steps(column, 640, 0.5), "half-drop", "one-way", "project")
    plan = plan_length(project, print_, seconds=5)
    if joins == "no":
        assert plan.matched is None and plan.extra_mm is None and plan.buy.matched_mm is None
        (warning,) = [f for f in plan.findings if f.code == "seam-widths-do-not-join"]
        assert "drop#1 to drop#2" in said(warning).text and "20.0 cm" in said(warning).text
        return
    assert plan.matched is not None and plan.matched.proved
    gap = abs(plan.matched.placements[0].y_mm - plan.matched.placements[1].y_mm)
    assert gap % 640 == pytest.approx(0 if joins == "level" else 320, abs=0.5)
    assert max(s.residual_mm or 0.0 for s in plan.seams) <= 0.5


# 3.00 m washed at 3, 5 and 10 %: divided by 1 - s. Derived by arithmetic
@pytest.mark.parametrize(("shrink", "buy"), [(0.03, 3093), (0.05, 3158), (0.10, 3333)])
def test_washing(shrink: float, buy: float) -> None:
    exact = to_buy_mm(Cloth(WIDTH, shrink_along=shrink, sold_by_mm=0), 3000)
    assert exact == pytest.approx(buy, abs=0.5)


def test_shop_step_keeps_exact_multiples() -> None:
    assert to_buy_mm(Cloth(WIDTH, shrink_along=0.03, sold_by_mm=100), 485) == pytest.approx(500)
    assert to_buy_mm(Cloth(WIDTH, sold_by_mm=100), 3000.0000001) == pytest.approx(3000)
    assert to_buy_mm(Cloth(WIDTH, sold_by_mm=100), 3000.2) == pytest.approx(3100)


def test_repeat_shrinks_with_the_cloth() -> None:
    project, print_ = panels(2440, 2, 640)
    cloth = Cloth(WIDTH / 0.98, shrink_along=0.03, shrink_across=0.02, sold_by_mm=1)
    print_ = Print(Lattice.of_steps(cloth.width_mm, 64), "straight", "one-way", "project")
    plan = plan_length(Project("drops", cloth, project.pieces, project.seams), print_, seconds=5)
    assert plan.print.basis_mm[1][1] == pytest.approx(62.08)  # R 64 at 3 % is 62.08: arithmetic
    assert plan.matched is not None
    step = 40 * 62.08  # 2440 takes 40 repeats of 62.08
    assert plan.matched.length_mm == pytest.approx(step + 2440, abs=0.1)
    assert plan.buy.matched_mm == pytest.approx(-(-(step + 2440) // 0.97), abs=1)
