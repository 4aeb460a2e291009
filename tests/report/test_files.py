"""Files are written whole or not at all, and refused before the work is done."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from printcheck.core.errors import InputError
from printcheck.core.system import atomic


def refusal(outputs: dict, inputs: tuple = ()) -> str:
    with pytest.raises(InputError) as caught:
        atomic.check_outputs(outputs, inputs=inputs)
    assert caught.value.message and caught.value.remedy
    return caught.value.code


def test_writes_whole_and_leaves_nothing_else(tmp_path: Path) -> None:
    atomic.write_atomic(tmp_path / "a.svg", "<svg/>")
    atomic.write_atomic(tmp_path / "a.svg", "<svg></svg>")
    assert (tmp_path / "a.svg").read_text() == "<svg></svg>"
    assert [p.name for p in tmp_path.iterdir()] == ["a.svg"]
    assert (tmp_path / "a.svg").stat().st_mode & 0o400


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.svg"
    target.write_text("old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(InputError, match="No space left"):
        atomic.write_atomic(target, "new")
    assert [p.name for p in tmp_path.iterdir()] == ["a.svg"] and target.read_text() == "old"


def test_sound_outputs_pass(tmp_path: Path) -> None:
    atomic.check_outputs({"--picture": tmp_path / "a.PNG", "--report": tmp_path / "a.html", "--layout": None})


@pytest.mark.parametrize(
    ("option", "name"),
    [("--picture", "a.jpg"), ("--picture", "a"), ("--report", "a.doc"), ("--layout", "a.html")],
)
def test_endings_we_do_not_write(tmp_path: Path, option: str, name: str) -> None:
    assert refusal({option: tmp_path / name}) == "unknown-ending"


def test_missing_folder_and_folder_as_file(tmp_path: Path) -> None:
    assert refusal({"--picture": tmp_path / "no" / "a.png"}) == "folder-missing"
    (tmp_path / "b.png").mkdir()
    assert refusal({"--picture": tmp_path / "b.png"}) == "is-a-folder"
    assert refusal({"--picture": tmp_path / "a\0b.png"}) in ("folder-missing", "bad-name")
    assert refusal({"--picture": tmp_path / ("a" * 300 + ".png")}) == "bad-name"


def test_folder_without_rights(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)  # root may write anywhere, so rights are played
    assert refusal({"--picture": tmp_path / "a.png"}) == "folder-not-writable"


def test_the_input_is_never_written_over(tmp_path: Path) -> None:
    photo = tmp_path / "a.png"
    photo.write_bytes(b"photo")
    (tmp_path / "link.png").symlink_to(photo)
    assert refusal({"--picture": photo}, (photo,)) == "same-file"
    assert refusal({"--picture": tmp_path / "link.png"}, (photo,)) == "same-file"
    assert refusal({"--picture": tmp_path / "sub" / ".." / "a.png"}, (photo,)) in (
        "same-file",
        "folder-missing",
    )


def test_two_outputs_of_one_name(tmp_path: Path) -> None:
    assert refusal({"--picture": tmp_path / "a.svg", "--layout": tmp_path / "a.svg"}) == "same-output"


@pytest.mark.parametrize("length", [80, 81, 500])
def test_a_long_path_is_told_by_its_two_ends_in_eighty_letters(length: int) -> None:
    path = ("start" + "x" * length)[: length - 3] + "end"
    told = atomic.shown(path).strip("'")
    assert len(told) == 80 and told.startswith("start") and told.endswith("end")
    assert ("..." in told) == (length > 80)
