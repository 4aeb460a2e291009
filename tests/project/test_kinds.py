"""Built-in projects: sizes, widths of curtains, joins, and writing out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printcheck.core.errors import InputError
from printcheck.core.plan import Cloth
from printcheck.project import built_in, describe_kinds, load_project, parse_print, refitted, write_project
from printcheck.project.kinds import KINDS
from printcheck.project.outline.polygon import distance_inside_mm, symmetrical
from printcheck.project.seams import OFF_THE_PIECE_MM
from printcheck.report.words.findings import said

PRINTS = [
    None,
    "64mm x 64mm half-drop",
    "640mm x 530mm drop 1/3",
    "12mm stripe",
    "30mm cross-stripe",
    "plain",
]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("repeat", PRINTS)
def test_every_kind_fits_its_cloth_and_its_points_lie_on_it(kind, repeat):
    made = built_in(kind, {}, print_=None if repeat is None else parse_print(repeat))
    pieces = {p.name: p for p in made.pieces}
    assert len(pieces) == len(made.pieces)
    for piece in made.pieces:
        assert 0 < piece.width_mm <= made.cloth.usable_width_mm
        assert piece.length_mm > 0
        assert symmetrical(piece) or not piece.on_fold
    for seam in made.seams:
        for end in seam.join:
            # on the stitching line, not the edge; the selvedge is the allowance of a full width
            least = -OFF_THE_PIECE_MM if seam.name in ("join", "meeting edges", "pair") else 1
            assert distance_inside_mm(pieces[end.piece], end.at) > least
        assert seam.name
    for place in made.places:
        assert distance_inside_mm(pieces[place.piece], place.at) > 1


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("repeat", PRINTS)
def test_written_out_and_read_again_it_is_the_same(kind, repeat, tmp_path):
    made = built_in(kind, {}, print_=None if repeat is None else parse_print(repeat))
    write_project(made, tmp_path / "out.toml")
    again = load_project(tmp_path / "out.toml")
    printed = None if made.print is None else replace(made.print, source="project")
    assert again == replace(made, kind="", sizes=(), findings=(), print=printed)


@pytest.mark.parametrize(
    ("kind", "options"),
    [
        ("skirt", {"waist": "120 cm", "fullness": "3"}),
        ("skirt", {"waist": "40 cm", "length": "12 cm"}),
        ("a-line-skirt", {"waist": "40 cm", "length": "10 cm", "flare": "0 cm"}),
        ("a-line-skirt", {"hip": "160 cm", "length": "120 cm", "flare": "9 cm", "cloth.width": "300 cm"}),
        ("trousers", {"hip": "60 cm", "leg": "20 cm"}),
        (
            "pyjamas",
            {"height": "80 cm", "hip": "50 cm", "bust": "50 cm", "length": "20 cm", "sleeve": "5 cm"},
        ),
        ("blouse", {"bust": "50 cm", "length": "20 cm", "sleeve": "5 cm"}),
        ("shirt", {"chest": "150 cm", "length": "30 cm", "sleeve": "15 cm"}),
        ("dress", {"hip": "160 cm", "length": "30 cm", "cloth.width": "200 cm"}),
        ("apron", {"width": "20 cm", "length": "25 cm", "bib": "8 cm"}),
        ("apron", {"width": "30 cm", "bib": "60 cm"}),
        ("cushion", {"size": "10 cm", "count": "20"}),
        ("bag", {"width": "10 cm", "height": "10 cm"}),
        ("dungarees", {"height": "60 cm"}),
        ("blind", {"width": "4 m", "drop": "10 cm", "side_hem": "0 cm"}),
        ("tablecloth", {"width": "5 m", "length": "10 cm", "hem": "0 cm"}),
        ("duvet", {"width": "3 m", "pillows": "0", "cloth.width": "140 cm"}),
        ("backing", {"width": "4 m", "length": "4 m"}),
        ("bunting", {"width": "3 cm", "height": "60 cm", "count": "30"}),
        ("binding", {"run": "100 m", "width": "10 cm"}),
        ("napkin", {"size": "5 cm", "hem": "0 cm", "count": "60"}),
        ("curtain", {"track": "30 cm", "drop": "10 cm", "hem": "0 cm", "fullness": "1"}),
        ("curtain", {"track": "20 m", "fullness": "4", "curtains": "1"}),
    ],
)
def test_sizes_at_their_ends_still_make_a_sound_project(kind, options, tmp_path):
    made = built_in(kind, options)
    write_project(made, tmp_path / "out.toml")
    assert load_project(tmp_path / "out.toml").pieces == made.pieces


def test_more_panels_where_the_cloth_is_narrow():
    made = built_in("skirt", {"waist": "120 cm", "fullness": "3"}, cloth=Cloth(900.0))
    panels = [p for p in made.pieces if p.name.startswith("panel")]
    assert len(panels) == 5  # 360 cm over 87 cm (derived)
    assert len(made.seams) == 5  # a ring


def test_a_kind_is_drawn_anew_for_another_cloth_and_print():
    made = built_in("curtain", {"track": "180 cm"})
    narrow = refitted(made, cloth=Cloth(700.0), print_=parse_print("64mm x 64mm"))
    assert narrow == replace(
        built_in("curtain", {"track": "180 cm"}, cloth=Cloth(700.0), print_=parse_print("64mm x 64mm")),
        name=made.name,
    )
    assert len(narrow.pieces) > len(made.pieces)


def test_a_project_from_pieces_keeps_them_on_another_cloth(load):
    made = load("")
    assert refitted(made, cloth=Cloth(900.0)).pieces == made.pieces


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("curtains", "curtain"),
        ("Tote bag", "bag"),
        ("cushion covers", "cushion"),
        ("napkins", "napkin"),
        ("A-line skirt", "a-line-skirt"),
        ("gathered skirt", "skirt"),
        ("roman blinds", "blind"),
        ("duvet set", "duvet"),
        ("quilt backing", "backing"),
        ("bias binding", "binding"),
        ("pyjama", "pyjamas"),
        ("pyjama trousers", "pyjama-trousers"),
        ("trouser", "trousers"),
    ],
)
def test_other_words_for_a_kind(word, name):
    assert built_in(word).kind == name


@pytest.mark.parametrize(
    ("kind", "options", "code"),
    [
        ("tent", {}, "unknown-kind"),
        ("", {}, "unknown-kind"),
        ("curtain", {"trak": "1 m"}, "unknown-key"),
        ("curtain", {"track": "180"}, "length-without-unit"),
        ("curtain", {"track": "-1 m"}, "size-out-of-range"),
        ("curtain", {"fullness": "two"}, "not-a-number"),
        ("curtain", {"fullness": "nan"}, "not-a-number"),
        ("curtain", {"curtains": "1.5"}, "not-a-count"),
        ("curtain", {"curtains": "3"}, "size-out-of-range"),
        ("curtain", {"railroaded": "perhaps"}, "unknown-word"),
        ("curtain", {"fullness": "many %"}, "not-a-number"),
        ("dress", {"size": "huge"}, "unknown-word"),
        ("dress", {"bust": "5 m"}, "size-out-of-range"),
        # no waist stands so high: 62 % of the height, from memory
        ("skirt", {"length": "135 cm"}, "size-out-of-range"),
        ("a-line-skirt", {"length": "135 cm"}, "size-out-of-range"),
        ("curtain", {"cloth.width": "3"}, "length-without-unit"),
        ("curtain", {"track": "20 m", "fullness": "4", "cloth.width": "30 cm"}, "too-many-pieces"),
        ("shirt", {"cloth.width": "60 cm"}, "piece-too-wide"),
    ],
)
def test_bad_kinds_and_sizes(kind, options, code):
    with pytest.raises(InputError) as caught:
        built_in(kind, options)
    assert caught.value.code == code


def test_cloth_may_be_set_with_the_sizes():
    made = built_in("bag", {"cloth.width": "110 cm", "cloth.price": "9.5", "cloth.currency": "EUR"})
    assert (made.cloth.width_mm, made.cloth.price, made.cloth.currency) == (1100.0, 9.5, "EUR")


def test_childrens_things_carry_the_line_on_safety():
    assert "not safety" in said(built_in("dungarees").findings[-1]).text


def test_all_kinds_are_described():
    text = describe_kinds()
    for kind in KINDS.values():
        assert kind.title in text
        for name in kind.sizes:
            assert f"    {name} = " in text
