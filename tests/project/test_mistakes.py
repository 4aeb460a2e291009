"""Broken project files: each mistake is a line that says where, what and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from printcheck.core.errors import InputError
from printcheck.project import load_project

A_PIECE = '[[piece]]\nname = "front"\ncount = 2\nwidth = "52 cm"\nlength = "70 cm"\n'


def seam(first: str, second: str) -> str:
    return A_PIECE + f"[[seam]]\njoin = [{first}, {second}]\n"


GOOD_END = '{ piece = "front#1", at = ["10 cm", "10 cm"] }'

BAD = {
    # name: (text, code, place, words)
    "unknown key": ('colour = "red"', "unknown-key", "colour", "unknown key"),
    "unknown key of a piece": (
        A_PIECE + 'widht = "1 cm"', "unknown-key", "piece[1].widht", "Did you mean width?",
    ),
    "no pieces": ("piece = []\nname = '[[piece]]'", "no-pieces", "piece", "no pieces"),
    "no copies": (A_PIECE.replace("2\n", "0\n", 1), "bad-count", "piece[1].count", "not a number of copies"),
    "half a copy": (A_PIECE.replace("2\n", "1.5\n", 1), "wrong-value", "piece[1].count", "whole number"),
    "ten thousand": (A_PIECE.replace("2\n", "10000\n", 1), "too-many-pieces", "piece", "100"),
    "a number too large to hold": (
        A_PIECE.replace("2\n", "9223372036854775807\n", 1), "too-many-pieces", "piece", "100",
    ),
    "same name": (A_PIECE + A_PIECE, "duplicate-name", "piece[2].name", "used twice"),
    "no name": ('[[piece]]\nwidth = "1 cm"\nlength = "1 cm"', "missing-key", "piece[1].name", "no name"),
    "a name with a number sign": (A_PIECE.replace("front", "a#1"), "bad-name", "piece[1].name", "#"),
    "bare number": (A_PIECE.replace('"52 cm"', "52"), "length-without-unit", "piece[1].width", "52"),
    "not a number": (A_PIECE.replace('"52 cm"', "nan"), "length-without-unit", "piece[1].width", "nan"),
    "not a number, as text": (
        A_PIECE.replace('"52 cm"', '"nan cm"'), "length-without-unit", "piece[1].width", "nan",
    ),
    "infinite": (A_PIECE.replace('"52 cm"', "inf"), "length-without-unit", "piece[1].width", "inf"),
    "negative": (
        A_PIECE.replace('"52 cm"', '"-52 cm"'), "length-not-positive", "piece[1].width", "more than zero",
    ),
    "zero": (A_PIECE.replace('"52 cm"', '"0 cm"'), "length-not-positive", "piece[1].width", "more than zero"),
    "no length": (A_PIECE.replace('length = "70 cm"', ""), "missing-key", "piece[1].length", "missing"),
    "too wide": (A_PIECE.replace('"52 cm"', '"152 cm"'), "piece-too-wide", "piece[1].width", "140.0 cm"),
    "a bad turn": (A_PIECE + 'turn = "full"', "wrong-value", "piece[1].turn", "half, none"),
    "an outline that crosses": (
        '[[piece]]\nname = "a"\noutline = '
        '[["0 cm","0 cm"],["10 cm","10 cm"],["10 cm","0 cm"],["0 cm","10 cm"]]',
        "outline-crosses-itself", "piece[1].outline", "50.0 mm, 50.0 mm",
    ),
    "an outline of two points": (
        '[[piece]]\nname = "a"\noutline = [["0 cm","0 cm"],["10 cm","10 cm"]]',
        "outline-too-few-points", "piece[1].outline", "three points",
    ),
    "an outline without area": (
        '[[piece]]\nname = "a"\noutline = [["0 cm","0 cm"],["10 cm","10 cm"],["20 cm","20 cm"]]',
        "outline-crosses-itself", "piece[1].outline", "touches itself",
    ),
    "a point of three numbers": (
        '[[piece]]\nname = "a"\noutline = [["0 cm","0 cm","1 cm"],["10 cm","10 cm"],["0 cm","10 cm"]]',
        "wrong-value", "piece[1].outline[1]", "list of 2",
    ),
    "a point without units": (
        '[[piece]]\nname = "a"\noutline = [[0, 0],["10 cm","10 cm"],["0 cm","10 cm"]]',
        "length-without-unit", "piece[1].outline[1][1]", "unit",
    ),
    "an outline that disagrees": (
        '[[piece]]\nname = "a"\nwidth = "12 cm"\n'
        'outline = [["0 cm","0 cm"],["10 cm","10 cm"],["0 cm","10 cm"]]',
        "outline-disagrees", "piece[1].width", "10.0 cm",
    ),
    "a fold off the edge": (
        '[[piece]]\nname = "a"\nfold = "right"\noutline = '
        '[["0 cm","0 cm"],["10 cm","5 cm"],["0 cm","10 cm"]]',
        "fold-off-the-edge", "piece[1].fold", "right side",
    ),
    "halves that differ": (
        '[[piece]]\nname = "a"\non_fold = true\n'
        'outline = [["0 cm","0 cm"],["10 cm","0 cm"],["0 cm","10 cm"]]',
        "not-symmetrical", "piece[1].on_fold", "halves of the piece differ",
    ),
    "a motif outside the cloth's edge": (
        '[print]\nacross = "5 cm"\nalong = "5 cm"\nmotif_from_selvedge = "-1 cm"',
        "length-negative", "print.motif_from_selvedge", "less than zero",
    ),
    "a bad join": ('[cloth]\nwidth = "1 m"\njoin = "sewn"', "wrong-value", "cloth.join", "selvedge, lap"),
    "a seam to nowhere": (
        seam(GOOD_END, '{ piece = "back#1", at = ["1 cm", "1 cm"] }'),
        "unknown-piece", "seam[1].join[2].piece", "front#1, front#2",
    ),
    "a seam to one of several": (
        seam(GOOD_END, '{ piece = "front", at = ["1 cm", "1 cm"] }'),
        "unknown-piece", "seam[1].join[2].piece", "Did you mean front#",
    ),
    "a point off its piece": (
        seam(GOOD_END, '{ piece = "front#2", at = ["60 cm", "10 cm"] }'),
        "point-off-piece", "seam[1].join[2].at", "80.0 mm outside front#2",
    ),
    "a seam of one end": (
        A_PIECE + f"[[seam]]\njoin = [{GOOD_END}]", "wrong-value", "seam[1].join", "list of 2",
    ),
    "a seam without ends": (A_PIECE + '[[seam]]\nmatch = "level"', "missing-key", "seam[1].join", "missing"),
    "a bad match": (
        seam(GOOD_END, GOOD_END) + 'match = "all"', "wrong-value", "seam[1].match", "both, level, upright",
    ),
    "a place without a point": ('[[place]]\npiece = "front#1"', "missing-key", "place[1]", "needed"),
    "shrinkage without a sign": (
        '[cloth]\nwidth = "1 m"\nshrink_along = "4"', "share-without-percent", "cloth.shrink_along", "%",
    ),
    "shrinkage too large": (
        '[cloth]\nwidth = "1 m"\nshrink_along = "80 %"', "share-out-of-range", "cloth.shrink_along", "50 %",
    ),
    "shrinkage below nothing": (
        '[cloth]\nwidth = "1 m"\nshrink_along = "-3 %"', "share-out-of-range", "cloth.shrink_along", "0 %",
    ),
    "selvedge below nothing": (
        '[cloth]\nwidth = "1 m"\nselvedge = "-1 cm"', "length-negative", "cloth.selvedge", "less than zero",
    ),
    "all selvedge": (
        '[cloth]\nwidth = "1 m"\nselvedge = "50 cm"', "no-usable-width", "cloth.selvedge", "nothing",
    ),
    "a price without currency": (
        '[cloth]\nwidth = "1 m"\nprice = 3.0', "price-without-currency", "cloth.currency", "no currency",
    ),
    "a price that is no number": (
        '[cloth]\nwidth = "1 m"\nprice = nan\ncurrency = "EUR"', "bad-price", "cloth.price", "nan",
    ),
    "a price as text": (
        '[cloth]\nwidth = "1 m"\nprice = "3"\ncurrency = "EUR"', "wrong-value", "cloth.price", "a number",
    ),
    "half a repeat": ('[print]\nacross = "64 mm"', "missing-key", "print.along", "missing"),
    "a drop without a share": (
        '[print]\nacross = "64 mm"\nalong = "64 mm"\nlayout = "drop"', "missing-key", "print.drop", "1/3",
    ),
    "a whole drop": (
        '[print]\nacross = "64 mm"\nalong = "64 mm"\nlayout = "drop"\ndrop = "3/3"',
        "bad-drop", "print.drop", "3/3",
    ),
    "a drop by nothing": (
        '[print]\nacross = "64 mm"\nalong = "64 mm"\nlayout = "drop"\ndrop = "1/0"',
        "division-by-zero", "print.drop", "zero",
    ),
    "a weave": ('[print]\nacross = "1 mm"\nalong = "1 mm"', "repeat-too-small", "print", "weave"),
    "parallel vectors": (
        '[print]\nbasis = [["10 mm", "10 mm"], ["20 mm", "20 mm"]]', "bad-basis", "print.basis", "parallel",
    ),
    "a vector of nothing": (
        '[print]\nlayout = "stripe"\nbasis = [["0 mm", "0 mm"]]', "repeat-too-small", "print.basis", "weave",
    ),
    "plain cloth with a repeat": (
        '[print]\nlayout = "none"\nacross = "64 mm"', "two-layouts", "print.layout", "plain",
    ),
    "an unknown kind": ('kind = "tent"', "unknown-kind", "kind", "curtain"),
    "a kind nearly right": ('kind = "curtian"', "unknown-kind", "kind", "Did you mean curtain?"),
    "a kind's unknown size": ('kind = "curtain"\ntrak = "1 m"', "unknown-key", "trak", "Did you mean track?"),
    "a kind's size out of range": (
        'kind = "curtain"\nfullness = 40', "size-out-of-range", "fullness", "1 to 4",
    ),
    "a kind's size below its table": (
        'kind = "curtain"\n[cloth]\nwidth = "1 m"\ntrack = "2 m"',
        "misplaced-key", "cloth.track", "above [cloth]",
    ),
    "a kind with pieces": ('kind = "curtain"\n' + A_PIECE, "kind-with-pieces", "kind", "Write it out"),
    "too many napkins": ('kind = "napkin"\ncount = 500', "size-out-of-range", "count", "60"),
    "a kind wider than its cloth": (
        'kind = "cushion"\nsize = "80 cm"\n[cloth]\nwidth = "70 cm"', "piece-too-wide", "cushion", "wide",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_each_mistake_says_where_and_what(load, name):
    text, code, place, words = BAD[name]
    with pytest.raises(InputError) as caught:
        load(text)
    assert caught.value.code == code
    (line,) = caught.value.message.splitlines()
    assert line.startswith(f"{place}: ")
    assert words in line
    assert caught.value.exit_status == 2


def test_every_mistake_is_told_at_once(load):
    with pytest.raises(InputError) as caught:
        load(
            'nmae = "x"\n[cloth]\nwidth = 140\nshrink_along = "4"\nprice = nan\n[print]\nlayout = "hlaf"\n'
            '[[piece]]\nname = "a"\nwidth = "152 cm"\nlength = "nan cm"\n'
            '[[piece]]\ncount = 0\nwidth = "-3 cm"\n'
        )
    assert caught.value.code == "project-mistakes"
    places = [line.split(":")[0] for line in caught.value.message.splitlines()]
    assert places == [
        "nmae", "cloth.width", "cloth.shrink_along", "cloth.price", "print.layout", "piece[1].length",
        "piece[2].name", "piece[2].count", "piece[2].width", "piece[2].length",
    ]  # fmt: skip


def test_hundreds_of_mistakes_are_cut_short(load):
    with pytest.raises(InputError) as caught:
        load('[[piece]]\nwidth = "1 cm"\n' * 50)
    lines = caught.value.message.splitlines()
    assert len(lines) == 21
    assert "80 mistakes more" in lines[-1]


def test_ten_thousand_tables_are_refused(load):
    with pytest.raises(InputError, match="10000 pieces are more than the 100"):
        load("".join(A_PIECE.replace("front", f"p{n}").replace("count = 2\n", "") for n in range(10_000)))


def test_no_cloth_at_all(tmp_path: Path):
    path = tmp_path / "thing.toml"
    path.write_text(A_PIECE)
    with pytest.raises(InputError, match=r"cloth: there is no \[cloth\]"):
        load_project(path)


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"name = ", "not-a-project"),
        (b"\x00\x01\x02", "not-a-project"),
        (b"\xff\xfe\x00", "not-a-project"),
        (b"a = " + b"[" * 100_000, "not-a-project"),
        (b"", "project-mistakes"),
        (b"#" * 5_000_000, "project-too-large"),
    ],
)
def test_files_that_are_no_project(tmp_path: Path, content: bytes, code: str):
    path = tmp_path / "thing.toml"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        load_project(path)
    assert caught.value.code == code


def test_no_file_and_a_folder(tmp_path: Path):
    for path in (tmp_path / "none.toml", tmp_path):
        with pytest.raises(InputError) as caught:
            load_project(path)
        assert caught.value.code == "project-not-found"
