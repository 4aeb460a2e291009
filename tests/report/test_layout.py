"""The cutting layout, read back from its SVG by a program that shares nothing with the one that drew it."""

from __future__ import annotations

import html
import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from printcheck.core.plan import CutLayout, FiguresCut, LengthPlan, Piece, Placement, Project
from printcheck.report.drawing import labels as layout_words
from printcheck.report.drawing import primitives, svg_pen
from printcheck.report.drawing.layout import backdrop as layout_backdrop
from printcheck.report.drawing.layout import cloth_strip, layout_sheet
from printcheck.report.drawing.layout.backdrop import Backdrop
from printcheck.report.words import planned as say_planned
from tests.report import report_given as given
from tests.report import report_swatch as swatch

SVG = "{http://www.w3.org/2000/svg}"
TOLERANCE_MM = 0.1  # the issue's: each piece where the solver put it, at scale


def read(plan: LengthPlan, project: Project, **options: object) -> tuple[ET.Element, str]:
    text = svg_pen.svg(layout_sheet.layout_drawing(plan, project, **options))
    return ET.fromstring(text), text


def corners(element: ET.Element) -> list[tuple[float, float]]:
    return [tuple(map(float, pair.split(","))) for pair in element.get("points").split()]


def paper_scale(root: ET.Element) -> float:
    """Cloth millimetres per drawn unit: the drawing says its scale in its own words."""
    note = next(t.text for t in root.iter(f"{SVG}text") if t.text and "per cent: 1 to" in t.text)
    paper_mm = float(root.get("width").removesuffix("mm"))
    unit_on_paper = paper_mm / float(root.get("viewBox").split()[2])
    return unit_on_paper * float(note.rsplit(" ", 1)[1].rstrip("."))


def by_hand(project: Project, spot: Placement) -> list[tuple[float, float]]:
    """Outline on the cloth, turned with complex numbers about the middle of the piece's box."""
    piece = next(p for p in project.pieces if p.name == spot.piece)
    w, h = piece.width_mm, piece.length_mm
    ring = piece.outline or ((0, 0), (w, 0), (w, h), (0, h))
    turn = (-1 if spot.turned else 1) * (-1j if spot.crosswise else 1)
    turned = [(complex(x, y) - complex(w, h) / 2) * turn for x, y in ring]
    box = complex(h, w) if spot.crosswise else complex(w, h)
    return [(z.real + box.real / 2 + spot.x_mm, z.imag + box.imag / 2 + spot.y_mm) for z in turned]


def on_cloth(element: ET.Element, cloth: ET.Element) -> list[tuple[float, float]]:
    """Corners of a piece on the cloth, if it is drawn on this stretch of it."""
    (left, top), scale = corners(cloth)[0], float(cloth.get("data-scale"))
    low = float(cloth.get("data-from-mm"))
    return [((x - left) / scale, (y - top) / scale + low) for x, y in corners(element)]


def check_every_piece(plan: LengthPlan, project: Project, root: ET.Element) -> int:
    cloths = [e for e in root.iter() if e.get("data-cloth")]
    layouts = {"layout": plan.layout, "plain": plan.plain, "one_way": plan.one_way}
    found = 0
    for element in root.iter(f"{SVG}polygon"):
        if not element.get("data-piece"):
            continue
        key = element.get("data-layout")
        spot = next(p for p in layouts[key].placements if p.piece == element.get("data-piece"))
        at = min((on_cloth(element, cloth) for cloth in cloths if cloth.get("data-cloth") == key),
                 key=lambda at: math.dist(at[0], by_hand(project, spot)[0]))  # fmt: skip
        for drawn, meant in zip(at, by_hand(project, spot), strict=True):
            assert math.dist(drawn, meant) <= TOLERANCE_MM
        found += 1
    return found


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_every_piece_lies_where_the_solver_put_it(units: str) -> None:
    project, plan = given.skirt()
    root, _ = read(plan, project, units=units)
    assert check_every_piece(plan, project, root) == 8  # four pieces, matched and plain
    assert paper_scale(root) == pytest.approx(1, rel=0.005)  # the note rounds to a tenth


HOOK = ((0, 0), (900, 0), (900, 150), (200, 150), (200, 600), (0, 600))
BOW = ((0, 0), (60, 90), (200, 130), (340, 90), (400, 0), (400, 500), (300, 320), (100, 320), (0, 500))


