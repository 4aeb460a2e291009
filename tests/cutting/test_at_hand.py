"""A length at hand: whether it does, what is left over and what to give up, each worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printcheck.core.errors import InputError
from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.core.results.comparisons import Have
from printcheck.cutting import plan_length
from printcheck.cutting.what_if.at_hand import have_of
from printcheck.project import built_in, resized

PRINT = Print(Lattice.of_steps(50.0, 400.0), "straight", "one-way", "project")


def top() -> Project:
    """Two bodies of the cloth's width matched one below another, two sleeves matched to them, a facing.

    Bodies 900 long start 1200 apart (three repeats of 400): 2100, with a gap of 300. The facing of 200 lies
    in it, for the sleeves, 250 long, may start 200, 600, 1000 below a body's top: they end at 2450.
    Unmatched, they lie in the gap and the facing below: 2300. With nothing matched: 900 + 900 + 250 + 200.
    """
    bodies = tuple(Piece(f"body#{n}", 1000.0, 900.0) for n in (1, 2))
    sleeves = tuple(Piece(f"sleeve#{n}", 500.0, 250.0) for n in (1, 2))
    ends = [(f"sleeve#{n}", (250.0, 200.0), "body#1", (500.0, 800.0)) for n in (1, 2)]
    ends.append(("body#1", (985.0, 100.0), "body#2", (15.0, 100.0)))
    seams = tuple(Seam((SeamEnd(a, at), SeamEnd(b, there)), "level") for a, at, b, there in ends)
    facing = Piece("facing", 1000.0, 200.0)
    return Project("top", Cloth(1000.0, sold_by_mm=100), (*bodies, *sleeves, facing), seams)


def asked(have_mm: float, project: Project | None = None) -> Have:
    project = project or top()
    plan = plan_length(project, PRINT, seconds=1.5)
    return have_of(project, PRINT, plan, have_mm, seconds=4)


def test_what_is_left_over() -> None:
    have = asked(3000.0)
    assert have.does and have.left_over_mm == pytest.approx(3000 - have.needs_mm) and have.give_up == ()


def test_what_shows_least_is_given_up_first() -> None:
    have = asked(2300.0)
    assert not have.does and have.left_over_mm is None and have.needs_mm == pytest.approx(2450, abs=0.2)
    told = [(way.what, way.pieces, round(way.needs_mm), way.does) for way in have.give_up[:2]]
    assert told == [("matching the sleeves", "Sleeve", 2300, True), ("matching", "", 2250, True)]


def test_a_skirt_is_made_shorter_by_as_little_as_does() -> None:
    panels = tuple(Piece(f"panel#{n}", 900.0, 900.0) for n in (1, 2))
    project = Project("skirt", Cloth(1000.0, shrink_along=0.1), panels)
    plan = plan_length(project, replace(PRINT, lattice=None, layout="none"), seconds=1)
    have = have_of(project, replace(PRINT, lattice=None, layout="none"), plan, 1900.0, seconds=1)
    # 1900 of cloth are 1710 washed: two panels of 855, 45 shorter each
    assert have.needs_mm == pytest.approx(2000)
    (way,) = [w for w in have.give_up if w.what == "length"]
    assert way.by_mm == 45.0 and way.does and way.needs_mm == pytest.approx(1900)


def test_a_band_is_no_length_to_give_up() -> None:
    """The longest piece of a skirt is its waistband, which must go round the waist."""
    skirt = built_in("a-line-skirt", {"length": "60 cm"})
    plain = replace(PRINT, lattice=None, layout="none")
    plan = plan_length(skirt, plain, seconds=2)
    have = have_of(skirt, plain, plan, plan.layout.length_mm * 0.5, seconds=2, refit=resized)
    ways = {way.what: way.pieces for way in have.give_up}
    assert ways.get("length") == "Front and back" and "width" not in ways


def test_where_nothing_alone_does_all_together_is_tried() -> None:
    have = asked(2150.0)
    # no match 2250; bodies 135 shorter, still matched, 1900 + 250 = 2150 at least; both: 2 x 765 + 250 + 200
    assert [way.does for way in have.give_up[:2]] == [False, False]
    short = asked(1985.0)
    assert short.give_up[-1].what == "together" and short.give_up[-1].does
    assert short.give_up[-1].needs_mm == pytest.approx(1980, abs=0.2)
    assert not any(way.does for way in short.give_up[:-1])


def test_nothing_at_hand_is_refused() -> None:
    with pytest.raises(InputError, match="no cloth"):
        asked(0.0)
