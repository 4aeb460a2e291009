"""The demo, as a newcomer runs it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from printcheck.cli import run
from printcheck.demo import sample_folder

pytestmark = pytest.mark.slow


def test_the_demo_measures_every_sample_and_plans_a_length(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "results"
    assert run(["demo", "--folder", str(folder), "--seconds", "2"]) == 0
    out = capsys.readouterr().out
    truth = json.loads((sample_folder() / "truth.json").read_text(encoding="utf-8"))
    for name in truth:
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
