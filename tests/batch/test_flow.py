"""Whole runs: order, damage, being killed, a cluster that loses a worker."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.batch import TagOptions, tag
from printcheck.batch.engines import on_this_machine
from printcheck.batch.flow import Summary
from printcheck.batch.jobs import Job, failed
from printcheck.cli import run
from printcheck.cli.tag import SOME_FAILED
from printcheck.core.request import PhotoWidth
from tests.drawn import Camera, photograph, prints

SCALE = PhotoWidth(120)
COUNT = 6
PATIENT_S = 600.0  # for one photo: a busy machine is no failure
LOOK_S = 0.02  # between looks whether something has happened


@pytest.fixture(scope="session")
def swatches(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Ginghams of growing bands, one damaged file, one in a folder below."""
    folder = tmp_path_factory.mktemp("swatches")
    (folder / "below").mkdir()
    for i in range(COUNT):
        art = prints.gingham(np.random.default_rng(i), 8.0 + i)
        shot = photograph(art, Camera(view_mm=120, size_px=(640, 480)))
        cv2.imwrite(str(folder / ("below" if i == 3 else ".") / f"gingham-{i}.jpg"), shot.bgr)
    (folder / "damaged.jpg").write_bytes((folder / "gingham-0.jpg").read_bytes()[:4000])
    return folder


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def command(folder: Path, out: Path) -> list[str]:
    return [
        sys.executable,
        "-m",
        "printcheck",
        "tag",
        str(folder),
        "--photo-width",
        "120mm",
        "--time-limit",
        f"{PATIENT_S:g}",
        "--out",
        str(out),
    ]


@pytest.fixture(scope="session")
def tagged(swatches: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Summary]:
    """Folder of one undisturbed run's table, markup and sheet, and its summary."""
    folder = tmp_path_factory.mktemp("tagged")
    asked = {"out": folder / "t.csv", "jsonld": folder / "p.jsonld", "sheet": folder / "s.html"}
    options = TagOptions(SCALE, workers=2, seconds=PATIENT_S, **asked)
    return folder, tag(str(swatches), options, stdout=io.StringIO())


def test_a_folder_with_a_damaged_file_is_finished(tagged: tuple[Path, Summary]) -> None:
    folder, summary = tagged
    rows = read((folder / "t.csv").read_text(encoding="utf-8"))
    assert [r["file"] for r in rows] == ["below/gingham-3.jpg", "damaged.jpg"] + [
        f"gingham-{i}.jpg" for i in range(COUNT) if i != 3
    ]
    assert [r["file"] for r in rows if r["status"] == "failed"] == ["damaged.jpg"]
    for row in rows:
        if row["status"] == "ok":  # as drawn: the band of the gingham grows by 1 mm from photo to photo
            drawn = 8.0 + int(Path(row["file"]).stem[-1])
            assert float(row["repeat_across_mm"]) == pytest.approx(drawn, rel=0.01)
            assert "check" in row["classes"]
    assert (summary.done, summary.failed) == (COUNT + 1, 1)
    assert "What went wrong:\n  damaged.jpg: The photo ends before its picture does" in summary.text()
    graph = json.loads((folder / "p.jsonld").read_text(encoding="utf-8"))["@graph"]
    assert len(graph) == COUNT
    page = (folder / "s.html").read_text(encoding="utf-8")
    assert page.count('class="card"') == COUNT + 1
    assert page.count("<script") == 1  # its own, nothing loaded


def test_the_same_photo_is_measured_once_and_a_changed_one_again(swatches: Path, tmp_path: Path) -> None:
    photo = tmp_path / "a.jpg"
    photo.write_bytes((swatches / "gingham-0.jpg").read_bytes())
    (tmp_path / "list.csv").write_text("file\na.jpg\na.jpg\n", encoding="utf-8")
    options = TagOptions(SCALE, out=tmp_path / "t.csv", workers=1)
    first = tag(str(tmp_path / "list.csv"), options, stdout=io.StringIO())
    assert (first.repeated, first.reused) == (1, 0)
    again = tag(str(tmp_path / "list.csv"), options, stdout=io.StringIO())
    assert (again.repeated, again.reused) == (1, 1)
    photo.write_bytes((swatches / "gingham-5.jpg").read_bytes())
    changed = tag(str(tmp_path / "list.csv"), options, stdout=io.StringIO())
    assert changed.reused == 0
    rows = read((tmp_path / "t.csv").read_text(encoding="utf-8"))
    assert [float(r["repeat_across_mm"]) for r in rows] == pytest.approx([13.0, 13.0], rel=0.01)
    assert [r["same_print_as"] for r in rows] == ["", "a.jpg"]


@pytest.mark.slow
@pytest.mark.timeout(900)  # many processes are started; a busy machine is no failure
def test_killed_half_way_it_goes_on_to_the_same_table(
    swatches: Path, tagged: tuple[Path, Summary], tmp_path: Path
) -> None:
    out = tmp_path / "killed.csv"
    process = subprocess.Popen(command(swatches, out), stderr=subprocess.DEVNULL, start_new_session=True)
    until_kept(out, 3, process)
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    assert not list(tmp_path.glob("*.part")) or not out.exists()
    assert subprocess.run(command(swatches, out), capture_output=True).returncode == SOME_FAILED
    assert out.read_bytes() == (tagged[0] / "t.csv").read_bytes()


