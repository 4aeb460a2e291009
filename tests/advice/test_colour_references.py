"""Colours against references outside: the CIEDE2000 pairs, and CIELAB as another library has it."""

from __future__ import annotations

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000, rgb2lab

from printcheck.core.handover import MeanCell
from printcheck.motif.bars.bar_sequence import bars_of, hex_of
from printcheck.motif.cv_types import lab_of
from printcheck.motif.way.symmetry import symmetry_of
from tests.drawn import Camera, photograph, prints

# All 34 pairs of Sharma, Wu, Dalal, "The CIEDE2000 Color-Difference Formula: Implementation Notes,
# Supplementary Test Data, and Mathematical Observations", Color Res. Appl. 30(1), 2005, table 1, as
# scikit-image's sources carry them (tests/skimage/color/ciede2000_test_data.txt)
PAIRS = [
    ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
    ((50.0, 2.8361, -74.02), (50.0, 0.0, -82.7485), 3.4412),
    ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0),
    ((50.0, -1.1848, -84.8006), (50.0, 0.0, -82.7485), 1.0),
    ((50.0, -0.9009, -85.5211), (50.0, 0.0, -82.7485), 1.0),
    ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ((50.0, -1.0, 2.0), (50.0, 0.0, 0.0), 2.3669),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0009), 7.1792),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.001), 7.1792),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0011), 7.2195),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0012), 7.2195),
    ((50.0, -0.001, 2.49), (50.0, 0.0009, -2.49), 4.8045),
    ((50.0, -0.001, 2.49), (50.0, 0.001, -2.49), 4.8045),
    ((50.0, -0.001, 2.49), (50.0, 0.0011, -2.49), 4.7461),
    ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
    ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ((50.0, 2.5, 0.0), (61.0, -5.0, 29.0), 22.8977),
    ((50.0, 2.5, 0.0), (56.0, -27.0, -3.0), 31.903),
    ((50.0, 2.5, 0.0), (58.0, 24.0, 15.0), 19.4535),
    ((50.0, 2.5, 0.0), (50.0, 3.1736, 0.5854), 1.0),
    ((50.0, 2.5, 0.0), (50.0, 3.2972, 0.0), 1.0),
    ((50.0, 2.5, 0.0), (50.0, 1.8634, 0.5757), 1.0),
    ((50.0, 2.5, 0.0), (50.0, 3.2592, 0.335), 1.0),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.263),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.248, -4.962), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.694), (23.0331, 14.973, -42.5619), 2.0373),
    ((36.4612, 47.858, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.441), (91.1528, -1.6435, 0.0447), 1.4441),
    ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
]
JUMPS = {7.1792: 7.2195, 4.8045: 4.7461}


def test_there_are_thirty_four() -> None:
    assert len(PAIRS) == len(set(PAIRS)) == 34


@pytest.mark.parametrize(("first", "second", "expected"), PAIRS)
def test_ciede2000(first: tuple[float, ...], second: tuple[float, ...], expected: float) -> None:
    """The library's, which judges our colours below; the difference is the same both ways.

    At exactly opposite hues the formula jumps, and the last bit of an angle decides to which side: the table
    has the other side's value a ten-thousandth further on.
    """
    opposite = first[1:] == (-second[1], -second[2])
    sides = {expected, JUMPS[expected]} if opposite else {expected}
    for one, other in ((first, second), (second, first)):
        found = deltaE_ciede2000(np.array(one), np.array(other))
        assert any(found == pytest.approx(side, abs=5e-5) for side in sides)


@pytest.mark.parametrize("seed", range(4))
def test_bars_have_the_colours_of_their_inks(seed: int) -> None:
    """Photographed in even light, every bar's colour is no noticeable difference from the ink drawn.

    Two units of CIEDE2000: noticeable to few (Xu, Tong, Gong 2013 call twice 2.3 acceptable).
    """
    art = prints.stripe(np.random.default_rng(seed), 40, even=False)
    camera = Camera(view_mm=200, size_px=(900, 675), light=0.0, wrinkles=0.0, weave=0.0, noise=2.0)
    bgr = photograph(art, camera, seed=seed).bgr
    profile = lab_of(bgr.mean(axis=0)[None].astype(np.float32))
    period = round(40 / camera.mm_per_px)
    cell = MeanCell(
        np.repeat(profile[:, 100 : 100 + period], 8, axis=0), np.diag([40.0, 40.0]), 1.0, 5.0, 0.2
    )
    found = bars_of(cell, symmetry_of(cell, stripe=True), stripe=True)
    assert found is not None
    rgb = [[int(c[k : k + 2], 16) / 255 for k in (1, 3, 5)] for c in (b.colour for b in art.bars)]
    inks = rgb2lab(np.array(rgb))
    for bar in found.bars:
        lab = rgb2lab(np.array([int(bar.colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]))
        assert deltaE_ciede2000(inks, lab[None]).min() < 2.0


def test_lab_is_the_other_librarys() -> None:
    """scikit-image, D65 and the 2 degree observer; OpenCV rounds its matrix."""
    rgb = np.random.default_rng(3).integers(0, 256, (40, 5, 3))
    assert lab_of(rgb[..., ::-1].astype(np.float32)) == pytest.approx(rgb2lab(rgb / 255), abs=0.4)


def test_hex_comes_back() -> None:
    for colour in ("#000000", "#ffffff", "#c83264", "#0a8040"):
        bgr = np.array([[[int(colour[k : k + 2], 16) for k in (5, 3, 1)]]], np.float32)
        assert hex_of(lab_of(bgr)[0, 0]) == colour