@pytest.mark.parametrize("ring", [HOOK, BOW], ids=["hook", "bow"])
@pytest.mark.parametrize("dots", [(), ((100, 200), (300, 200), (120, 60))], ids=["free", "seams"])
def test_words_lie_inside_the_outline_and_off_the_seam_points(ring, dots) -> None:
    piece = Polygon([tuple(map(float, p)) for p in ring])
    for letter in (10.0, 20.0, 40.0):
        texts = (["front facing#1", "12.5 cm from cut end", "mirrored"], ["front facing#1"])
        labels = layout_words.words_inside(texts, ring, dots, letter=letter, dot=0.64 * letter)
        assert labels
        for label in labels:
            half = 0.55 * label.size * len(label.text) / 2  # a sans serif letter is about so wide
            x, y = label.at
            block = box(x - half, y - 0.8 * label.size, x + half, y + 0.25 * label.size)
            assert piece.contains(affinity.rotate(block, label.turn_deg, origin=(x, y)))
            for dot in dots:
                ring_of = Point(dot).buffer(0.64 * letter)
                assert not affinity.rotate(block, label.turn_deg, origin=(x, y)).intersects(ring_of)


def test_pieces_lying_crosswise() -> None:
    project, plan = given.skirt()
    spots = tuple(replace(p, crosswise=True, turned=i % 2 == 1) for i, p in enumerate(plan.plain.placements))
    plan = replace(plan, plain=replace(plan.plain, placements=spots))
    plan = replace(plan, print=replace(plan.print, way="two-way"))
    assert check_every_piece(plan, project, read(plan, project)[0]) == 8
    # that is how a border print is cut: pieces stand on the border, so no arrow says up along the cloth
    plan = replace(plan, print=replace(plan.print, way="one-way"))
    bordered = replace(plan, one_way=replace(plan.one_way, placements=spots))
    assert "selvedge with the border" in read(bordered, project)[1]
    assert "print's up" not in html.unescape(read(bordered, project)[1])
    assert "print's up" in html.unescape(read(plan, project)[1])


def test_the_usable_cloth_has_its_size() -> None:
    project, plan = given.skirt()
    root, _ = read(plan, project)
    cloth = {e.get("data-cloth"): corners(e) for e in root.iter() if e.get("data-cloth")}
    for key, length, scale in (("layout", 1150.25, 1.0), ("one_way", 840.0, layout_sheet.SMALL_SCALE)):
        (left, top), _, (right, bottom), _ = cloth[key]
        assert right - left == pytest.approx(1352.4 * scale, abs=TOLERANCE_MM)
        assert bottom - top == pytest.approx(length * scale, abs=TOLERANCE_MM)


def test_seam_points_of_the_matched_layout_differ_by_a_repeat() -> None:
    project, plan = given.skirt()
    root, _ = read(plan, project)
    dots = [e for e in root.iter(f"{SVG}circle") if e.get("data-seam") == "1"]
    (x1, y1), (x2, y2) = ((float(e.get("cx")), float(e.get("cy"))) for e in dots[:2])
    # front#1 at 0 + 500 and front#2 at 720 + 20: 240 apart, the repeat across (two columns of 120)
    assert (x2 - x1, y2 - y1) == (pytest.approx(240, abs=TOLERANCE_MM), pytest.approx(0, abs=TOLERANCE_MM))


def test_a_plan_without_a_match_shows_the_one_way_layout() -> None:
    project, _ = given.skirt()
    root, text = read(given.unmatched(), project)
    assert check_every_piece(given.unmatched(), project, root) == 4  # that is the unmatched layout
    assert "Not matched" in text and say_planned.LAYOUT_NAMES["matched"] not in text


