"""The marks of a hide, told from figures, dots and blotches; the shares are in docs/accuracy/builds.md."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from printcheck.core.measurement import Measurement
from printcheck.core.request import PhotoWidth
from printcheck.motif.build.hide import tones_of
from printcheck.pipeline import Options, measure_photo
from tests.drawn import hides
from tests.repeat.test_outside import gimp_tile

SIDE, PITCH = 500, 55.0


def measured(bgr: np.ndarray) -> Measurement:
    """A picture 300 mm wide, measured."""
    rgb = np.ascontiguousarray(bgr[:, :, ::-1])
    return measure_photo(rgb, Options(PhotoWidth(300.0))).measurement


def named(bgr: np.ndarray) -> str:
    """The name told of it."""
    return measured(bgr).print_name.name


def test_marks_at_one_pitch_gather_nowhere() -> None:
    """Rosettes of an inch and a half: busy, and nothing to match (common practice)."""
    rng = np.random.default_rng(5)
    found = measured(hides.photographed(rng, hides.SET_OUT["rosettes"](rng, 700, 80.0)))
    assert found.print_name.name == "animal-skin"
    assert found.clump is None
    assert (found.seams.needs, found.difficulty.level) == ("none", "easy")


@pytest.mark.parametrize("draw", [hides.GROWN["spots"], hides.SET_OUT["spots"], hides.SET_OUT["rosettes"]])
def test_marks_of_a_hide_are_named(draw: hides.Hide) -> None:
    told = [
        named(hides.photographed(rng, draw(rng, SIDE, PITCH))) for rng in map(np.random.default_rng, range(4))
    ]
    assert told.count("animal-skin") >= 2  # some are left to the general names: two in three are told


@pytest.mark.parametrize("kind", sorted(hides.NO_HIDES))
def test_other_blotches_are_no_hide(kind: str) -> None:
    for rng in map(np.random.default_rng, range(3)):
        assert named(hides.photographed(rng, hides.NO_HIDES[kind](rng, SIDE, PITCH))) != "animal-skin"


def test_an_open_picture_of_fur_is_a_hide_and_others_are_not() -> None:
    """Debian's gimp-data 2.10 (GPL): tiles that no weight was fitted to."""
    told = {
        name: named(cv2.resize(gimp_tile(name), None, fx=4, fy=4, interpolation=cv2.INTER_CUBIC))
        for name in ("leopard", "leather", "cracked", "rock", "burlwood", "bark")
    }
    assert [name for name, said in told.items() if said == "animal-skin"] == ["leopard"]


def test_tones() -> None:
    """Two flat tones are explained by three, and a blue is further from a hide than a tan."""
    tan, blue = (65.0, 7.0, 28.0), (50.0, 5.0, -40.0)  # CIELAB
    for colour, far in ((tan, False), (blue, True)):
        lab = np.full((60, 60, 3), (20.0, 0.0, 0.0), np.float32)
        lab[:, 30:] = colour
        few, off, tawny = tones_of(lab)
        assert few == pytest.approx(1.0, abs=1e-3)
        assert (off > 0.4, tawny > 0.4) == (far, not far)
    assert tones_of(np.full((20, 20, 3), 50.0, np.float32))[0] == 0.0
    noise = np.random.default_rng(1).normal(0, 20, (96, 96, 3)).astype(np.float32)
    assert tones_of(noise)[0] < 0.6
