"""The demo, as a newcomer runs it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from printcheck.cli import run
from printcheck.demo import sample_folder

pytestmark = pytest.mark.slow


def test_the_demo_measures_every_sample_and_plans_a_length(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """On two of the samples; their drawings, all of them, are held by tests/golden."""
    samples, folder = tmp_path / "samples", tmp_path / "results"
    samples.mkdir()
    shown = ("gingham.jpg", "half-drop-floral.jpg")
    for name in (*shown, "project.toml"):
        shutil.copy(sample_folder() / name, samples)
    monkeypatch.setattr("printcheck.demo.sample_folder", lambda: samples)
    assert run(["demo", "--folder", str(folder), "--seconds", "1"]) == 0
    out = capsys.readouterr().out
    for name in shown:
        assert (folder / Path(name).with_suffix(".png").name).stat().st_size > 10_000
        assert Path(name).stem in out
    plan = json.loads((folder / "length.json").read_text(encoding="utf-8"))
    assert plan["plain"]["length_mm"] <= plan["one_way"]["length_mm"] <= plan["matched"]["length_mm"]
    assert "<html" in (folder / "report.html").read_text(encoding="utf-8")
    assert "<svg" in (folder / "layout.svg").read_text(encoding="utf-8")
    assert str(folder) in out.splitlines()[-1]


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    assert run(["demo", "--folder", str(tmp_path / "taken")]) == 2
    assert "cannot be made" in capsys.readouterr().err