def test_the_print_behind_lies_as_planned() -> None:
    project, plan = given.skirt()
    motif = replace(given.flowers().motif, boxes_mm=((20.0, 100.0, 40.0, 60.0),))
    start = replace(plan.start, at_mm=(300.0, 200.0))
    plan = replace(plan, figures=FiguresCut(1, 9, (300.0, 200.0)), start=start)
    backdrop = Backdrop(swatch.cell(), motif)
    drawing = layout_sheet.layout_drawing(plan, project, backdrop=backdrop)
    raster = next(i for i in drawing.items if isinstance(i, primitives.Raster))
    # the pixel under the motif's planned centre has the colour that the cell has at the motif's centre
    left, _, width, _ = raster.box
    origin_x = left + (1400 * 0.98 - 1352.4) / 2
    px = raster.bgr.shape[1] / width
    seen = raster.bgr[round(200.0 * px), round((origin_x - left + 300.0) * px)].astype(int)
    cell = swatch.cell()
    u, v = 40.0 / 120.2, (130.0 - 40.0 / 120.2 * 156.3) / 312.6
    lab = cell.lab[int(v % 1 * swatch.CELL_PX), int(u % 1 * swatch.CELL_PX)]
    import cv2
    import numpy as np

    true = cv2.cvtColor(lab[None, None], cv2.COLOR_LAB2BGR)[0, 0] * 255
    assert np.abs(seen - true).max() < 12  # JPEG comes later: rounding
    # what is left over is paler: right of the second front, above its middle
    aside = raster.bgr[round(200.0 * px), round((origin_x - left + 1290.0) * px)]
    beneath = 255 - layout_backdrop.FADE * 255.0
    assert aside.min() >= beneath - 1


@pytest.mark.parametrize("name", [given.HOSTILE, "]]>", "</title><script>", "生地#1", "x" * 200])
def test_hostile_names_stay_words(name: str) -> None:
    project, plan = given.skirt()
    swap = {piece.name: f"{name}{i}" for i, piece in enumerate(project.pieces)}
    project = replace(
        project,
        name=name,
        pieces=tuple(replace(p, name=swap[p.name]) for p in project.pieces),
        seams=tuple(
            replace(s, join=tuple(replace(e, piece=swap[e.piece]) for e in s.join)) for s in project.seams
        ),
    )

    def renamed(layout: object) -> object:
        return replace(layout, placements=tuple(replace(p, piece=swap[p.piece]) for p in layout.placements))

    plan = replace(plan, project=name, plain=renamed(plan.plain), matched=renamed(plan.matched))
    root, text = read(plan, project)  # parses: nothing broke out of its attribute or text
    assert {e.tag.removeprefix(SVG) for e in root.iter()} <= {
        "svg", "title", "rect", "polygon", "polyline", "circle", "text", "image",
    }  # fmt: skip
    assert "<script" not in text and "\x1b" not in text and "\u202e" not in text
    drawing = layout_sheet.layout_drawing(plan, project)
    assert svg_pen.svg(drawing).startswith("<?xml")


def test_a_hundred_pieces_and_a_long_cloth_still_draw() -> None:
    project, plan = given.skirt()
    piece = project.pieces[0]
    pieces = tuple(replace(piece, name=f"strip#{i}", width_mm=60.0, length_mm=90.0) for i in range(100))
    spots = tuple(Placement(p.name, 65.0 * (i % 20), 9000.0 + 95 * (i // 20)) for i, p in enumerate(pieces))
    layout = replace(plan.plain, length_mm=9470.0, placements=spots)
    plan = replace(plan, one_way=replace(layout, length_mm=9471.0), matched=layout, layout=layout)
    project = replace(project, pieces=pieces, seams=())
    root, _ = read(plan, project)
    assert check_every_piece(plan, project, root) == 200


def test_a_long_layout_is_cut_where_no_piece_lies_nearest_to_like_parts() -> None:
    """Pieces end at 100, 400 and 900: of a metre in two, 400 is nearest to the middle (by hand)."""
    ends = ((0.0, 100.0), (100.0, 400.0), (400.0, 900.0), (900.0, 1000.0))
    pieces = [Piece(f"p#{n}", 300.0, high - low) for n, (low, high) in enumerate(ends)]
    placed = [(p, Placement(p.name, 0.0, low)) for p, (low, _) in zip(pieces, ends, strict=True)]
    layout = CutLayout(1000.0, 1000.0, True, 0.0, tuple(spot for _, spot in placed))
    first, second = cloth_strip.stretches("matched", layout, placed, 2)
    assert (first.high, second.low) == pytest.approx((400.0, 400.0))
    assert (first.low, second.high) == (0.0, 1000.0)


def test_lines_that_run_up_the_cloth_are_turned_by_a_right_angle_and_lie_side_by_side() -> None:
    level, upright = (layout_words._labels(["A", "front"], (50.0, 80.0), 10.0, up) for up in (False, True))
    assert [label.turn_deg for label in level] == [0, 0]
    assert [label.turn_deg for label in upright] == [90, 90]
    apart = level[1].at[1] - level[0].at[1]
    assert upright[0].at[0] - upright[1].at[0] == pytest.approx(apart)  # the first line at the right
    assert {label.at[1] for label in upright} == {80.0}
