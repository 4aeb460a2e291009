"""Several photos of one swatch: cut from one drawn cloth, so that the truth is known."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import FlatCloth
from printcheck.core.request import one_scale
from printcheck.photo.stitch.join import flatten_photos
from printcheck.repeat import find_lattice
from tests.photo.drawn import MM_PER_PX, UNIT_PX, drawn_sheet


def view(sheet: np.ndarray, *, left: int, top: int, turn_deg: float = 0.0) -> np.ndarray:
    """A view of 700 by 760 px of the sheet, turned about its middle."""
    size = (700, 760)
    turn = cv2.getRotationMatrix2D((left + size[0] / 2, top + size[1] / 2), turn_deg, 1.0)
    turn[:, 2] -= (left, top)
    return cv2.warpAffine(sheet, turn, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)


def combine(folder: Path, *views: np.ndarray) -> FlatCloth:
    """The views as photos of one stated scale, joined."""
    paths = [folder / f"{n}.png" for n in range(len(views))]
    for path, picture in zip(paths, views, strict=True):
        cv2.imwrite(str(path), picture)
    return flatten_photos(paths, one_scale(mm_per_px=MM_PER_PX))


@pytest.fixture(scope="module")
def sheet() -> np.ndarray:
    return drawn_sheet(3)


def test_views_show_a_repeat_that_none_holds(sheet: np.ndarray, tmp_path: Path) -> None:
    joined = combine(tmp_path, *(view(sheet, left=x, top=y) for x in (100, 560) for y in (100, 560)))
    repeat = find_lattice(joined).repeat
    assert repeat.kind == "lattice"
    assert repeat.across_mm == pytest.approx(UNIT_PX * MM_PER_PX, rel=0.003)
    assert joined.bgr.shape[1] > 760
    assert "photos-combined" in {f.code for f in joined.findings}


def test_the_joined_picture_is_the_sheet_itself(sheet: np.ndarray, tmp_path: Path) -> None:
    joined = combine(tmp_path, view(sheet, left=200, top=100), view(sheet, left=500, top=160, turn_deg=-3))
    corner = np.round(joined.to_photo[:2, 2]).astype(int)
    inner = np.zeros_like(joined.mask)
    inner[30:-30, 30:-30] = joined.mask[30:-30, 30:-30]
    rows = (100 + corner[1] + np.arange(inner.shape[0])) % UNIT_PX  # the sheet repeats, so places do too
    columns = (200 + corner[0] + np.arange(inner.shape[1])) % UNIT_PX
    truth = sheet[rows[:, None], columns[None]]
    apart = np.abs(joined.bgr.astype(float) - truth)[inner]
    assert np.median(apart) < 3


def test_views_of_two_cloths_do_not_belong_together(sheet: np.ndarray, tmp_path: Path) -> None:
    other = view(drawn_sheet(99), left=100, top=100)
    with pytest.raises(NoAnswerError, match=r"1\.png"):
        combine(tmp_path, view(sheet, left=100, top=100), other)
