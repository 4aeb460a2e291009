"""How sure an answer is, and whether a tilt is undone: laws of two small decisions."""

from __future__ import annotations

import math
from collections.abc import Callable
from types import SimpleNamespace

import numpy as np
import pytest

from printcheck.core.findings import finding
from printcheck.core.handover import PrintLattice
from printcheck.core.measurement import Repeat
from printcheck.repeat import search, tilt
from printcheck.repeat.arrays import Vectors
from printcheck.repeat.confidence import (
    ENOUGH_SEEN,
    ENOUGH_SIGMAS,
    STANDS,
    confidence_of,
    features_of,
    odds_right,
    stands,
)
from printcheck.repeat.decide import STRIPE_BESIDE, Evidence, Rival
from printcheck.repeat.search import _judged_by
from printcheck.repeat.tilt import shows_tilt


def evidence(**given: object) -> SimpleNamespace:
    fit = SimpleNamespace(explained=given.pop("explained", 0.8), number=given.pop("number", 16.0), frame=None)
    usual = {"sigmas": 20.0, "repeats": 3.0, "stripe": False, "others": 0.0, "settled": 1.0, "larger": 0.0}
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


@pytest.mark.parametrize(("larger", "judged"), [(0.0, True), (0.5, False)])
def test_a_multiple_is_settled_as_well_where_the_cells_leave_it_open(larger: float, judged: bool) -> None:
    settled = evidence(larger=larger, explained=0.95)
    settled.fit.basis, settled.smaller = np.diag([60.0, 60.0]), ()
    settled.view = SimpleNamespace(mm_per_px=1.0)
    assert odds_right(settled) >= 1
    assert _judged_by([settled], np.diag([120.0, 60.0])) is judged
    assert _judged_by([settled], np.diag([60.0, 60.0])) and not _judged_by([settled], np.diag([90.0, 60.0]))


def test_a_rival_that_was_settled_as_well_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "odds_right", lambda e: 3.0 if e.fit.basis[0, 0] < 90 else 1.0)
    monkeypatch.setattr(search, "stands", lambda _: True)
    small, large, third = (np.diag([mm, 60.0]) for mm in (60.0, 120.0, 180.0))
    fits = [SimpleNamespace(basis=basis) for basis in (small, large)]
    rivals = (Rival(large + 0.2, 0.4), Rival(third, 0.1))
    settled = [Evidence(None, fits[0], False, rivals=rivals), Evidence(None, fits[1], False)]  # type: ignore[arg-type]
    found = search._among(settled)
    assert found.fit is fits[0] and found.others == 1.0
    assert [rival.basis[0, 0] for rival in found.rivals] == [180.0, 120.0]


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


VIEW = SimpleNamespace(size=(400, 300))


def shown(
    monkeypatch: pytest.MonkeyPatch, size_at: Callable[[Vectors, Vectors], Vectors], *, count: int = 36
) -> SimpleNamespace:
    """Evidence of a lattice whose length at (x, y), -1 to 1 from side to side, is that of ``size_at``."""
    x, y = (axis.ravel()[:count] for axis in np.meshgrid(np.linspace(-1, 1, 6), np.linspace(-1, 1, 6)))
    places = np.stack([(1 + x) * 200, (1 + y) * 150], axis=1)
    local = size_at(x, y)[:, None, None] * np.array([[9.0, 1.0], [-2.0, 11.0]])
    monkeypatch.setattr(tilt, "local_lattices", lambda *_: (places, local))
    return evidence(stripe=False)


def seen_at(tilt_deg: float | None, *codes: str) -> SimpleNamespace:
    return SimpleNamespace(
        scale=SimpleNamespace(tilt_deg=tilt_deg), findings=[finding(code) for code in codes]
    )


@pytest.mark.parametrize(("by_x", "by_y"), [(0.05, 0.0), (0.0, -0.05), (0.03, 0.04)])
def test_a_steady_change_is_told_from_side_to_side(
    by_x: float, by_y: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = shown(monkeypatch, lambda x, y: 7 * np.exp((by_x * x + by_y * y) / 2))
    slope, share = tilt.slope_of(VIEW, given)  # type: ignore[arg-type]
    assert slope == pytest.approx(0.05) and share == pytest.approx(1.0)
    unknown = tilt.check_tilt(seen_at(None), VIEW, given)  # type: ignore[arg-type]
    assert unknown is not None and unknown.code == "repeat-tilt-unknown"
    assert unknown.values["percent"] == pytest.approx(5.0)
    known = tilt.check_tilt(seen_at(3.0), VIEW, given)  # type: ignore[arg-type]
    assert known is not None and known.code == "repeat-tilt-disagrees"
    assert tilt.check_tilt(seen_at(3.0, "tilt-by-print"), VIEW, given) is None  # type: ignore[arg-type]
    assert tilt.lean_sigma_of(seen_at(3.0), VIEW, given) == pytest.approx(math.degrees(0.025))  # type: ignore[arg-type]
    assert tilt.lean_sigma_of(seen_at(None), VIEW, given) == 0.0  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "size_at",
    [
        lambda x, y: 7 * np.exp(0.02 * x / 2),  # no more than a lens or a fold does
        lambda x, y: 7 * np.exp(0.04 * x**2),  # a fold in the middle: it goes up and down
        lambda x, y: 7 * np.exp(0.03 * x / 2 + 0.02 * x**2),  # less than 0.7 of the change is steady
    ],
)
def test_what_is_no_tilt_raises_no_doubt_of_it(
    size_at: Callable[[Vectors, Vectors], Vectors], monkeypatch: pytest.MonkeyPatch
) -> None:
    given = shown(monkeypatch, size_at)
    assert tilt.check_tilt(seen_at(3.0), VIEW, given) is None  # type: ignore[arg-type]
    assert tilt.lean_sigma_of(seen_at(3.0), VIEW, given) == 0.0  # type: ignore[arg-type]


def test_a_stripe_or_few_places_tell_nothing_of_a_tilt(monkeypatch: pytest.MonkeyPatch) -> None:
    steep = shown(monkeypatch, lambda x, y: np.exp(x), count=12)
    assert tilt.slope_of(VIEW, steep)[0] > 1  # type: ignore[arg-type]
    steep.stripe = True
    assert tilt.slope_of(VIEW, steep) == (0.0, 0.0)  # type: ignore[arg-type]
    few = shown(monkeypatch, lambda x, y: np.exp(x), count=11)
    assert tilt.slope_of(VIEW, few) == (0.0, 0.0)  # type: ignore[arg-type]
