"""Laws that hold for every print."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from printcheck.core.lattice import Lattice
from printcheck.repeat import find_lattice
from tests.repeat.drawn import cloth_of, dots, noisy

FEW = settings(deadline=None, max_examples=4)  # each example is a whole search
sides = st.floats(38, 120)


@FEW
@given(across=sides, along=sides, factor=st.floats(0.4, 3.0))
def test_scale_goes_through(across: float, along: float, factor: float) -> None:
    picture = noisy(dots(across, along))
    one = find_lattice(cloth_of(picture, 0.5)).repeat
    other = find_lattice(cloth_of(picture, 0.5 * factor)).repeat
    assert other.kind == one.kind
    mine, theirs = (sorted(np.hypot(*np.array(r.basis_mm).T)) for r in (one, other))
    # not to the last digit: the weave's blur is a matter of millimetres
    assert np.array(theirs) / factor == pytest.approx(np.array(mine), rel=0.004)


@FEW
@given(across=sides, along=sides, drop=st.sampled_from([0.0, 0.5]))
def test_a_photo_upside_down_shows_the_same_lattice(across: float, along: float, drop: float) -> None:
    picture = noisy(dots(across, along, drop=drop))
    one = find_lattice(cloth_of(picture)).repeat
    other = find_lattice(cloth_of(picture[::-1, ::-1].copy())).repeat
    assert other.layout == one.layout
    for vector in other.basis_mm:
        near = Lattice(one.basis_mm).residual_mm(vector)
        assert near < 0.004 * np.hypot(*vector)