def until_kept(out: Path, count: int, process: subprocess.Popen[bytes]) -> None:
    """Wait until a run has kept so many results, or has ended."""
    journal = out.with_name(out.name + ".journal")
    while process.poll() is None and (not journal.exists() or journal.read_bytes().count(b"\n") < count):
        time.sleep(LOOK_S)


def hang_or_die(job: Job) -> None:
    """Stand-in for a photo that hangs or takes its worker down."""
    if job.file == "hangs":
        time.sleep(60)
    os._exit(11)


@pytest.mark.parametrize(
    ("file", "seconds", "said"), [("hangs", 1.0, "longer than 1"), ("dies", 200.0, "crashed its worker")]
)
def test_a_photo_that_hangs_or_crashes_is_a_failed_row(
    file: str, seconds: float, said: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parent))
    monkeypatch.setattr("printcheck.batch.engines.work", hang_or_die)
    jobs = [Job(0, file, str(tmp_path / file))]
    (result,) = on_this_machine(jobs, workers=1, seconds=seconds)
    assert said in result[1].cells["message"]


def test_a_script_may_tag_without_a_guard_around_it(swatches: Path, tmp_path: Path) -> None:
    script = tmp_path / "shop.py"
    asked = (
        f"printcheck.tag({str(swatches / 'below')!r}, scale=printcheck.Scale(photo_width='120mm'), workers=1)"
    )
    script.write_text(f"import printcheck\nprint(*[row.status for row in {asked}])\n", encoding="utf-8")
    run = subprocess.run([sys.executable, str(script)], capture_output=True, text=True)
    assert (run.returncode, run.stdout, run.stderr) == (0, "ok\n", "")


def test_without_out_the_table_is_printed(
    swatches: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert run(["tag", str(swatches / "below"), "--photo-width", "120mm", "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert len(read(out)) == 1
    assert "1 photo: 1 measured" in err


@pytest.mark.parametrize("arguments", [["nowhere"], ["."], ["--out", "x.txt", "."], ["--workers", "0", "."]])
def test_wrong_use(
    arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["tag", *arguments]) == 2
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.slow
@pytest.mark.timeout(900)  # many processes are started; a busy machine is no failure
@pytest.mark.filterwarnings("ignore")  # Dask's own, of sockets and event loops while a worker is killed
def test_a_cluster_that_loses_a_worker_finishes(
    swatches: Path, tagged: tuple[Path, Summary], tmp_path: Path
) -> None:
    pytest.importorskip("distributed")
    address_file = tmp_path / "scheduler.json"
    environment = {**os.environ, "OMP_NUM_THREADS": "1"}
    python = [sys.executable, "-m", "distributed.cli"]
    scheduler = [
        *python[:2],
        "distributed.cli.dask_scheduler",
        "--host",
        "127.0.0.1",
        "--port",
        "0",
        "--no-dashboard",
    ]
    worker = [*python[:2], "distributed.cli.dask_worker", "--nthreads", "1", "--no-nanny", "--no-dashboard"]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "env": environment}
    running = [subprocess.Popen([*scheduler, "--scheduler-file", str(address_file)], **quiet)]
    try:
        wait_for(address_file)
        running += [
            subprocess.Popen([*worker, "--scheduler-file", str(address_file)], **quiet) for _ in range(2)
        ]
        address = json.loads(address_file.read_text(encoding="utf-8"))["address"]
        wait_for_workers(address, 2)
        options = TagOptions(SCALE, out=tmp_path / "t.csv", cluster=address, seconds=PATIENT_S)
        killed = []

        def kill_one(done: int, total: int, each: float) -> None:
            if not killed:
                running[1].kill()
                killed.append(done)

        summary = tag(str(swatches), options, stdout=io.StringIO(), progress=kill_one)
    finally:
        for process in reversed(running):
            process.kill()
            process.wait()
    assert killed
    assert (summary.done, summary.failed) == (COUNT + 1, 1)
    assert (tmp_path / "t.csv").read_bytes() == (tagged[0] / "t.csv").read_bytes()


def wait_for(path: Path, seconds: float = 30) -> None:
    end = time.monotonic() + seconds
    while not path.exists() or not path.read_text(encoding="utf-8").endswith("}"):
        assert time.monotonic() < end, f"{path.name} did not come"
        time.sleep(LOOK_S)


def wait_for_workers(address: str, count: int) -> None:
    from distributed import Client

    with Client(address, set_as_default=False) as client:
        client.wait_for_workers(count, timeout=60)


def test_the_exit_status_says_whether_some_failed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    (tmp_path / "list.csv").write_text("file\nnowhere.jpg\n", encoding="utf-8")
    assert run(["tag", str(tmp_path / "list.csv"), "--workers", "1"]) == SOME_FAILED
    (row,) = read(capsys.readouterr().out)
    assert row["status"] == "failed"


def test_causes_that_differ_in_a_number_are_told_once_with_a_photo_to_look_at() -> None:
    summary = Summary()
    for size in (210, 340):
        message = f"The photo has {size} million pixels: too many to be opened."
        summary.add(f"{size}.png", failed(message, "Save the photo smaller."))
    summary.add("lost.jpg", failed("It took longer than 60 s and was given up."))
    assert summary.text().splitlines()[2:] == [
        "  2 photos such as 210.png: The photo has 210 million pixels: too many to be opened. "
        "Save the photo smaller.",
        "  lost.jpg: It took longer than 60 s and was given up.",
    ]
