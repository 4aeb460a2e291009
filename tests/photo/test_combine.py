"""Several photos of one swatch: cut from one drawn cloth, so that the truth is known."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.handover import FlatCloth
from printcheck.core.measurement import PhotoFacts, Scale
from printcheck.photo.stitch.composite import combine
from printcheck.repeat import find_lattice
from tests.photo.drawn import UNIT_PX, drawn_sheet

MM_PER_PX = 0.5


def view(sheet: np.ndarray, *, left: int, top: int, turn_deg: float = 0.0, name: str = "a.jpg") -> FlatCloth:
    """A view of 700 by 760 px of the sheet, turned about its middle."""
    size = (700, 760)
    turn = cv2.getRotationMatrix2D((left + size[0] / 2, top + size[1] / 2), turn_deg, 1.0)
    turn[:, 2] -= (left, top)
    bgr = cv2.warpAffine(sheet, turn, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)
    return FlatCloth(
        np.asarray(bgr, np.uint8),
        np.ones(bgr.shape[:2], bool),
        MM_PER_PX,
        np.eye(3),
        PhotoFacts(name, *size),
        Scale("given", MM_PER_PX, 0.001),
    )


@pytest.fixture(scope="module")
def sheet() -> np.ndarray:
    return drawn_sheet(3)


def test_two_views_show_a_repeat_that_neither_holds(sheet: np.ndarray) -> None:
    views = [view(sheet, left=100, top=100), view(sheet, left=560, top=130, turn_deg=4, name="b.jpg")]
    assert find_lattice(views[0]).repeat.kind == "beyond-photo"
    corners = [view(sheet, left=left, top=top) for left in (100, 560) for top in (100, 560)]
    repeat = find_lattice(combine(corners)).repeat
    assert repeat.kind == "lattice"
    assert repeat.across_mm == pytest.approx(UNIT_PX * MM_PER_PX, rel=0.003)
    joined = combine(views)
    assert joined.bgr.shape[1] > 760
    assert "photos-combined" in {f.code for f in joined.findings}


def test_the_joined_picture_is_the_sheet_itself(sheet: np.ndarray) -> None:
    joined = combine([view(sheet, left=200, top=100), view(sheet, left=500, top=160, turn_deg=-3)])
    corner = np.round(joined.to_photo[:2, 2]).astype(int)
    inner = np.zeros_like(joined.mask)
    inner[30:-30, 30:-30] = joined.mask[30:-30, 30:-30]
    rows = (100 + corner[1] + np.arange(inner.shape[0])) % UNIT_PX  # the sheet repeats, so places do too
    columns = (200 + corner[0] + np.arange(inner.shape[1])) % UNIT_PX
    truth = sheet[rows[:, None], columns[None]]
    apart = np.abs(joined.bgr.astype(float) - truth)[inner]
    assert np.median(apart) < 3


def test_views_of_two_cloths_do_not_belong_together(sheet: np.ndarray) -> None:
    other = drawn_sheet(99)
    with pytest.raises(NoAnswerError, match=r"other\.jpg"):
        combine([view(sheet, left=100, top=100), view(other, left=100, top=100, name="other.jpg")])


def test_no_photo_is_refused() -> None:
    with pytest.raises(InputError):
        combine([])
