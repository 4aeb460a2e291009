"""Scale from the cloth's own width: both edges found, or refused."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import Picture
from printcheck.core.measurement import PhotoFacts
from printcheck.core.request import ClothWidth
from printcheck.photo.flatten import flatten_photo
from printcheck.report.words.findings import said
from tests.drawn import Camera, Laid, objects
from tests.repeat.drawn import dots, stripes

WIDTH_MM = 1400.0
SIZE = (900, 700)
FLOOR = (60, 90, 120)


def picture_of(bgr: np.ndarray) -> Picture:
    return Picture(PhotoFacts("drawn.png", bgr.shape[1], bgr.shape[0]), np.ascontiguousarray(bgr))


def laid(rng: np.random.Generator, printed: np.ndarray, *, left: bool = True, right: bool = True) -> tuple:
    """A print on a floor with grain, cut at the sides where asked; its width in photo pixels besides."""
    height, width = printed.shape[:2]
    start = int(rng.integers(60, 160)) if left else -50
    stop = width - int(rng.integers(60, 160)) if right else width + 50
    lean = float(rng.uniform(-0.02, 0.02)) if left and right else 0.0
    scene = np.full_like(printed, FLOOR)
    ring = np.array([[start, 0], [stop, 0], [stop + lean * height, height], [start + lean * height, height]])
    mask = np.zeros((height, width), np.uint8)
    cv2.fillPoly(mask, [np.rint(ring * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
    share = mask[..., None] / 255
    scene = scene * (1 - share) + printed * share
    light = np.linspace(0.85, 1.1, width)[None, :, None]
    noisy = scene * light + rng.normal(0, 4, scene.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8), (stop - start) * np.cos(np.arctan(lean))


def prints_of(index: int) -> np.ndarray:
    kinds = (
        lambda: dots(40.0, 40.0, size=SIZE),
        lambda: dots(70.0, 50.0, drop=0.5, size=SIZE),
        lambda: stripes(30.0, 0.0, size=SIZE),
        lambda: stripes(45.0, 90.0, size=SIZE),
    )
    return kinds[index % len(kinds)]()


@pytest.mark.parametrize("index", range(12))
def test_the_width_gives_the_scale(index: int) -> None:
    bgr, width_px = laid(np.random.default_rng(index), prints_of(index))
    flat = flatten_photo(picture_of(bgr), ClothWidth(WIDTH_MM))
    assert flat.scale.mm_per_px == pytest.approx(WIDTH_MM / width_px, rel=0.01)
    assert flat.outline_px is not None and not flat.mask[:, 5].any() and not flat.mask[:, -5].any()


@pytest.mark.parametrize("index", range(12))
@pytest.mark.parametrize("sides", [(False, False), (True, False), (False, True)], ids=str)
def test_without_both_edges_it_is_refused(index: int, sides: tuple[bool, bool]) -> None:
    bgr, _ = laid(np.random.default_rng(index), prints_of(index), left=sides[0], right=sides[1])
    with pytest.raises(NoAnswerError) as caught:
        flatten_photo(picture_of(bgr), ClothWidth(WIDTH_MM))
    assert caught.value.code == "no-cloth-edges"


def test_a_selvedge_that_runs_across_the_photo() -> None:
    bgr, width_px = laid(np.random.default_rng(3), prints_of(0))
    turned = picture_of(bgr.transpose(1, 0, 2))
    flat = flatten_photo(turned, ClothWidth(WIDTH_MM), selvedge="horizontal")
    assert flat.scale.mm_per_px == pytest.approx(WIDTH_MM / width_px, rel=0.01)


@pytest.mark.parametrize(("stated_mm", "code"), [(600.0, "agree"), (540.0, "disagree")])
def test_a_card_on_the_cloth_is_held_against_the_width(stated_mm: float, code: str) -> None:
    art = dots(60.0, 60.0, size=(1500, 1200))
    bgr, width_px = laid(np.random.default_rng(4), art)
    fine = cv2.resize(bgr, None, fx=3, fy=3, interpolation=cv2.INTER_CUBIC).astype(float)[..., ::-1] / 255
    card = Laid(objects.card(np.random.default_rng(4)), turn_deg=20.0)
    view_mm = 600.0 * bgr.shape[1] / width_px
    objects.lay(fine, card, Camera(view_mm=view_mm, size_px=(fine.shape[1], fine.shape[0])))
    shot = cv2.resize(fine, bgr.shape[1::-1], interpolation=cv2.INTER_AREA)[..., ::-1]
    picture = picture_of(np.rint(255 * shot).clip(0, 255).astype(np.uint8))
    flat = flatten_photo(picture, ClothWidth(stated_mm))
    [remark] = [f for f in flat.findings if "two-objects" in f.code]
    assert remark.code == f"scale-two-objects-{code}"
    if code == "disagree":  # 600 to 540
        assert remark.values["percent"] == pytest.approx(100 * np.log(600 / 540), abs=1.0)
        text = said(remark).text  # both, and by how much
        assert "the cloth's width, stated as 540 mm" in text and "bank card" in text
        assert f"{remark.values['percent']:.1f} %" in text
