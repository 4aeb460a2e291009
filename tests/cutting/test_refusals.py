"""Broken projects and seams that cannot be met: one clear sentence each, never a wrong layout."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printcheck.core.errors import InputError
from printcheck.core.lattice import Lattice
from printcheck.core.plan import MOST_PIECES, Cloth, Piece, Place, Print, Project, Seam, SeamEnd
from printcheck.cutting import plan_length
from printcheck.report.words.findings import said

PRINT = Print(Lattice.of_steps(64.0, 64.0), "straight", "one-way", "project")
ONE = Project("one", Cloth(1400.0), (Piece("a", 400.0, 500.0),))


@pytest.mark.parametrize(
    ("project", "code"),
    [
        (replace(ONE, pieces=()), "no-pieces"),
        (replace(ONE, pieces=tuple(Piece(f"p#{n}", 10.0, 10.0) for n in range(10_000))), "too-many-pieces"),
        (replace(ONE, pieces=(Piece("a", 1400.5, 500.0),)), "piece-too-wide"),
        (replace(ONE, pieces=(Piece("a", 0.0, 500.0),)), "piece-without-size"),
        (replace(ONE, pieces=(Piece("a", -5.0, 500.0),)), "piece-without-size"),
        (replace(ONE, pieces=(Piece("a", float("nan"), 500.0),)), "not-a-number"),
        (replace(ONE, pieces=(Piece("a", 400.0, float("inf")),)), "not-a-number"),
        (replace(ONE, pieces=(*ONE.pieces, *ONE.pieces)), "piece-name-twice"),
        (replace(ONE, places=(Place("b", (0.0, 0.0)),)), "unknown-piece"),
        (
            replace(ONE, seams=(Seam((SeamEnd("a", (0.0, 0.0)), SeamEnd("z", (0.0, 0.0)))),)),
            "unknown-piece",
        ),
    ],
)
def test_refused_with_one_sentence(project: Project, code: str) -> None:
    with pytest.raises(InputError) as caught:
        plan_length(project, PRINT, seconds=1)
    assert caught.value.code == code
    assert caught.value.message and caught.value.remedy and "\n" not in str(caught.value)


def test_the_limit_is_named() -> None:
    pieces = tuple(Piece(f"p#{n}", 10.0, 10.0) for n in range(MOST_PIECES + 1))
    with pytest.raises(InputError, match=f"at most {MOST_PIECES}"):
        plan_length(replace(ONE, pieces=pieces), PRINT, seconds=1)


@pytest.mark.parametrize("seconds", [0.0, -1.0, float("nan"), float("inf")])
def test_effort_must_be_a_time(seconds: float) -> None:
    with pytest.raises(InputError):
        plan_length(ONE, PRINT, seconds=seconds)


def ring(last: float) -> Project:
    """Three gores sewn into a ring; the third seam's point lies ``last`` mm further in."""
    pieces = tuple(Piece(f"gore#{n}", 300.0, 600.0) for n in (1, 2, 3))
    ends = [(285.0, 100.0), (15.0, 100.0)]
    seams = [
        Seam((SeamEnd("gore#1", ends[0]), SeamEnd("gore#2", ends[1]))),
        Seam((SeamEnd("gore#2", ends[0]), SeamEnd("gore#3", ends[1]))),
        Seam((SeamEnd("gore#3", (285.0 - last, 100.0)), SeamEnd("gore#1", ends[1]))),
    ]
    return Project("ring", Cloth(1400.0), pieces, tuple(seams))


def test_a_ring_that_does_not_close_is_named() -> None:
    # 3 x 270 = 810 = 13 x 64 - 22: open by 22 mm, and closed once the last point is moved by 42
    plan = plan_length(ring(0.0), PRINT, seconds=2)
    assert plan.matched is None and plan.extra_mm is None and plan.buy.matched_mm is None
    (warning,) = [f for f in plan.findings if f.code == "seam-ring-open"]
    words = said(warning)
    assert "gore#" in words.text and "22.0 mm" in words.text and "22.0 mm" in words.remedy
    assert all(s.residual_mm is None for s in plan.seams)
    assert plan.plain.proved
    closed = plan_length(ring(42.0), PRINT, seconds=2)
    assert closed.matched is not None and closed.matched.proved


def test_a_ring_open_by_less_than_a_match_is_shared_out() -> None:
    plan = plan_length(ring(42.4), PRINT, seconds=2)
    assert plan.matched is not None
    assert max(s.residual_mm or 0.0 for s in plan.seams) <= 0.5


def test_contradictory_seams_are_named() -> None:
    seams = (
        Seam((SeamEnd("a", (385.0, 100.0)), SeamEnd("b", (15.0, 100.0)))),
        Seam((SeamEnd("a", (385.0, 300.0)), SeamEnd("b", (15.0, 320.0)))),
    )
    project = Project("two", Cloth(1400.0), (Piece("a", 400.0, 500.0), Piece("b", 400.0, 500.0)), seams)
    plan = plan_length(project, PRINT, seconds=2)
    assert plan.matched is None
    (warning,) = [f for f in plan.findings if f.code == "seam-ring-open"]
    assert "20.0 mm" in said(warning).text


@pytest.mark.parametrize(("width", "meets"), [(384.0, True), (400.0, False)])
def test_a_piece_closed_round_on_itself(width: float, meets: bool) -> None:
    seam = Seam((SeamEnd("a", (width, 100.0)), SeamEnd("a", (0.0, 100.0))))  # 384 is 6 x 64; 400 is 16 over
    plan = plan_length(replace(ONE, pieces=(Piece("a", width, 500.0),), seams=(seam,)), PRINT, seconds=1)
    assert (plan.matched is not None) == meets
    assert meets or "16.0 mm" in said(plan.findings[0]).text


def test_contradictory_places_are_named() -> None:
    project = replace(ONE, places=(Place("a", (200.0, 100.0)), Place("a", (200.0, 120.0))))
    plan = plan_length(project, PRINT, seconds=1)
    assert plan.matched is None
    assert "place-cannot-be-met" in {f.code for f in plan.findings}


def test_full_widths_that_miss_say_what_would_help() -> None:
    pieces = (Piece("left", 1400.0, 900.0), Piece("right", 1400.0, 900.0))
    seam = Seam((SeamEnd("left", (1400.0, 100.0)), SeamEnd("right", (0.0, 100.0))))
    project = Project("widths", Cloth(1400.0), pieces, (seam,))
    plan = plan_length(project, PRINT, seconds=2)  # 1400 = 22 x 64 - 8: misses by 8 mm
    assert plan.matched is None
    (warning,) = [f for f in plan.findings if f.code == "seam-widths-do-not-join"]
    words = said(warning)
    assert "left to right" in words.text and "8.0 mm" in words.text and "8.0 mm" in words.remedy
    # moving the seam line in by what it says does help
    helped = replace(seam, join=(SeamEnd("left", (1392.0 - 48.0, 100.0)), SeamEnd("right", (0.0, 100.0))))
    assert plan_length(replace(project, seams=(helped,)), PRINT, seconds=2).matched is not None
