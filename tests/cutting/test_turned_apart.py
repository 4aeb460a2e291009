"""Matched pieces turned one by one on an even plaid, against every order, turn and place tried by hand."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting import plan_length
from printcheck.cutting.check import faults

HALF_STEP = 10  # mm: sizes are whole multiples of twice this, so centres lie on multiples of it


def panels(count: int, long: float, right: float, left: float) -> Project:
    """Panels too wide to lie side by side, each joined at its right edge to the next one's left."""
    pieces = tuple(Piece(f"panel#{n}", 700.0, long) for n in range(1, count + 1))
    seams = tuple(
        Seam((SeamEnd(a.name, (685.0, right)), SeamEnd(b.name, (15.0, left))), "level")
        for a, b in itertools.pairwise(pieces)
    )
    return Project("panels", Cloth(800.0, sold_by_mm=1), pieces, seams)


def shortest_mm(count: int, long: int, right: int, left: int, repeat: int) -> float:
    """Least cloth for the chain, half a repeat of start included where some are turned and some not."""
    best = math.inf
    for turned in itertools.product((False, True), repeat=count):
        start = repeat / 2 if len(set(turned)) > 1 else 0.0
        for centre, first in itertools.product(range(0, repeat, HALF_STEP), repeat=2):
            places = residues(turned, (long, right, left), centre, first)
            for order in itertools.permutations(range(count)):
                best = min(best, start + stacked(order, [r % repeat for r in places], long, repeat))
    return best


def residues(turned: Sequence[bool], panel: tuple[int, int, int], centre: int, first: int) -> list[int]:
    """Where each panel begins, up to a repeat, with the first of the chain at ``first``."""
    long, right, left = panel
    places = [first]
    for one, two in itertools.pairwise(turned):
        reads = centre - places[-1] - (long - right) if one else places[-1] + right - centre
        places.append(centre - reads - (long - left) if two else reads + centre - left)
    return places


def stacked(order: Sequence[int], places: Sequence[int], long: int, repeat: int) -> float:
    """Length of the panels one below another in this order."""
    top = y = places[order[0]]
    for n in order[1:]:
        y += long + (places[n] - y - long) % repeat
    return y + long - top


def random_chain(seed: int) -> tuple[int, int, int, int, int]:
    rng = random.Random(seed)
    long, right, left = (20 * rng.randint(*ends) for ends in ((20, 40), (2, 18), (2, 18)))
    return 2 + seed % 2, long, right, left, 20 * rng.randint(6, 24)


@pytest.mark.parametrize("chain", [*map(random_chain, range(8)), (4, 700, 200, 240, 640)])
def test_a_chain_of_panels_is_as_short_as_can_be(chain: tuple[int, int, int, int, int]) -> None:
    count, long, right, left, repeat = chain
    project = panels(count, long, right, left)
    print_ = Print(Lattice.of_steps(40.0, repeat), "straight", "four-way", "project")
    plan = plan_length(project, print_, seconds=4)
    assert plan.layout is not None
    assert not faults(project, print_, plan.layout, keeps_way=True, seams=project.seams)
    needs = plan.layout.length_mm + plan.start_allowance_mm
    assert needs == pytest.approx(shortest_mm(count, long, right, left, repeat), abs=0.2)


def test_an_uneven_plaid_turns_nothing() -> None:
    """Panels of 700 level at 200 from their tops, rows of 640: one way up 1280 + 700.

    On an even plaid one is turned right below the other, and a centre line comes every 320: 1400 + 320.
    """
    project, lattice = panels(2, 700.0, 200.0, 200.0), Lattice.of_steps(40.0, 640.0)
    for way, buys in (("one-way", 1980), ("two-way", 1980), ("four-way", 1720)):
        plan = plan_length(project, Print(lattice, "straight", way, "project"), seconds=2)  # type: ignore[arg-type]
        assert plan.buy.advised_mm == pytest.approx(buys)


def test_two_families_share_one_centre() -> None:
    """Wide and narrow panels, matched among themselves: the turned ones of both mean one middle."""
    wide = panels(2, 700.0, 200.0, 200.0)
    narrow = tuple(Piece(f"narrow#{n}", 600.0, 600.0) for n in (1, 2))
    join = (SeamEnd("narrow#1", (585.0, 100.0)), SeamEnd("narrow#2", (15.0, 100.0)))
    project = Project("two", wide.cloth, (*wide.pieces, *narrow), (*wide.seams, Seam(join, "level")))
    print_ = Print(Lattice.of_steps(40.0, 640.0), "straight", "four-way", "project")
    plan = plan_length(project, print_, seconds=4)
    assert plan.layout is not None and plan.matched is not None
    turned = {s.piece for s in plan.layout.placements if s.turned}
    assert len({n.startswith("narrow") for n in turned}) == 2 and len(turned) == 2
    assert not faults(project, print_, plan.layout, keeps_way=True, seams=project.seams)
    assert plan.layout.length_mm + plan.start_allowance_mm < plan.matched.length_mm
