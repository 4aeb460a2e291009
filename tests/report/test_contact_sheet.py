"""The contact sheet: what its small pictures show, and what its filters hold."""

from __future__ import annotations

import base64
import re

import cv2
import numpy as np
import pytest

from printcheck.core.handover import FlatCloth
from printcheck.core.measurement import PhotoFacts, Scale
from printcheck.report.drawing.thumbnail import HEIGHT_PX, OUTSIDE_BGR, WIDTH_PX, thumbnail
from printcheck.report.page.contact_sheet import Choices, parts


def cloth(size_px: tuple[int, int], to_photo: np.ndarray) -> FlatCloth:
    """Blue cloth at 0.5 mm per pixel in a photo of 800 x 600."""
    width, height = size_px
    bgr = np.full((height, width, 3), (200, 80, 40), np.uint8)
    facts = PhotoFacts("a.jpg", 800, 600)
    mask = np.ones((height, width), bool)
    return FlatCloth(bgr, mask, 0.5, to_photo, facts, Scale("given", 0.5, 0.01, None, None))


def decoded(data: str) -> np.ndarray:
    picture = cv2.imdecode(np.frombuffer(base64.b64decode(data), np.uint8), cv2.IMREAD_COLOR)
    assert picture is not None
    return picture


@pytest.mark.parametrize("size_px", [(800, 600), (1200, 600), (600, 2000), (3, 2)])
def test_the_width_shown_is_that_of_the_middle_at_four_to_three(size_px: tuple[int, int]) -> None:
    data, shown_mm = thumbnail(cloth(size_px, np.eye(3)))
    assert decoded(data).shape == (HEIGHT_PX, WIDTH_PX, 3)
    assert shown_mm == pytest.approx(0.5 * min(size_px[0], size_px[1] * 4 / 3), abs=0.5)


def test_outside_the_photo_it_is_pale() -> None:
    moved = np.array([[1.0, 0.0, -400.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])  # the left half lies outside
    picture = decoded(thumbnail(cloth((800, 600), moved))[0])
    assert np.abs(picture[:, :100].astype(int) - OUTSIDE_BGR).max() < 12  # JPEG's rounding
    assert picture[:, -100:, 2].max() < 80


def card(**cells: object) -> dict[str, object]:
    empty = (
        "repeat",
        "repeat_across_mm",
        "repeat_along_mm",
        "match_advice",
        "message",
        "colours",
        "print_name",
    )
    kind = {
        "status": "ok",
        "difficulty": "care",
        "way": "tossed",
        "classes": "small busy",
        "matching": "none",
    }
    own = {"index": 0, "file": "a<b>.jpg", "thumbnail": "AAAA", "shown_mm": 150.0, "same_print_as": ""}
    return {**dict.fromkeys(empty, ""), **kind, **own, "units": "metric", **cells}


def choices_of(group: str, *rows: dict[str, object]) -> list[tuple[str, str, int]]:
    choices = Choices()
    for row in rows:
        choices.add(row)
    return next(found for key, _, found in choices.groups() if key == group)


def page_of(*rows: dict[str, object]) -> str:
    choices = Choices()
    for row in rows:
        choices.add(row)
    return "".join(parts(rows, choices))


def test_a_card_is_shown_under_each_of_its_kinds_and_its_bar_is_to_scale() -> None:
    page = page_of(card(), card(classes="large"))
    assert 'data-classes="small|busy"' in page
    assert page.count('value="busy"') == 1
    width, length = re.search(r'width: ([\d.]+)%"></span>(\d+) mm', page).groups()  # type: ignore[union-attr]
    assert float(width) / 100 * 150.0 == pytest.approx(float(length), abs=0.1)
    assert "a&lt;b&gt;.jpg" in page


def test_what_all_listings_share_is_no_filter() -> None:
    assert 'data-group="difficulty"' not in page_of(card(), card())


def test_sizes_are_offered_in_order_the_unknown_last() -> None:
    rows = [card(repeat_across_mm=mm, repeat_along_mm="3.0") for mm in ("7.0", "300.0", "2.0", "")]
    assert choices_of("size", *rows, card(repeat_along_mm="")) == [
        ("under 5 mm", "under 5 mm", 2),
        ("5 to 10 mm", "5 to 10 mm", 1),
        ("over 250 mm", "over 250 mm", 1),
        ("", "not known", 1),
    ]


def test_in_inches_sizes_and_the_bar_are_of_inches() -> None:
    rows = [card(units="imperial", repeat_across_mm=mm) for mm in ("50.7", "50.9", "6.3", "255.0")]
    page = page_of(*rows)
    width, length = re.search(r'width: ([\d.]+)%"></span>(\d+) in', page).groups()  # type: ignore[union-attr]
    assert float(width) / 100 * 150.0 == pytest.approx(25.4 * float(length), abs=0.1)
    assert not re.search(r' mm[<" ]', page)
    sizes = [(words, count) for _, words, count in choices_of("size", *rows)]
    assert sizes == [("under 1/4 in", 1), ("1 to 2 in", 1), ("2 to 4 in", 1), ("over 10 in", 1)]


def test_the_commonest_colours_come_first_and_the_unknown_last() -> None:
    rows = [card(colours=colours) for colours in ("red, navy", "", "", "", "navy")]
    assert [count for _, _, count in choices_of("colours", *rows)] == [2, 1, 3]


def test_a_failed_photo_has_no_picture_of_cloth() -> None:
    page = page_of(card(status="failed", message="damaged", thumbnail="", shown_mm=0.0))
    assert "<img" not in page
    assert "damaged" in page
