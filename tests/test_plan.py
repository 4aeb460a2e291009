"""What the plan's own data work out."""

from __future__ import annotations

import pytest

from printcheck.core.plan import Cloth, ClothFacts


def test_a_selvedge_shrinks_as_the_width_does() -> None:
    """Of 140 cm with selvedges of 1 cm, 2 % shrunk across, 135.24 cm are usable (arithmetic)."""
    assert Cloth(1400.0, 10.0, shrink_across=0.02).usable_width_mm == pytest.approx(1352.4)
    assert ClothFacts(1400.0, 1352.4, 0.0, 0.02).selvedge_mm == pytest.approx(9.8)
