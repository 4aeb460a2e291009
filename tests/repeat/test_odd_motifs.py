"""A few motifs in another colour in a regular field: the repeat is theirs."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.core.measurement import Repeat
from printcheck.core.request import one_scale
from printcheck.photo import flatten_photo, picture_of
from printcheck.repeat import find_lattice
from tests.drawn import Camera, Hand, nearly, photograph

STEP_MM = 30.0
SIDES_MM = (120.0, 122.0)  # four flowers each way


def found(*, odd: int, view_mm: float, seed: int, hand: Hand | None = None) -> tuple[Repeat, list[str]]:
    art = nearly.odd_ones(np.random.default_rng(seed), SIDES_MM, odd=odd)
    camera = Camera(view_mm=view_mm, size_px=(1200, 900), turn_deg=1.0, strain=0.003, noise=3.0)
    photo = photograph(art, camera, hand=hand, seed=seed)
    scale = one_scale(mm_per_px=photo.truth.mm_per_px)
    lattice = find_lattice(flatten_photo(picture_of(photo.bgr[..., ::-1]), scale))
    return lattice.repeat, [finding.code for finding in lattice.findings]


@pytest.mark.parametrize(("odd", "seed"), [(1, 2), (2, 6), (3, 1)])
def test_the_repeat_is_that_of_the_odd_ones(odd: int, seed: int) -> None:
    """By construction: four by four flowers, one to three of them in another colour."""
    repeat, codes = found(odd=odd, view_mm=280.0, seed=seed)
    assert repeat.across_mm == pytest.approx(SIDES_MM[0], rel=0.01)
    assert repeat.along_mm == pytest.approx(SIDES_MM[1], rel=0.01)
    assert repeat.confidence > 0.5
    assert "repeat-odd-motifs" not in codes


def test_odd_ones_seen_too_seldom_leave_it_open() -> None:
    """Of 1.2 repeats down the view no odd flower need come again: the flowers' own step is no answer."""
    repeat, codes = found(odd=1, view_mm=190.0, seed=3)
    assert "repeat-odd-motifs" in codes
    assert repeat.confidence < 0.5


def test_motifs_set_by_hand_are_not_odd() -> None:
    """Each in its own place, turn, size and shade, and none in another colour."""
    hand = Hand(shift_mm=0.4, turn_deg=3.0, size=0.03, shade=4.0, seed=1)
    repeat, codes = found(odd=0, view_mm=280.0, seed=2, hand=hand)
    assert "repeat-odd-motifs" not in codes
    assert repeat.across_mm == pytest.approx(STEP_MM, rel=0.02)
