"""Measure tagging: gain of the second core, memory over the number of photos, overhead, resuming, the sheet.

    python docs/make_tag_table.py [--photos 200] [--many 2000]

Draws the photos itself, works in a temporary folder, and writes docs/accuracy/tagging.md. Nothing else
should be running. ``--sheet`` measures the contact sheet alone and prints it; that needs Chromium.
"""

from __future__ import annotations

import argparse
import functools
import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import cv2
import numpy as np
import psutil

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # tests.drawn draws the photos

from printcheck import pipeline
from printcheck.batch import outputs
from printcheck.core.request import PhotoWidth
from tests.batch import test_sheet
from tests.drawn import Camera, photograph, prints
from tests.web.test_browser import CHROMIUM, PATIENT_MS, QUIET

OUT = Path(__file__).parent / "accuracy" / "tagging.md"
DRAWN = 20  # distinct photos; the rest are copies with a number written into the file
VIEW_MM = 120
SAMPLE_S = 0.1  # seconds between two looks at the memory
ROUNDS = 5  # times the run is killed
LISTINGS = 2000  # on the contact sheet
FILTERED = """box => {
    const begun = performance.now();
    box.click();
    document.querySelector(".cards").getBoundingClientRect();  // laid out anew
    return performance.now() - begun;
}"""


def draw(folder: Path, count: int) -> None:
    """``count`` JPEG photos of different content: a comment segment (ISO/IEC 10918-1) holds a number."""
    folder.mkdir()
    drawn = []
    for i in range(DRAWN):
        art = prints.gingham(np.random.default_rng(i), 6.0 + i)
        drawn.append(photograph(art, Camera(view_mm=VIEW_MM, size_px=(1200, 900))).bgr)
    data = [cv2.imencode(".jpg", picture)[1].tobytes() for picture in drawn]
    for i in range(count):
        text = f"{i:08d}".encode()
        comment = b"\xff\xfe" + (len(text) + 2).to_bytes(2, "big") + text
        picture = data[i % DRAWN]
        (folder / f"{i:05d}.jpg").write_bytes(picture[:2] + comment + picture[2:])


def command(folder: Path, out: Path, workers: int) -> list[str]:
    tag = [sys.executable, "-m", "printcheck", "tag", str(folder), "--photo-width", f"{VIEW_MM}mm"]
    return [*tag, "--out", str(out), "--workers", str(workers)]


def timed(folder: Path, out: Path, workers: int) -> float:
    """Seconds of a run with nothing beside it."""
    begun = time.perf_counter()
    subprocess.run(command(folder, out, workers), stderr=subprocess.DEVNULL, check=True)
    return time.perf_counter() - begun


def sampled(folder: Path, out: Path, workers: int) -> float:
    """Peak of the memory held by the run and its workers together, MiB; asking slows them a little."""
    process = subprocess.Popen(command(folder, out, workers), stderr=subprocess.DEVNULL)
    tree, peak = psutil.Process(process.pid), 0
    while process.poll() is None:
        held = 0
        for one in [tree, *(tree.children(recursive=True) if tree.is_running() else [])]:
            try:
                held += one.memory_info().rss
            except psutil.Error:
                continue
        peak = max(peak, held)
        time.sleep(SAMPLE_S)
    return peak / 2**20


def measured_alone(folder: Path, count: int) -> float:
    """Seconds for one photo in a warm process without the run around it, one thread."""
    cv2.setNumThreads(1)
    photos = sorted(folder.iterdir())[: count + 3]
    options = pipeline.Options(PhotoWidth(VIEW_MM))
    for photo in photos[:3]:
        pipeline.measure_photo(photo, options)
    begun = time.perf_counter()
    for photo in photos[3:]:
        pipeline.measure_photo(photo, options)
    return (time.perf_counter() - begun) / count


