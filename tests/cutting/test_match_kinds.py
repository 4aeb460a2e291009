"""A kind of match is one row: what it ties is kept by the search and seen by the check."""

from __future__ import annotations

from typing import get_args

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.match_kinds import MATCH_KINDS, MatchedAxes
from printcheck.core.plan import Cloth, MatchKind, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting import plan_length
from printcheck.cutting.cutting_steps import _asks
from printcheck.report.words import text as to_text

# two panels too wide to lie side by side, 700 long, rows 640 apart: the second starts 1280 down (derived)
LENGTHS = {"both": 1980.0, "level": 1980.0, "upright": 1400.0}


def panels(kind: str) -> tuple[Project, Print]:
    ends = (SeamEnd("panel#1", (785.0, 100.0)), SeamEnd("panel#2", (15.0, 100.0)))
    pieces = tuple(Piece(f"panel#{n}", 800.0, 700.0) for n in (1, 2))
    project = Project("panels", Cloth(1400.0), pieces, (Seam(ends, kind),))  # type: ignore[arg-type]
    return project, Print(Lattice.of_steps(64.0, 640.0), "straight", "one-way", "project")


@pytest.mark.parametrize("kind", LENGTHS)
def test_each_kind_ties_its_axes(kind: str) -> None:
    plan = plan_length(*panels(kind), seconds=1)
    assert plan.layout is not None and plan.layout.length_mm == pytest.approx(LENGTHS[kind], abs=0.1)
    assert plan.seams[0].residual_mm == pytest.approx(0.0, abs=0.01)


def test_a_kind_is_added_by_its_row_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    row = MatchedAxes(False, True, "rows level round the hem", "round the hem with")
    monkeypatch.setitem(MATCH_KINDS, "hem", row)
    plan = plan_length(*panels("hem"), seconds=1)  # its own check raises where the seam is not kept
    assert plan.layout is not None and plan.layout.length_mm == pytest.approx(LENGTHS["level"], abs=0.1)
    assert plan.seams[0].match == "hem" and plan.seams[0].residual_mm == pytest.approx(0.0, abs=0.01)
    said = to_text.length(plan)
    assert row.words in said and row.meets in " ".join(said.split())


def test_the_kinds_of_a_project_file_are_the_rows() -> None:
    assert get_args(MatchKind) == tuple(MATCH_KINDS)


@pytest.mark.parametrize(
    ("step", "level", "upright"),
    [((52.0, 0.0), False, True), ((0.0, 52.0), True, False), ((30.0, 30.0), True, True)],
    ids=["lengthwise", "crosswise", "diagonal"],
)
def test_a_stripe_is_asked_for_what_it_has(step, level, upright):
    """A lengthwise stripe looks alike all along, so no row of it can be met (common practice)."""
    stripe = Lattice((step,))
    assert (_asks("level", stripe), _asks("upright", stripe)) == (level, upright)
    assert _asks("both", stripe)
    assert all(_asks(kind, lattice) for kind in MATCH_KINDS for lattice in (None, Lattice.of_steps(64, 64)))
