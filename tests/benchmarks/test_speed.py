"""How long a whole measurement takes against a floor in the same run.

The floor is what nobody can do without: decoding the same 12-megapixel JPEG and one transform of
2048 x 2048. CPU seconds, so that a busy machine counts for both. Nothing is asserted about a time:

    python -m pytest tests/benchmarks/test_speed.py -s
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from threadpoolctl import threadpool_limits

from printcheck import pipeline
from printcheck.core.request import Given
from tests.drawn import Art, Camera, Cell, Laid, objects, photograph, prints

SIZE_PX = (4000, 3000)
VIEW_MM = 300.0
ROUNDS = 3  # the quickest counts
COLD_FLOOR = (
    "import sys, cv2, numpy as np\n"
    "cv2.imread(sys.argv[1])\n"
    "cv2.dft(np.ones((2048, 2048), np.float32), flags=cv2.DFT_COMPLEX_OUTPUT)\n"
)

PRINTS: dict[str, Callable[[np.random.Generator], Art]] = {
    "dots": lambda r: prints.dots(r, 20.0),
    "gingham": lambda r: prints.gingham(r, 12.7),
    "uneven-stripe": lambda r: prints.stripe(r, 40.0, even=False),
    "floral": lambda r: prints.floral(r, Cell(90.0, 110.0)),
    "figures": lambda r: prints.one_motif(r, Cell(50.0, 60.0)),
    "plain": prints.plain,
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("speed")


def photo(folder: Path, name: str) -> tuple[Path, float]:
    """A 12-megapixel photo of the print, and its millimetres per pixel."""
    camera = Camera(view_mm=VIEW_MM, size_px=SIZE_PX, turn_deg=3.0)
    path = folder / f"{name}.jpg"
    if not path.exists():
        photograph(PRINTS[name](np.random.default_rng(7)), camera).write(path)
    return path, camera.true_mm_per_px


def cpu(call: Callable[[], object]) -> float:
    """Least CPU seconds of a few rounds in this process; the first warms up and does not count."""
    call()
    best = float("inf")
    for _ in range(ROUNDS):
        begun = time.process_time()
        call()
        best = min(best, time.process_time() - begun)
    return best


def cold(command: list[str]) -> float:
    """Least CPU seconds of a fresh process, imports included."""
    best = float("inf")
    for _ in range(ROUNDS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return best


def floor(path: Path) -> None:
    cv2.imread(str(path))
    cv2.dft(np.ones((2048, 2048), np.float32), flags=cv2.DFT_COMPLEX_OUTPUT)


@pytest.mark.parametrize("name", PRINTS)
def test_measure_against_the_floor(folder: Path, name: str) -> None:
    cv2.setNumThreads(1)
    path, scale = photo(folder, name)
    options = pipeline.Options(scale=Given(scale))
    warm, least = cpu(lambda: pipeline.measure_photo(path, options)), cpu(lambda: floor(path))
    started = cold(
        [sys.executable, "-m", "printcheck", "measure", str(path), "--mm-per-px", str(scale), "--json"]
    )
    started_least = cold([sys.executable, "-c", COLD_FLOOR, str(path)])
    print(
        f"\n{name}: warm {warm:.2f} s = {warm / least:.1f} floors of {least:.3f} s; "
        f"cold {started:.2f} s = {started / started_least:.1f} floors of {started_least:.2f} s"
    )
    assert warm > 0


@pytest.mark.parametrize("name", ["plain", "gingham"])
def test_finding_a_card(folder: Path, name: str) -> None:
    """The reference alone: opening and laying flat by a card, less the same with the scale given."""
    from printcheck.core.request import parse_reference
    from printcheck.photo import flatten_photo

    cv2.setNumThreads(1)
    camera = Camera(view_mm=VIEW_MM, size_px=SIZE_PX, turn_deg=3.0, tilt_deg=8.0)
    rng = np.random.default_rng(3)
    laid = Laid(objects.card(rng), (60.0, -40.0), 21.0)
    path = photograph(PRINTS[name](rng), replace(camera), objects=(laid,)).write(folder / f"card-{name}.jpg")
    with threadpool_limits(1, user_api="blas"):  # as a whole measurement is held
        with_card = cpu(lambda: flatten_photo(path, parse_reference("card")))
    given = cpu(lambda: flatten_photo(path, Given(camera.true_mm_per_px)))
    print(f"\ncard on {name}: {with_card - given:.2f} s more than with the scale given ({given:.2f} s)")
    assert with_card > 0
