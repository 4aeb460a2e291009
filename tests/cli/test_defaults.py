"""Options set once: by variables of the environment and by the user's file."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from printcheck.cli import run

PAGE = Path(__file__).parents[2] / "docs" / "commands.md"
LENGTH = ["length", "--kind", "curtain", "--repeat", "64mm x 64mm straight", "--seconds", "1"]


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "defaults.toml"
    monkeypatch.setenv("PRINTCHECK_DEFAULTS", str(path))
    return path


def cloth_of(capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, object]:
    assert run([*LENGTH, "--json", *more]) == 0
    document = json.loads(capsys.readouterr().out)
    return {"width_mm": document["cloth"]["width_mm"], "currency": document["buy"]["currency"]}


def test_the_file_of_the_page_is_taken(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(re.search(r"```toml\n(.+?)```", PAGE.read_text(), re.DOTALL)[1])  # type: ignore[index]
    found = cloth_of(capsys)
    assert found["width_mm"] == pytest.approx(54 * 25.4)
    assert found["currency"] == "GBP"
    assert cloth_of(capsys, "--set", "cloth.width=140cm")["width_mm"] == pytest.approx(1400)
    assert run(LENGTH) == 0
    assert " yd" in capsys.readouterr().out


def test_an_option_goes_before_a_variable_and_that_before_the_file(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file.write_text('units = "imperial"')
    monkeypatch.setenv("PRINTCHECK_LENGTH_UNITS", "metric")
    assert run(LENGTH) == 0
    assert " yd" not in capsys.readouterr().out
    assert run([*LENGTH, "--units", "imperial"]) == 0
    assert " yd" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("unit = 1", "option unit"),
        ("[mesure]\nunits = 1", "no command mesure"),
        ("[tag]\nseconds = 1", "tag has no option seconds"),
        ("units =", "no TOML"),
        ('units = "feet"', "units"),
        (None, "cannot be read"),
    ],
)
def test_a_wrong_file_is_one_sentence(
    text: str | None, said: str, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if text is not None:
        file.write_text(text)
    assert run(LENGTH) == 2
    answer = capsys.readouterr().err
    assert said in answer
    assert len(answer.splitlines()) <= 3


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_is_offered(shell: str) -> None:
    asked = {**os.environ, "_PRINTCHECK_COMPLETE": f"{shell}_source"}
    start = "import sys; sys.argv[0] = 'printcheck'; from printcheck.cli import main; main()"
    said = subprocess.run([sys.executable, "-c", start], env=asked, capture_output=True, text=True)
    assert "_PRINTCHECK_COMPLETE" in said.stdout
