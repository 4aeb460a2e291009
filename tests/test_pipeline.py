"""What the whole measurement promises beyond its stages."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from threadpoolctl import threadpool_info, threadpool_limits

import printcheck.repeat
from printcheck import pipeline
from printcheck.core.request import Given
from printcheck.photo import lay_flat, open_picture
from printcheck.photo.scale import sight
from printcheck.project import built_in, parse_print
from printcheck.report.words import text
from tests.drawn import Camera, photograph, prints


def matrix_threads() -> list[int]:
    return [library["num_threads"] for library in threadpool_info() if library["user_api"] == "blas"]


def test_matrices_are_held_to_one_thread_while_measuring(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    camera = Camera(view_mm=200.0, size_px=(640, 480))
    path = photograph(prints.dots(np.random.default_rng(1), 20.0), camera).write(tmp_path / "dots.png")
    request = Given(camera.true_mm_per_px)
    picture = open_picture(path)
    cloth = lay_flat(picture, sight(picture, request))
    within: list[int] = []
    find: Callable[..., Any] = printcheck.repeat.find_lattice

    def watched(*args: Any, **more: Any) -> Any:
        within.extend(matrix_threads())
        return find(*args, **more)

    monkeypatch.setattr(printcheck.repeat, "find_lattice", watched)
    with threadpool_limits(2, user_api="blas"):
        pipeline.measure_cloth(cloth, pipeline.Options(scale=request))
        after = matrix_threads()
    assert within
    assert set(within) == {1}
    assert set(after) == {2}


@pytest.mark.parametrize(("needs", "kept"), [("none", False), ("level", True), (None, True)])
def test_a_built_in_project_matches_nothing_on_a_print_that_needs_no_match(needs: Any, kept: bool) -> None:
    """Nobody named its seams; what matching them would take is told beside what is advised."""
    printed = replace(parse_print("64mm x 64mm"), needs=needs)
    job = built_in("curtain", {}, print_=printed)
    effort = pipeline.Effort(seconds=1.0)
    plan = pipeline.plan_length(job, printed, effort).plan
    assert bool(plan.seams) == kept
    assert plan.worth is not None
    every = next(choice for choice in plan.worth.choices if choice.match == "all")
    assert every.buy_mm is not None and every.seams_matched > 0
    said = " ".join(text.length(plan).split())
    if needs == "none":
        assert plan.buy.advised_mm == plan.buy.unmatched_mm <= every.buy_mm
        assert "nothing in this print has to meet" in said and "for a print matched" not in said
    else:
        assert plan.buy.advised_mm == every.buy_mm and "for a print matched" in said
    asked = pipeline.plan_length(job, printed, replace(effort, match="all")).plan
    assert asked.seams, "who asks for all seams gets all"
