"""The scale card as a file: true size, whole, and what stands on it."""

from __future__ import annotations

import re
import zlib
from pathlib import Path

import cv2
import numpy as np
import pytest
import resvg_py

from printcheck.core.errors import InputError
from printcheck.core.reference.scalecard import (
    A5,
    BAR_MM,
    BOARDS,
    CARD,
    FIRST_PATTERN,
    MARKER_PATTERNS,
    Board,
    marker_rows,
)
from printcheck.report.drawing.primitives import Label, box_of
from printcheck.report.page.scalecard_file import PNG_PX_PER_MM, draw_sheet, write_scalecard

ID1_MM = (85.60, 53.98)  # ISO/IEC 7810
A5_MM = (148.0, 210.0)  # ISO 216
NARROWEST_PAPER_MM = (210.0, 279.4)  # A4 width (ISO 216) and US Letter height (8 1/2 x 11 in, from memory)
DARK = 128  # grey level between ink and paper


def bar_length_px(grey: np.ndarray) -> int:
    """Longest dark run of any row: the bar is the widest unbroken thing on the sheet."""
    best = 0
    for row in grey < DARK:
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.view(np.int8), [0]))))
        best = max(best, int(np.max(edges[1::2] - edges[::2], initial=0)))
    return best


def test_card_sizes_are_the_standards() -> None:
    assert (CARD.width_mm, CARD.height_mm) == ID1_MM
    assert (A5.width_mm, A5.height_mm) == A5_MM


def test_markers_are_those_of_the_open_dictionary() -> None:
    # OpenCV's own table of DICT_4X4_100 is the outside source
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_100)
    for number in range(FIRST_PATTERN, FIRST_PATTERN + len(MARKER_PATTERNS)):
        drawn = cv2.aruco.generateImageMarker(known, number, 6)
        assert np.array_equal(drawn == 0, np.array(marker_rows(number)))


def test_no_marker_stands_on_two_boards() -> None:
    numbers = [n for board in BOARDS.values() for n in board.marker_numbers]
    assert len(set(numbers)) == len(numbers)
    assert set(numbers) <= set(range(FIRST_PATTERN, FIRST_PATTERN + len(MARKER_PATTERNS)))


@pytest.mark.parametrize("board", BOARDS.values(), ids=lambda b: b.name)
def test_board_lies_within_its_card(board: Board) -> None:
    for left, top, width, height in board.dark_boxes_mm():
        assert left >= 2 and top >= 2
        assert left + width <= board.width_mm - 2 and top + height <= board.height_mm - 2


@pytest.mark.parametrize("size", BOARDS)
def test_png_is_true_to_size(tmp_path: Path, size: str) -> None:
    path = tmp_path / "card.png"
    write_scalecard(path, size=size)
    data = path.read_bytes()
    place = data.index(b"pHYs")
    across, along = (int.from_bytes(data[place + k : place + k + 4], "big") for k in (4, 8))
    assert data[place + 12] == 1  # the unit is the metre (PNG specification, 11.3.4.3)
    assert across == along == 1000 * PNG_PX_PER_MM
    grey = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
    assert bar_length_px(grey) / across * 1000 == pytest.approx(BAR_MM, abs=0.05)


@pytest.mark.parametrize("size", BOARDS)
def test_svg_is_true_to_size(tmp_path: Path, size: str) -> None:
    path = tmp_path / "card.svg"
    write_scalecard(path, size=size)
    text = path.read_text(encoding="utf-8")
    sheet = draw_sheet(BOARDS[size])
    assert f'width="{sheet.width:g}mm" height="{sheet.height:g}mm"' in text
    dpi = 254  # 10 pixels a millimetre
    drawn = cv2.imdecode(
        np.frombuffer(bytes(resvg_py.svg_to_bytes(svg_string=text, dpi=dpi)), np.uint8), cv2.IMREAD_GRAYSCALE
    )
    assert drawn.shape[1] == pytest.approx(sheet.width * 10, abs=1)
    assert bar_length_px(drawn) / 10 == pytest.approx(BAR_MM, abs=0.2)


@pytest.mark.parametrize("size", BOARDS)
def test_pdf_fits_both_papers_and_holds_the_bar_at_true_size(tmp_path: Path, size: str) -> None:
    path = tmp_path / "card.pdf"
    write_scalecard(path, size=size)
    data = path.read_bytes()
    page = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", data)
    assert page is not None
    points = [float(page[1]), float(page[2])]
    assert points[0] * 25.4 / 72 == pytest.approx(NARROWEST_PAPER_MM[0], abs=0.01)
    assert points[1] * 25.4 / 72 == pytest.approx(NARROWEST_PAPER_MM[1], abs=0.01)
    assert b"/PrintScaling /None" in data  # ISO 32000-1, 12.2: asks for no scaling
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.S)
    content = zlib.decompress(streams[0])
    point = rb"([\d.]+) [\d.]+ [ml]"
    drawn = re.findall(rb"(?:[\d.]+ [\d.]+ [ml]\s+){4}", content)
    assert len(drawn) > 100  # squares and markers
    across = [[float(x) for x in re.findall(point, path)] for path in drawn]
    assert max(max(xs) - min(xs) for xs in across) * 25.4 / 72 == pytest.approx(BAR_MM, abs=0.01)


@pytest.mark.parametrize("board", BOARDS.values(), ids=lambda b: b.name)
def test_sheet_fits_the_page_and_says_what_to_do(board: Board) -> None:
    sheet = draw_sheet(board)
    assert sheet.width <= NARROWEST_PAPER_MM[0] - 10 and sheet.height <= NARROWEST_PAPER_MM[1] - 10
    words = [item for item in sheet.items if isinstance(item, Label)]
    for left, top, right, bottom in (box_of(item.points) for item in sheet.items if item not in words):
        assert left >= 0 and right <= sheet.width
        assert top >= 0 and bottom <= sheet.height
    words = " ".join(label.text for label in words)
    assert "100.0 mm" in words and "--bar" in words and "actual size" in words


@pytest.mark.parametrize("name", ["card.jpg", "card", "card.pdf.txt"])
def test_unknown_ending_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="does not end in"):
        write_scalecard(tmp_path / name)
    assert not list(tmp_path.iterdir())


def test_a_missing_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        write_scalecard(tmp_path / "nowhere" / "card.pdf")
    assert caught.value.remedy
    assert not list(tmp_path.iterdir())
