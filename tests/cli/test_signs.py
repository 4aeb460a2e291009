"""Signs of life on a terminal, what Ctrl-C says, and the page that is shown."""

from __future__ import annotations

import io
import time
from pathlib import Path

import click
import cv2
import numpy as np
import pytest

from printcheck import pipeline
from printcheck.cli import options, run
from tests.drawn import Camera, photograph, prints

STOPPED = 130  # the shell's own status of a stop by Ctrl-C


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def terminal_of(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """A terminal in place of standard error; made in the test itself, as pytest sets its own between."""
    seen = Terminal()
    monkeypatch.setattr("sys.stderr", seen)
    return seen


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    shot = photograph(prints.gingham(np.random.default_rng(3), 12.0), Camera(view_mm=120, size_px=(400, 300)))
    cv2.imwrite(str(tmp_path / "a.png"), shot.bgr)
    return tmp_path / "a.png"


def test_work_that_takes_long_says_what_it_does_and_cleans_up(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = terminal_of(monkeypatch)
    monkeypatch.setattr(options, "QUIET_S", 0.0)
    with options.Progress("measuring a.png") as say:
        while not terminal.getvalue():  # the timer's own thread
            time.sleep(0.001)
        assert "\rmeasuring a.png" in terminal.getvalue()
        say("reading the print", 0.8)
        assert terminal.getvalue().endswith("  80 %")
    assert terminal.getvalue().endswith(" \r")


def test_quick_work_and_what_goes_into_a_file_say_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = terminal_of(monkeypatch)
    with options.Progress("measuring a.png"):
        pass
    assert not terminal.getvalue().strip()
    monkeypatch.setattr("sys.stderr", io.StringIO())
    with options.Progress("measuring a.png") as say:
        say("reading the print", 0.5)
    assert not terminal.getvalue().strip()


@pytest.mark.parametrize(
    ("argv", "stops", "said"),
    [
        (["measure", "a.png"], "measure_photos", "while measuring a.png"),
        (["length", "--kind", "bag", "--photo", "a.png"], "measure_photo", "while measuring the photo"),
        (["length", "--kind", "bag", "--repeat", "64mm"], "plan_length", "while"),
        (["compare", "a.png", "a.png", "--kind", "bag"], "measure_photo", "while comparing 2 cloths"),
        (["demo", "--folder", "results"], "measure_photo", "results so far lie in results"),
    ],
)
def test_ctrl_c_says_where_things_stand(
    argv: list[str], stops: str, said: str, photo: Path,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.chdir(photo.parent)
    monkeypatch.setattr(pipeline, stops, stopped)
    assert run(argv) == STOPPED
    err = capsys.readouterr().err
    assert said in err and err.endswith("printcheck: stopped.\n")


def test_open_shows_the_page_that_was_written(photo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[str] = []
    monkeypatch.setattr(click, "launch", lambda url: shown.append(url) or 0)
    report = photo.with_name("page.html")
    asked = ["measure", str(photo), "--mm-per-px", "0.3", "--report", str(report), "--open"]
    assert run(asked) == 0
    assert shown == [str(report)] and report.exists()
    assert run(["length", "--kind", "napkin", "--repeat", "64mm", "--report", str(report), "--open"]) == 0
    assert shown == [str(report)] * 2


@pytest.mark.parametrize(
    "argv", [["measure", "a.png"], ["length", "--kind", "bag", "--repeat", "64mm"], ["tag", "."]]
)
def test_open_without_a_page_says_which_option_names_one(
    argv: list[str], photo: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(photo.parent)
    assert run([*argv, "--open"]) == 2
    assert "OUT.html" in capsys.readouterr().err


def test_a_machine_without_a_browser_says_where_the_page_lies(
    photo: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(click, "launch", lambda _: 1)
    report = photo.with_name("page.html")
    assert run(["measure", str(photo), "--mm-per-px", "0.3", "--report", str(report), "--open"]) == 0
    assert "open it yourself" in capsys.readouterr().err
