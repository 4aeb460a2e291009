"""Photos of which nobody said what lies on the cloth, and several things in one photo."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from printcheck.core.errors import NoAnswerError
from printcheck.core.request import Reference, parse_reference
from printcheck.photo.scale import sight
from printcheck.photo.scale.coin import find_coin
from printcheck.photo.scale.sighting import Sighting
from printcheck.photo.scale.unscaled import sight_if_any
from printcheck.report.words.findings import said
from tests.drawn import Camera, Laid, Photo, metal, objects, photograph
from tests.photo.drawn import art_of
from tests.photo.test_board import printed
from tests.photo.test_rectangles import opened, plate, share_off

AUTO = Reference("auto", "auto")


def card(seed: int, *place: float) -> Laid:
    return Laid(objects.card(np.random.default_rng(seed)), (place[0], place[1]), place[2])


def coin(*place: float) -> Laid:
    return Laid(metal.coin(np.random.default_rng(2), 24.26, thick_mm=1.75), (place[0], place[1]))


def taken(art: str, *laid: Laid, view_mm: float = 280) -> Photo:
    return photograph(art_of(art), Camera(view_mm=view_mm, tilt_deg=6), objects=laid)


def remarks(sighting: Sighting) -> list[str]:
    return [f.code for f in sighting.findings if "two-objects" in f.code]


@pytest.mark.parametrize("art", ["dots", "gingham"])
def test_a_card_and_a_tape_are_held_against_each_other(art: str) -> None:
    tape = Laid(metal.tape(np.random.default_rng(2), 420), (0.0, 85.0), 1.0)
    photo = taken(art, card(1, -50, -30, 20), tape)
    sighting = sight(opened(photo), AUTO)
    assert remarks(sighting) == ["scale-two-objects-agree"]
    assert abs(share_off(photo, sighting)) < 0.01


def test_a_card_and_a_printed_scale_card_are_held_against_each_other(tmp_path: Path) -> None:
    photo = taken("dots", card(1, -70, -30, 20), Laid(printed(tmp_path, "card"), (60.0, 40.0), -15.0))
    sighting = sight(opened(photo), AUTO)
    assert remarks(sighting) == ["scale-two-objects-agree"]
    assert abs(share_off(photo, sighting)) < 0.01


def test_a_second_card_is_a_witness_too() -> None:
    sighting = sight(opened(taken("gingham", card(1, -70, -30, 20), card(5, 60, 40, -50))), AUTO)
    [remark] = [f for f in sighting.findings if "two-objects" in f.code]
    assert remark.code == "scale-two-objects-agree"
    assert "another bank card" in said(remark).text


@pytest.mark.parametrize("art", ["dots", "gingham"])
def test_two_cards_of_different_apparent_size_are_refused(art: str) -> None:
    small = plate(85.60 * 0.75, 53.98 * 0.75, 3.18 * 0.75, (40, 120, 60))
    with pytest.raises(NoAnswerError) as caught:
        sight(opened(taken(art, card(1, -70, -30, 20), Laid(small, (60.0, 40.0), -50.0))), AUTO)
    assert caught.value.code == "two-objects-disagree"


def test_a_coin_beside_a_card_changes_nothing() -> None:
    photo = taken("dots", card(1, -60, -30, 20), coin(70, 40))
    sighting = sight(opened(photo), AUTO)
    assert sighting.source == "card"
    assert abs(share_off(photo, sighting)) < 0.01


@pytest.mark.parametrize("art", ["dots", "gingham", "stripes"])
def test_a_coin_alone_is_asked_about(art: str) -> None:
    with pytest.raises(NoAnswerError) as caught:
        sight(opened(taken(art, coin(20, 0), view_mm=150)), AUTO)
    assert caught.value.code == "coin-not-named"


def test_a_coin_that_is_not_sure_is_asked_about_by_place_and_option(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(find_coin, "LEAST", 0.99)  # evidence asked: it has less
    photo = taken("gingham", coin(20, 0), view_mm=150)
    with pytest.raises(NoAnswerError) as caught:
        sight(opened(photo), parse_reference("coin:us-quarter"))
    assert caught.value.code == "reference-unsure"
    assert "near the right of the photo" in caught.value.message or "near the middle" in caught.value.message
    corners = np.array(photo.truth.objects[0]["corners_px"])
    outline = np.array(caught.value.outline_px)
    assert np.linalg.norm(outline.mean(0) - corners.mean(0)) < 0.05 * np.ptp(corners[:, 0])
    ends = [float(v) for v in caught.value.remedy.split("--span ")[1].split("=24.26mm")[0].split(",")]
    assert np.hypot(ends[0] - ends[2], ends[1] - ends[3]) == pytest.approx(np.ptp(corners[:, 0]), rel=0.1)


def test_what_is_asked_about_is_outlined_on_the_picture() -> None:
    photo = taken("dots", coin(20, 0), view_mm=150)
    sighting = sight_if_any(opened(photo), AUTO)
    assert not sighting.scale_known
    corners = np.array(photo.truth.objects[0]["corners_px"])
    assert sighting.outline_px is not None
    assert np.linalg.norm(sighting.outline_px.mean(0) - corners.mean(0)) < 0.05 * np.ptp(corners[:, 0])


def sheet_alone(name: str, tilt_deg: float) -> Photo:
    paper = Laid(objects.sheet(np.random.default_rng(4), name=name), (30.0, 20.0), -20.0)
    view_mm = {"letter": 620.0, "A4": 640.0, "A5": 460.0, "A6": 330.0}[name]
    camera = Camera(view_mm=view_mm, tilt_deg=tilt_deg, tilt_towards_deg=70)
    return photograph(art_of("dots"), camera, objects=(paper,))


@pytest.mark.parametrize("name", ["A4", "A5", "A6"])
@pytest.mark.parametrize("exif", [True, False])
def test_a_sheet_whose_shape_tells_no_size_is_asked_about(name: str, exif: bool) -> None:
    with pytest.raises(NoAnswerError) as caught:
        sight(opened(sheet_alone(name, 12), exif=exif), AUTO)
    assert caught.value.code == "sheet-size-unknown"


@pytest.mark.parametrize("tilt_deg", [4, 16])
def test_a_letter_sheet_is_told_by_its_shape(tilt_deg: float) -> None:
    photo = sheet_alone("letter", tilt_deg)
    sighting = sight(opened(photo, exif=True), AUTO)
    assert (sighting.source, sighting.object) == ("sheet", "letter sheet")
    assert abs(share_off(photo, sighting)) < 0.005


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_half_a_card_is_not_guessed_at(seed: int) -> None:
    photo = photograph(art_of("dots"), Camera(view_mm=240), objects=(card(seed, 132, 5, 3),))
    with pytest.raises(NoAnswerError) as caught:
        sight(opened(photo), AUTO)
    assert caught.value.code == "no-reference"
