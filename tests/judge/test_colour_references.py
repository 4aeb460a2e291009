"""Colours against references outside: the CIEDE2000 pairs, and CIELAB as another library has it."""

from __future__ import annotations

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000, rgb2lab

from printcheck.motif.arrays import lab_of
from printcheck.motif.bars import hex_of

# Sharma, Wu, Dalal (2005), Color Res. Appl. 30(1), table 1: pairs 1-3, 7, 17-20 (from memory)
PAIRS = [
    ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
    ((50.0, 2.8361, -74.0200), (50.0, 0.0, -82.7485), 3.4412),
    ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ((50.0, 2.5, 0.0), (61.0, -5.0, 29.0), 22.8977),
    ((50.0, 2.5, 0.0), (56.0, -27.0, -3.0), 31.9030),
    ((50.0, 2.5, 0.0), (58.0, 24.0, 15.0), 19.4535),
]


@pytest.mark.parametrize(("first", "second", "expected"), PAIRS)
def test_ciede2000(first: tuple[float, ...], second: tuple[float, ...], expected: float) -> None:
    assert deltaE_ciede2000(np.array(first), np.array(second)) == pytest.approx(expected, abs=5e-5)


def test_lab_is_the_other_librarys() -> None:
    """scikit-image, D65 and the 2 degree observer; OpenCV rounds its matrix."""
    rgb = np.random.default_rng(3).integers(0, 256, (40, 5, 3))
    assert lab_of(rgb[..., ::-1].astype(np.float32)) == pytest.approx(rgb2lab(rgb / 255), abs=0.4)


def test_hex_comes_back() -> None:
    for colour in ("#000000", "#ffffff", "#c83264", "#0a8040"):
        bgr = np.array([[[int(colour[k : k + 2], 16) for k in (5, 3, 1)]]], np.float32)
        assert hex_of(lab_of(bgr)[0, 0]) == colour
