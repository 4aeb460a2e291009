"""Where photos laid together could lie as well: on fields of like flowers, some in another colour."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from printcheck.core.findings import finding
from printcheck.core.handover import FlatCloth, Slip
from printcheck.core.request import one_scale
from printcheck.photo.stitch.join import flatten_photos
from printcheck.photo.stitch.pairwise import Place
from printcheck.photo.stitch.placing import WORST, Layout, alternatives
from printcheck.photo.stitch.planar_pose import Link
from printcheck.photo.stitch.view import view
from printcheck.repeat import find_lattice
from printcheck.report.words.findings import said
from tests.drawn import nearly
from tests.drawn.art import Art
from tests.drawn.camera import Camera
from tests.drawn.photo import photograph
from tests.drawn.photo_sets import PRINTS

SIDES = (200.0, 240.0)  # millimetres of the repeat: flowers 50 and 60 apart
VIEW_MM = 260.0
SEED = 3  # of the print
NONE = np.zeros((0, 2, 2))


def laid(folder: Path, art: Art, look: tuple[float, float]) -> FlatCloth:
    shots = [
        photograph(
            art,
            Camera(view_mm=VIEW_MM, size_px=(800, 600), look_mm=at, noise=2.0),
            reference="given" if n else "span",
            seed=n,
        )
        for n, at in enumerate(((0.0, 0.0), look))
    ]
    option, value = shots[0].truth.args
    paths = [shot.write(folder / f"{n}.jpg") for n, shot in enumerate(shots)]
    return flatten_photos(paths, one_scale(**{option[2:]: value}))


def off_steps(cloth: FlatCloth, step: np.ndarray) -> float:
    """How far the slips are from whole steps, in steps."""
    likely = [slip.vectors_px for slip in cloth.slips if slip.probability > 0.01]
    steps = np.concatenate([np.zeros((1, 2)), *likely]) * cloth.mm_per_px / step
    return float(np.abs(steps - np.rint(steps)).max(initial=0.0))


def test_a_field_of_like_flowers_slips_flower_by_flower(tmp_path: Path) -> None:
    cloth = laid(tmp_path, nearly.odd_ones(np.random.default_rng(SEED), SIDES, odd=0), (160.0, 0.0))
    assert sum(slip.probability for slip in cloth.slips) > 0.05
    assert off_steps(cloth, np.array(SIDES) / 4) < 0.15
    assert off_steps(cloth, np.array(SIDES)) > 0.15
    flower = find_lattice(cloth)
    assert flower.repeat.across_mm == pytest.approx(SIDES[0] / 4, rel=0.02)
    assert "photos-place-open" not in {f.code for f in flower.findings}
    aside = replace(cloth, slips=(Slip("1.jpg", np.array([[20.0, 0.0]]) / cloth.mm_per_px, 0.6),))
    doubted = find_lattice(aside)
    assert "photos-place-open" in {f.code for f in doubted.findings}
    assert doubted.repeat.kind == "beyond-photo"  # likelier elsewhere: the repeat read off it is not told
    likely = replace(cloth, slips=(replace(aside.slips[0], probability=0.3),))
    assert find_lattice(likely).repeat.confidence == pytest.approx(0.7 * flower.repeat.confidence)


def test_unlike_flowers_leave_only_the_repeat_itself(tmp_path: Path) -> None:
    cloth = laid(tmp_path, PRINTS["packed"](np.random.default_rng(SEED), SIDES), (100.0, 40.0))
    assert off_steps(cloth, np.array(SIDES)) < 0.05


def test_a_photo_tilted_a_little_otherwise_lies_nowhere_else() -> None:
    views = [view(name, np.zeros((60, 80, 3), np.uint8)) for name in ("a.jpg", "b.jpg")]
    aside, tilted = np.eye(3), np.eye(3)
    aside[0, 2], tilted[2, 0] = 60.0, 1e-3
    layouts = [
        Layout({0: np.eye(3), 1: move}, {(1, 0): Place(move, Link(1, 0, NONE, NONE), 0.0, cost / WORST)})
        for cost, move in enumerate((np.eye(3), tilted, aside))
    ]
    ((shifts, probability),) = alternatives(views, layouts)
    assert shifts[1] == pytest.approx([60.0, 0.0])
    assert probability == pytest.approx(np.exp(-2) / np.exp([0.0, -1.0, -2.0]).sum())


def test_an_open_place_is_told_with_the_photo() -> None:
    told = said(finding("photos-place-open", names="2.jpg", by_mm=24.0))
    assert "2.jpg" in told.text
    assert "24.0 mm" in told.text
