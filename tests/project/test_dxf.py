"""Patterns in DXF as garment CAD writes them (ASTM D6673), the files written by ezdxf."""

from __future__ import annotations

import math

import ezdxf
import pytest
from shapely.geometry import Polygon

from printcheck.core.errors import InputError
from printcheck.project import load_project, write_project

# a front 200 wide and 300 high in mm, y up as CAD draws: hollow at its upper right, as an armhole is
FRONT = [(0, 0), (200, 0), (200, 200), (150, 220), (140, 300), (0, 300)]
CROSSES = "outline-crosses-itself"
SEWN = [(15, 15), (185, 15), (185, 190), (135, 210), (125, 285), (15, 285)]


def pattern(
    path,
    *,
    outline=FRONT,
    name="FRONT",
    units="METRIC",
    grain=((50, 50), (50, 250)),
    notches=(),
    sewn=None,
    mirror=None,
    scale=1.0,
    closed=True,
    turn=0.0,
    header=0,
    version="R12",
):
    """DXF file of one piece in its block, in the layers of the standard."""
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = header
    if units:
        document.modelspace().add_text(f"Units: {units}", dxfattribs={"layer": "1"})
    add_piece(document, outline, name, grain, notches, sewn, mirror, scale, closed, turn)
    document.saveas(path)
    return document


def add_piece(document, outline, name, grain, notches, sewn, mirror, scale, closed, turn):
    def at(p):
        z = complex(*p) * scale * complex(math.cos(turn), math.sin(turn))
        return z.real, z.imag

    block = document.blocks.new(name)
    block.add_polyline2d([at(p) for p in outline], close=closed, dxfattribs={"layer": "1"})
    block.add_text(f"Piece Name: {name.lower()} panel", dxfattribs={"layer": "15"})
    if sewn:
        block.add_polyline2d([at(p) for p in sewn], close=True, dxfattribs={"layer": "14"})
    if grain:
        block.add_line(at(grain[0]), at(grain[1]), dxfattribs={"layer": "7"})
    if mirror:
        block.add_line(at(mirror[0]), at(mirror[1]), dxfattribs={"layer": "6"})
    for notch in notches:
        block.add_point(at(notch), dxfattribs={"layer": "4"})
    block.add_line(at((60, 60)), at((90, 200)), dxfattribs={"layer": "8"})  # internal: no cutting line
    document.modelspace().add_blockref(name, (500, 500))


def project(tmp_path, more="", extra="", rest=""):
    text = (
        '[cloth]\nwidth = "140 cm"\n[[piece]]\nname = "front"\n'
        f'outline_dxf = {{ file = "a.dxf"{more} }}\n{extra}\n{rest}'
    )
    (tmp_path / "a.toml").write_text(text)
    return load_project(tmp_path / "a.toml")


def codes(made):
    return [f.code for f in made.findings]


def same(piece, points, tolerance=0.2):
    """The outline covers the polygon of these points, in a box with y down."""
    ours, theirs = Polygon(piece.outline), Polygon(points)
    return ours.symmetric_difference(theirs).area <= tolerance * theirs.length


UPRIGHT = [(x, 300 - y) for x, y in FRONT]


@pytest.mark.parametrize("version", ["R12", "R2010"])
@pytest.mark.parametrize(
    ("units", "scale", "header"),
    [("METRIC", 1, 0), ("ENGLISH", 1 / 25.4, 0), ("metric", 1, 1), (None, 0.1, 5)],
)
def test_a_piece_comes_in_real_size(tmp_path, units, scale, header, version):
    if units is None and version == "R12":
        pytest.skip("R12 has no units in its header")
    pattern(tmp_path / "a.dxf", units=units, scale=scale, header=header, version=version)
    made = project(tmp_path)
    (piece,) = made.pieces
    assert (piece.width_mm, piece.length_mm) == pytest.approx((200, 300), abs=0.01)
    assert same(piece, UPRIGHT)
    assert codes(made) == []


