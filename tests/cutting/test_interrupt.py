"""An interrupt ends a plan soon and cleanly, whatever is at work; the second process ends with the first."""

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
from printcheck.project import write_project
from tests.cutting import garments

LONG_S = 3000  # s: longer than any test may take, so that only what is looked at can end a search
AT_WORK_S = 1.5  # s of its own time: by then the libraries are loaded and the search has begun
STAT = Path("/proc")  # where the system tells how long a process has worked

pytestmark = pytest.mark.timeout(200)  # a search that does not end is ended here, and has failed
PRINT = Print(Lattice.of_steps(120, 90), "straight", "one-way", "project")


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


def parents() -> dict[int, int]:
    """Parent of every process (proc(5), field 4)."""
    found = {}
    for process in STAT.glob("[0-9]*"):
        with contextlib.suppress(OSError):  # it has ended in the meantime
            found[int(process.name)] = int((process / "stat").read_text().rpartition(")")[2].split()[1])
    return found


@pytest.mark.skipif(not STAT.exists(), reason="asks the system for the second process")
def test_the_second_process_ends_with_a_process_that_is_killed():
    code = (
        "import time\n"
        "from printcheck.cutting.search.helper import Helper\n"
        f"Helper({LONG_S}).start(time.sleep, {LONG_S})()"
    )
    run = subprocess.Popen([sys.executable, "-c", code])
    try:
        while not (helpers := [pid for pid, parent in parents().items() if parent == run.pid]):
            time.sleep(0.1)
    finally:
        run.kill()
        run.wait()
    while helpers[0] in parents():  # the time limit of this file ends it where it does not end
        time.sleep(0.1)
