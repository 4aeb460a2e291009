"""Outlines from SVG files, checked against arithmetic and against another renderer."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon

from printcheck.core.errors import InputError
from printcheck.project import load_project
from printcheck.project.outline.svg import outline_from_svg
from printcheck.project.outline.svg_path import parse_transform

A4 = 'width="210mm" height="297mm" viewBox="0 0 210 297"'


def drawing(folder: Path, body: str, size: str = A4, head: str = "") -> Path:
    (folder / "a.svg").write_text(f'{head}<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>')
    return folder


def outline(folder: Path, body: str, size: str = A4, head: str = "") -> Polygon:
    drawing(folder, body, size, head)
    return Polygon(outline_from_svg(folder, "a.svg", "p", place="piece[1].outline_svg"))


@pytest.mark.parametrize(
    ("size", "scale"),
    [
        (A4, 1.0),
        ('width="21cm" height="29.7cm" viewBox="0 0 210 297"', 1.0),
        ('width="420mm" height="594mm" viewBox="0 0 210 297"', 2.0),
        ('width="1in" height="1in" viewBox="-10 -10 96 96"', 25.4 / 96),
        ('width="72pt" height="72pt" viewBox="0,0,1,1"', 25.4),
        ('width="6pc" height="6pc" viewBox="0,0,1,1"', 25.4),
        ('width="840q" height="1188q" viewBox="0 0 210 297"', 1.0),
    ],
)
def test_real_size_comes_from_width_height_and_view_box(tmp_path, size, scale):
    shape = outline(tmp_path, '<path id="p" d="M10 10 h30 v40 h-30 z"/>', size)
    left, top, right, bottom = shape.bounds
    assert (right - left, bottom - top) == pytest.approx((30 * scale, 40 * scale))


@pytest.mark.parametrize(
    "body",
    [
        '<path id="p" d="M 50 100 A 50 50 0 1 0 150 100 A 50 50 0 1 0 50 100 Z"/>',
        '<path id="p" d="M50,100a50 50 0 10100 0a50 50 0 10-100,0"/>',  # flags without gaps
        '<path id="p" d="M150 100C150 127.614 127.614 150 100 150S50 127.614 50 100 72.386 50 100 50 '
        '150 72.386 150 100Z"/>',
    ],
)
def test_a_circle_stays_within_a_tenth_of_a_millimetre(tmp_path, body):
    shape = outline(tmp_path, body)
    circle = np.array(shape.exterior.coords)
    radii = np.hypot(circle[:, 0] - 100, circle[:, 1] - 100)
    assert radii == pytest.approx(np.full(len(radii), 50), abs=0.03)  # the usual cubic errs by 0.03 %
    middle = (circle[1:] + circle[:-1]) / 2
    assert np.hypot(middle[:, 0] - 100, middle[:, 1] - 100).min() > 50 - 0.13
    assert shape.area == pytest.approx(math.pi * 50**2, rel=0.004)


@pytest.mark.parametrize(
    "body",
    [
        '<path id="p" d="M20 30q20-25 60 5t70 40l-20 60c-30 40 -60 -40 -90 10l-10-50Z"/>',
        '<path id="p" d="M20 30Q40 5 80 35T150 75L130 135C100 175 70 95 40 145L30 95Z" '
        'transform="rotate(-10 100 100)"/>',
        '<g transform="translate(10,20)"><g transform="scale(1.5 0.8)skewX(10)">'
        '<polygon id="p" points="10,10 90,20 80,100 20,90"/></g></g>',
        '<path id="p" d="M40 80a60 30 25 0 1 100 20a30 60 -15 1 1 -60 60z"/>',
        '<rect id="p" x="20" y="40" width="100" height="50" transform="matrix(0.9 .2 -.3 1.1 20 -10)"/>',
    ],
)
def test_another_renderer_paints_the_same_area(tmp_path, body):
    """resvg-py paints the shape at 5 pixels a millimetre; ours must cover the same pixels."""
    import cv2
    import resvg_py

    shape = outline(tmp_path, body)
    svg = (tmp_path / "a.svg").read_text()
    png = resvg_py.svg_to_bytes(svg_string=svg, dpi=127)
    alpha = cv2.imdecode(np.frombuffer(bytes(png), np.uint8), cv2.IMREAD_UNCHANGED)[:, :, 3]
    ours = np.zeros_like(alpha)
    corners = np.round(np.array(shape.exterior.coords) * 5 * 16 - 8).astype(np.int32)
    cv2.fillPoly(ours, [corners], 255, shift=4)
    wrong = np.count_nonzero((ours > 127) != (alpha > 127))
    assert alpha.any()
    assert wrong < 3 * shape.length  # pixels: under a third of a millimetre's width along the edge
    assert shape.area == pytest.approx(alpha.sum() / 255 / 25, rel=0.003)


def test_a_project_takes_its_outline_from_a_drawing(tmp_path):
    drawing(tmp_path, '<path id="front" d="M10 10h100v150h-100z"/>')
    (tmp_path / "a.toml").write_text(
        '[cloth]\nwidth = "1 m"\n[[piece]]\nname = "front"\nfold = "left"\n'
        'outline_svg = { file = "a.svg", id = "front" }\n[[place]]\npiece = "front"\nat = ["1 cm", "2 cm"]\n'
    )
    project = load_project(tmp_path / "a.toml")
    assert (project.pieces[0].width_mm, project.pieces[0].length_mm) == pytest.approx((200, 150))
    assert project.places[0].at == (10.0, 20.0)  # from the corner of the piece, not of the page


BOX = '<path id="p" d="M10 10h30v40h-30z"/>'


@pytest.mark.parametrize(
    ("body", "size", "head", "code"),
    [
        (BOX, 'viewBox="0 0 210 297"', "", "svg-without-units"),
        (BOX, 'width="210" height="297" viewBox="0 0 210 297"', "", "svg-without-units"),
        (BOX, 'width="210px" height="297px" viewBox="0 0 210 297"', "", "svg-without-units"),
        (BOX, 'width="100%" height="100%" viewBox="0 0 210 297"', "", "svg-without-units"),
        (BOX, 'width="210mm" height="297mm"', "", "svg-without-units"),
        (BOX, 'width="210mm" height="297mm" viewBox="0 0 0 297"', "", "svg-without-units"),
        (BOX, 'width="nanmm" height="297mm" viewBox="0 0 1 297"', "", "svg-without-units"),
        (BOX, 'width="210mm" height="210mm" viewBox="0 0 210 297"', "", "svg-distorted"),
        ("", A4, "", "svg-no-such-id"),
        (BOX * 2, A4, "", "svg-id-twice"),
        (f"<defs><symbol>{BOX}</symbol></defs>", A4, "", "svg-not-drawn"),
        (f'<svg width="5" height="5">{BOX}</svg>', A4, "", "svg-not-drawn"),
        (f'<g id="p">{BOX.replace("p", "q")}</g>', A4, "", "svg-not-a-shape"),
        ('<path id="p" d="M10 10h30v40"/>', A4, "", "svg-path-open"),
        ('<path id="p" d="M10 10h30v40zM1 1h2v2z"/>', A4, "", "svg-many-paths"),
        ('<path id="p" d=""/>', A4, "", "svg-path-empty"),
        ('<path id="p" d="M10 10 L 20"/>', A4, "", "svg-path-broken"),
        ('<path id="p" d="10 10 L 20 20z"/>', A4, "", "svg-path-broken"),
        ('<path id="p" d="M10 10 K 20 20z"/>', A4, "", "svg-path-broken"),
        ('<path id="p" d="M1e999 10 L 20 20 30 30z"/>', A4, "", "svg-path-broken"),
        ('<path id="p" d="M10 10h30v40h-30z" transform="turn(3)"/>', A4, "", "svg-transform"),
        (BOX, A4, '<!DOCTYPE svg [<!ENTITY a "b">]>', "svg-with-entities"),
        (
            '<path id="p" d="&x;"/>',
            A4,
            '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>',
            "svg-with-entities",
        ),
        ("<g>" * 400 + "</g>" * 400 + BOX, A4, "", "svg-too-deep"),
        ("<g>", A4, "", "not-svg"),
        (BOX, A4, "junk", "not-svg"),
    ],
)
def test_drawings_that_are_refused(tmp_path, body, size, head, code):
    with pytest.raises(InputError) as caught:
        outline(tmp_path, body, size, head)
    assert caught.value.code == code
    assert caught.value.message.startswith("piece[1].outline_svg: a.svg")
    assert caught.value.remedy


def test_an_ordinary_doctype_is_no_harm(tmp_path):
    head = (
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    )
    assert outline(tmp_path, BOX, head=head).area == pytest.approx(1200)


def test_entities_within_entities_end_at_once(tmp_path):
    bombs = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10 if n else "x"}">' for n in range(10))
    with pytest.raises(InputError) as caught:  # ten thousand million letters would end at the time limit
        outline(tmp_path, '<path id="p" d="&a9;"/>', head=f"<!DOCTYPE svg [{bombs}]>")
    assert caught.value.code == "svg-with-entities"


@pytest.mark.parametrize("file", ["../a.svg", "/etc/passwd", "..\\a.svg", "C:\\a.svg", "x/../../a.svg", ""])
def test_only_files_beside_the_project_are_read(tmp_path, file):
    with pytest.raises(InputError) as caught:
        outline_from_svg(drawing(tmp_path, BOX), file, "p", place="here")
    assert caught.value.code == "drawing-elsewhere"


def test_a_missing_drawing(tmp_path):
    with pytest.raises(InputError) as caught:
        outline_from_svg(tmp_path, "a.svg", "p", place="here")
    assert caught.value.code == "drawing-not-found"


def test_a_html_page_is_no_drawing(tmp_path):
    (tmp_path / "a.svg").write_text("<html></html>")
    with pytest.raises(InputError) as caught:
        outline_from_svg(tmp_path, "a.svg", "p", place="here")
    assert caught.value.code == "not-svg"


@pytest.mark.parametrize(
    ("text", "place", "moved"),  # CSS Transforms Module Level 1, section 13
    [
        ("matrix(1 2 3 4 5 6)", (1, 1), (9, 12)),
        ("translate(3)", (1, 1), (4, 1)),
        ("scale(2)", (1, 1), (2, 2)),
        ("scale(2, 3)", (1, 1), (2, 3)),
        ("rotate(90)", (1, 0), (0, 1)),
        ("rotate(90 1 1)", (2, 1), (1, 2)),
        ("skewX(45)", (0, 1), (1, 1)),
        ("skewY(45)", (1, 0), (1, 1)),
        ("translate(3) scale(2)", (1, 1), (5, 2)),
    ],
)
def test_each_transform_moves_a_point(
    text: str, place: tuple[float, float], moved: tuple[float, float]
) -> None:
    assert parse_transform(text, place="here").transformPoint(place) == pytest.approx(moved)


@pytest.mark.parametrize("text", ["scale()", "rotate(1 2)", "turn(3)", "matrix(1 2 3)", "scale(1e999)"])
def test_a_transform_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="transform"):
        parse_transform(text, place="here")
