"""The command line as a user meets it: exit status, one clear sentence, one JSON document."""

from __future__ import annotations

import importlib
import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.cli import run
from printcheck.project.kinds import KINDS
from tests.drawn import Camera, photograph, prints

PROJECT = """
name = "Bag"
[cloth]
width = "120 cm"
[print]
across = "64 mm"
along = "64 mm"
layout = "straight"
way = "one-way"
[[piece]]
name = "side"
count = 2
width = "40 cm"
length = "45 cm"
[[seam]]
join = [{ piece = "side#1", at = ["39 cm", "10 cm"] }, { piece = "side#2", at = ["1 cm", "10 cm"] }]
"""


@pytest.fixture(scope="session")
def gingham(tmp_path_factory: pytest.TempPathFactory) -> Path:
    shot = photograph(prints.gingham(np.random.default_rng(3), 12.0), Camera(view_mm=120, size_px=(800, 600)))
    path = tmp_path_factory.mktemp("photo") / "gingham.png"
    cv2.imwrite(str(path), shot.bgr)
    return path


@pytest.fixture
def project(tmp_path: Path) -> Path:
    path = tmp_path / "bag.toml"
    path.write_text(PROJECT, encoding="utf-8")
    return path


def test_measure_prints_one_document(gingham: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = run(["measure", str(gingham), "--photo-width", "120mm", "--json"])
    out, err = capsys.readouterr()
    document = json.loads(out)
    assert (status, err) == (0, "")
    assert document["schema"] == "printcheck.measurement/2"
    assert document["repeat"]["across_mm"] == pytest.approx(12.0, rel=0.01)  # as drawn


def test_photos_that_overlap_are_measured_and_drawn_as_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    looks = {"left.png": (0.0, 0.0), "right.png": (70.0, 8.0)}
    for name, look_mm in looks.items():
        art = prints.plaid(np.random.default_rng(5), 78.0, even=False)  # as drawn: larger than half a photo
        shot = photograph(art, Camera(view_mm=150, size_px=(800, 600), look_mm=look_mm))
        cv2.imwrite(str(tmp_path / name), shot.bgr)
    photos = [str(tmp_path / name) for name in looks]
    picture = tmp_path / "found.png"
    status = run(["measure", *photos, "--photo-width", "150mm", "--json", "--picture", str(picture)])
    document = json.loads(capsys.readouterr().out)
    assert status == 0
    assert {"photos-combined", "photos-scale-shared"} <= {f["code"] for f in document["findings"]}
    assert document["repeat"]["across_mm"] == pytest.approx(78.0, rel=0.02)
    drawn = cv2.imread(str(picture))
    # more than one photo shows, wherever the other is laid: a place a repeat aside shows the same cloth
    assert drawn.shape[0] * drawn.shape[1] > 1.2 * 800 * 600


def test_length_prints_one_document(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = run(["length", str(project), "--json", "--seconds", "2"])
    document = json.loads(capsys.readouterr().out)
    assert status == 0
    assert document["plain"]["length_mm"] == pytest.approx(450)
    assert document["matched"]["length_mm"] >= document["one_way"]["length_mm"] >= 450


def test_a_written_project_is_planned_only_where_a_plan_is_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "napkins.toml"
    assert run(["length", "--kind", "napkin", "--write", str(out)]) == 0
    assert capsys.readouterr().out == "" and out.exists()
    again = [
        "length",
        "--kind",
        "napkin",
        "--write",
        str(out),
        "--repeat",
        "64mm",
        "--seconds",
        "1",
        "--json",
    ]
    assert run(again) == 0
    assert json.loads(capsys.readouterr().out)["matched"]["proved"]


def broken_files(folder: Path) -> dict[str, Path]:
    picture = cv2.imencode(".jpg", np.full((400, 600, 3), 128, np.uint8))[1].tobytes()
    contents = {
        "text.jpg": b"this is no picture",
        "empty.jpg": b"",
        "cut.jpg": picture[: len(picture) // 2],
        "dot.png": cv2.imencode(".png", np.zeros((1, 1, 3), np.uint8))[1].tobytes(),
    }
    for name, content in contents.items():
        (folder / name).write_bytes(content)
    return {name: folder / name for name in contents}


@pytest.mark.parametrize("name", ["text.jpg", "empty.jpg", "cut.jpg", "dot.png", "not-there.jpg"])
def test_a_broken_photo_is_one_sentence_and_status_2(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = broken_files(tmp_path).get(name, tmp_path / name)
    status = run(["measure", str(path), "--mm-per-px", "0.1", "--json"])
    out, err = capsys.readouterr()
    error = json.loads(out)
    assert status == 2
    assert error["schema"] == "printcheck.error/1"
    assert set(error["error"]) >= {"code", "message", "remedy"}
    assert error["error"]["remedy"]
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["--mm-per-px", "0.1", "--dpi", "300"], 2),  # two scales at once
        (["--photo-width", "120"], 2),  # a number without a unit
        (["--reference", "banana"], 2),
        (["--viewing-distance", "900 m", "--mm-per-px", "0.1"], 2),
        (["--reference", "card"], 1),  # no card in sight
        (["--no-such-option"], 2),
        (["--picture", "no/such/folder/x.png", "--mm-per-px", "0.1"], 2),
        (["--picture", "x.bmp", "--mm-per-px", "0.1"], 2),
    ],
)
def test_wrong_use_of_measure(
    arguments: list[str], status: int, gingham: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["measure", str(gingham), *arguments, "--json"]) == status
    out, err = capsys.readouterr()
    assert json.loads(out)["schema"] == "printcheck.error/1"
    assert err.startswith("printcheck: ")
    assert "Traceback" not in err


def test_the_input_is_never_overwritten(gingham: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = gingham.read_bytes()
    assert run(["measure", str(gingham), "--mm-per-px", "0.1", "--picture", str(gingham)]) == 2
    assert gingham.read_bytes() == before
    assert "input itself" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('name = "Bag"', 'name = "Bag"\ncolour = "red"', "colour"),  # an unknown key
        ('width = "40 cm"', 'width = "40"', "piece"),  # a number without a unit
        ('width = "40 cm"', 'width = "140 cm"', "piece[1].width"),  # wider than the cloth
        ('at = ["39 cm", "10 cm"]', 'at = ["59 cm", "10 cm"]', "seam"),  # off its piece
        ("[[piece]]", "[[pieces]]", "pieces"),  # missing pieces
        ('piece = "side#2"', 'piece = "side#9"', "side#9"),
        ("count = 2", "count = 10000", "10000"),
        ('name = "Bag"', "name = ", "line"),  # broken TOML
    ],
)
def test_a_broken_project_names_the_place(
    old: str, new: str, said: str, project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    project.write_text(PROJECT.replace(old, new, 1), encoding="utf-8")
    assert run(["length", str(project), "--json"]) == 2
    error = json.loads(capsys.readouterr().out)["error"]
    assert said in error["message"].replace(",", "").replace(" 000", "000")
    assert error["remedy"]


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["--kind", "spaceship"],
        ["bag.toml", "--kind", "skirt"],
        ["nowhere.toml"],
        ["bag.toml", "--repeat", "64 x 64"],
        ["bag.toml", "--repeat", "64mm x 64mm", "--measurement", "m.json"],
        ["bag.toml", "--measurement", "nowhere.json"],
        ["bag.toml", "--width", "110"],
        ["bag.toml", "--set", "drop=2m"],
        ["--kind", "curtain", "--set", "drop"],
    ],
)
def test_wrong_use_of_length(
    arguments: list[str], project: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(project.parent)
    assert run(["length", *arguments, "--json"]) == 2
    assert json.loads(capsys.readouterr().out)["error"]["message"]


def test_help_of_every_command() -> None:
    for command in ([], ["measure"], ["length"], ["tag"], ["scalecard"], ["serve"], ["demo"]):
        assert run([*command, "--help"]) == 0


@pytest.mark.parametrize(
    ("error", "status", "code"),
    [
        (MemoryError(), 1, "out-of-memory"),
        (PermissionError(13, "Permission denied"), 2, "file-trouble"),
        (ZeroDivisionError("division by zero"), 1, "internal-fault"),
    ],
)
def test_a_fault_of_our_own_is_one_sentence_too(
    error: Exception,
    status: int,
    code: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def fails(**_: object) -> None:
        raise error

    monkeypatch.setattr("printcheck.cli.cli.main", fails)
    assert run(["measure", "a.jpg", "--json"]) == status
    out, err = capsys.readouterr()
    told = json.loads(out)["error"]
    assert told["code"] == code and told["remedy"]
    assert err.startswith("printcheck: ") and err.count("\n") == 1
    monkeypatch.setenv("PRINTCHECK_DEBUG", "1")
    with pytest.raises(type(error)):
        run(["measure", "a.jpg"])


def test_kinds_that_a_length_at_hand_does_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    kinds = {name: KINDS[name] for name in ("napkin", "bunting")}
    monkeypatch.setattr(importlib.import_module("printcheck.project.built_in"), "KINDS", kinds)
    asked = ["length", "--have", "60cm", "--repeat", "plain", "--seconds", "0.5"]
    assert run(asked) == 0
    out, _ = capsys.readouterr()
    assert "of 2 built-in projects" in out and "140.0 cm" in out
    assert run([*asked, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {row["kind"]: row["does"] for row in found["kinds"]}.keys() == kinds.keys()
