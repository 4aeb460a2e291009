"""Swatches that do not fill the picture: the lattice is the cloth's, and it ends where the cloth ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
import pytest

from printcheck.repeat import find_lattice
from printcheck.repeat.part.part_search import on_its_part
from printcheck.repeat.part.swatch import apart_by_colour, unlikeness
from tests.repeat.drawn import GROUND, INK, SIZE, cloth_of, dots, noisy, stripes

CORNERS = np.array([(130, 90), (520, 70), (540, 390), (110, 400)])  # of the swatch: 40 % of the picture


def swatch_mask() -> np.ndarray:
    mask = np.zeros(SIZE[::-1], np.uint8)
    cv2.fillConvexPoly(mask, CORNERS, 1)
    return mask > 0


def board() -> np.ndarray:
    return np.full((SIZE[1], SIZE[0], 3), (96, 128, 150), np.uint8)


def tiled() -> np.ndarray:
    table = np.full((SIZE[1], SIZE[0], 3), (190, 200, 205), np.uint8)
    table[np.arange(SIZE[1]) % 97 < 4] = (120, 125, 130)
    table[:, np.arange(SIZE[0]) % 97 < 4] = (120, 125, 130)
    return table


def speckled() -> np.ndarray:
    coarse = np.random.default_rng(4).uniform(30, 220, (SIZE[1] // 6, SIZE[0] // 6, 3)).astype(np.float32)
    return cv2.resize(coarse, SIZE, interpolation=cv2.INTER_CUBIC).clip(0, 255).astype(np.uint8)


def on(table: np.ndarray, cloth: np.ndarray) -> np.ndarray:
    return np.where(swatch_mask()[..., None], cloth, table)


def heaped() -> np.ndarray:
    """Other cloths, of which one has a colour of the print's and one runs under the swatch's corner."""
    table = np.full((SIZE[1], SIZE[0], 3), (70, 40, 90), np.uint8)
    table[:150, 300:] = INK
    table[300:, :260] = (200, 190, 120)
    table[330:, 380:][:, ::40] = (40, 160, 90)
    cv2.fillConvexPoly(table, np.array([(0, 0), (180, 0), (90, 200), (0, 220)]), (60, 140, 160))
    return table


@pytest.mark.parametrize("table", [board, tiled, speckled, heaped])
def test_a_swatch_on_a_table_is_found_and_followed_to_its_edge(table: Callable[[], np.ndarray]) -> None:
    answer = find_lattice(cloth_of(noisy(on(table(), dots(48, 56, drop=0.5)))))
    repeat = answer.repeat
    assert (repeat.kind, repeat.layout) == ("lattice", "half-drop")
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx((48, 28), rel=0.005)
    assert answer.extent is not None
    inside = swatch_mask()
    assert (answer.extent & ~inside).sum() < 0.04 * inside.sum()  # hardly any table
    assert (answer.extent & inside).sum() > 0.75 * inside.sum()  # most of the cloth
    assert "repeat-part-of-photo" in {f.code for f in answer.findings}


def test_a_piece_whose_own_corners_give_the_scale_is_the_cloth() -> None:
    cloth = cloth_of(noisy(on(speckled(), dots(48, 56))))
    scale = replace(cloth.scale, source="corners")
    corners = CORNERS.astype(np.float64)
    hidden = replace(cloth, mask=cloth.mask & ~swatch_mask(), outline_px=corners, scale=scale)
    repeat = find_lattice(hidden).repeat
    assert (repeat.across_mm, repeat.along_mm) == pytest.approx((24, 28), rel=0.005)


def test_stripes_on_a_table() -> None:
    answer = find_lattice(cloth_of(noisy(on(speckled(), stripes(44, 0)))))
    assert answer.repeat.kind == "stripe"
    assert answer.repeat.across_mm == pytest.approx(22, rel=0.005)
    assert answer.extent is not None


@pytest.mark.parametrize("angle", [0, 20])
def test_cloth_that_fills_the_picture_keeps_all_of_it(angle: float) -> None:
    assert find_lattice(cloth_of(noisy(dots(48, 56, turn_deg=angle)))).extent is None
    assert find_lattice(cloth_of(noisy(stripes(44, angle)))).extent is None


@pytest.mark.parametrize("table", [board, speckled])
def test_a_scatter_on_a_table_has_no_repeat(table: Callable[[], np.ndarray]) -> None:
    rng = np.random.default_rng(11)
    cloth = np.full((SIZE[1], SIZE[0], 3), (225, 230, 230), np.uint8)
    for x, y in rng.uniform((0, 0), SIZE, (260, 2)):
        cv2.circle(cloth, (int(x), int(y)), int(rng.integers(5, 9)), (60, 60, 150), -1, cv2.LINE_AA)
    answer = find_lattice(cloth_of(noisy(on(table(), cloth))))
    assert answer.repeat.kind in ("none", "beyond-photo")
    assert answer.extent is None or not (answer.extent & ~swatch_mask()).sum() > 0.02 * swatch_mask().sum()


def test_colours_set_a_swatch_apart_only_where_they_differ() -> None:
    found = apart_by_colour(cloth_of(on(board(), dots(48, 56))))
    inside = swatch_mask()
    assert found is not None
    assert (found & inside).sum() > 0.9 * inside.sum()  # less a hem of some pixels
    assert (found & ~inside).sum() < 0.02 * inside.sum()
    assert apart_by_colour(cloth_of(dots(48, 56))) is None


def test_plain_cloth_on_a_table_is_plain() -> None:
    cloth = np.full((SIZE[1], SIZE[0], 3), (180, 120, 60), np.uint8)
    answer = find_lattice(cloth_of(noisy(on(tiled(), cloth))))
    assert answer.repeat.kind == "none"
    assert "repeat-plain" in {f.code for f in answer.findings}


def test_a_round_motif_in_the_middle_is_no_piece_of_cloth() -> None:
    picture = np.full((SIZE[1], SIZE[0], 3), (225, 230, 230), np.uint8)
    cv2.circle(picture, (320, 240), 150, (60, 60, 150), -1, cv2.LINE_AA)
    answer = find_lattice(cloth_of(noisy(picture)))
    assert (answer.repeat.kind, answer.extent) == ("beyond-photo", None)


def test_a_broad_bar_of_a_stripe_is_no_piece_of_cloth() -> None:
    """Bars of eight colours, none twice: the repeat is not in view, and all that is seen is the cloth."""
    rng = np.random.default_rng(3)
    widths, inks = (90, 40, 150, 60, 200, 30, 50, 60), rng.integers(20, 235, (8, 3))
    row = np.repeat(inks, widths, axis=0)[: SIZE[0]]
    found = find_lattice(cloth_of(noisy(np.tile(row, (SIZE[1], 1, 1)).astype(np.uint8))))
    assert found.repeat.kind == "beyond-photo"
    assert found.extent is None
    assert "repeat-part-of-photo" not in {one.code for one in found.findings}


def test_where_the_same_cloth_goes_on_a_part_does_not_speak_for_it() -> None:
    rng = np.random.default_rng(2)
    cloth = np.full((SIZE[1], SIZE[0], 3), GROUND, np.uint8)
    for x, y in np.stack(np.meshgrid(np.arange(24, 640, 48), np.arange(24, 480, 48)), axis=-1).reshape(-1, 2):
        outside = not (110 < x < 530 and 80 < y < 400)
        at = np.array([x, y]) + outside * rng.uniform(-24, 24, 2)
        cv2.circle(cloth, np.round(at).astype(int).tolist(), 10, INK, -1, cv2.LINE_AA)
    whole = cloth_of(noisy(cloth))
    middle = whole.mask & swatch_mask()
    assert unlikeness(whole, middle) < 0.05
    assert unlikeness(cloth_of(noisy(on(tiled(), cloth))), middle) > 0.3
    regular = find_lattice(cloth_of(noisy(dots(48, 48))))
    assert on_its_part(whole, lambda part: regular) is None  # whatever a search of the middle may say
    assert find_lattice(whole).repeat.kind == "beyond-photo"
