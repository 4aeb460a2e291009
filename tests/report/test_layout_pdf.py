"""The cutting layout as PDF and PNG: pages at their size, sheets that join, the numbers of the steps."""

from __future__ import annotations

import itertools
import math
import re
import xml.etree.ElementTree as ET
import zlib
from dataclasses import replace
from pathlib import Path

import cv2
import pytest

from printcheck.core.plan import LengthPlan, Placement, Project
from printcheck.report.drawing import pdf_pen, svg_pen
from printcheck.report.drawing.layout import layout_sheet
from printcheck.report.drawing.primitives import Drawing, Label
from printcheck.report.page import layout_file, layout_pdf
from printcheck.report.page.layout_pdf import Grid
from printcheck.report.words import steps as say_steps
from tests.report import report_given as given
from tests.report import report_swatch as swatch
from tests.report.test_same_numbers import Planned, pdf_words

POINT_MM = 25.4 / 72
SVG = "{http://www.w3.org/2000/svg}"
MM = {"mm": 1.0, "cm": 10.0}
MOST_PICTURE_PX = 6000  # along a side: what viewers and chats open, from memory
LENGTH = r"(\d+(?:\.\d+)?) (mm|cm)"


@pytest.fixture
def readable(monkeypatch: pytest.MonkeyPatch) -> None:
    """PDF's own face, whose words can be read back."""
    monkeypatch.setattr(pdf_pen, "FONT_PLACES", ())


def made(**options: object) -> bytes:
    project, plan = given.skirt()
    return layout_pdf.layout_pdf(Planned(plan, project), **options)


def pages_mm(data: bytes) -> list[tuple[float, float]]:
    """Size of every page."""
    box = rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]"
    objects = [part for part in re.split(rb"\bendobj\b", data) if b"/Type /Page" in part]
    usual = next(re.search(box, part) for part in objects if b"/Type /Pages" in part)
    found = [re.search(box, part) or usual for part in objects if b"/Type /Pages" not in part]
    return [(float(m[1]) * POINT_MM, float(m[2]) * POINT_MM) for m in found]


def streams(data: bytes) -> list[str]:
    found = []
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.S):
        try:
            found.append(zlib.decompress(stream).decode("latin-1"))
        except zlib.error:
            continue
    return found


@pytest.mark.parametrize("paper", list(layout_pdf.PAPERS_MM))
def test_sheets_have_their_paper_and_enough_of_them(paper: str) -> None:
    project, plan = given.skirt()
    cloth = layout_sheet.cloth_drawing(plan, project)
    across, along = layout_pdf.PAPERS_MM[paper]
    room = (across - 2 * pdf_pen.MARGIN_MM, along - 2 * pdf_pen.MARGIN_MM)
    grid = Grid.of(cloth, room)
    last = grid.corner(grid.columns - 1, grid.rows - 1)
    assert last[0] + room[0] >= cloth.width - 1e-6 and last[1] + room[1] >= cloth.height - 1e-6
    sizes = pages_mm(made(paper=paper))
    on_paper = [size for size in sizes if size == pytest.approx((across, along), abs=0.1)]
    assert len(on_paper) >= grid.columns * grid.rows + 1  # and the page with the order of the sheets


def test_the_whole_cloth_is_one_page_at_full_size() -> None:
    project, plan = given.skirt()
    width, height = pages_mm(made())[-1]
    assert width >= 1400 * 0.98 and height >= plan.layout.length_mm
    assert width == pytest.approx(layout_sheet.cloth_drawing(plan, project).width + 30, abs=0.1)


def test_a_long_cloth_takes_several_pages_a_viewer_can_open() -> None:
    project, plan = given.skirt()
    spots = tuple(replace(p, y_mm=p.y_mm + 11000) for p in plan.layout.placements)
    layout = replace(plan.layout, length_mm=12150.25, placements=spots)
    plan = replace(plan, layout=layout, matched=layout)
    sizes = pages_mm(layout_pdf.layout_pdf(Planned(plan, project), paper="A0"))
    assert max(h for _, h in sizes) <= 5080  # 14400 units of 1/72 inch, ISO 32000-1
    assert sum(h for w, h in sizes if w > 1000) >= 12150


def test_sheets_share_their_joints() -> None:
    grid = Grid.of(Drawing(500.0, 700.0, (), ""), (180.0, 249.0))
    assert (grid.columns, grid.rows) == (3, 3)
    marks: dict[tuple[str, bool], list[tuple[float, float]]] = {}
    for column, row in itertools.product(range(grid.columns), range(grid.rows)):
        left, top = grid.corner(column, row)
        for name, (x, y), upright in grid.joints(column, row):
            marks.setdefault((name, upright), []).append((left + x, top + y))
    assert len(marks) == 2 * 3 + 3 * 2  # every joint of a grid of three by three
    for one, two in marks.values():  # on both sheets, at one place of the cloth
        assert math.dist(one, two) < 1e-9


def test_the_square_measures_ten_centimetres() -> None:
    squares = [
        (float(w) * POINT_MM, abs(float(h)) * POINT_MM)
        for stream in streams(made())
        for w, h in re.findall(r"[\d.-]+ [\d.-]+ ([\d.]+) (-?[\d.]+) re S", stream)
    ]
    assert sum(size == pytest.approx((100.0, 100.0), abs=0.05) for size in squares) == 2


@pytest.mark.usefixtures("readable")
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_every_step_stands_in_the_pdf(units: str) -> None:
    project, plan = given.skirt()
    words = pdf_words(layout_pdf.layout_pdf(Planned(plan, project), units=units, paper="A0"))
    for step in say_steps.section(plan, units).steps:
        assert " ".join(step.split()) in words


