"""What is told without a scale is what is told with one, as far as it may be: docs/accuracy/no-card.md."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from printcheck import pipeline
from printcheck.core.findings import finding
from printcheck.core.measurement import Measurement, PrintName
from printcheck.core.request import one_scale
from tests.drawn import scene
from tests.report import report_given

SCRIPT = Path(__file__).parents[2] / "docs" / "make_no_card.py"


@pytest.fixture(scope="module")
def judge() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_no_card", SCRIPT)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow
@pytest.mark.parametrize("index", [9, 21])  # at a slant of 14 degrees; small figures in rows
def test_a_drawn_scene_is_told_the_same(index: int, judge: ModuleType, tmp_path: Path) -> None:
    one = scene("lattice", index)
    photo = one.photo.write(tmp_path / one.name)
    scale = one_scale(**{one.args[0][2:].replace("-", "_"): one.args[1]})
    told = pipeline.measure_photo(photo, pipeline.Options(scale=scale)).measurement
    bare = pipeline.measure_photo(photo).measurement
    assert bare.scale is None
    assert {what for what in judge.answers(told) if not judge.is_same(what, told, bare)} == set()


def test_only_a_true_parent_is_the_same_name(judge: ModuleType) -> None:
    def named(name: str) -> Measurement:
        return replace(report_given.flowers(), print_name=PrintName(name, name))

    assert judge.is_same("name", named("pin-stripe"), named("stripe"))
    assert not judge.is_same("name", named("stripe"), named("pin-stripe"))
    assert not judge.is_same("name", named("ditsy"), named("rows-of-figures"))


@pytest.mark.parametrize(("limit", "needs", "same"), [(10.0, "level", True), (10.0, "none", False)])
def test_needs_that_hang_on_size_are_those_of_the_true_size(
    limit: float, needs: str, same: bool, judge: ModuleType
) -> None:
    """The flowers' repeat is far above 10 mm, so that over 10 mm they are to be matched."""
    told = report_given.flowers()
    told = replace(told, seams=replace(told.seams, needs=needs))
    bare = replace(told, findings=(finding("match-by-size", thing="one repeat", limit=limit),))
    assert judge.is_same("needs", told, bare) == same
