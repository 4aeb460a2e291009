"""Numbers worked out on cells that repeat."""

from __future__ import annotations

import numpy as np
import pytest

from printcheck.repeat.arrays import slopes_of


@pytest.mark.parametrize("axis", [0, 1])
def test_slopes_of_a_wave_round_the_cells_sides(axis: int) -> None:
    """Half of f(x + 1) - f(x - 1) is, for a sine of k radians a pixel, sin k cos kx (trigonometry)."""
    k = 2 * np.pi / 12
    phase = k * np.arange(12)
    wave, slope = (np.broadcast_to(f[:, None], (12, 10)) for f in (np.sin(phase), np.sin(k) * np.cos(phase)))
    cell = np.ascontiguousarray(wave if axis == 0 else wave.T, dtype=np.float32)[..., None].repeat(3, axis=2)
    across, down = slopes_of(cell)
    along, other = (down, across) if axis == 0 else (across, down)
    assert np.allclose(along, (slope if axis == 0 else slope.T)[..., None], atol=1e-6)
    assert np.allclose(other, 0, atol=1e-6)
