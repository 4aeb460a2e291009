"""Peaks of a correlation surface lie between its pixels, on the side where they are drawn."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.repeat.surface.candidates import peaks_of
from printcheck.repeat.surface.correlation import Surface


@pytest.mark.parametrize("shift", [(17.3, 24.6), (-30.4, 12.2), (21.0, 40.35)])
def test_a_peak_lies_where_it_is_drawn_to_a_tenth_of_a_pixel(shift: tuple[float, float]) -> None:
    """One rounded peak; its place beside the pixels is told with the right sign along both axes."""
    y, x = np.mgrid[-90:91, -90:91].astype(float)
    values = 0.9 * np.exp(-((x - shift[0]) ** 2 + (y - shift[1]) ** 2) / (2 * 3.0**2))
    every = np.ones(values.shape, np.float32)
    peaks = peaks_of(Surface(values.astype(np.float32), every, every), shortest_px=4.0)
    assert len(peaks.shifts) == 1
    assert peaks.shifts[0] == pytest.approx(shift, abs=0.1)
    assert peaks.values[0] == pytest.approx(0.9, abs=0.01)
