"""What a seam shows: the eye's filter against the paper's kernels, the rest against arithmetic."""

from __future__ import annotations

import math

import numpy as np
import pytest

from printcheck.advice.visibility import LOBES, eye_transfer, seams_of, verdict_of, waves_of
from printcheck.core.handover import MeanCell

# S-CIELAB, Zhang and Wandell 1996, table 1: weight and spread (degrees) of the positive lobes
PUBLISHED = {
    "L": ((0.921, 0.0283), (0.105, 0.133)),
    "a": ((0.531, 0.0392), (0.330, 0.494)),
    "b": ((0.488, 0.0536), (0.371, 0.386)),
}


def cell_of(lab: np.ndarray, width_mm: float, height_mm: float) -> MeanCell:
    return MeanCell(lab.astype(np.float32), np.diag([width_mm, height_mm]), 1.0, 9.0)


def bars(contrast: float, period_mm: float, *, upright: bool = True) -> MeanCell:
    lab = np.zeros((200, 200, 3))
    lab[..., 0] = 50
    lab[:, :100, 0] += contrast
    return cell_of(lab if upright else lab.swapaxes(0, 1), period_mm, period_mm)


def test_lobes_are_the_published_ones() -> None:
    assert LOBES == PUBLISHED


@pytest.mark.parametrize("channel", PUBLISHED)
def test_filter_is_the_published_kernel(channel: str) -> None:
    """The transfer function against the kernel laid out in space and summed as cosines."""
    mm_per_degree = 1500 * math.tan(math.radians(1))
    x = np.arange(-600, 600) * 0.1  # mm; wide enough for the widest lobe
    kernel = np.zeros_like(x)
    for weight, spread in PUBLISHED[channel]:
        lobe = np.exp(-((x / (spread * mm_per_degree)) ** 2))
        kernel += weight * lobe / lobe.sum()
    kernel /= kernel.sum()
    for cycles_per_mm in (0.0, 0.01, 0.05, 0.2, 0.5):
        expected = (kernel * np.cos(2 * np.pi * cycles_per_mm * x)).sum()
        got = eye_transfer(channel, np.array([cycles_per_mm**2]), 1.5)[0]
        assert got == pytest.approx(expected, abs=2e-3)


@pytest.mark.parametrize("channel", PUBLISHED)
def test_farther_off_less_is_seen_and_twice_as_far_is_half_as_large(channel: str) -> None:
    shares = [eye_transfer(channel, np.array([0.1**2]), d)[0] for d in (0.3, 0.6, 1.2, 2.4, 4.8)]
    assert shares == sorted(shares, reverse=True)
    half = eye_transfer(channel, np.array([0.05**2]), 2.4)[0]
    assert half == pytest.approx(shares[2])  # an angle is a length over a distance


def test_unmatched_bars_differ_by_root_half_of_their_contrast() -> None:
    """Two equal bars c apart have variance c^2/4; unrelated places differ by sqrt(2 c^2/4) (arithmetic)."""
    seams = seams_of(waves_of(bars(20.0, 400.0)), stripe=True, viewing_distance_m=0.05)
    assert seams.mismatch_delta_e == pytest.approx(20 / math.sqrt(2), rel=0.02)
    assert seams.pattern_delta_e == pytest.approx(20 / math.sqrt(2), rel=0.06)


def test_small_bars_are_seen_though_a_blur_of_8_mm_loses_them() -> None:
    """A red and white gingham of 6 mm is plain to see at 1.5 m: no blur decides that it is not."""
    seams = seams_of(waves_of(bars(40.0, 6.0)), stripe=True)
    assert seams.mismatch_delta_e > 10
    assert seams.pattern_delta_e < 0.1
    assert seams.verdict == "plain-to-see"


def test_what_is_too_fine_for_the_eye_is_unseen() -> None:
    """A pitch of 0.3 mm at 1.5 m is 87 cycles a degree; the eye ends near 60 (Campbell and Robson 1968)."""
    assert seams_of(waves_of(bars(30.0, 0.3)), stripe=True).verdict == "unseen"
    assert seams_of(waves_of(bars(0.05, 30.0)), stripe=True).verdict == "unseen"


@pytest.mark.parametrize(
    ("delta_e", "thresholds", "broken", "verdict"),
    [
        (1.0, 0.5, True, "unseen"),  # just noticeable 2.3 (Mahy 1994), threshold 1 (Mannos, Sakrison 1974)
        (1.0, 3.0, False, "unseen"),
        (9.0, 0.5, True, "unseen"),
        (4.0, 9.0, False, "slight"),
        (4.7, 9.0, False, "plain-to-see"),  # twice the just noticeable (Xu, Tong, Gong 2013)
        (3.0, 9.0, True, "plain-to-see"),  # a line that breaks is seen by vernier acuity
    ],
)
def test_verdicts(delta_e: float, thresholds: float, broken: bool, verdict: str) -> None:
    assert verdict_of(delta_e, thresholds, broken=broken) == verdict


def test_the_cell_may_be_written_on_any_basis() -> None:
    """The same print on a longer basis: the same seams."""
    lab = bars(30.0, 60.0).lab + bars(12.0, 60.0, upright=False).lab
    once = seams_of(waves_of(cell_of(lab, 60, 60)), stripe=False)
    twice = seams_of(waves_of(cell_of(np.tile(lab, (1, 2, 1)), 120, 60)), stripe=False)
    assert twice.mismatch_delta_e == pytest.approx(once.mismatch_delta_e, rel=0.03)
    assert twice.pattern_delta_e == pytest.approx(once.pattern_delta_e, rel=0.03)


def test_a_picture_without_repeat_is_judged_by_its_own_contrast() -> None:
    quiet = seams_of(waves_of(cell_of(np.full((50, 60, 3), 50.0), 300, 250), periodic=False))
    assert quiet.verdict == "unseen"
    assert seams_of(waves_of(bars(40.0, 200.0), periodic=False)).verdict == "plain-to-see"
