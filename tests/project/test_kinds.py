"""Built-in projects: sizes, widths of curtains, joins, and writing out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printcheck.core.errors import InputError
from printcheck.core.plan import Cloth
from printcheck.project import built_in, describe_kinds, load_project, parse_print, refitted, write_project
from printcheck.project.kinds import KINDS
from printcheck.project.kinds.draft import count_of_widths
from printcheck.project.outline.polygon import distance_inside_mm
from printcheck.report.words.findings import said

PRINTS = [
    None,
    "64mm x 64mm half-drop",
    "640mm x 530mm drop 1/3",
    "12mm stripe",
    "30mm cross-stripe",
    "plain",
]


@pytest.mark.parametrize(
    ("track", "fullness", "usable", "widths"),
    # common practice: widths = track x fullness / usable width, rounded up; rows derived from that rule
    [(180, 2.0, 137, 3), (180, 2.5, 137, 4), (137, 2, 137, 2), (137.001, 2, 137, 3), (300, 2.25, 140, 5)],
)
def test_widths_of_a_curtain(track, fullness, usable, widths):
    assert count_of_widths(track * fullness, usable) == widths
    cloth = Cloth(usable * 10.0)
    made = built_in(
        "curtain", {"track": f"{track} cm", "fullness": str(fullness), "curtains": "1"}, cloth=cloth
    )
    assert len(made.pieces) == widths


def test_an_odd_number_of_widths_is_halved_between_two_curtains():
    made = built_in("curtain", {"track": "180 cm", "fullness": "2"}, cloth=Cloth(1370.0))
    assert [(p.name, p.width_mm) for p in made.pieces] == [
        ("width#1", 1370.0),
        ("width#2", 1370.0),
        ("half width#1", 685.0),
        ("half width#2", 685.0),
    ]


@pytest.mark.parametrize(
    ("repeat", "columns", "dropped"),
    # usable 140 cm less two seams of 1.5 cm; whether full widths join level or dropped goes by the
    # count of half-drop columns between the seam lines: even level, odd dropped (derived)
    [("70cm x 64cm half-drop", 3, True), ("93.34cm x 64cm half-drop", 2, False), ("40cm x 64cm", 3, False)],
)
def test_joins_of_full_widths_lie_whole_columns_apart(repeat, columns, dropped):
    printed = parse_print(repeat)
    made = built_in("curtain", {"curtains": "1", "track": "200 cm"}, cloth=Cloth(1400.0), print_=printed)
    lattice = printed.lattice
    column = lattice.area_mm2 / lattice.shortest_along_axis(1)
    for seam in made.seams:
        first, second = seam.join
        assert (first.at[0] - second.at[0]) / column == pytest.approx(columns)
        # laid under each other with starts half a repeat apart, or none, the join is met exactly
        lag = lattice.shortest_along_axis(1) / 2 if dropped else 0.0
        assert lattice.residual_mm((first.at[0] - second.at[0], lag)) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("repeat", PRINTS)
def test_every_kind_fits_its_cloth_and_its_points_lie_on_it(kind, repeat):
    made = built_in(kind, {}, print_=None if repeat is None else parse_print(repeat))
    pieces = {p.name: p for p in made.pieces}
    assert len(pieces) == len(made.pieces)
    for piece in made.pieces:
        assert 0 < piece.width_mm <= made.cloth.usable_width_mm
        assert piece.length_mm > 0
    for seam in made.seams:
        for end in seam.join:
            assert distance_inside_mm(pieces[end.piece], end.at) > 1  # on the stitching line, not the edge
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
        ("trousers", {"hip": "60 cm", "leg": "20 cm"}),
        ("shirt", {"chest": "150 cm", "length": "30 cm"}),
        ("dress", {"hip": "160 cm", "length": "30 cm"}),
        ("cushion", {"size": "10 cm", "count": "20"}),
        ("bag", {"width": "10 cm", "height": "10 cm"}),
        ("dungarees", {"height": "60 cm"}),
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
    ("said", "name"),
    [("curtains", "curtain"), ("Tote bag", "bag"), ("cushion covers", "cushion"), ("napkins", "napkin")],
)
def test_other_words_for_a_kind(said, name):
    assert built_in(said).kind == name


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
    (safety,) = built_in("dungarees").findings
    assert "not safety" in said(safety).text


def test_all_kinds_are_described():
    text = describe_kinds()
    for kind in KINDS.values():
        assert kind.title in text
        for name in kind.sizes:
            assert f"    {name} = " in text


@pytest.mark.parametrize("repeat", ["64mm x 64mm half-drop", "320mm x 320mm", "100mm x 70mm"])
def test_the_half_widths_of_two_curtains_come_from_one_width_of_cloth(repeat):
    made = built_in("curtain", {"track": "180 cm", "drop": "220 cm"}, print_=parse_print(repeat))
    lattice = made.print.lattice.scaled(0.97, 0.97)
    usable = made.cloth.usable_width_mm
    column = lattice.area_mm2 / lattice.shortest_along_axis(1)
    right = next(s for s in made.seams if s.join[1].piece == "half width#2")
    # the full width starts at the left edge, the half width half the width in: their columns must meet
    offset = (right.join[0].at[0] - usable / 2 - right.join[1].at[0]) / column
    assert offset == pytest.approx(round(offset), abs=1e-6)
