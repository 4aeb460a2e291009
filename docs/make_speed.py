"""Write docs/speed.md: how long a measurement takes against what nobody can do without.

The floor is decoding the same 12-megapixel JPEG and one transform of 2048 x 2048; for ``--help`` it is
``import click``. CPU seconds, the least of a few rounds, so that a busy machine counts for both.
"""

from __future__ import annotations

import argparse
import platform
import re
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

import cv2  # noqa: E402
import numpy as np  # noqa: E402

from printcheck import pipeline  # noqa: E402
from printcheck.core.request import Given  # noqa: E402
from tests.benchmarks.test_speed import COLD_FLOOR, PRINTS, cold, cpu, floor, photo  # noqa: E402

PAGE = ROOT / "docs" / "speed.md"
HEAD = """# Speed

Written by `python docs/make_speed.py`; read the ratios, seconds are those of this machine: {machine}.

The floor is what no measurement can do without: decoding the same 12-megapixel JPEG and one transform of
2048 x 2048 numbers. Warm is a measurement in a running program, cold the whole command with its start.
All are CPU seconds on one core, the least of three rounds; beside other work, which shares the memory, the
ratios come out larger.

| print | warm | floors | cold | floors |
| --- | ---: | ---: | ---: | ---: |
"""


def machine() -> str:
    """What it was measured on."""
    name = platform.processor() or platform.machine()
    cpuinfo = Path("/proc/cpuinfo")
    if cpuinfo.exists():
        found = re.search(r"model name\s*:\s*(.+)", cpuinfo.read_text())
        name = found[1] if found else name
    return f"{name}, Python {platform.python_version()}, numpy {np.__version__}, OpenCV {cv2.__version__}"


def rows(folder: Path, names: Sequence[str]) -> Iterator[str]:
    """Yield one line a print."""
    cv2.setNumThreads(1)
    for name in names:
        path, scale = photo(folder, name)
        options = pipeline.Options(scale=Given(scale))
        warm, least = cpu(lambda: pipeline.measure_photo(path, options)), cpu(lambda: floor(path))  # noqa: B023
        command = ["-m", "printcheck", "measure", str(path), "--mm-per-px", str(scale), "--json"]
        begun, begun_least = (
            cold([sys.executable, *command]),
            cold([sys.executable, "-c", COLD_FLOOR, str(path)]),
        )
        yield f"| {name} | {warm:.2f} s | {warm / least:.1f} | {begun:.2f} s | {begun / begun_least:.1f} |\n"


def main() -> None:
    """Measure and write the page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--prints", nargs="+", choices=tuple(PRINTS), default=tuple(PRINTS))
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        table = "".join(rows(Path(folder), asked.prints))
    shown = cold([sys.executable, "-m", "printcheck", "--help"])
    click = cold([sys.executable, "-c", "import click"])
    told = f"\n`printcheck --help` takes {shown:.2f} s, {shown / click:.1f} times `import click`.\n"
    PAGE.write_text(HEAD.format(machine=machine()) + table + told, encoding="utf-8")


if __name__ == "__main__":
    main()
