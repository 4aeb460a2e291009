"""An interrupt ends a plan soon and cleanly, whatever is at work, and the engine never outlives its use."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from dataclasses import replace

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting.search.nesting import nested
from printcheck.project import write_project
from tests.cutting import garments

SOON_S = 15.0  # on a busy machine; by itself it takes half a second
AT_WORK_S = 6.0  # s: by then every library is loaded, and the search lasts ten times longer
PRINT = Print(Lattice.of_steps(120, 90), "straight", "one-way", "project")
TRIANGLE = ((0.0, 0.0), (500.0, 0.0), (0.0, 400.0))


def boxes() -> Project:
    """Rectangles that no solver closes within a minute."""
    sizes = [(150.0 + 37 * n % 310, 210.0 + 53 * n % 370) for n in range(24)]
    pieces = tuple(Piece(f"p{n}#1", w, h) for n, (w, h) in enumerate(sizes))
    seams = tuple(
        Seam((SeamEnd(f"p{n}#1", (75.0, 40.0)), SeamEnd(f"p{n + 1}#1", (15.0, 40.0))))
        for n in range(0, 24, 4)
    )
    return Project("boxes", Cloth(1400.0), pieces, seams)


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="sends a signal as a terminal does")
@pytest.mark.parametrize("project", [garments.garment("shirt"), boxes()], ids=["outlines", "rectangles"])
def test_an_interrupt_ends_it_soon_and_without_a_traceback(project, tmp_path):
    file = tmp_path / "project.toml"
    write_project(replace(project, print=PRINT), file)
    command = "from printcheck.cli import main; main()"
    asked = [sys.executable, "-c", command, "length", str(file), "--seconds", "60"]
    run = subprocess.Popen(asked, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    time.sleep(AT_WORK_S)
    assert run.poll() is None
    began = time.monotonic()
    run.send_signal(signal.SIGINT)
    said, errors = run.communicate(timeout=60)
    assert time.monotonic() - began < SOON_S
    assert run.returncode == 130 and said == ""
    assert "stopped" in errors and "Traceback" not in errors and "terminate" not in errors


def test_the_engine_is_ended_once_it_is_not_wanted():
    began = time.monotonic()
    spots = nested(
        [TRIANGLE, TRIANGLE, ((0.0, 0.0), (51.0, 0.0), (3.0, 40.0))],
        [True] * 3,
        width_mm=500.0,
        seconds=60,
        seed=1,
        wanted=lambda: time.monotonic() - began < 0.5,
    )
    assert spots is None
    assert time.monotonic() - began < SOON_S


def test_an_engine_that_breaks_down_is_no_answer_and_no_end():
    point = ((0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
    assert nested([point], [True], width_mm=500.0, seconds=1, seed=1) is None
