"""The hue's witness: a shadow leaves it as it is, a thing's edge does not."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import Picture
from printcheck.core.measurement import PhotoFacts
from printcheck.core.request import Reference, parse_reference
from printcheck.photo import flatten_photo
from printcheck.photo.scale import sight
from printcheck.photo.scale.rectangle.edges import HALF_HUE, MOST_SAY, REACH_PX, hue_steps
from tests.drawn import Camera, Laid, metal, objects, photograph, prints, scene

STEP_PX = 0.5
REACH = 14.0  # px to either side of the edge that the profiles of these tests show
CLOTH, CARD = np.array([0.42, 0.20, 0.09]), np.array([0.10, 0.16, 0.30])  # linear light, R, G, B


def seen(thing: np.ndarray, *, shade: float, shade_px: float) -> np.ndarray:
    """Profile, outside first, of cloth under a soft shadow that runs up to a thing's edge, 8-bit CIELAB."""
    x = np.arange(-REACH, REACH + STEP_PX / 2, STEP_PX)
    dark = 1 - shade / (1 + np.exp(-(x + shade_px) / 1.2))
    light = np.where(x[:, None] < 0, CLOTH * dark[:, None], thing).astype(np.float32)
    blurred = cv2.GaussianBlur(light, (1, 0), sigmaX=0.1, sigmaY=1.0 / STEP_PX)
    srgb = np.where(blurred < 0.0031308, 12.92 * blurred, 1.055 * blurred ** (1 / 2.4) - 0.055)
    lab = cv2.cvtColor(srgb[None].astype(np.float32), cv2.COLOR_RGB2LAB)[0]
    return np.asarray(lab * [255 / 100, 1, 1] + [0, 128, 128])[None, None]


def test_a_shadow_alone_has_no_say() -> None:
    """CIELAB's definition: light taken from all colours alike moves them towards L* = -16, a* = b* = 0."""
    _, say = hue_steps(seen(CLOTH * 0.4, shade=0.6, shade_px=0.0), STEP_PX)
    # a step of one unit in 8-bit CIELAB has the say of one; shadow of 60 % stays below two
    assert say.item() < MOST_SAY * 2**2 / (2**2 + HALF_HUE**2)


@pytest.mark.parametrize("shade_px", [2.0, 3.0, 5.0])
def test_the_hue_changes_at_the_edge_and_not_at_the_shadow(shade_px: float) -> None:
    strength, say = hue_steps(seen(CARD, shade=0.5, shade_px=shade_px), STEP_PX)
    places = np.arange(-REACH + REACH_PX, REACH - REACH_PX + STEP_PX / 2, STEP_PX)
    assert abs(places[int(np.argmax(strength))]) <= STEP_PX
    assert say.item() > MOST_SAY / 2


@pytest.mark.parametrize(
    ("index", "seed", "asked"),
    [
        (103, 7, "card"),  # dark card on dark cloth at 25 degrees: was 3.2 % off, with its shadow
        (86, 7, "card"),  # pale shadow on two sides of a card on a plaid: was 1.2 % off, by six sigma
        (16, 13, "card"),  # likewise: was 1.5 % off, by four sigma
        (
            67,
            13,
            "coin:24.26mm",
        ),  # inner edge of the raised rim, the outer of the cloth's tone: was 5.3 % off
        (67, 7, "coin:24.26mm"),  # on bars of many colours: was refused
    ],
)
def test_things_whose_shadow_or_rim_is_the_clearer_edge(
    index: int, seed: int, asked: str, tmp_path: Path
) -> None:
    drawn = scene("references", index, seed)
    scale = flatten_photo(drawn.photo.write(tmp_path / "p.jpg"), parse_reference(asked)).scale
    off = abs(scale.mm_per_px / drawn.truth.mm_per_px - 1)
    assert off < 0.01  # the project's own aim for 95 % of photos
    assert off < 2.5 * scale.relative_error


@pytest.mark.xfail(strict=True, reason="the fitted score takes this rim; the ring is in the stated error")
def test_a_rim_whose_edges_contradict_one_another_is_refused(tmp_path: Path) -> None:
    """Copper on cloth of copper's hue: the glare on the rim's inner edge is 5 % within its outer one."""
    drawn = scene("references", 15, 14)
    with pytest.raises(NoAnswerError):
        flatten_photo(drawn.photo.write(tmp_path / "p.jpg"), parse_reference("coin:25.9mm"))


def test_objects_that_disagree_leave_the_gap_in_the_error() -> None:
    rng = np.random.default_rng(5)
    wrong = objects.card(rng, size_mm=(85.6 * 1.04, 53.98 * 1.04))  # four per cent too large for a card
    tape = Laid(metal.tape(np.random.default_rng(4), 495), (0, -90), 0, 0.25)
    cloth = prints.dots(np.random.default_rng(3), 14.0)
    bgr = photograph(cloth, Camera(view_mm=330, tilt_deg=1), objects=(Laid(wrong, (-60, 40), 20), tape)).bgr
    picture = Picture(PhotoFacts("drawn.jpg", bgr.shape[1], bgr.shape[0]), bgr)
    best = sight(picture, Reference("auto", "auto"))
    assert [f.code for f in best.findings if "two-objects" in f.code] == ["scale-two-objects-disagree"]
    assert 0.015 < best.relative_error < 0.03  # half of the four per cent