def test_units_may_be_said_where_the_drawing_does_not(tmp_path):
    pattern(tmp_path / "a.dxf", units=None, scale=0.1)
    assert project(tmp_path, ', units = "cm"').pieces[0].length_mm == pytest.approx(300)


@pytest.mark.parametrize("degrees", [-30, -5, 12, 44])
def test_the_piece_is_turned_so_that_its_grain_runs_along_the_cloth(tmp_path, degrees):
    pattern(tmp_path / "a.dxf", turn=math.radians(degrees))
    made = project(tmp_path)
    assert same(made.pieces[0], UPRIGHT)
    assert codes(made) == []


@pytest.mark.parametrize("arrow", [((50, 50), (50, 250)), ((50, 250), (50, 50))])
@pytest.mark.parametrize(("quarters", "top"), [(0, "up"), (1, "left"), (2, "down"), (3, "right"), (1, None)])
def test_a_piece_that_lies_across_the_drawing_is_stood_up(tmp_path, quarters, top, arrow):
    pattern(tmp_path / "a.dxf", turn=quarters * math.pi / 2, grain=arrow)
    made = project(tmp_path, f', top = "{top}"' if top else "")
    assert same(made.pieces[0], UPRIGHT)
    assert codes(made) == ([] if top else ["dxf-turned"])


@pytest.mark.parametrize(("quarters", "top"), [(0, None), (1, "left"), (3, "right")])
def test_without_a_grain_line_the_drawing_s_way_is_taken_and_said(tmp_path, quarters, top):
    pattern(tmp_path / "a.dxf", grain=None, turn=quarters * math.pi / 2)
    made = project(tmp_path, f', top = "{top}"' if top else "")
    assert same(made.pieces[0], UPRIGHT)
    assert codes(made) == ["dxf-no-grain"]


def test_notches_are_numbered_round_the_piece_and_lie_on_its_sewing_line(tmp_path):
    # in no order in the file; clockwise from the upper left corner: shoulder, side, foot, left edge
    notches = [(100, 0), (0, 150), (200, 100), (70, 300)]
    pattern(tmp_path / "a.dxf", notches=notches, sewn=SEWN)
    seams = "".join(
        f'[[seam]]\njoin = [{{ piece = "front", notch = {n} }}, {{ piece = "front", notch = 1 }}]\n'
        for n in (1, 2, 3, 4)
    )
    made = project(tmp_path, rest=seams)
    at = [seam.join[0].at for seam in made.seams]
    expected = [(70, 15), (185, 200), (100, 285), (15, 150)]
    assert [c for p in at for c in p] == pytest.approx([c for p in expected for c in p], abs=0.01)
    assert codes(made) == []  # no point on the cutting line


def test_a_notch_of_the_mirrored_copy_is_mirrored(tmp_path):
    pattern(tmp_path / "a.dxf", notches=[(200, 100)], sewn=SEWN)
    seam = '[[seam]]\njoin = [{ piece = "front#1", notch = 1 }, { piece = "front#2", notch = 1 }]\n'
    made = project(tmp_path, extra="count = 2\nmirrored = true\n", rest=seam)
    first, second = made.seams[0].join
    assert (*first.at, *second.at) == pytest.approx((185, 200, 15, 200), abs=0.01)


@pytest.mark.parametrize(
    ("allowance", "x", "remarks"), [("1 cm", 190.0, []), (None, 200.0, ["seam-on-cutting-line"])]
)
def test_without_a_sewing_line_the_allowance_may_be_said(tmp_path, allowance, x, remarks):
    pattern(tmp_path / "a.dxf", notches=[(200, 100)])
    seam = (
        '[[seam]]\njoin = [{ piece = "front", notch = 1 }, { piece = "front", at = ["5 cm", "5 cm"] }]\n'
        '[[place]]\npiece = "front"\nnotch = 1\n'
    )
    made = project(tmp_path, f', allowance = "{allowance}"' if allowance else "", rest=seam)
    assert made.seams[0].join[0].at == pytest.approx((x, 200.0), abs=0.01)
    assert made.places[0].at == made.seams[0].join[0].at
    assert codes(made) == remarks


