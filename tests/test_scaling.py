"""The scale options and their spelling."""

from __future__ import annotations

import pytest

from printcheck.core.errors import InputError
from printcheck.core.request import (
    AUTO,
    Corners,
    Given,
    PhotoWidth,
    Reference,
    Span,
    one_scale,
    parse_reference,
)


def test_each_option_becomes_its_request() -> None:
    assert one_scale() == AUTO
    assert one_scale(mm_per_px="0.12") == Given(0.12, "--mm-per-px")
    assert one_scale(dpi="254").mm_per_px == pytest.approx(0.1)  # type: ignore[union-attr]  25.4 mm to the inch
    assert one_scale(photo_width="40cm") == PhotoWidth(400)
    assert one_scale(span="1,2,4,6=20mm") == Span((1, 2), (4, 6), 20)
    corners = one_scale(corners="0,0,10,0,10,5,0,5=100x50mm")
    assert corners == Corners(((0, 0), (10, 0), (10, 5), (0, 5)), 100, 50)
    assert one_scale(bar="98.5mm") == Reference("board", "board", bar_mm=98.5)


@pytest.mark.parametrize(
    ("text", "kind", "size"),
    [
        ("auto", "auto", (None, None, None)),
        ("card", "card", (None, None, None)),
        ("A6", "A6", (None, None, None)),
        ("a4", "A4", (None, None, None)),
        ("letter", "letter", (None, None, None)),
        ("rect:105x148mm", "rect", (105.0, 148.0, None)),
        ("coin:23.25mm", "coin", (None, None, 23.25)),
        ("coin:2euro", "coin", (None, None, None)),
    ],
)
def test_references(text: str, kind: str, size: tuple[float | None, ...]) -> None:
    got = parse_reference(text)
    assert (got.kind, (got.width_mm, got.height_mm, got.diameter_mm)) == (kind, size)


@pytest.mark.parametrize(
    "asked",
    [
        {"mm_per_px": "0.1", "dpi": "300"},
        {"mm_per_px": "0"},
        {"mm_per_px": "nan"},
        {"dpi": "-3"},
        {"dpi": "many"},
        {"photo_width": "40"},
        {"span": "1,2,3=20mm"},
        {"span": "5,5,5,5=20mm"},
        {"span": "1,2,30,40=0mm"},
        {"span": "1,2,inf,40=10mm"},
        {"span": "1,2,30,40"},
        {"corners": "0,0,10,0,10,5=100x50mm"},
        {"reference": "banana"},
        {"reference": "coin:"},
        {"reference": "rect:105x148"},
        {"bar": "98.5"},
    ],
)
def test_what_is_wrong_is_said_with_a_remedy(asked: dict[str, str]) -> None:
    with pytest.raises(InputError) as caught:
        one_scale(**asked)
    assert caught.value.message
    assert caught.value.remedy
