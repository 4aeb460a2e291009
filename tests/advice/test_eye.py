"""The eye against published values."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.advice.eye import (
    PEAK_SENSITIVITY,
    contrast_waves,
    mm_per_degree,
    sensitivity,
    thresholds_seen,
    vernier_mm,
)


# Mannos and Sakrison 1974, A(f) = 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1), worked by hand at 26.2 mm to
# the degree (1.5 m): period in mm, relative sensitivity
@pytest.mark.parametrize(
    ("period_mm", "relative"), [(1, 0.28), (4, 0.96), (8, 0.73), (12.7, 0.54), (19, 0.40), (50, 0.20)]
)
def test_sensitivity_by_period(period_mm: float, relative: float) -> None:
    seen = float(sensitivity(mm_per_degree(1.5) / period_mm)) / PEAK_SENSITIVITY
    assert seen == pytest.approx(relative, abs=0.01)


def test_the_best_frequency_is_about_eight_cycles_a_degree() -> None:
    f = np.linspace(0.5, 60, 2000)
    assert f[sensitivity(f).argmax()] == pytest.approx(8, abs=0.5)  # Mannos and Sakrison 1974
    assert sensitivity(f).max() == pytest.approx(PEAK_SENSITIVITY, rel=0.02)
    assert sensitivity(61.0) == 0  # Campbell and Robson 1968: the curve ends near 60


def test_a_19_mm_check_is_seen_at_about_one_per_cent_of_contrast() -> None:
    """1.4 cycles a degree at 1.5 m; the least contrast is the inverse of the sensitivity."""
    assert mm_per_degree(1.5) / 19 == pytest.approx(1.4, abs=0.05)
    assert 1 / float(sensitivity(mm_per_degree(1.5) / 19)) == pytest.approx(0.0125, abs=0.003)


def test_vernier_acuity_is_far_below_what_hands_can_sew() -> None:
    """Ten seconds of arc (Westheimer 1975) at 1.5 m: 1500 mm times 10/206265."""
    assert vernier_mm(1.5) == pytest.approx(1500 * 10 / 206265, rel=1e-3)


def wave(contrast: float, cycles_per_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Contrast and frequency of the waves of a luminance wave of 16 periods."""
    n = 256
    y = 0.2 * (1 + contrast * np.cos(2 * np.pi * 16 * np.arange(n) / n))
    lightness = np.tile(116 * np.cbrt(y) - 16, (8, 1))
    f = np.abs(np.fft.fftfreq(n, 1 / n)) / 16 * cycles_per_mm
    return contrast_waves(lightness), np.hypot(f[None], np.abs(np.fft.fftfreq(8, 1 / 8))[:, None] * 10)


@pytest.mark.parametrize("period_mm", [4.0, 19.0, 50.0])
def test_a_wave_at_its_threshold_is_just_seen(period_mm: float) -> None:
    least = 1 / float(sensitivity(mm_per_degree(1.5) / period_mm))
    for times in (0.5, 1.0, 4.0):
        assert thresholds_seen(*wave(times * least, 1 / period_mm), 1.5) == pytest.approx(times, rel=0.03)


def test_farther_off_a_fine_wave_is_lost_and_a_coarse_one_is_not() -> None:
    fine, coarse = wave(0.3, 1 / 2), wave(0.3, 1 / 60)
    assert thresholds_seen(*fine, 6.0) < 1 < thresholds_seen(*fine, 0.5)
    assert thresholds_seen(*coarse, 6.0) > 1
