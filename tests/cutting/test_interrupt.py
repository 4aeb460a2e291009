"""An interrupt ends a plan soon and cleanly, whatever is at work, and the engine never outlives its use."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Print, Project, Seam, SeamEnd
from printcheck.cutting.search.nesting import nested
from printcheck.project import write_project
from tests.cutting import garments

LONG_S = 3000  # s: longer than any test may take, so that only what is looked at can end a search
AT_WORK_S = 1.5  # s of its own time: by then the libraries are loaded and the search has begun
STAT = Path("/proc")  # where the system tells how long a process has worked

pytestmark = pytest.mark.timeout(200)  # a search that does not end is ended here, and has failed
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


def worked_s(pid: int) -> float:
    """Time that a process has had of the processor, seconds (proc(5), fields 14 and 15)."""
    fields = (STAT / str(pid) / "stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


@pytest.mark.slow
@pytest.mark.skipif(not STAT.exists(), reason="asks the system how long the process has worked")
@pytest.mark.parametrize("project", [garments.garment("shirt"), boxes()], ids=["outlines", "rectangles"])
def test_an_interrupt_ends_it_soon_and_without_a_traceback(project, tmp_path):
    file = tmp_path / "project.toml"
    write_project(replace(project, print=PRINT), file)
    command = "from printcheck.cli import main; main()"
    asked = [sys.executable, "-c", command, "length", str(file), "--seconds", str(LONG_S)]
    run = subprocess.Popen(
        asked,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        # what a shell starts in the background ignores interrupts, and hands that on
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    while run.poll() is None and worked_s(run.pid) < AT_WORK_S:
        time.sleep(0.1)
    assert run.poll() is None
    run.send_signal(signal.SIGINT)
    try:
        said, errors = run.communicate(timeout=150)
    finally:
        run.kill()
    assert run.returncode == 130 and said == ""
    assert "stopped" in errors and "Traceback" not in errors and "terminate" not in errors


def test_the_engine_is_ended_once_it_is_not_wanted():
    began = time.monotonic()
    spots = nested(
        [TRIANGLE, TRIANGLE, ((0.0, 0.0), (51.0, 0.0), (3.0, 40.0))],
        [True] * 3,
        width_mm=500.0,
        seconds=LONG_S,
        seed=1,
        wanted=lambda: time.monotonic() - began < 0.5,
    )
    assert spots is None


def parents() -> dict[int, int]:
    """Parent of every process (proc(5), field 4)."""
    found = {}
    for process in STAT.glob("[0-9]*"):
        with contextlib.suppress(OSError):  # it has ended in the meantime
            found[int(process.name)] = int((process / "stat").read_text().rpartition(")")[2].split()[1])
    return found


@pytest.mark.skipif(not STAT.exists(), reason="asks the system for the engine's process")
def test_the_engine_ends_with_a_process_that_is_killed():
    code = (
        "from printcheck.cutting.search.nesting import nested\n"
        f"nested([{TRIANGLE}] * 9, [True] * 9, width_mm=1500.0, seconds={LONG_S}, seed=1)"
    )
    run = subprocess.Popen([sys.executable, "-c", code])
    try:
        while not (engines := [pid for pid, parent in parents().items() if parent == run.pid]):
            time.sleep(0.1)
        while worked_s(engines[0]) < AT_WORK_S:
            time.sleep(0.1)
    finally:
        run.kill()
        run.wait()
    while engines[0] in parents():  # the time limit of this file ends it where it does not end
        time.sleep(0.1)


def test_an_engine_that_breaks_down_is_no_answer_and_no_end():
    point = ((0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
    assert nested([point], [True], width_mm=500.0, seconds=1, seed=1) is None
