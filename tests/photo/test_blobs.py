"""Blobs of what is no print: rough outlines from which objects are looked for."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from printcheck.photo.scale.rectangle.blobs import _blobs


def test_the_outline_of_a_blob_is_told_in_photo_pixels() -> None:
    """Samples of four by four pixels each: the middle of sample n is pixel 4 n + 1.5 (arithmetic)."""
    hint = np.zeros((60, 80), np.float32)
    hint[20:40, 10:50] = 1.0
    facts = SimpleNamespace(width_px=320, height_px=240)
    scene = SimpleNamespace(hint=hint, picture=SimpleNamespace(facts=facts), long_side=320.0)
    (outline,) = _blobs(scene)
    assert (outline.min(axis=0), outline.max(axis=0)) == (
        pytest.approx((4 * 10 + 1.5, 4 * 20 + 1.5), abs=0.5),
        pytest.approx((4 * 49 + 1.5, 4 * 39 + 1.5), abs=0.5),
    )
