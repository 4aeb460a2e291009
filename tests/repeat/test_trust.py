"""How sure an answer is, and whether a tilt is undone: laws of two small decisions."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from printcheck.core.handover import PrintLattice
from printcheck.core.measurement import Repeat
from printcheck.repeat.confidence import (
    ENOUGH_SEEN,
    ENOUGH_SIGMAS,
    STANDS,
    confidence_of,
    features_of,
    odds_right,
    stands,
)
from printcheck.repeat.decide import STRIPE_BESIDE
from printcheck.repeat.tilt import shows_tilt


def evidence(**given: object) -> SimpleNamespace:
    fit = SimpleNamespace(explained=given.pop("explained", 0.8), number=given.pop("number", 16.0))
    usual = {"sigmas": 20.0, "repeats": 3.0, "stripe": False, "others": 0.0, "settled": 1.0}
    usual |= {"larger": 0.0}
    return SimpleNamespace(fit=fit, **(usual | given))


@pytest.mark.parametrize(
    ("less", "more"),
    [
        ({"explained": 0.5}, {"explained": 0.9}),
        ({"repeats": 1.5}, {"repeats": 3.5}),
        ({"sigmas": 10.0}, {"sigmas": 40.0}),
        ({"number": 64.0}, {"number": 16.0}),
        ({"others": 2.0}, {"others": 0.1}),
        ({"settled": 0.4}, {"settled": 0.9}),
        ({"larger": 0.9}, {"larger": 0.1}),
    ],
)
def test_more_evidence_makes_surer(less: dict[str, object], more: dict[str, object]) -> None:
    assert confidence_of(evidence(**less)) < confidence_of(evidence(**more)) < 1


def test_more_than_enough_makes_no_surer_and_less_than_nothing_no_less_sure() -> None:
    assert features_of(evidence(repeats=ENOUGH_SEEN)) == features_of(evidence(repeats=40.0))
    assert features_of(evidence(sigmas=ENOUGH_SIGMAS)) == features_of(evidence(sigmas=1e6))
    assert features_of(evidence(sigmas=1.0)) == features_of(evidence(sigmas=-3.0))


def test_along_a_stripe_its_nodes_are_one() -> None:
    """The sum over nodes of equal height grows with the root of their number: what each does stays."""
    lattice = features_of(evidence(sigmas=20.0, number=16.0))
    assert lattice["clear"] == pytest.approx(math.log(20 / 4))
    stripe = features_of(evidence(sigmas=20.0, number=16.0 * STRIPE_BESIDE, stripe=True))
    assert stripe["clear"] == pytest.approx(lattice["clear"])


def test_the_probability_is_shared_with_none_and_with_other_lattices() -> None:
    given = evidence(others=0.5, settled=0.8)
    odds = odds_right(given)
    assert confidence_of(given) == pytest.approx(0.8 * odds / (1 + odds + 0.5))


def test_an_answer_stands_from_its_probability_on() -> None:
    scores = [evidence(explained=x) for x in np.linspace(0, 1, 201)]
    chances = [odds_right(e) / (1 + odds_right(e)) for e in scores]
    assert [stands(e) for e in scores] == [chance >= STANDS for chance in chances]
    assert any(chance < STANDS for chance in chances) and any(chance > STANDS for chance in chances)


def test_a_larger_repeat_that_may_be_makes_it_less_sure_but_no_less_a_repeat() -> None:
    plain, doubted = evidence(), evidence(larger=0.9)
    assert confidence_of(doubted) < 0.5 < confidence_of(plain)
    assert stands(plain) and stands(doubted)


def lattice(
    mm: float = 20.0, *, spread: float = 0.01, confidence: float = 0.9, kind: str = "lattice"
) -> PrintLattice:
    basis = ((mm, 0.0), (0.0, mm)) if kind == "lattice" else ((mm, 0.0),)
    repeat = Repeat(
        kind, "straight", basis_mm=basis if kind in ("lattice", "stripe") else (), confidence=confidence
    )
    return PrintLattice(repeat, np.array(basis), np.zeros(2), spread=spread)


def test_a_tilt_is_undone_where_the_same_lattice_lies_more_even_for_it() -> None:
    """Half of the squared scatter must be gone: a fold taken for a tilt leaves most of it."""
    assert shows_tilt(lattice(spread=0.01), lattice(21.0, spread=0.0142))
    assert not shows_tilt(lattice(spread=0.01), lattice(21.0, spread=0.0141))
    assert not shows_tilt(lattice(spread=0.01, confidence=1.0), lattice(spread=0.01, confidence=0.1))


def test_of_different_lattices_the_likelier_one_is_right() -> None:
    """Half a repeat or twice of it, or a stripe, is another answer: evenness then says nothing."""
    for other in (lattice(40.0, spread=0.1), lattice(10.0, spread=0.1), lattice(kind="stripe", spread=0.1)):
        assert not shows_tilt(lattice(confidence=0.8), _with(other, 0.9))
        assert shows_tilt(lattice(confidence=0.8), _with(other, 0.7))


def test_alone_a_lattice_found_with_a_tilt_undone_must_be_likelier_than_not() -> None:
    nothing = lattice(kind="none")
    for as_pictured in (None, nothing):
        assert shows_tilt(lattice(confidence=0.6), as_pictured)
        assert not shows_tilt(lattice(confidence=0.4), as_pictured)
    assert not shows_tilt(nothing, lattice())


def _with(found: PrintLattice, confidence: float) -> PrintLattice:
    repeat = found.repeat
    again = Repeat(repeat.kind, repeat.layout, basis_mm=repeat.basis_mm, confidence=confidence)
    return PrintLattice(again, found.basis_px, found.origin_px, spread=found.spread)
