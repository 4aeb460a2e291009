"""Pictures laid together show again what they were cut from, in the first one's scale and axes."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from printcheck.core.handover import FlatCloth
from printcheck.core.measurement import PhotoFacts, Scale
from printcheck.photo.stitch import composite
from printcheck.photo.stitch.composite import Piece, joined

WHOLE = gaussian_filter(np.random.default_rng(1).uniform(0, 255, (300, 400, 3)), (3, 3, 0)).astype(np.uint8)


def part(left: int, top: int, width: int, height: int) -> Piece:
    """A part of the picture, which knows where it lies in the part at 100, 50."""
    bgr = np.ascontiguousarray(WHOLE[top : top + height, left : left + width])
    move = np.array([[1.0, 0, left - 100], [0, 1, top - 50], [0, 0, 1]])
    return Piece(bgr, np.ones((height, width), bool), move)


def cloth(piece: Piece) -> FlatCloth:
    to_photo = np.array([[2.0, 0.0, 7.0], [0.0, 2.0, 3.0], [0.0, 0.0, 1.0]])
    facts, scale = PhotoFacts("a.jpg", 900, 700), Scale("given", 0.25, 0.001)
    return FlatCloth(piece.bgr, piece.mask, 0.5, to_photo, facts, scale, photo_bgr=piece.bgr)


BOXES = ((100, 50, 200, 180), (0, 0, 180, 200), (240, 60, 160, 240), (20, 150, 280, 150))
PARTS = [part(*box) for box in BOXES]


def test_parts_make_the_whole_again_where_they_lie() -> None:
    found = joined(cloth(PARTS[0]), PARTS)
    assert found.bgr.shape == WHOLE.shape and found.photo_bgr is None and found.mm_per_px == 0.5
    covered = np.zeros(WHOLE.shape[:2], bool)
    for left, top, width, height in BOXES:
        covered[top : top + height, left : left + width] = True
    assert (found.mask == covered).mean() > 0.99
    off = np.abs(found.bgr[found.mask].astype(int) - WHOLE[found.mask]).max(1)
    assert off.max() <= 1  # at the outermost pixels too
    origin = found.to_photo @ np.array([100.0, 50.0, 1.0])  # the first part's own first pixel
    assert np.allclose(origin[:2] / origin[2], [7.0, 3.0])


def test_a_picture_too_large_is_made_coarser_and_its_scale_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(composite, "MOST_PX", 300 * 400 // 4)
    found = joined(cloth(PARTS[0]), PARTS)
    assert found.bgr.shape[:2] == pytest.approx((150, 200), abs=1)
    assert found.mm_per_px == pytest.approx(1.0, rel=0.01)
    place: NDArray[np.float64] = found.to_photo @ np.array([50.0, 25.0, 1.0])
    assert np.allclose(place[:2] / place[2], [7.0, 3.0], atol=1.0)


def test_what_is_no_cloth_in_one_part_is_taken_from_another() -> None:
    hand = PARTS[0].mask.copy()
    hand[100:140, 20:60] = False
    found = joined(cloth(PARTS[0]), [Piece(PARTS[0].bgr, hand, PARTS[0].move), *PARTS[1:]])
    assert found.mask[160:180, 130:150].all()
    assert np.abs(found.bgr[160:180, 130:150].astype(int) - WHOLE[160:180, 130:150]).max() <= 1
    alone = joined(cloth(PARTS[0]), [Piece(PARTS[0].bgr, hand, PARTS[0].move)])
    assert not alone.mask[105:135, 25:55].any() and alone.mask[:90].all()
