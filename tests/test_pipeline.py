"""What the whole measurement promises beyond its stages."""

from __future__ import annotations

from collections.abc import Callable
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
