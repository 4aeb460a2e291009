"""A scale or a picture outside the limits is refused with the same words wherever it is given."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import cv2
import numpy as np
import pytest

import printcheck
from printcheck.batch import TagOptions, tag
from printcheck.cli import run
from printcheck.core.errors import InputError
from printcheck.core.system import limits
from printcheck.project import load_project, read_measurement
from tests.fuzz.inputs import PROJECT


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    cv2.imwrite(str(tmp_path / "a.png"), np.full((80, 100, 3), 120, np.uint8))
    return tmp_path


@pytest.mark.parametrize(
    ("name", "value"),
    [("mm_per_px", "0.0009"), ("mm_per_px", "50.1"), ("mm_per_px", "1e-9"), ("mm_per_px", "1e308"),
     ("dpi", "25401"), ("dpi", "0.5")],
)  # fmt: skip
def test_a_scale_is_refused_alike(
    name: str, value: str, shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(InputError) as caught:
        printcheck.measure(shop / "a.png", scale=printcheck.Scale(**{name: float(value)}))
    assert caught.value.code == "scale-out-of-range"
    option = f"--{name.replace('_', '-')}"
    assert run(["measure", str(shop / "a.png"), option, value, "--json"]) == 2
    assert json.loads(capsys.readouterr().out)["error"]["message"] == caught.value.message
    (shop / "list.csv").write_text(f"file,{name}\na.png,{value}\n")
    table = io.StringIO()
    tag(str(shop / "list.csv"), TagOptions(journal=shop / "kept", workers=1), stdout=table)
    [row] = csv.DictReader(io.StringIO(table.getvalue()))
    said = caught.value.message.replace(option, name)  # of a list the column is named
    assert row["status"] == "failed" and said in row["message"]


@pytest.mark.parametrize("value", [limits.FINEST_MM_PER_PX, limits.COARSEST_MM_PER_PX, 0.1])
def test_what_is_within_is_taken(value: float) -> None:
    limits.check_scale(value, "here")


@pytest.mark.parametrize(
    ("width", "height", "bytes_per_px", "code"),
    [
        (20_000, 10_000, 3, None),
        (20_001, 10_000, 3, "picture-too-large"),
        (16_000, 10_000, 4, None),  # transparency
        (12_400, 10_000, 6, None),  # 16 bits
        (12_600, 10_000, 6, "picture-too-large"),  # with its copy in 8 bits it would pass 1.5 GB
        (10_100, 10_000, 8, "picture-too-large"),
        (64, 64, 3, None),
        (63, 4000, 3, "picture-too-small"),
    ],
)
def test_the_size_of_a_picture(width: int, height: int, bytes_per_px: float, code: str | None) -> None:
    if code is None:
        limits.check_picture("a.png", width, height, bytes_per_px)
        return
    with pytest.raises(InputError) as caught:
        limits.check_picture("a.png", width, height, bytes_per_px)
    assert caught.value.code == code and caught.value.remedy


@pytest.mark.parametrize("name", ["p.toml", "m.json"])
def test_a_text_of_more_than_four_megabytes_is_not_read(name: str, tmp_path: Path) -> None:
    read = {"p.toml": load_project, "m.json": read_measurement}[name]
    sound = PROJECT if name == "p.toml" else (Path(__file__).parent / "fuzz" / "measurement.json").read_text()
    filled = sound.encode() + b"\n" * (4_000_000 - len(sound.encode()))
    (tmp_path / name).write_bytes(filled)
    read(tmp_path / name)
    (tmp_path / name).write_bytes(filled + b"\n")
    with pytest.raises(InputError, match="larger than 4 MB"):
        read(tmp_path / name)
