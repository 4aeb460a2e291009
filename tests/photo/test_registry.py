"""A kind of object is one row: its spelling, words and search follow from it."""

from __future__ import annotations

import numpy as np
import pytest
from click.testing import CliRunner

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.reference.objects import OBJECTS, sheet, spellings
from printcheck.core.request import parse_reference
from printcheck.photo.scale import sight
from tests.drawn import Camera, Laid, objects, photograph, prints
from tests.photo.test_rectangles import opened

PAD = sheet("A5-pad", 210.0, 148.0)


def test_an_object_added_as_one_row_is_spelled_found_and_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(OBJECTS, "a5-pad", PAD)
    pad = objects.sheet(np.random.default_rng(5), name="A5-pad")
    photo = photograph(prints.dots(np.random.default_rng(3), 14.0), Camera(view_mm=420), objects=(Laid(pad),))
    sighting = sight(opened(photo), parse_reference("a5-PAD"))
    assert (sighting.source, sighting.object) == ("sheet", "A5-pad sheet")
    assert sighting.mm_per_px((799.5, 599.5)) == pytest.approx(photo.truth.mm_per_px, rel=0.01)
    assert "A5-pad" in spellings()


def test_a_row_is_named_in_words_where_it_is_not_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(OBJECTS, "a5-pad", PAD)
    photo = photograph(prints.plain(np.random.default_rng(3)), Camera(view_mm=420))
    with pytest.raises(NoAnswerError, match="a sheet of A5-pad paper was looked for"):
        sight(opened(photo), parse_reference("A5-pad"))


def test_help_and_errors_list_every_spelling() -> None:
    from printcheck.cli import cli

    text = " ".join(CliRunner().invoke(cli, ["measure", "--help"]).output.split())
    with pytest.raises(InputError) as caught:
        parse_reference("banana")
    for row in OBJECTS.values():
        assert all(spelling in caught.value.remedy and spelling in text for spelling in row.spellings)
