"""A print off square to the selvage: lengths of the print as meant, and what the lean costs."""

from __future__ import annotations

import math

import pytest

from printcheck.core.findings import Finding
from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, LengthPlan, MatchKind, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting import plan_length


def pair(match: MatchKind, cloth: Cloth) -> Project:
    """Two pieces that lie side by side only one way: their seam points are 485 mm apart across."""
    pieces = (Piece("front", 500.0, 700.0), Piece("back", 470.0, 730.0))
    seam = Seam((SeamEnd("front", (485.0, 100.0)), SeamEnd("back", (455.0, 100.0))), match)
    return Project("pair", cloth, pieces, (seam,))


def planned(skew_deg: float, match: MatchKind, cloth: Cloth) -> LengthPlan:
    print_ = Print(Lattice.of_steps(128.0, 96.0), "straight", "one-way", "photo", skew_deg=skew_deg)
    return plan_length(pair(match, cloth), print_, seconds=1)


def off_grain(plan: LengthPlan) -> list[Finding]:
    return [f for f in plan.findings if f.code == "cloth-off-grain"]


@pytest.mark.parametrize("skew_deg", [0.5, 1.0, 2.0, -2.0])
def test_the_length_is_that_of_the_straight_cloth_and_the_lean_is_told(skew_deg: float) -> None:
    cloth = Cloth(970.0)
    straight, leaning = planned(0.0, "level", cloth), planned(skew_deg, "level", cloth)
    assert straight.matched is not None and leaning.matched is not None
    assert leaning.matched.length_mm == pytest.approx(straight.matched.length_mm)
    assert not off_grain(straight)
    (found,) = off_grain(leaning)
    x = {spot.piece: spot.x_mm for spot in leaning.matched.placements}
    apart = abs(x["front"] + 485.0 - x["back"] - 455.0)  # arithmetic on the layout, as ASTM D3882 measures
    slope = math.tan(math.radians(abs(skew_deg)))
    assert found.values["miss_mm"] == pytest.approx(apart * slope)
    assert found.values["lean_mm"] == pytest.approx(970 * slope)


def test_columns_alone_do_not_mind() -> None:
    assert not off_grain(planned(2.0, "upright", Cloth(970.0)))


@pytest.mark.parametrize(("across", "width"), [(0.0, 1000.0), (0.05, 1040.0)])
def test_washing_changes_the_slope(across: float, width: float) -> None:
    """The fall from edge to edge shrinks as the length does, however much narrower the cloth becomes."""
    cloth = Cloth(width, shrink_along=0.10, shrink_across=across)
    (found,) = off_grain(planned(2.0, "level", cloth))
    assert found.values["lean_mm"] == pytest.approx(width * math.tan(math.radians(2)) * 0.9)
