"""Sound project files."""

from __future__ import annotations

from pathlib import Path

import pytest

from printcheck.core.errors import InputError
from printcheck.core.plan import Cloth, Place, SeamEnd
from printcheck.project import load_project, write_project

# the example of the project file as it is described to users
SKIRT = """
name = "Gathered skirt"
[cloth]
width = "140 cm"
selvedge = "1 cm"
shrink_along = "4 %"
shrink_across = "2 %"
sold_by = "10 cm"
price = 12.50
price_per = "1 m"
currency = "EUR"
[print]
across = "64 mm"
along = "64 mm"
layout = "half-drop"
way = "one-way"
[[piece]]
name = "front"
count = 2
mirrored = true
width = "52 cm"
length = "70 cm"
turn = "half"
[[seam]]
join = [{ piece = "front#1", at = ["52 cm", "10 cm"] }, { piece = "front#2", at = ["0 cm", "10 cm"] }]
match = "both"
[[place]]
piece = "front#1"
at = ["26 cm", "20 cm"]
on = "motif"
"""


def test_the_documented_example(load):
    project = load(SKIRT)
    assert project.name == "Gathered skirt"
    assert project.cloth == Cloth(1400.0, 10.0, 0.04, 0.02, 100.0, 12.5, 1000.0, "EUR")
    assert [(p.name, p.width_mm, p.length_mm, p.mirrored) for p in project.pieces] == [
        ("front#1", 520.0, 700.0, False),
        ("front#2", 520.0, 700.0, True),
    ]
    (seam,) = project.seams
    assert seam.join == (SeamEnd("front#1", (520.0, 100.0)), SeamEnd("front#2", (0.0, 100.0)))
    assert seam.match == "both"
    assert project.places == (Place("front#1", (260.0, 200.0), "motif"),)
    assert project.print is not None and project.print.lattice is not None
    assert project.print.lattice.basis_mm == ((32.0, 32.0), (0.0, 64.0))  # across is two columns
    assert project.print.source == "project"


def test_usable_width_is_after_washing(load):
    assert load(SKIRT).cloth.usable_width_mm == pytest.approx((1400 - 20) * 0.98)


def test_a_seam_on_the_cutting_line_is_remarked_on(load):
    assert [f.code for f in load(SKIRT).findings] == ["seam-on-cutting-line"]
    inside = SKIRT.replace('["52 cm", "10 cm"]', '["50.5 cm", "10 cm"]').replace(
        '["0 cm", "10 cm"]', '["1.5 cm", "10 cm"]'
    )
    assert load(inside).findings == ()


def test_few_keys_are_needed(load):
    project = load("")
    assert project.name == "thing"
    assert project.cloth == Cloth(1400.0)
    assert project.print is None
    assert [p.name for p in project.pieces] == ["front#1"]


def test_a_name_too_long_for_a_sentence_is_cut(load):
    assert load(f'name = "{"x" * 100}"').name == "x" * 60


def test_a_single_copy_may_be_named_without_its_number(load):
    project = load('[[place]]\npiece = "front"\nat = ["1 cm", "1 cm"]')
    assert project.places == (Place("front#1", (10.0, 10.0), "motif"),)


def test_width_of_the_command_line_wins(load, tmp_path: Path):
    load("")
    assert load_project(tmp_path / "thing.toml", width="110cm").cloth.width_mm == 1100.0


def test_windows_line_ends_and_byte_order_mark(tmp_path: Path):
    path = tmp_path / "thing.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SKIRT.replace("\n", "\r\n").encode())
    assert load_project(path).name == "Gathered skirt"


TRIANGLE = """
[[piece]]
name = "gore"
count = 2
mirrored = true
outline = [["10 cm", "10 cm"], ["40 cm", "10 cm"], ["10 cm", "50 cm"], ["10 cm", "10 cm"]]
[[place]]
piece = "gore#1"
at = ["12 cm", "11 cm"]
"""


def test_an_outline_is_put_into_the_corner_of_its_box_with_its_points(load):
    project = load(TRIANGLE)
    first, second = project.pieces
    assert (first.width_mm, first.length_mm) == (300.0, 400.0)
    assert set(first.outline) == {(0.0, 0.0), (300.0, 0.0), (0.0, 400.0)}
    assert set(second.outline) == {(300.0, 0.0), (0.0, 0.0), (300.0, 400.0)}
    assert project.places[0].at == (20.0, 10.0)


