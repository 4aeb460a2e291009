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
KINDS = 26  # of scenes, one after another: the two corpora share them, so that each is drawn once


def verdict(one: Scene, folder: Path, compare: ModuleType) -> str:
    path = one.photo.write(folder / one.name)
    scale = one_scale(**{one.args[0][2:].replace("-", "_"): one.args[1]})
    try:
        repeat = pipeline.measure_photo(path, pipeline.Options(scale=scale)).measurement.repeat
    except NoAnswerError:
        return "refused"
    return str(compare.repeat_verdict(one.truth.basis_mm, repeat.basis_mm)[0])


@pytest.mark.parametrize(("name", "first", "most_wrong"), [("lattice", KINDS, 1), ("rough", 1, 2)])
def test_one_scene_of_each_kind(
    tmp_path: Path, compare: ModuleType, name: str, first: int, most_wrong: int
) -> None:
    """``most_wrong`` is a guard against breakage, not the aim; the scenes are not picked."""
    scenes = [one for n in range(0, KINDS, 7) for one in corpus(name, 1, start=first + n)]
    said = {one.name: verdict(one, tmp_path, compare) for one in scenes}
    wrong = {k: v for k, v in said.items() if v != "right"}
    assert len(wrong) <= most_wrong, wrong
    assert sum(v == "spurious" for v in wrong.values()) <= 1, wrong


def test_near_repeats(tmp_path: Path, compare: ModuleType) -> None:
    said = {s.name: verdict(s, tmp_path, compare) for s in corpus("near-repeats", 4)}
    wrong = {k: v for k, v in said.items() if v != "right"}
    assert len(wrong) <= 1, wrong