def killed_and_resumed(folder: Path, whole: Path, out: Path, seconds: float) -> bool:
    """Whether the table after five kills and a last run equals the uninterrupted one."""
    rng = np.random.default_rng(1)
    for _ in range(ROUNDS):
        process = subprocess.Popen(command(folder, out, 2), stderr=subprocess.DEVNULL, start_new_session=True)
        time.sleep(rng.uniform(0.5, max(1.0, seconds / ROUNDS)))
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    subprocess.run(command(folder, out, 2), check=True, capture_output=True)
    return out.read_bytes() == whole.read_bytes()


def sheet(folder: Path) -> tuple[float, float]:
    """Seconds until a sheet of many listings can be used, and for the slowest of its filters."""
    from playwright.sync_api import sync_playwright

    path = folder / "sheet.html"
    outputs.write_sheet(functools.partial(test_sheet.listings, LISTINGS), path)
    with sync_playwright() as engine:
        browser = engine.chromium.launch(executable_path=str(CHROMIUM), args=list(QUIET))
        tab = browser.new_page()
        tab.set_default_timeout(PATIENT_MS)
        tab.goto("about:blank")
        begun = time.perf_counter()
        tab.goto(path.as_uri())
        tab.wait_for_function("() => document.querySelector('.status').textContent")
        opened = time.perf_counter() - begun
        filtered = max(box.evaluate(FILTERED) for box in tab.locator("fieldset input").all())
        browser.close()
    return opened, filtered / 1000


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--photos", type=int, default=200)
    parser.add_argument("--many", type=int, default=2000)
    parser.add_argument("--sheet", action="store_true", help="the contact sheet alone")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        base = Path(name)
        opened, filtered = sheet(base)
        sheet_row = (
            f"| a contact sheet of {LISTINGS} listings | opens in {opened:.2f} s, slowest filter "
            f"{1000 * filtered:.0f} ms | under 2 s, 100 ms |"
        )
        if asked.sheet:
            print(sheet_row)
            return
        draw(base / "few", asked.photos)
        draw(base / "many", asked.many)
        one = timed(base / "few", base / "one.csv", 1)
        two = timed(base / "few", base / "two.csv", 2)
        few_mib = sampled(base / "few", base / "few.csv", 2)
        alone = measured_alone(base / "few", min(40, asked.photos - 3))
        same = killed_and_resumed(base / "few", base / "two.csv", base / "killed.csv", two)
        many_mib = sampled(base / "many", base / "many.csv", 2)
        equal = (base / "one.csv").read_bytes() == (base / "two.csv").read_bytes()
    lines = [
        "# Tagging",
        "",
        "Made by `python docs/make_tag_table.py`; 1200 x 900 px photos drawn by the script, two cores.",
        "",
        "| what | measured | aim |",
        "| --- | --- | --- |",
        f"| {asked.photos} photos, one worker | {one:.1f} s | |",
        f"| {asked.photos} photos, two workers | {two:.1f} s, {one / two:.2f} times as fast | 1.9 times |",
        f"| tables of one and two workers | {'the same' if equal else 'DIFFERENT'} | the same |",
        f"| one photo in a warm process, alone | {1000 * alone:.0f} ms | |",
        f"| one photo in the run, one worker | {1000 * one / asked.photos:.0f} ms, "
        f"{100 * (one / asked.photos / alone - 1):+.0f} % | under 10 % |",
        f"| peak memory, {asked.photos} photos | {few_mib:.0f} MiB | |",
        f"| peak memory, {asked.many} photos | {many_mib:.0f} MiB, {100 * (many_mib / few_mib - 1):+.0f} % | "
        "within 10 % |",
        f"| killed {ROUNDS} times at random moments, then run again | "
        f"{'the same table' if same else 'A DIFFERENT TABLE'} | the same, byte for byte |",
        sheet_row,
        "",
        "The overhead of a run includes starting the worker (about a second) and is spread over its photos.",
        "",
    ]
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text("\n".join(lines), encoding="utf-8")
    print(OUT.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