@pytest.mark.parametrize(
    ("fold", "width", "length", "corners"),
    [
        # a trapezium 10 cm wide at the top, 20 cm at the foot, its left side straight
        ("left", 400.0, 300.0, {(100.0, 0.0), (300.0, 0.0), (400.0, 300.0), (0.0, 300.0)}),
        ("bottom", 200.0, 600.0, {(0.0, 0.0), (100.0, 0.0), (200.0, 300.0), (100.0, 600.0), (0.0, 600.0)}),
        ("top", 200.0, 600.0, {(0.0, 0.0), (200.0, 0.0), (100.0, 300.0), (200.0, 600.0), (0.0, 600.0)}),
    ],
)
def test_a_piece_on_the_fold_is_laid_open(load, fold, width, length, corners):
    outline = '[["0 cm", "0 cm"], ["10 cm", "0 cm"], ["20 cm", "30 cm"], ["0 cm", "30 cm"]]'
    (piece,) = load(f'[[piece]]\nname = "back"\nfold = "{fold}"\noutline = {outline}').pieces
    assert (piece.width_mm, piece.length_mm) == (width, length)
    assert {(round(x, 6), round(y, 6)) for x, y in piece.outline} == corners


def test_a_rectangle_on_the_fold_doubles(load):
    (piece,) = load('[[piece]]\nname = "back"\nfold = "right"\nwidth = "30 cm"\nlength = "70 cm"').pieces
    assert (piece.width_mm, piece.length_mm, piece.outline) == (600.0, 700.0, ())


def test_a_kind_with_its_own_sizes(load):
    project = load('kind = "curtain"\ntrack = "300 cm"\ndrop = "200 cm"\n[cloth]\nwidth = "150 cm"')
    assert project.kind == "curtain"
    assert project.cloth.width_mm == 1500.0
    assert project.cloth.selvedge_mm == 10.0  # the kind's own, where the file says nothing
    assert dict(project.sizes)["track"] == "300 cm"


def test_a_border_print_must_fit_the_width_with_its_length(load):
    text = '[print]\nacross = "30 cm"\nalong = "30 cm"\nborder = true\n'
    wide = '[[piece]]\nname = "panel"\nwidth = "200 cm"\nlength = "100 cm"'
    assert load(text + wide).pieces[0].width_mm == 2000.0


PANEL = '[[piece]]\nname = "panel"\nwidth = "70 cm"\nlength = "60 cm"\n'
BODICE = '[[piece]]\nname = "bodice"\nwidth = "45 cm"\nlength = "50 cm"\n'


@pytest.mark.parametrize(
    ("panel", "bodice", "on_the_border"),
    # common practice: what shows the border lies on it, the rest is cut from the field
    [
        ("", "", [True, True]),
        ("border = true\n", "", [True, False]),
        ("", "border = false\n", [True, False]),
        ("border = true\n", "border = true\n", [True, True]),
    ],
)
def test_pieces_on_the_border_are_chosen(load, panel, bodice, on_the_border):
    made = load(PANEL + panel + BODICE + bodice)
    assert [p.on_border for p in made.pieces] == on_the_border


def test_a_piece_off_the_border_may_be_longer_than_the_cloth_is_wide(load):
    text = '[print]\nacross="3 cm"\nalong="3 cm"\nborder=true\n' + PANEL + BODICE.replace("50 cm", "2 m")
    assert load(text + "border = false\n").pieces[1].length_mm == 2000.0
    with pytest.raises(InputError, match="crosswise"):
        load(text)


def test_halves_given_on_the_fold_and_whole_symmetrical_pieces_may_be_cut_on_it(load):
    half, whole, plain = load(
        PANEL.replace("panel", "half") + 'fold = "left"\n' + BODICE + "on_fold = true\n" + PANEL
    ).pieces
    assert (half.on_fold, half.width_mm, whole.on_fold, plain.on_fold) == (True, 1400.0, True, False)


def test_plain_cloth_has_no_up_unless_said(load):
    assert load('[print]\nlayout = "none"\n').print.way == "four-way"
    assert load('[print]\nlayout = "none"\nway = "one-way"\n').print.way == "one-way"
    assert load('[print]\nacross = "1 cm"\nalong = "1 cm"\n').print.way == "one-way"


def test_the_motif_s_distance_from_the_selvedge_and_the_join_are_read(load):
    made = load(
        '[cloth]\nwidth = "140 cm"\njoin = "lap"\n'
        '[print]\nacross = "5 cm"\nalong = "5 cm"\nmotif_from_selvedge = "10 cm"\n'
    )
    assert (made.cloth.join, made.print.motif_from_selvedge_mm) == ("lap", 100.0)


@pytest.mark.parametrize(
    ("family", "feature"), [("check", "crossing"), ("plaid", "crossing"), ("stripe", "bar"), (None, "spot")]
)
def test_the_family_of_a_print_says_what_to_lay_pieces_by(tmp_path, family, feature):
    said = f'family = "{family}"\n' if family else ""
    (tmp_path / "a.toml").write_text(
        f'[cloth]\nwidth = "1 m"\n[print]\nacross = "5 cm"\nalong = "5 cm"\n{said}'
        '[[piece]]\nname = "a"\nwidth = "10 cm"\nlength = "10 cm"\n'
    )
    made = load_project(tmp_path / "a.toml")
    assert made.print.feature == feature
    write_project(made, tmp_path / "b.toml")
    assert load_project(tmp_path / "b.toml").print == made.print