def read_back(plan: LengthPlan, project: Project) -> dict[str, object]:
    """Places of pieces, notches and the start on the cloth, off the SVG by geometry alone."""
    root = ET.fromstring(svg_pen.svg(layout_sheet.layout_drawing(plan, project)))
    cloth = next(e for e in root.iter() if e.get("data-cloth") == "layout")
    left, top = (float(v) for v in cloth.get("points").split()[0].split(","))
    edge = left - (1400 * 0.98 - 1352.4) / 2  # the selvedge's outer edge
    pieces = {}
    for e in root.iter():
        if e.get("data-layout") == "layout":
            points = [tuple(map(float, p.split(","))) for p in e.get("points").split()]
            xs, ys = zip(*points, strict=True)
            sides = (max(xs) - min(xs), max(ys) - min(ys))
            pieces[e.get("data-letter")] = (min(xs) - edge, min(ys) - top, *sides)
    notches = {
        (e.get("data-seam"), e.get("data-end")): (float(e.get("cx")) - edge, float(e.get("cy")) - top)
        for e in root.iter(f"{SVG}circle")
        if e.get("data-seam")
    }
    arms = [e for e in root.iter() if e.get("data-start")]
    cross = [tuple(map(float, p.split(","))) for p in arms[0].get("points").split()]
    start = ((cross[0][0] + cross[1][0]) / 2 - edge, cross[0][1] - top)
    return {"pieces": pieces, "notches": notches, "start": start}


def test_numbers_of_the_steps_are_those_of_the_drawing() -> None:
    project, plan = given.skirt()
    seen = read_back(plan, project)
    names = {step.letter: step.piece for step in plan.steps}
    lengths = 0

    def same(found: re.Match[str] | None, drawn: float) -> int:
        if found is None:
            return 0
        value, unit = found.groups()
        assert float(value) * MM[unit] == pytest.approx(drawn, abs=0.51 if unit == "cm" else 0.051)
        return 1

    for sentence in say_steps.section(plan, "metric").steps:
        if laid := re.search(r"\blay ([A-Z]+), ", sentence, re.IGNORECASE):
            x, y, wide, long = seen["pieces"][laid[1]]
            lengths += same(re.search(rf"left side lies {LENGTH} from", sentence), x)
            lengths += same(re.search(rf"upper side {LENGTH} from", sentence), y)
            lengths += same(re.search(rf"\({LENGTH} wide", sentence), wide)
            lengths += same(re.search(rf"wide, {LENGTH} long", sentence), long)
            if notch := re.search(r"Check: notch (\d+) is", sentence):
                at = seen["notches"][notch[1], names[laid[1]]]
                lengths += same(re.search(rf"is {LENGTH} from the left edge and", sentence), at[0])
                lengths += same(re.search(rf"left edge and {LENGTH} from the cut end", sentence), at[1])
        lengths += same(re.search(rf"middle about {LENGTH} from", sentence), seen["start"][0])
        lengths += same(re.search(rf"along it, {LENGTH} above", sentence), seen["start"][1])
    assert lengths == 4 * 3 + 2 + 2 + 2  # two pieces lie at the cut end and are said to; a notch; the start


def test_a_picture_can_be_read(tmp_path: Path) -> None:
    project, plan = given.skirt()
    photo, _ = swatch.photo()
    layout_file.write(tmp_path / "l.png", Planned(plan, project, photo))
    picture = cv2.imread(str(tmp_path / "l.png"))
    assert 1000 <= max(picture.shape[:2]) <= MOST_PICTURE_PX
    assert (picture != 255).any(axis=2).mean() > 0.2


def test_a_picture_of_many_metres_can_be_opened() -> None:
    long = Drawing(20_000.0, 500.0, (Label((0.0, 20.0), "a", 10.0),), "long")
    assert layout_file._for_pixels(long).width == pytest.approx(MOST_PICTURE_PX)


def test_eighty_pieces_with_long_names_lose_nothing() -> None:
    project, plan = given.skirt()
    piece = project.pieces[0]
    names = [f"left inner facing of the back yoke lining, cut on grain n{i:02d}#1" for i in range(80)]
    pieces = tuple(replace(piece, name=name, width_mm=60.0, length_mm=90.0) for name in names)
    spots = tuple(Placement(n, 65.0 * (i % 20), 2900.0 * (i // 20)) for i, n in enumerate(names))
    layout = replace(plan.layout, length_mm=12000.0, placements=spots)
    step = replace(plan.steps[0], width_mm=60.0, length_mm=90.0)
    steps = tuple(
        replace(step, letter=f"P{i}", piece=s.piece, x_mm=s.x_mm, y_mm=s.y_mm) for i, s in enumerate(spots)
    )
    plan = replace(plan, layout=layout, matched=layout, steps=steps, seams=(), start=None)
    project = replace(project, pieces=pieces, seams=())
    drawing = layout_sheet.layout_drawing(plan, project)
    words = [item.text for item in drawing.items if hasattr(item, "text")]
    key = " ".join(words)  # a long name goes on in the next line
    for step in steps:
        assert step.letter in words and step.piece.removesuffix("#1") in key
    sentences = say_steps.section(plan, "metric").steps
    assert sum(step.letter + ", " in sentence for sentence in sentences for step in steps) >= 80
    assert len(layout_pdf.layout_pdf(Planned(plan, project), paper="A0")) < 3_000_000
