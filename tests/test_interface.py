"""The Python interface: what it offers, what it loads, and that its answers are the command's."""

from __future__ import annotations

import dataclasses
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import printcheck
from printcheck.core.errors import InputError
from printcheck.project import built_in, parse_print

OFFERED = [
    "Finding", "Found", "InputError", "LengthPlan", "Measurement", "NoAnswerError", "Planned", "Print",
    "PrintcheckError", "Project", "Row", "Scale", "__version__", "load_project", "measure", "plan", "save",
    "tag",
]  # fmt: skip
MM_PER_PX = 0.25


def gingham() -> np.ndarray:
    """Squares of 5 mm, RGB floats."""
    y, x = np.mgrid[:480, :640] // 20 % 2
    cloth = np.full((480, 640, 3), 1.0)
    cloth[..., 0] = cloth[..., 1] = 1 - 0.4 * (x + y)
    return cloth


@pytest.fixture(scope="module")
def found() -> printcheck.Found:
    return printcheck.measure(gingham(), scale="0.25 mm/px")


def test_what_is_offered_is_a_list_and_all_of_it_is_there() -> None:
    assert printcheck.__all__ == sorted(OFFERED) == dir(printcheck)
    assert all(getattr(printcheck, name) is not None for name in OFFERED)
    with pytest.raises(AttributeError, match="no attribute 'measures'"):
        printcheck.measures  # noqa: B018


def test_importing_loads_nothing_heavy() -> None:
    heavy = "{'numpy', 'cv2', 'click', 'scipy', 'PIL'}"
    code = f"import sys, printcheck; printcheck.measure; print(sorted({heavy} & set(sys.modules)))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


def test_an_array_is_measured_as_its_file_would_be(found: printcheck.Found, tmp_path: Path) -> None:
    import cv2

    path = tmp_path / "gingham.png"
    eight_bit = np.rint(gingham() * 255).astype(np.uint8)
    cv2.imwrite(str(path), eight_bit[..., ::-1])
    for same in (eight_bit, path, str(path)):
        again = printcheck.measure(same, scale=printcheck.Scale(mm_per_px=MM_PER_PX))
        assert again.repeat == found.repeat
    assert found.repeat.across_mm == pytest.approx(10.0, rel=0.01)
    assert found.stripe_or_check.gingham_mm == pytest.approx(5.0, rel=0.02)
    assert found.measurement.stripe_or_check.bars[0].colour != "#ffff99"  # red and blue are not swapped


@pytest.mark.parametrize(
    "array",
    [
        np.zeros((480, 640), np.uint8),
        np.zeros((480, 640, 4), np.uint8),
        np.zeros((480, 640, 3), np.int64),
        np.full((480, 640, 3), 2.0),
        np.full((480, 640, 3), np.nan),
        np.zeros((3, 3, 3), np.uint8),
    ],
    ids=["grey", "alpha", "integers", "over one", "nan", "tiny"],
)
def test_arrays_that_are_no_photo_are_refused(array: np.ndarray) -> None:
    with pytest.raises(InputError):
        printcheck.measure(array)


@pytest.mark.parametrize(
    "scale",
    ["1e-9 mm/px", "0 dpi", "-1 mm/px", "1e308 mm/px", "moon", printcheck.Scale(dpi=300, mm_per_px=1)],
)
def test_scales_that_are_none_are_refused(scale: object) -> None:
    with pytest.raises(InputError):
        printcheck.measure(gingham(), scale=scale)


def test_results_are_frozen_and_show_themselves(found: printcheck.Found) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.measurement = None
    assert found._repr_html_().startswith("<table>")
    assert found.to_dict()["schema"] == "printcheck.measurement/2"
    assert "10.0 mm" in found.text()


def test_a_plan_on_it(found: printcheck.Found, tmp_path: Path) -> None:
    made = printcheck.plan(built_in("cushion", {"count": "1"}), found, seconds=1)
    words = printcheck.plan(built_in("cushion", {"count": "1"}), "10mm x 10mm", seconds=1)
    read = printcheck.plan(built_in("cushion", {"count": "1"}), found.to_dict(), seconds=1)
    assert made.plan.plain.length_mm == words.plan.plain.length_mm == read.plan.plain.length_mm
    assert made.buy.advised_mm >= made.layout.length_mm
    assert made.to_dict()["schema"] == "printcheck.length/1" and "<table>" in made._repr_html_()
    for result, endings in (
        (found, ("html", "pdf", "png", "svg", "json")),
        (made, ("svg", "pdf", "html", "json")),
    ):
        for ending in endings:
            path = tmp_path / f"out.{ending}"
            printcheck.save(result, path)
            assert path.stat().st_size > 500
            path.unlink()
        with pytest.raises(InputError):
            printcheck.save(result, tmp_path / "out.doc")


def test_every_way_to_name_the_print_plans_the_same() -> None:
    print_ = parse_print("64mm x 64mm")
    bare, printed = (built_in("cushion", {"count": "1"}, print_=given) for given in (None, print_))
    plans = [
        printcheck.plan(job, given, seconds=1)
        for job, given in ((bare, "64mm x 64mm"), (bare, print_), (printed, None))
    ]
    assert len({plan.layout.length_mm for plan in plans}) == 1
    assert {plan.extra_mm for plan in plans} == {0.0}
    assert "seams-not-matched" in {remark.code for remark in plans[0].findings}
    assert "Cushion covers" in plans[0].text()
    with pytest.raises(InputError, match="names no print"):
        printcheck.plan(bare, None, seconds=1)


def test_hostile_names_stay_text_in_a_notebook(found: printcheck.Found) -> None:
    named = dataclasses.replace(found.measurement.photo, file="<script>alert(1)</script>")
    other = dataclasses.replace(found, measurement=dataclasses.replace(found.measurement, photo=named))
    assert "<script" not in other._repr_html_()


def test_rows_of_a_folder(tmp_path: Path) -> None:
    import cv2

    cv2.imwrite(str(tmp_path / "a.png"), np.rint(gingham() * 255).astype(np.uint8)[..., ::-1])
    (tmp_path / "b.jpg").write_bytes(b"no picture")
    bare, broken = printcheck.tag(tmp_path, workers=1)
    assert (bare.file, bare.status, bare.repeat_across_mm) == ("a.png", "no-scale", None)
    assert bare.listing_text and bare.layout == "straight"
    assert (broken.file, broken.status) == ("b.jpg", "failed") and broken.message
    json.dumps(dataclasses.asdict(bare))
