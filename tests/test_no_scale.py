"""Photos without a scale: the print is read all the same, in pixels, and no millimetre is made up."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from printcheck import pipeline
from printcheck.cli import run
from printcheck.core.request import Given, MotifIs, RepeatIs
from printcheck.core.results import read_json
from printcheck.report import write_json
from printcheck.report.words import text as to_text
from tests.drawn import Camera, photograph, prints

CAMERA = Camera(view_mm=200.0, size_px=(800, 600))
MM_PER_PX = CAMERA.true_mm_per_px


@pytest.fixture(scope="module")
def photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    drawn = photograph(prints.dots(np.random.default_rng(1), 20.0), CAMERA)
    return drawn.write(tmp_path_factory.mktemp("bare") / "dots.png")


@pytest.fixture(scope="module")
def scaled(photo: Path) -> pipeline.MeasuredPhoto:
    return pipeline.measure_photo(photo, pipeline.Options(scale=Given(MM_PER_PX)))


@pytest.fixture(scope="module")
def bare(photo: Path) -> pipeline.MeasuredPhoto:
    return pipeline.measure_photo(photo)


def numbers(value: Any, key: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        for name, item in value.items():
            yield from numbers(item, name)
        return
    if key.endswith("_mm"):
        yield key, value
    for item in value if isinstance(value, list) else ():
        yield from numbers(item)


def test_every_length_is_null_and_sizes_stand_in_pixels(
    bare: pipeline.MeasuredPhoto, scaled: pipeline.MeasuredPhoto
) -> None:
    document = write_json.document(bare.measurement)
    assert document["scale"] is None
    lengths = list(numbers(document))
    assert len(lengths) > 10 and {value for _, value in lengths} == {None}
    without, with_it = bare.measurement, scaled.measurement
    for name in ("across", "along"):
        mm = getattr(with_it.repeat, f"{name}_mm")
        assert getattr(without.repeat, f"{name}_px") == pytest.approx(mm / MM_PER_PX, rel=0.01)
    assert without.motif.width_px == pytest.approx(with_it.motif.width_mm / MM_PER_PX, rel=0.05)
    assert len(without.repeat.basis_px) == 2
    assert any(f.code == "scale-none" for f in without.findings)


def test_with_a_scale_the_pixels_stand_beside_the_millimetres(scaled: pipeline.MeasuredPhoto) -> None:
    repeat = scaled.measurement.repeat
    assert repeat.across_px == pytest.approx(repeat.across_mm / MM_PER_PX, rel=1e-3)
    lengths = [np.hypot(*vector) for vector in repeat.basis_px]
    assert lengths == pytest.approx([np.hypot(*v) / MM_PER_PX for v in repeat.basis_mm], rel=0.01)


def test_what_hangs_on_no_size_is_the_same(
    bare: pipeline.MeasuredPhoto, scaled: pipeline.MeasuredPhoto
) -> None:
    without, with_it = bare.measurement, scaled.measurement
    assert without.repeat.layout == with_it.repeat.layout
    assert without.direction.way == with_it.direction.way
    assert not {"small", "medium", "large"} & set(without.classes)


def test_it_says_from_which_size_on_to_match(bare: pipeline.MeasuredPhoto) -> None:
    (hangs,) = [f for f in bare.measurement.findings if f.code == "match-by-size"]
    assert hangs.values["thing"] == "one repeat"
    assert 3 < hangs.values["limit"] < 60  # mm: between a thread and a hand
    said = " ".join(to_text.measurement(bare.measurement).split())
    assert "depends on its size" in said and "pixels" in said and "--cloth-width" in said


def test_its_document_comes_back_the_same(bare: pipeline.MeasuredPhoto) -> None:
    text = write_json.dumps(write_json.document(bare.measurement))
    assert read_json.measurement(read_json.loads(text)) == bare.measurement


@pytest.mark.parametrize("told", [RepeatIs, MotifIs])
def test_one_size_of_the_print_gives_the_scale(
    told: Any, photo: Path, scaled: pipeline.MeasuredPhoto
) -> None:
    m = scaled.measurement
    size = m.repeat.along_mm if told is RepeatIs else max(m.motif.width_mm, m.motif.height_mm)
    found = pipeline.measure_photo(photo, pipeline.Options(scale=told(size))).measurement
    assert found.scale is not None and found.scale.source == "given"
    assert abs(found.scale.mm_per_px / MM_PER_PX - 1) < 3 * found.scale.relative_error
    if told is RepeatIs:
        assert found.repeat.along_mm == pytest.approx(size)


def test_a_length_asks_for_a_scale(
    photo: Path, bare: pipeline.MeasuredPhoto, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["length", "--kind", "bag", "--photo", str(photo), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["error"]["code"] == "no-scale"
    kept = tmp_path / "bare.json"
    kept.write_text(write_json.dumps(write_json.document(bare.measurement)))
    assert run(["length", "--kind", "bag", "--measurement", str(kept)]) == 1


def test_a_named_object_must_be_there(photo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["measure", str(photo), "--reference", "card", "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["error"]["code"] == "no-reference"


def test_the_command_answers(photo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture, report = tmp_path / "seen.svg", tmp_path / "seen.html"
    asked = ["measure", str(photo), "--picture", str(picture), "--report", str(report), "--detail"]
    assert run(asked) == 0
    assert "px" in capsys.readouterr().out
    drawn = picture.read_text(encoding="utf-8")
    assert "No scale" in drawn and " mm" not in drawn
