"""Fuzzing guided by coverage of what reads a user's files; needs the package atheris.

``python -m tests.fuzz.guided picture --seconds 600`` opens ever new damaged pictures; ``project``, ``svg``,
and ``dxf`` read such files. It stops at the first fault of our own and keeps the file beside the corpus, in
``build/fuzz``. A find becomes a case of ``test_fuzz.py``.
"""

from __future__ import annotations

import argparse
import contextlib
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

BUILD = Path(__file__).resolve().parents[2] / "build" / "fuzz"


def targets(folder: Path) -> dict[str, tuple[Callable[[], object], str, list[bytes]]]:
    """For each kind of file: what reads it, its name, and sound ones to begin with."""
    from printcheck.photo import open_picture
    from printcheck.project import load_project
    from printcheck.project.outline.dxf import piece_from_dxf
    from printcheck.project.outline.svg import outline_from_svg
    from printcheck.project.schema import DxfTable
    from tests.fuzz.inputs import PROJECT, SVG, dxf_pattern, pictures

    return {
        "picture": (lambda: open_picture(folder / "a.jpg"), "a.jpg", list(pictures().values())),
        "project": (lambda: load_project(folder / "a.toml"), "a.toml", [PROJECT.encode()]),
        "svg": (lambda: outline_from_svg(folder, "a.svg", "p", place="x"), "a.svg", [SVG.encode()]),
        "dxf": (
            lambda: piece_from_dxf(folder, DxfTable(file="a.dxf"), 0.0, place="x"),
            "a.dxf",
            [dxf_pattern().encode()],
        ),
    }


def main() -> None:
    """Fuzz one kind of file for so long."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kind", choices=("picture", "project", "svg", "dxf"))
    parser.add_argument("--seconds", type=int, default=600)
    asked = parser.parse_args()
    import atheris

    # what a drawing reaches lies in the libraries for the most part
    with atheris.instrument_imports(include=["printcheck", "ezdxf", "fontTools"]):
        from printcheck.core.errors import PrintcheckError

        targets(Path())  # imports what is to be watched
    corpus = BUILD / asked.kind
    corpus.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as here:
        folder = Path(here)
        read, name, seeds = targets(folder)[asked.kind]
        for number, data in enumerate(seeds):
            (corpus / f"seed-{number}").write_bytes(data)

        def one(data: bytes) -> None:
            (folder / name).write_bytes(data)
            with contextlib.suppress(PrintcheckError):
                read()

        limits = [f"-max_total_time={asked.seconds}", "-timeout=60", "-rss_limit_mb=1500", "-max_len=20000"]
        atheris.Setup([sys.argv[0], str(corpus), f"-artifact_prefix={corpus}-", *limits], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
