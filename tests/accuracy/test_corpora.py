"""A guard on the whole job: the first scenes of each drawn corpus. The full tables: docs/make_accuracy.py."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import pytest

from printcheck import pipeline
from printcheck.core.errors import NoAnswerError
from printcheck.core.request import one_scale
from tests.drawn import Scene, corpus

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]
SCENES = 26  # one of each kind


def verdict(one: Scene, folder: Path, compare: ModuleType) -> str:
    path = one.photo.write(folder / one.name)
    scale = one_scale(**{one.args[0][2:].replace("-", "_"): one.args[1]})
    try:
        repeat = pipeline.measure_photo(path, pipeline.Options(scale=scale)).measurement.repeat
    except NoAnswerError:
        return "refused"
    return str(compare.repeat_verdict(one.truth.basis_mm, repeat.basis_mm)[0])


@pytest.mark.parametrize(("name", "start", "least"), [("lattice", 26, 24), ("rough", 0, 21)])
def test_one_scene_of_each_kind(
    tmp_path: Path, compare: ModuleType, name: str, start: int, least: int
) -> None:
    """``least`` is a guard against breakage, not the aim; the scenes are not picked."""
    said = {s.name: verdict(s, tmp_path, compare) for s in corpus(name, SCENES, start=start)}
    wrong = {k: v for k, v in said.items() if v != "right"}
    assert len(said) - len(wrong) >= least, wrong
    assert sum(v == "spurious" for v in wrong.values()) <= 1, wrong


def test_near_repeats(tmp_path: Path, compare: ModuleType) -> None:
    said = {s.name: verdict(s, tmp_path, compare) for s in corpus("near-repeats", 10)}
    wrong = {k: v for k, v in said.items() if v != "right"}
    assert len(wrong) <= 2, wrong
