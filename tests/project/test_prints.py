"""Prints from their spelling, from [print], and from measurements."""

from __future__ import annotations

import json
import math

import pytest

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.lattice import Lattice
from printcheck.core.measurement import (
    Difficulty,
    Direction,
    Measurement,
    Motif,
    PhotoFacts,
    Repeat,
    Scale,
    SeamsSeen,
)
from printcheck.project import parse_print, print_from_measurement, read_measurement


@pytest.mark.parametrize(
    ("text", "basis", "layout", "way"),
    [
        ("64mm x 64mm half-drop", ((32.0, 32.0), (0.0, 64.0)), "half-drop", "one-way"),
        ("64mm x 64mm", ((64.0, 0.0), (0.0, 64.0)), "straight", "one-way"),
        ("6.4 cm straight two-way", ((64.0, 0.0), (0.0, 64.0)), "straight", "two-way"),
        ("60x80mm drop 1/4 tossed", ((60.0, 20.0), (0.0, 80.0)), "drop", "tossed"),
        ("60 mm x 80 mm 1/4 drop", ((60.0, 20.0), (0.0, 80.0)), "drop", "one-way"),
        ("60 mm \u00d7 8 cm, half drop, four way", ((30.0, 40.0), (0.0, 80.0)), "half-drop", "four-way"),
        ("1 in x 2 in straight", ((25.4, 0.0), (0.0, 50.8)), "straight", "one-way"),
        ('1" x 1" half-drop', ((12.7, 12.7), (0.0, 25.4)), "half-drop", "one-way"),
        ("12mm stripe", ((12.0, 0.0),), "stripe", "one-way"),
        ("12mm cross-stripe two-way", ((0.0, 12.0),), "stripe", "two-way"),
    ],
)
def test_spellings(text, basis, layout, way):
    made = parse_print(text)
    assert made.lattice is not None
    for got, want in zip(made.lattice.basis_mm, basis, strict=True):
        assert got == pytest.approx(want)
    assert (made.layout, made.way, made.source) == (layout, way, "command line")


def test_plain_cloth_has_no_lattice():
    assert parse_print("plain").lattice is None


def test_across_and_along_are_the_shortest_straight_translations():
    # common practice in the lattice sense: a half-drop repeats across only after two columns
    lattice = parse_print("64mm x 80mm half-drop").lattice
    assert lattice is not None
    assert lattice.shortest_along_axis(0) == pytest.approx(64)
    assert lattice.shortest_along_axis(1) == pytest.approx(80)


@pytest.mark.parametrize(
    "text",
    [
        "", "64", "64 x 64", "half-drop", "64mm x", "64mm x 64mm hlaf-drop", "64mm x 64mm drop",
        "64mm x 64mm drop 3/2", "64mm x 64mm drop 1/0", "120mm x 40mm brick", "64mm x 64mm one-way two-way",
        "0mm x 64mm", "-5mm", "1mm x 1mm", "nan mm", "64mm x 64mm x 64mm", "64mm straight half-drop",
        "99999999999 m", "64mm x 64mm straight; rm -rf",
    ],
)  # fmt: skip
def test_spellings_that_are_refused(text):
    with pytest.raises(InputError) as caught:
        parse_print(text)
    assert "--repeat" in caught.value.message
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("text", "basis"),
    [
        ('across = "64 mm"\nalong = "80 mm"', ((64.0, 0.0), (0.0, 80.0))),
        ('across = "60 mm"\nalong = "80 mm"\nlayout = "drop"\ndrop = "1/4"', ((60.0, 20.0), (0.0, 80.0))),
        ('across = "60 mm"\nalong = "80 mm"\nlayout = "drop"\ndrop = 0.25', ((60.0, 20.0), (0.0, 80.0))),
        ('across = "12 mm"\nlayout = "stripe"', ((12.0, 0.0),)),
        ('along = "12 mm"\nlayout = "stripe"', ((0.0, 12.0),)),
        (
            'basis = [["60 mm", "40 mm"], ["0 mm", "80 mm"]]\nlayout = "half-drop"',
            ((60.0, 40.0), (0.0, 80.0)),
        ),
    ],
)
def test_the_print_table(load, text, basis):
    made = load(f"[print]\n{text}").print
    assert made.lattice.basis_mm == basis


def test_a_slanting_stripe_from_both_its_translations(load):
    made = load('[print]\nacross = "30 mm"\nalong = "40 mm"\nlayout = "stripe"').print
    # a right triangle of 30 and 40: the height over its hypotenuse is 24 (arithmetic)
    assert math.hypot(*made.lattice.basis_mm[0]) == pytest.approx(24)
    assert made.lattice.shortest_along_axis(0) == pytest.approx(30)
    assert made.lattice.shortest_along_axis(1) == pytest.approx(40)


