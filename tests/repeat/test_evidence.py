"""What speaks for a lattice: how far its nodes stand out of chance, its waves."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from printcheck.repeat.cells.superlattice import Satellite
from printcheck.repeat.decide import Evidence, _larger
from printcheck.repeat.odds import LARGER, odds_of, probability_of, wave_features
from printcheck.repeat.surface.correlation import whole_surface
from printcheck.repeat.surface.illumination import look
from printcheck.repeat.surface.significance import CHANCE, Significance
from tests.repeat.drawn import GROUND, INK, SIZE, cloth_of, dots, noisy

STEP = np.array([[48.0, 0.0], [0.0, 60.0]])


def significance_of(picture: np.ndarray) -> Significance:
    return Significance(whole_surface(look(cloth_of(picture))), shortest_px=4)


def strewn(jitter: float, seed: int = 0) -> np.ndarray:
    """Discs of unlike sizes, each off its node by up to so much of the step."""
    rng = np.random.default_rng(seed)
    picture = np.full((SIZE[1], SIZE[0], 3), GROUND, np.uint8)
    for i in range(-1, 15):
        for j in range(-1, 10):
            at = (np.array([i, j]) + rng.uniform(-jitter, jitter, 2)) * (48, 60)
            cv2.circle(picture, tuple(round(float(v)) for v in at), int(rng.integers(6, 15)), INK, -1)
    return noisy(picture)


def test_the_true_lattice_stands_out_more_than_its_multiples_and_fractions() -> None:
    clear = significance_of(noisy(dots(48, 60)))
    true = clear.of(STEP)
    assert true > 10 * CHANCE
    for other in (2 * STEP, STEP * [[2], [1]], STEP / [[2], [1]], STEP / 2, STEP * 1.13):
        assert clear.of(other) < 0.8 * true


@pytest.mark.parametrize("blur", [1.0, 3.0, 8.0])
def test_by_chance_no_lattice_stands_out(blur: float) -> None:
    rng = np.random.default_rng(1)
    noise = cv2.GaussianBlur(rng.normal(128, 120, (SIZE[1], SIZE[0], 3)).clip(0, 255), (0, 0), blur)
    clear = significance_of(noise.astype(np.uint8))
    assert [clear.of(basis) for basis in clear.proposals(3)] == pytest.approx([CHANCE / 2], abs=CHANCE / 2)


@pytest.mark.parametrize("jitter", [0.05, 0.12])
def test_what_a_hand_placed_is_proposed_first(jitter: float) -> None:
    found = significance_of(strewn(jitter)).proposals(1)[0]
    assert np.abs(found) == pytest.approx(STEP, abs=1.5)


def test_a_basis_is_fitted_to_the_far_nodes() -> None:
    off = STEP + np.array([[1.5, -1.0], [0.8, 1.5]])
    assert significance_of(noisy(dots(48, 60)))._refined(off) == pytest.approx(STEP, abs=0.25)


def test_more_power_and_gain_speak_for_a_larger_repeat() -> None:
    def odds(ratio: float = 8.0, gain: float = 0.2) -> float:
        return probability_of(LARGER, wave_features(Satellite(2, (1, 0), 3.0, ratio, 4.0, gain)))

    assert odds(ratio=80) > odds() > odds(ratio=2)
    assert odds(gain=0.7) > odds() > odds(gain=0.0)


def test_waves_of_one_larger_repeat_speak_together() -> None:
    """Each alone is likelier chance than not; a cell of many unlike parts shows in many waves."""

    def taken(waves: int) -> bool:
        found = [Satellite(6, (n, 1), 3.0, 100.0, 4.0, 0.0) for n in range(waves)]
        return _larger(Evidence(None, None, False, found)) is not None  # type: ignore[arg-type]

    odds = odds_of(LARGER, wave_features(Satellite(6, (0, 1), 3.0, 100.0, 4.0, 0.0)))
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
