"""A few cases of the fuzzing on every run, and what it has found, kept."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tests.fuzz.inputs import DRAWN_PIECE, PROJECT, SVG, Case, Maker, dxf_pattern, pictures
from tests.fuzz.run import Runner, faults

KINDS = 24  # cases until each kind of input has come
DRAWN = DRAWN_PIECE.format(key='outline_svg = { file = "a.svg", id = "p" }').encode()
SLOW_KINDS = {"folder", "list"}  # processes of their own: tests/batch has damaged ones


@pytest.fixture(scope="module")
def runner() -> Iterator[Runner]:
    with Runner() as made:
        yield made


@pytest.fixture(scope="module")
def maker() -> Maker:
    return Maker(7)


@pytest.mark.parametrize("number", range(KINDS))
def test_each_kind_of_input_is_answered(number: int, maker: Maker, runner: Runner) -> None:
    case = maker.case(number)
    if case.kind not in SLOW_KINDS:
        assert not runner.faults(case), case.argv


def test_cases_come_from_their_seed_alone(maker: Maker) -> None:
    assert maker.case(5) == Maker(7).case(5) != Maker(8).case(5)


def case(argv: str, *statuses: int, **files: bytes) -> Case:
    named = {name.replace("_", "."): data for name, data in files.items()}
    return Case("find", tuple(argv.split()), frozenset(statuses), named)


def found() -> dict[str, Case]:
    small = pictures()
    tiff = bytearray(small["tiff"])
    tiff[-12:] = b""
    drawn = DRAWN_PIECE.format(key='outline_dxf = { file = "a.dxf", piece = "FRONT" }').encode()
    cut_dxf = re.sub(r"(VERTEX\n.*?)\n 10\n", r"\1\n 1_\n", dxf_pattern(), count=1, flags=re.S).encode()
    end = small["png"].rindex(b"IEND")
    long_end = small["png"][: end - 4] + b"\x7f\xff\xff\xff" + small["png"][end:]
    odd_dxf = dxf_pattern().replace("200.0", "200.0_").encode()
    return {
        # the search for a card took its longest stretch of edge from a picture shorter than that
        "a card looked for in a small photo": case(
            "measure a.png --reference card --json", 1, a_png=small["png"]
        ),
        # Pillow warned on standard error
        "a TIFF whose directory is cut": case("measure a.tiff --dpi 90 --json", 0, 2, a_tiff=bytes(tiff)),
        # ezdxf wrote on standard error what it mended
        "a DXF file with odd numbers": case(
            "length p.toml --repeat plain --seconds 0.5 --json", 0, p_toml=drawn, a_dxf=odd_dxf
        ),
        # ezdxf read the file and fell over a corner without a place when its line was followed
        "a DXF file whose corner has no place": case(
            "length p.toml --repeat plain --seconds 0.5 --json", 2, p_toml=drawn, a_dxf=cut_dxf
        ),
        # the scale that follows from the print was not held against the limits
        "a repeat of a millionth of a millimetre": case(
            "measure a.png --repeat-is=0.000001mm --json", 2, a_png=small["png"]
        ),
        # the decoder set aside 2 gigabytes for what its last chunk says it holds
        "a PNG whose end says that it is long": case("measure a.png --dpi 90 --json", 2, a_png=long_end),
        # the system's own error for a zero byte in a name
        "a zero byte in a file's name": case("scalecard \0", 2),
    }


@pytest.mark.parametrize("name", list(found()))
def test_what_was_found_stays_mended(name: str, runner: Runner) -> None:
    assert not runner.faults(found()[name])


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ((0, '{"schema": "x"}', ""), ""),
        ((1, '{"error": {"code": "c", "message": "m", "remedy": "r"}}', "printcheck: m r"), "status 1"),
        ((2, '{"error": {"code": "c", "message": "m", "remedy": ""}}', "printcheck: m"), "without message"),
        ((2, "", "printcheck: m"), "no single document"),
        ((0, "{} {}", ""), "no single document"),
        (
            (2, '{"error": {"code": "internal-fault", "message": "m", "remedy": "r"}}', "printcheck: m"),
            "our own",
        ),
        ((0, "{}", "Traceback (most recent call last)"), "our own"),
        ((0, "{}", "libpng warning"), "an answer, and"),
        ((2, '{"error": {"code": "c", "message": "m", "remedy": "r"}}', "libpng warning"), "begins with"),
    ],
)
def test_the_judge_itself_sees_what_is_wrong(answer: tuple[int, str, str], said: str) -> None:
    wrong = faults(case("measure a.png --json", 0, 2), *answer)
    assert said in " ".join(wrong) if said else not wrong


@pytest.mark.parametrize("files", [{"p.toml": PROJECT.encode()}, {"p.toml": DRAWN, "a.svg": SVG.encode()}])
def test_what_is_damaged_was_sound(files: dict[str, bytes], runner: Runner) -> None:
    argv = ("length", "p.toml", "--repeat", "plain", "--seconds", "0.5", "--json")
    assert not runner.faults(Case("sound", argv, frozenset({0}), files))
