"""Details matched against their likes: the answer is that of the print, whichever vector comes first."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.core.handover import MeanCell
from printcheck.motif.way.keypoints import detail_turns

SIDES_PX = (60, 240)  # across, along: a cell four times as long as wide


def cell() -> MeanCell:
    """Soft spots of which every second pair is one detail drawn twice, unturned, and the rest are alone."""
    rng = np.random.default_rng(3)
    lab = np.full((SIDES_PX[1], SIDES_PX[0], 3), (80.0, 0.0, 0.0), np.float32)
    noise = cv2.GaussianBlur(rng.normal(0, 1, (6, 28, 28)).transpose(1, 2, 0), (0, 0), 2.0)
    for number, (top, left) in enumerate((y, x) for y in range(4, 230, 40) for x in (2, 31)):
        lab[top : top + 28, left : left + 28, 0] += 150 * noise[..., number // 2 % 6]
    return MeanCell(lab, np.diag(np.array(SIDES_PX, float)), 1.0, 9.0, 1.0)


def test_the_first_vector_of_a_cell_may_be_its_short_or_its_long_side() -> None:
    one = cell()
    other = MeanCell(one.lab.transpose(1, 0, 2), one.basis_mm[::-1], 1.0, 9.0, 1.0)
    found, swapped = detail_turns(one), detail_turns(other)
    assert found.count > 5 and found.near > 0.8
    assert swapped.count == pytest.approx(found.count, rel=0.2)
    assert swapped.near == pytest.approx(found.near, abs=0.1)