def measurement(repeat: Repeat, *, way="two-way") -> Measurement:
    return Measurement(
        photo=PhotoFacts("a.jpg", 100, 100),
        scale=Scale("card", 0.1, 0.002),
        repeat=repeat,
        motif=Motif(20.0, 30.0),
        direction=Direction(way, 0.8),
        stripe_or_check=None,
        clump=None,
        classes=("medium",),
        seams=SeamsSeen(12.0, 6.0, 1.5, "slight", "level"),
        difficulty=Difficulty("care"),
    )


HALF_DROP = Repeat("lattice", "half-drop", 0.5, 120.0, 80.0, ((60.0, 40.0), (0.0, 80.0)), 0.4, 0.9)


def test_a_measurement_becomes_a_print():
    made = print_from_measurement(measurement(HALF_DROP))
    assert made.lattice == Lattice(((60.0, 40.0), (0.0, 80.0)))
    assert (made.layout, made.way, made.source) == ("half-drop", "two-way", "photo")
    assert (made.motif_width_mm, made.motif_height_mm) == (20.0, 30.0)
    assert made.error_share == pytest.approx(0.4 / math.hypot(60, 40))
    assert made.pattern_delta_e == 6.0
    assert made.needs == "level"


@pytest.mark.parametrize("skew_deg", [0.5, -1.0, 2.0])
def test_a_print_off_grain_is_planned_as_it_was_meant(skew_deg):
    # a shear by the skew, undone: the rows of 80 mm are square to the selvage again (arithmetic)
    lean = 60.0 * math.tan(math.radians(skew_deg))
    basis = ((60.0, 40.0 + lean), (0.0, 80.0))
    repeat = Repeat("lattice", "half-drop", 0.5, 120.0, 80.0, basis, 0.4, 0.9, skew_deg=skew_deg)
    made = print_from_measurement(measurement(repeat))
    for got, want in zip(made.lattice.basis_mm, ((60.0, 40.0), (0.0, 80.0)), strict=True):
        assert got == pytest.approx(want)
    assert made.skew_deg == skew_deg


def test_its_json_document_gives_the_same_print(tmp_path):
    import dataclasses

    path = tmp_path / "measured.json"
    path.write_text(json.dumps(dataclasses.asdict(measurement(HALF_DROP))))
    made = read_measurement(path)
    assert dataclasses.replace(made, source="photo") == print_from_measurement(measurement(HALF_DROP))
    assert made.source == "measurement"


def test_a_measured_stripe():
    made = print_from_measurement(
        measurement(Repeat("stripe", "stripe", None, 12.0, None, ((12.0, 0.0),), 0.1))
    )
    assert made.lattice is not None and made.lattice.is_stripe


def test_no_repeat_is_plain_cloth():
    made = print_from_measurement(measurement(Repeat("none")))
    assert made.lattice is None
    assert made.layout == "none"


def test_a_repeat_beyond_the_photo_gives_no_answer():
    with pytest.raises(NoAnswerError, match=r"at least 15\.0 cm") as caught:
        print_from_measurement(measurement(Repeat("beyond-photo", at_least_mm=150.0)))
    assert "--repeat" in caught.value.remedy


@pytest.mark.parametrize(
    "change",
    [
        lambda d: d.update(schema="other/1"),
        lambda d: d.pop("repeat"),
        lambda d: d["repeat"].update(kind="spiral"),
        lambda d: d["repeat"].update(layout="spiral"),
        lambda d: d["repeat"].update(basis_mm=[[60, 0], [120, 0]]),
        lambda d: d["repeat"].update(basis_mm=[[60, 0], ["x", 0]]),
        lambda d: d["repeat"].update(basis_mm=[[float("nan"), 0], [0, 60]]),
        lambda d: d["repeat"].update(basis_mm=[[1e9, 0], [0, 60]]),
        lambda d: d["repeat"].update(basis_mm=[[0.1, 0], [0, 60]]),
        lambda d: d["repeat"].update(basis_mm=[]),
        lambda d: d["repeat"].update(error_mm=float("inf")),
        lambda d: d["repeat"].update(skew_deg=float("nan")),
        lambda d: d["repeat"].update(skew_deg=80),
        lambda d: d["direction"].update(way="up"),
        lambda d: d.update(direction=None),
        lambda d: d["motif"].update(width_mm="wide"),
    ],
)
def test_broken_measurements_are_refused(change):
    import dataclasses

    document = json.loads(json.dumps(dataclasses.asdict(measurement(HALF_DROP))))
    change(document)
    with pytest.raises(InputError) as caught:
        print_from_measurement(document)
    assert caught.value.remedy


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"\xff\xfe", b"null", b"[" * 100_000])
def test_files_that_hold_no_measurement(tmp_path, content):
    path = tmp_path / "measured.json"
    path.write_bytes(content)
    with pytest.raises(InputError):
        read_measurement(path)


def test_no_measurement_file(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        read_measurement(tmp_path / "none.json")