def test_a_notch_off_the_line_is_kept_and_said(tmp_path):
    pattern(tmp_path / "a.dxf", notches=[(200, 100), (170, 60)], sewn=SEWN)
    seam = '[[seam]]\njoin = [{ piece = "front", notch = 1 }, { piece = "front", notch = 2 }]\n'
    made = project(tmp_path, rest=seam)
    assert made.seams[0].join[1].at == pytest.approx((170, 240), abs=0.01)
    (found,) = made.findings
    assert (found.code, found.values["notch"]) == ("dxf-notch-off", 2)
    assert found.values["off_mm"] == pytest.approx(30.0)


def test_a_notch_may_be_a_short_line(tmp_path):
    document = pattern(tmp_path / "a.dxf")
    document.blocks.get("FRONT").add_line((194, 100), (200, 100), dxfattribs={"layer": "4"})
    document.saveas(tmp_path / "a.dxf")
    seam = '[[seam]]\njoin = [{ piece = "front", notch = 1 }, { piece = "front", at = ["5 cm", "5 cm"] }]\n'
    assert project(tmp_path, rest=seam).seams[0].join[0].at == pytest.approx((200, 200), abs=0.01)


@pytest.mark.parametrize("degrees", [0, 17])
def test_a_piece_drawn_to_a_mirror_line_is_laid_open(tmp_path, degrees):
    pattern(
        tmp_path / "a.dxf",
        mirror=((0, 0), (0, 300)),
        notches=[(200, 100), (0, 300)],
        sewn=SEWN,
        turn=math.radians(degrees),
    )
    seam = '[[seam]]\njoin = [{ piece = "front", notch = 2 }, { piece = "front", notch = 3 }]\n'
    made = project(tmp_path, rest=seam)
    (piece,) = made.pieces
    assert (piece.width_mm, piece.length_mm) == pytest.approx((400, 300), abs=0.01)
    whole = [(200 + x, y) for x, y in UPRIGHT] + [(200 - x, y) for x, y in reversed(UPRIGHT)]
    assert same(piece, whole)
    right, left = (end.at for end in made.seams[0].join)  # the notch at the fold, 1, has no image
    assert (*right, *left) == pytest.approx((385, 200, 15, 200), abs=0.2)


@pytest.mark.parametrize(
    ("fold", "size", "ends"),
    [
        ("left", (400, 300), (385, 200, 15, 200)),
        ("right", (400, 300), (185, 200, 215, 200)),
        ("bottom", (200, 600), (185, 200, 185, 400)),
    ],
)
def test_notches_of_a_half_laid_open_by_the_file_have_their_images(tmp_path, fold, size, ends):
    pattern(tmp_path / "a.dxf", outline=[(0, 0), (200, 0), (200, 300), (0, 300)], notches=[(200, 100)],
            sewn=[(15, 15), (185, 15), (185, 285), (15, 285)])  # fmt: skip
    seam = '[[seam]]\njoin = [{ piece = "front", notch = 1 }, { piece = "front", notch = 2 }]\n'
    made = project(tmp_path, extra=f'fold = "{fold}"', rest=seam)
    assert (made.pieces[0].width_mm, made.pieces[0].length_mm) == pytest.approx(size)
    assert [c for e in made.seams[0].join for c in e.at] == pytest.approx(ends, abs=0.01)


def test_curves_are_followed(tmp_path):
    document = ezdxf.new("R12")
    document.modelspace().add_text("Units: METRIC", dxfattribs={"layer": "1"})
    block = document.blocks.new("ROUND")
    # two half circles, as bulges of a polyline
    block.add_polyline2d([(0, 0, 1), (100, 0, 1)], format="xyb", close=True, dxfattribs={"layer": "1"})
    document.saveas(tmp_path / "a.dxf")
    (piece,) = project(tmp_path).pieces
    assert (piece.width_mm, piece.length_mm) == pytest.approx((100, 100), abs=0.1)
    assert Polygon(piece.outline).area == pytest.approx(math.pi * 50**2, rel=0.005)


