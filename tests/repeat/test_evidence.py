"""Long-range order: the evidence for a lattice in ranks of the correlation surface."""

from __future__ import annotations

import math
from types import SimpleNamespace

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from printcheck.repeat.cells.misfit import in_lines
from printcheck.repeat.cells.superlattice import Satellite
from printcheck.repeat.decide import _larger
from printcheck.repeat.odds import LARGER, odds_of, probability_of, wave_features
from printcheck.repeat.surface.candidates import peaks_of, proposals
from printcheck.repeat.surface.correlation import autocorrelate
from printcheck.repeat.surface.illumination import look
from printcheck.repeat.surface.long_range_order import LongRangeOrder
from tests.repeat.drawn import GROUND, INK, SIZE, cloth_of, dots, noisy

STEP = np.array([[48.0, 0.0], [0.0, 60.0]])


def order_of(picture: np.ndarray) -> LongRangeOrder:
    return LongRangeOrder(autocorrelate(look(cloth_of(picture))))


@pytest.mark.parametrize(("line", "cell"), [(0.0, 1.0), (1.0, 1.0), (3.0, 1.0)])
def test_misfit_in_lines_is_that_of_rows_and_not_of_single_cells(line: float, cell: float) -> None:
    """Two-way analysis of variance of known shares: rows or columns of this power beside noise of that."""
    rng = np.random.default_rng(2)
    rows = np.repeat(rng.normal(0, 1, (6, 1, 12, 1)), 2, axis=2) * np.ones((1, 8, 1, 36))
    rows *= np.sqrt(line / np.square(rows).mean()) if line else 0
    cells = np.repeat(np.repeat(rng.normal(0, 1, (6, 8, 12, 12)), 2, axis=2), 3, axis=3)
    lightness = rows + cells * np.sqrt(cell / np.square(cells).mean())
    noise = rng.normal(0, 9, cells.shape)
    residual = np.stack([20 * lightness, noise, 0 * cells], axis=-1).astype(np.float32)
    weight = np.ones(cells.shape, np.float32)
    expected = np.log((line + cell) / cell)
    for turned in (residual, residual.transpose(1, 0, 3, 2, 4)):
        seen = np.ascontiguousarray(weight if turned is residual else weight.transpose(1, 0, 3, 2))
        fit = SimpleNamespace(residual=np.ascontiguousarray(turned), weight=seen)
        assert in_lines(fit) == pytest.approx(expected, abs=0.15)
    fit.residual = fit.residual / 400  # an rms of 0.1 CIELAB is not seen, and says nothing
    assert in_lines(fit) < 0.1


def strewn(jitter: float, seed: int = 0) -> np.ndarray:
    """Discs of unlike sizes, each off its node by up to so much of the step."""
    rng = np.random.default_rng(seed)
    picture = np.full((SIZE[1], SIZE[0], 3), GROUND, np.uint8)
    for i in range(-1, 15):
        for j in range(-1, 10):
            at = (np.array([i, j]) + rng.uniform(-jitter, jitter, 2)) * (48, 60)
            cv2.circle(picture, tuple(round(float(v)) for v in at), int(rng.integers(6, 15)), INK, -1)
    return noisy(picture)


def test_the_true_lattice_has_more_evidence_than_its_multiples_and_fractions() -> None:
    order = order_of(noisy(dots(48, 60)))
    true = order.of(STEP)
    assert true.nats > 3.0
    for other in (2 * STEP, STEP * [[2], [1]], STEP / [[2], [1]], STEP / 2, STEP * 1.13):
        assert order.of(other).weight < 0.7 * true.weight


def test_chance_gives_one_nat_a_node() -> None:
    rng = np.random.default_rng(1)
    noise = cv2.GaussianBlur(rng.normal(128, 120, (SIZE[1], SIZE[0], 3)).clip(0, 255), (0, 0), 3)
    order = order_of(noise.astype(np.uint8))
    heights = order._heights(
        np.stack(np.meshgrid(np.arange(-300, 300, 37), np.arange(9, 230, 37)), -1).reshape(-1, 2), 37
    )
    assert heights.mean() == pytest.approx(1, abs=0.35)


@pytest.mark.parametrize("jitter", [0.05, 0.12])
def test_what_a_hand_placed_is_proposed_first(jitter: float) -> None:
    view = look(cloth_of(strewn(jitter)))
    surface = autocorrelate(view)
    found = proposals(LongRangeOrder(surface), peaks_of(surface, shortest_px=4))[0]
    assert np.abs(found) == pytest.approx(STEP, abs=1.5)


def test_a_basis_is_fitted_to_the_far_nodes() -> None:
    off = STEP + np.array([[1.5, -1.0], [0.8, 1.5]])
    assert order_of(noisy(dots(48, 60))).refined(off) == pytest.approx(STEP, abs=0.25)


def test_more_power_and_gain_speak_for_a_larger_repeat() -> None:
    def odds(ratio: float = 8.0, gain: float = 0.2, explained: float = 0.9) -> float:
        wave = Satellite(2, (1, 0), 3.0, ratio, 4.0, gain)
        return probability_of(LARGER, wave_features(wave, explained=explained))

    assert odds(ratio=80) > odds() > odds(ratio=2)
    assert odds(gain=0.7) > odds() > odds(gain=0.0)
    assert odds(explained=0.5) > odds(explained=0.9)  # the same gain is more of what the picture shows


def test_waves_of_one_larger_repeat_speak_together() -> None:
    """Each alone is likelier chance than not; a cell of many unlike parts shows in many waves."""

    def taken(waves: int) -> bool:
        found = [Satellite(6, (n, 1), 3.0, 100.0, 4.0, 0.0) for n in range(waves)]
        return _larger(SimpleNamespace(satellites=found, fit=fit)) is not None  # type: ignore[arg-type]

    fit = SimpleNamespace(explained=0.3)
    odds = odds_of(LARGER, wave_features(Satellite(6, (0, 1), 3.0, 100.0, 4.0, 0.0), explained=0.3))
    enough = math.ceil(1 / odds)
    assert enough > 1
    assert [taken(1), taken(enough - 1), taken(enough)] == [False, False, True]


@pytest.mark.parametrize("seed", [0, 1])
def test_an_uneven_edge_of_the_mask_takes_no_evidence(seed: int) -> None:
    """The highest correlations are cut off at 1: those that tie share their rank, and none loses by it."""
    rng = np.random.default_rng(seed)
    ground = cv2.GaussianBlur(np.tile(rng.normal(128, 900, (160, 160, 3)), (3, 3, 1)), (0, 0), 5)
    picture = ground[160:432, 160:432].clip(0, 255).astype(np.uint8)  # 1.7 repeats each way
    mask = np.ones(picture.shape[:2], bool)
    for row, left_out in enumerate(np.clip(np.cumsum(rng.normal(0, 0.5, len(mask))) + 2, 0, 5).astype(int)):
        mask[row, mask.shape[1] - left_out :] = False
    for part in (np.ones_like(mask), mask):
        repeat = find_lattice(cloth_of(picture, mask=part)).repeat
        assert (repeat.across_mm, repeat.along_mm) == pytest.approx((80, 80), rel=0.01)
