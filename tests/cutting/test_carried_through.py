"""What the plan says beside the lengths: error of the repeat, figures, worth, rule of thumb, widths."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from printcheck.core.errors import InputError
from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, MatchKind, Piece, Place, Print, Project, Seam, SeamEnd
from printcheck.cutting import plan_length
from printcheck.cutting.demand.demands import between_mm
from printcheck.cutting.what_if.other_widths import compare_widths
from printcheck.report.words.planned import rule_of_thumb


def panels(length: float, count: int, *, match: MatchKind = "both") -> Project:
    """Panels too wide to lie side by side, with room to move across."""
    pieces = tuple(Piece(f"panel#{n}", 800.0, length) for n in range(1, count + 1))
    seams = tuple(
        Seam((SeamEnd(f"panel#{n}", (785.0, 100.0)), SeamEnd(f"panel#{n + 1}", (15.0, 100.0))), match)
        for n in range(1, count)
    )
    cloth = Cloth(1400.0, sold_by_mm=100, price=10.0, currency="EUR")
    return Project("panels", cloth, pieces, seams)


def printed(along: float, drop: float = 0.0, **more: object) -> Print:
    return Print(Lattice.of_steps(64.0, along, drop), "straight", "one-way", "project", **more)  # type: ignore[arg-type]


# one plan that holds for a repeat within 1 % either way: whole repeats at 1.01 (the straight rows have
# 5 steps of 640 for 2560, since 4 do not clear it at 0.99). Derived by arithmetic
@pytest.mark.parametrize(
    ("length", "count", "drop", "safe"),
    [
        (2570, 2, 0.0, 5 * 646.4 + 2570),
        (2440, 4, 0.5, 24 * 323.2 + 2440),  # room to move across, so each may start 8 half rows lower
        (2560, 3, 0.0, 10 * 646.4 + 2560),
    ],
)
def test_one_plan_for_the_whole_error(length: float, count: int, drop: float, safe: float) -> None:
    plan = plan_length(panels(length, count), printed(640.0, drop, error_share=0.005), seconds=6)
    assert plan.matched is not None and plan.repeat_error is not None
    assert plan.repeat_error.share == pytest.approx(0.01)
    assert plan.repeat_error.safe_mm == pytest.approx(safe, abs=0.2)


@pytest.mark.parametrize("scale", [0.99, 0.995, 1.003, 1.01])
def test_the_safe_length_is_enough_for_any_repeat_within(scale: float) -> None:
    project = panels(2570, 3)
    plan = plan_length(project, printed(640.0, error_share=0.005), seconds=4)
    assert plan.repeat_error is not None and plan.repeat_error.safe_mm is not None
    lattice = Lattice.of_steps(64.0 * scale, 640.0 * scale)
    best = plan_length(project, Print(lattice, "straight", "one-way", "project"), seconds=4)
    assert best.matched is not None
    assert best.matched.length_mm <= plan.repeat_error.safe_mm + 0.1


def test_no_error_no_safe_length() -> None:
    assert plan_length(panels(2440, 2), printed(640.0), seconds=2).repeat_error is None


def test_places_put_motifs_on_points() -> None:
    """Four points on motifs and one between: all a lattice vector, or a deep hole, from one another."""
    pieces = tuple(Piece(f"p#{n}", 300.0 + 10 * n, 400.0 + 30 * n) for n in range(5))
    places = [Place(p.name, (p.width_mm / 2, 100.0)) for p in pieces[:4]]
    places.append(Place(pieces[4].name, (170.0, 100.0), "between"))
    lattice = Lattice.of_steps(90.0, 140.0, 0.5)
    project = Project("placed", Cloth(1400.0), pieces, (), tuple(places))
    for way in ("one-way", "two-way"):
        print_ = Print(lattice, "half-drop", way, "project", motif_width_mm=60.0, motif_height_mm=70.0)
        plan = plan_length(project, print_, seconds=3)
        assert plan.matched is not None and plan.figures is not None
        at = {s.piece: s for s in plan.matched.placements}
        for place, piece in zip(places, pieces, strict=True):
            x, y = place.at
            if at[piece.name].turned:
                x, y = piece.width_mm - x, piece.length_mm - y
            here = (at[piece.name].x_mm + x, at[piece.name].y_mm + y)
            gap = (here[0] - plan.figures.motif_at_mm[0], here[1] - plan.figures.motif_at_mm[1])
            hole = between_mm(lattice) if place.on == "between" else (0.0, 0.0)
            assert lattice.residual_mm((gap[0] - hole[0], gap[1] - hole[1])) <= 0.5


# the deepest hole: the centre of the rectangle; for a half-drop the centre of the circle round a triangle
@pytest.mark.parametrize(
    ("lattice", "hole"),
    [
        (Lattice.of_steps(60.0, 80.0), (30.0, 40.0)),
        (Lattice.of_steps(32.0, 64.0, 0.5), (32.0, 0.0)),
        (Lattice(((50.0, 0.0),)), (25.0, 0.0)),
    ],
)
def test_between_is_as_far_from_every_motif_as_can_be(lattice: Lattice, hole: tuple[float, float]) -> None:
    found = between_mm(lattice)
    assert lattice.residual_mm(found) == pytest.approx(lattice.residual_mm(hole), abs=1e-9)


def test_border_print_lies_crosswise() -> None:
    """The length is the sum of the border edges (The Press, 1978)."""
    pieces = tuple(Piece(f"gore#{n}", 400.0, 900.0) for n in (1, 2, 3))
    project = Project("skirt", Cloth(1200.0), pieces)
    border = Print(Lattice(((0.0, 300.0),)), "stripe", "one-way", "project", border=True)
    plan = plan_length(project, border, seconds=2)
    assert plan.matched is not None and plan.matched.length_mm == pytest.approx(1200.0)
    assert all(s.crosswise and s.x_mm == pytest.approx(300.0) for s in plan.matched.placements)
    seams = tuple(
        Seam((SeamEnd(f"gore#{n}", (400.0, 800.0)), SeamEnd(f"gore#{n + 1}", (0.0, 800.0)))) for n in (1, 2)
    )
    # a seam's two edges abut at no cost when the pieces lie in their order
    plan = plan_length(replace(project, seams=seams), border, seconds=2)
    assert plan.matched is not None and plan.matched.length_mm == pytest.approx(1200.0)
    long = replace(project, pieces=(Piece("long", 400.0, 1200.5),))
    with pytest.raises(InputError, match="crosswise"):
        plan_length(long, border, seconds=1)


@pytest.mark.parametrize(
    ("vector", "extra"),
    [
        ((0.0, 640.0), 120.0),  # stripes across: 2440 up to 4 x 640
        ((64.0, 0.0), 0.0),  # stripes along: columns alone, and there is room
        ((30.0, 40.0), 0.0),  # slanting: moving across meets every height
    ],
)
def test_stripes(vector: tuple[float, float], extra: float) -> None:
    print_ = Print(Lattice((vector,)), "stripe", "one-way", "project")
    plan = plan_length(panels(2440, 2), print_, seconds=3)
    assert plan.extra_mm == pytest.approx(extra, abs=0.2)


def test_figures_are_spared_at_no_length() -> None:
    """One piece of 100 x 100 on motifs of 60 x 60, 120 apart: it can hold one whole motif and cut none."""
    project = Project("pocket", Cloth(1000.0), (Piece("pocket", 100.0, 100.0),))
    lattice = Lattice.of_steps(120.0, 120.0)
    print_ = Print(lattice, "straight", "one-way", "project", motif_width_mm=60.0, motif_height_mm=60.0)
    plan = plan_length(project, print_, seconds=1)
    assert plan.figures is not None and plan.figures.cut == 0
    assert plan.matched is not None and plan.matched.length_mm == 100.0
    crowded = replace(print_, motif_width_mm=110.0, motif_height_mm=110.0)  # no room for a whole one
    plan = plan_length(project, crowded, seconds=1)
    assert plan.figures is not None and plan.figures.cut >= 1
    small = replace(print_, motif_width_mm=12.0, motif_height_mm=12.0)
    assert plan_length(project, small, seconds=1).figures is None


def test_choices_stand_side_by_side() -> None:
    project = panels(2440, 3)
    print_ = printed(640.0, needs="upright", pattern_delta_e=12.0)
    plan = plan_length(project, print_, seconds=6)
    assert plan.worth is not None
    every, visible, none = plan.worth.choices
    assert (every.match, visible.match, none.match) == ("all", "visible", "none")
    assert every.length_mm == pytest.approx(2 * 2560 + 2440)
    assert visible.length_mm == none.length_mm == pytest.approx(3 * 2440)  # upright alone costs nothing here
    assert every.cost == pytest.approx(76.0) and none.cost == pytest.approx(74.0)  # 10 a metre, 10 cm steps
    assert plan.worth.needs == "upright" and every.buy_mm - none.buy_mm == pytest.approx(200.0)
    hidden = replace(project, seams=tuple(replace(s, visible=False) for s in project.seams))
    plan = plan_length(hidden, print_, seconds=3, match="visible")
    assert plan.seams == () and plan.extra_mm == 0


def test_match_none_keeps_no_seam() -> None:
    plan = plan_length(panels(2440, 3), printed(640.0), seconds=2, match="none")
    assert plan.seams == () and plan.matched is not None and plan.matched.length_mm == plan.plain.length_mm


def test_start_allowance_is_one_repeat() -> None:
    plain = plan_length(panels(2440, 2), printed(640.0), seconds=2)
    more = plan_length(panels(2440, 2), printed(640.0), seconds=2, start_allowance=True)
    assert plain.buy.matched_mm == pytest.approx(5000) and plain.start_allowance_mm == 0
    assert more.buy.matched_mm == pytest.approx(5700) and more.start_allowance_mm == pytest.approx(640)
    assert more.buy.plain_mm == plain.buy.plain_mm


def test_rule_of_thumb_with_its_source() -> None:
    plan = plan_length(panels(2440, 3), printed(640.0), seconds=2)
    assert plan.rule_of_thumb.extra_mm == pytest.approx(3 * 640)  # one repeat for each length cut
    said = rule_of_thumb(plan.rule_of_thumb)
    assert "Lancaster Farming" in said and "each of 3 lengths" in said
    # the length is told once, from its number: one told in the text was rounded twice in inches
    assert not re.search(r"\d (mm|cm|m)\b", said)
    assert plan.extra_mm is not None and plan.extra_mm < plan.rule_of_thumb.extra_mm
    plain = plan_length(panels(2440, 3), Print(None, "none", "one-way", "none"), seconds=1)
    assert plain.rule_of_thumb.extra_mm == 0 and "no repeat" in rule_of_thumb(plain.rule_of_thumb)


def test_widths_side_by_side() -> None:
    rows = compare_widths(panels(2440, 2), printed(640.0), [700.0, 1400.0, 1700.0], seconds=6)
    assert [r.width_mm for r in rows] == [700.0, 1400.0, 1700.0]
    assert rows[0].matched_mm is None and rows[0].finding is not None
    assert rows[0].finding.code == "width-too-narrow"
    assert rows[1].matched_mm == pytest.approx(5000) and rows[1].buy_mm == pytest.approx(5000)
    assert rows[2].matched_mm == pytest.approx(2440) and rows[2].cost == pytest.approx(25.0)
    assert rows[1].proved and rows[2].proved
    for bad in ([], [float("nan")], [-5.0], [1400.0] * 13):
        with pytest.raises(InputError):
            compare_widths(panels(2440, 2), printed(640.0), bad)


def test_progress_is_told() -> None:
    said: list[tuple[str, float]] = []
    plan_length(
        panels(2440, 3), printed(640.0), seconds=2, progress=lambda text, share: said.append((text, share))
    )
    shares = [share for _, share in said]
    assert said and all(0 <= s <= 1 for s in shares) and shares == sorted(shares)