def test_a_cutting_line_of_separate_segments_is_joined(tmp_path):
    document = ezdxf.new("R12")
    document.modelspace().add_text("Units: METRIC", dxfattribs={"layer": "1"})
    block = document.blocks.new("FRONT")
    sides = list(zip(FRONT, FRONT[1:] + FRONT[:1], strict=True))
    for n in (3, 0, 5, 1, 4, 2):  # in no order, and some drawn backwards
        start, end = sides[n] if n % 2 else sides[n][::-1]
        block.add_line(start, end, dxfattribs={"layer": "1"})
    document.saveas(tmp_path / "a.dxf")
    assert same(project(tmp_path).pieces[0], UPRIGHT)


def test_one_of_several_pieces_is_named_by_block_or_by_title(tmp_path):
    document = pattern(tmp_path / "a.dxf")
    add_piece(document, [(0, 0), (50, 0), (50, 80), (0, 80)], "BACK", None, (), None, None, 1.0, True, 0.0)
    document.saveas(tmp_path / "a.dxf")
    assert project(tmp_path, ', piece = "back"').pieces[0].length_mm == pytest.approx(80)
    assert project(tmp_path, ', piece = "Front panel"').pieces[0].length_mm == pytest.approx(300)


def of_sizes(tmp_path, *quantities):
    """A front in sizes 36 and 38, the second 10 mm longer, each with its annotations."""
    document = ezdxf.new("R12")
    document.modelspace().add_text("Units: METRIC", dxfattribs={"layer": "1"})
    for number, size in enumerate(("36", "38")):
        longer = [(x, y + 10 * number * (y > 0)) for x, y in FRONT]
        add_piece(document, longer, f"FRONT-{size}", None, (), None, None, 1.0, True, 0.0)
        block = document.blocks.get(f"FRONT-{size}")
        for text in block.query("TEXT"):
            text.dxf.text = "Piece Name: FRONT"
        for text in (f"Size: {size}", *(f"Quantity: {q}" for q in quantities)):
            block.add_text(text, dxfattribs={"layer": "15"})
    document.saveas(tmp_path / "a.dxf")


def test_a_file_of_several_sizes(tmp_path):
    of_sizes(tmp_path)
    assert project(tmp_path, ', piece = "front", size = "38"').pieces[0].length_mm == pytest.approx(310)
    for more, said in (("", "2 pieces are called 'front'"), (', size = "40"', "in size '40'")):
        with pytest.raises(InputError, match=said) as refused:
            project(tmp_path, f', piece = "front"{more}')
        assert "36, 38" in str(refused.value)


@pytest.mark.parametrize(
    ("quantity", "extra", "mirrored"),
    [
        ("2", "", [False, False]),
        ("1,1", "", [False, True]),
        ("2,2", "", [False, True, False, True]),
        ("2", "count = 1", [False]),
        ("1,1", "count = 3", [False] * 3),
        ("2", "mirrored = true", [False, True]),
    ],
)
def test_the_file_says_how_many_are_cut(tmp_path, quantity, extra, mirrored):
    of_sizes(tmp_path, quantity)
    made = project(tmp_path, ', piece = "front", size = "36"', extra=extra)
    assert [piece.mirrored for piece in made.pieces] == mirrored


@pytest.mark.parametrize("quantity", ["a pair", "1,2", "0", "101"])
def test_a_quantity_that_cannot_be_read_is_refused(tmp_path, quantity):
    of_sizes(tmp_path, quantity)
    with pytest.raises(InputError, match=r"count|turned over"):
        project(tmp_path, ', piece = "front", size = "36"')


def test_a_piece_laid_open_about_its_middle_may_be_cut_on_the_fold(tmp_path):
    pattern(tmp_path / "a.dxf", mirror=((0, 0), (0, 300)))
    assert project(tmp_path).pieces[0].on_fold


def test_written_out_it_reads_back(tmp_path):
    pattern(tmp_path / "a.dxf", notches=[(200, 100), (0, 150)], sewn=SEWN)
    seam = '[[seam]]\njoin = [{ piece = "front#1", notch = 1 }, { piece = "front#2", notch = 2 }]\n'
    made = project(tmp_path, extra="count = 2\nmirrored = true\n", rest=seam)
    write_project(made, tmp_path / "out.toml")
    again = load_project(tmp_path / "out.toml")
    assert (again.pieces, again.seams) == (made.pieces, made.seams)


def no_boundary(path):
    document = ezdxf.new("R12")
    document.blocks.new("FRONT").add_line((0, 0), (10, 10), dxfattribs={"layer": "8"})
    document.saveas(path)


def two_outlines(path):
    document = pattern(path)
    document.blocks.get("FRONT").add_circle((50, 50), 10, dxfattribs={"layer": "1"})
    document.saveas(path)


@pytest.mark.parametrize(
    ("make", "more", "code", "words"),
    [
        (lambda p: pattern(p, units=None), "", "dxf-without-units", "units"),
        (lambda p: pattern(p, units="CUBITS"), "", "dxf-without-units", "units"),
        (lambda p: pattern(p, closed=False), "", "dxf-outline-open", "300.0 mm apart"),
        (two_outlines, "", "dxf-many-outlines", "1 lines more"),
        (no_boundary, "", "dxf-no-piece", "layer 1"),
        (pattern, ', piece = "sleeve"', "dxf-no-such-piece", "FRONT"),
        (lambda p: pattern(p, mirror=((50, 0), (60, 300))), "", "dxf-mirror-off", "layer 6"),
        (lambda p: p.write_text("0\nSECTION\n2\n"), "", "dxf-no-piece", "layer 1"),
        (lambda p: p.write_bytes(bytes(range(256)) * 20), "", "not-dxf", "a.dxf"),
        (lambda p: p.write_text("<svg/>"), "", "not-dxf", "a.dxf"),
        (lambda p: p.write_text(""), "", "dxf-no-piece", "layer 1"),
        (lambda p: None, "", "drawing-not-found", "a.dxf"),
        (lambda p: pattern(p, outline=[(0, 0), (9, 9), (9, 0), (0, 9)]), "", CROSSES, "crosses"),
        (pattern, ', allowance = "1"', "length-without-unit", "allowance"),
        (pattern, ', colour = "red"', "wrong-value", "colour"),
    ],
)  # fmt: skip
def test_drawings_that_are_refused(tmp_path, make, more, code, words):
    make(tmp_path / "a.dxf")
    with pytest.raises(InputError) as caught:
        project(tmp_path, more)
    assert caught.value.code == code
    assert caught.value.message.startswith("piece[1].outline_dxf")
    assert words in f"{caught.value.message} {caught.value.remedy}"
    assert "Traceback" not in caught.value.message


@pytest.mark.parametrize(
    ("end", "code", "words"),
    [
        ("notch = 3", "no-such-notch", "1 at 20.0 cm, 20.0 cm"),
        ("notch = 0", "no-such-notch", "has no notch 0"),
        ('notch = 1, at = ["1 cm", "1 cm"]', "missing-key", "a point is needed"),
        ("", "missing-key", "a point is needed"),
    ],
)
def test_notches_that_are_not_there(tmp_path, end, code, words):
    pattern(tmp_path / "a.dxf", notches=[(200, 100)])
    with pytest.raises(InputError) as caught:
        project(tmp_path, rest=f'[[place]]\npiece = "front"\n{end.replace(", ", chr(10), 1)}\n')
    assert caught.value.code == code
    assert words in str(caught.value)


def test_damaged_files_are_refused_or_read_never_a_fault(tmp_path):
    pattern(tmp_path / "a.dxf", notches=[(200, 100)], sewn=SEWN, mirror=((0, 0), (0, 300)))
    whole = (tmp_path / "a.dxf").read_bytes()
    answers = set()
    for n in range(40):
        at = (n * 7919) % len(whole)
        (tmp_path / "a.dxf").write_bytes(whole[:at] + bytes([33 + n]) * 3 + whole[at + 3 * (n % 5) :])
        try:
            answers.add(bool(project(tmp_path).pieces))
        except InputError:
            answers.add(False)
    assert True in answers
